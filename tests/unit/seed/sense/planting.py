"""Faults planted in a copied document, so that a check is seen to fail."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Any

from bomsvc.core.catalogue.entities import Catalogue
from tests.unit.seed.sense.engine import Answers, Engine

USUAL_PUMP = {"use": "pump"}


def altered(engine: Engine, kind: str, named: str, /, **changes: Any) -> Planted:
    """The document with changed fields in the items of that code or number."""
    items = getattr(engine.catalogue, kind)
    made = tuple(
        replace(item, **changes) if name_of(item) == named else item for item in items
    )
    assert made != items, (kind, named)
    return _planted(engine, kind, made)


def added(engine: Engine, kind: str, *items: Any) -> Planted:
    """The document with more items at the end of a list."""
    more = (*getattr(engine.catalogue, kind), *items)
    return _planted(engine, kind, more)


def without(engine: Engine, kind: str, *names: str) -> Planted:
    """The document without the items of those codes or numbers."""
    kept = [i for i in getattr(engine.catalogue, kind) if name_of(i) not in names]
    return _planted(engine, kind, tuple(kept))


def _planted(engine: Engine, kind: str, items: tuple[Any, ...]) -> Planted:
    changes: dict[str, Any] = {kind: items}
    return Planted(replace(engine.catalogue, **changes))


class Planted(Engine):
    """A copy that is looked at on the usual pump engine, unless asked otherwise."""

    def __init__(
        self,
        catalogue: Catalogue,
        *,
        only: Sequence[Answers] = (USUAL_PUMP,),
        menu: Sequence[str] = (),
    ) -> None:
        super().__init__(catalogue, only=only, menu=menu)

    def at(self, *menu: str, **known: Any) -> Planted:
        """The same copy, on another build and with fewer jobs on the menu."""
        return Planted(self.catalogue, only=(known or USUAL_PUMP,), menu=menu)


def item(engine: Engine, kind: str, name: str) -> Any:
    """The item of a list with that code or number."""
    (found,) = (i for i in getattr(engine.catalogue, kind) if name_of(i) == name)
    return found


def name_of(one: Any) -> str:
    """The code of an item, the number of a part, the position of a fitment."""
    if hasattr(one, "number"):
        return str(one.number)
    return str(one.code if hasattr(one, "code") else one.position.code)


def about(complaints: list[str], place: str) -> bool:
    """Whether a complaint is about that place."""
    return any(place in complaint for complaint in complaints)
