"""Forms made of other forms: lists, maps, pairs."""

# ruff: noqa: D102 - the methods of forms are documented once, at `Form`.
from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from bomsvc.core.catalogue.forms.base import Form, Schema, plain_text, wrong_type
from bomsvc.core.catalogue.reading import Place, Reading
from bomsvc.core.terms.numbers import Tree


@dataclass(frozen=True, slots=True)
class ListOf(Form):
    """A list; the order is kept."""

    item: Form
    least: int = 0

    def read(self, value: Tree, place: Place, reading: Reading) -> tuple[Any, ...]:
        if not isinstance(value, list):
            text = plain_text(value)
            advice = f"; write [{text[:40]}]" if text else ""
            wrong_type(value, "a list", place, reading, advice=advice)
            return ()
        if len(value) < self.least:
            says = f"the list is empty; at least one {self.item.says} is due"
            reading.report(place, "empty_list", says)
        read = self.item.read
        return tuple(
            read(each, Place(place, index), reading) for index, each in enumerate(value)
        )

    def write(self, value: tuple[Any, ...]) -> Tree:
        write = self.item.write
        return [write(each) for each in value]

    def stand_in(self) -> tuple[Any, ...]:
        return ()

    def schema(self) -> Schema:
        schema: Schema = {"type": "array", "items": self.item.schema()}
        return schema | ({"minItems": self.least} if self.least else {})

    @property
    def says(self) -> str:
        return f"list of {self.item.says}"


@dataclass(frozen=True, slots=True)
class MapOf(Form):
    """Named values; their order means nothing, so they are kept sorted by name."""

    key: Form
    item: Form

    def read(self, value: Tree, place: Place, reading: Reading) -> dict[str, Any]:
        if not isinstance(value, dict):
            wrong_type(value, "an object of named values", place, reading)
            return {}
        found = {}
        for name, each in sorted(value.items()):
            here = Place(place, name)
            found[self.key.read(name, here, reading)] = self.item.read(
                each, here, reading
            )
        return found

    def write(self, value: dict[str, Any]) -> Tree:
        return {name: self.item.write(each) for name, each in value.items()}

    def stand_in(self) -> dict[str, Any]:
        return {}

    def schema(self) -> Schema:
        return {
            "type": "object",
            "propertyNames": self.key.schema(),
            "additionalProperties": self.item.schema(),
        }

    @property
    def says(self) -> str:
        return f"{self.key.says} to {self.item.says}"


@dataclass(frozen=True, slots=True)
class Pair(Form):
    """Two values of one form: a point, or from and to."""

    item: Form
    names: tuple[str, str]

    def read(self, value: Tree, place: Place, reading: Reading) -> tuple[Any, Any]:
        due = f"[{', '.join(self.names)}]"
        if not isinstance(value, list) or len(value) != len(self.names):
            if isinstance(value, list):
                says = f"a list of {len(value)} stands where {due} is due"
                reading.report(place, "wrong_length", says)
            else:
                wrong_type(value, due, place, reading)
            return self.stand_in()
        first, second = (
            self.item.read(each, Place(place, index), reading)
            for index, each in enumerate(value)
        )
        return first, second

    def write(self, value: tuple[Any, Any]) -> Tree:
        return [self.item.write(each) for each in value]

    def stand_in(self) -> tuple[Any, Any]:
        return self.item.stand_in(), self.item.stand_in()

    def schema(self) -> Schema:
        item = self.item.schema()
        return {"type": "array", "items": item, "minItems": 2, "maxItems": 2}

    @property
    def says(self) -> str:
        return f"[{', '.join(self.names)}]"


@dataclass(frozen=True, slots=True)
class OneOrList(Form):
    """One code, or a list of codes: what a person says is usual."""

    item: Form

    def read(self, value: Tree, place: Place, reading: Reading) -> Any:  # noqa: ANN401
        if isinstance(value, list):
            return ListOf(self.item).read(value, place, reading)
        return self.item.read(value, place, reading)

    def write(self, value: Any) -> Tree:  # noqa: ANN401
        return list(value) if isinstance(value, tuple) else value

    def stand_in(self) -> tuple[str, ...]:
        return ()

    def schema(self) -> Schema:
        item = self.item.schema()
        return {"anyOf": [item, {"type": "array", "items": item}]}

    @property
    def says(self) -> str:
        return f"{self.item.says}, or a list of them"
