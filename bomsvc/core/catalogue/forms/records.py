"""Records: objects of named fields, closed, with defaults."""

# ruff: noqa: D102 - the methods of forms are documented once, at `Form`.
from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from bomsvc.core.catalogue.forms.base import (
    Form,
    Schema,
    plain_text,
    with_article,
    wrong_type,
)
from bomsvc.core.catalogue.reading import Place, Reading
from bomsvc.core.terms.numbers import Tree


@dataclass(frozen=True, slots=True)
class Field:
    """One field of a record.

    Attributes:
        name: As the document writes it.
        form: What its value may be.
        doc: What it means, for people.
        required: Must be there; otherwise absent means `default`.
        default: The value that absence means, as `form.read` would give it.
        says_default: The default in words, where it is not just a value.
    """

    name: str
    form: Form
    doc: str
    required: bool = False
    default: Any = None
    says_default: str = ""


class Values:
    """A record as read: a value for every field of its table.

    Attributes:
        sound: No problem of form was found in it.
        place: Where the record stands.
    """

    __slots__ = ("fields", "origins", "place", "sound")

    def __init__(
        self, fields: dict[str, Any], place: Place, origins: dict[str, Place] | None
    ) -> None:
        self.fields = fields
        self.place = place
        self.origins = origins
        self.sound = True

    def __getitem__(self, name: str) -> Any:  # noqa: ANN401
        return self.fields[name]

    def __setitem__(self, name: str, value: object) -> None:
        self.fields[name] = value

    def at(self, name: str, *further: str | int) -> Place:
        """Return the place of a field, or of something inside it."""
        origin = self.origins.get(name) if self.origins else None
        place = Place(self.place, name, origin)
        for step in further:
            place = Place(place, step)
        return place


class Likened(dict[str, Tree]):
    """A record with the fields that `like` took over, and where each was written.

    Where `like` could not be followed, nothing was taken over, and fields that
    are missing are not told as well.
    """

    origins: dict[str, Place]
    followed: bool = True


@dataclass(frozen=True, slots=True)
class Record(Form):
    """An object of named fields, closed: no other field is taken."""

    name: str
    doc: str
    fields: tuple[Field, ...]

    def read(self, value: Tree, place: Place, reading: Reading) -> Values:
        if not isinstance(value, dict):
            wrong_type(value, f"an object ({self.title})", place, reading)
            return self.stand_in_at(place)
        before = reading.count
        origins = value.origins if isinstance(value, Likened) else None
        followed = not isinstance(value, Likened) or value.followed
        values = Values({}, place, origins)
        fields = values.fields
        left = len(value)
        for field in self.fields:
            name = field.name
            raw = value.get(name)
            if raw is not None:
                # Spelled out: `values.at` for each of a million fields takes long.
                here = Place(place, name) if origins is None else values.at(name)
                fields[name] = field.form.read(raw, here, reading)
                left -= 1
            else:
                left -= name in value
                fields[name] = self._absent(field, place, reading, told=followed)
        if left:
            self._refuse_unknown(value, place, reading)
        values.sound = followed and reading.count == before
        return values

    def _absent(
        self, field: Field, place: Place, reading: Reading, *, told: bool
    ) -> Any:  # noqa: ANN401
        if not field.required:
            return field.default
        if told:
            says = f'"{field.name}" is missing from this {self.name}: {field.form.says}'
            reading.report(place, "missing_field", says)
        return (
            field.form.stand_in_at(Place(place, field.name))
            if isinstance(field.form, Record)
            else field.form.stand_in()
        )

    def _refuse_unknown(
        self, value: dict[str, Tree], place: Place, reading: Reading
    ) -> None:
        known = self.names
        for name in value:
            if name not in known:
                says = f'"{name[:40]}" is not a field of {self.title}'
                here = Place(place, name)
                reading.unknown(here, "unknown_field", name, says, known)

    def write(self, value: Values) -> Tree:
        written: dict[str, Tree] = {}
        for field in self.fields:
            each = value.fields[field.name]
            if each is not None and (field.required or each != field.default):
                written[field.name] = field.form.write(each)
        return written

    def stand_in(self) -> Values:
        raise AssertionError("a record's stand-in needs its place")

    def stand_in_at(self, place: Place) -> Values:
        """Return a record of stand-ins, not sound."""
        fields = {
            field.name: (
                field.form.stand_in_at(Place(place, field.name))
                if isinstance(field.form, Record)
                else field.form.stand_in()
            )
            if field.required
            else field.default
            for field in self.fields
        }
        values = Values(fields, place, None)
        values.sound = False
        return values

    @property
    def names(self) -> tuple[str, ...]:
        """Names of the fields, in the order of the table."""
        return tuple(field.name for field in self.fields)

    @property
    def title(self) -> str:
        """The record's name with its article."""
        return with_article(self.name)

    def schema(self) -> Schema:
        return {"$ref": f"#/$defs/{self.key}"}

    @property
    def key(self) -> str:
        """The record's name as a key of the schema."""
        return self.name.replace(" ", "_")

    @property
    def says(self) -> str:
        return self.name


@dataclass(frozen=True, slots=True)
class WordsOr(Form):
    """One of a few fixed words, or a record."""

    words: tuple[str, ...]
    record: Record

    def read(self, value: Tree, place: Place, reading: Reading) -> Any:  # noqa: ANN401
        if isinstance(value, dict):
            return self.record.read(value, place, reading)
        text = plain_text(value)
        if text in self.words:
            return text
        due = f"{', '.join(self.words)} or an object ({self.record.title})"
        if text is None:
            wrong_type(value, due, place, reading)
        else:
            says = f'"{text[:40]}" stands where {due} is due'
            near = reading.nearest(text, self.words)
            says += f'; the nearest is "{near}"' if near else ""
            reading.report(place, "unknown_word", says, remedy=near)
        return self.words[0]

    def write(self, value: Any) -> Tree:  # noqa: ANN401
        if isinstance(value, Values):
            return self.record.write(value)
        word: str = value
        return word

    def stand_in(self) -> str:
        return self.words[0]

    def schema(self) -> Schema:
        return {"anyOf": [{"enum": list(self.words)}, self.record.schema()]}

    @property
    def says(self) -> str:
        words = " \\| ".join(f"`{word}`" for word in self.words)
        return f"{words}, or {self.record.name}"
