"""What was added, removed and edited between two documents, list by list."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, cast

from bomsvc.core.catalogue.entities import Catalogue
from bomsvc.core.terms.json_text import read_json

CODED = ("options", "rules", "sections", "positions", "joints", "steps", "jobs")


@dataclass(frozen=True, slots=True)
class ListChange:
    """One list of the document: names added, removed, and edited with the fields."""

    added: tuple[str, ...]
    removed: tuple[str, ...]
    edited: tuple[tuple[str, tuple[str, ...]], ...]


def structural(before: Catalogue, after: Catalogue) -> dict[str, ListChange]:
    """Return the changes of each list that changed, in the document's order."""
    one = cast("Mapping[str, Any]", read_json(before.canonical))
    other = cast("Mapping[str, Any]", read_json(after.canonical))
    found: dict[str, ListChange] = {}
    for name in ("family", *CODED[:4], "parts", "fitments", *CODED[4:]):
        change = _compared(_named(name, one), _named(name, other))
        if change.added or change.removed or change.edited:
            found[name] = change
    return found


def _named(name: str, tree: Mapping[str, Any]) -> dict[str, Mapping[str, Any]]:
    if name == "family":
        return {tree["family"]["code"]: tree["family"]}
    items = tree.get(name, ())
    if name == "fitments":
        return _named_fitments(items)
    key = "number" if name == "parts" else "code"
    return {item[key]: item for item in items}


def _named_fitments(items: Any) -> dict[str, Mapping[str, Any]]:  # noqa: ANN401
    """Name fitments by position and part; repeated ones in their order."""
    seen: Counter[str] = Counter()
    found: dict[str, Mapping[str, Any]] = {}
    for item in items:
        name = f"{item['position']}: {item['part']}"
        seen[name] += 1
        found[name if seen[name] == 1 else f"{name} ({seen[name]})"] = item
    return found


def _compared(
    one: Mapping[str, Mapping[str, Any]], other: Mapping[str, Mapping[str, Any]]
) -> ListChange:
    edited = (
        (name, _fields(one[name], item))
        for name, item in other.items()
        if name in one and one[name] != item
    )
    return ListChange(
        added=tuple(name for name in other if name not in one),
        removed=tuple(name for name in one if name not in other),
        edited=tuple(edited),
    )


def _fields(one: Mapping[str, Any], other: Mapping[str, Any]) -> tuple[str, ...]:
    names = dict.fromkeys((*one, *other))
    return tuple(n for n in names if one.get(n) != other.get(n))
