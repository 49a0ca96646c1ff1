"""What goes on, or comes off, inside an assembly that is moved whole."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from typing import Any

from bomsvc.core.logic.standing import Key
from bomsvc.core.resolve.layout import Layout
from bomsvc.core.resolve.lines import Place

Sitting = Mapping[Place, Mapping[tuple[str | None, str | None], Any]]
"""Place to what sits there, by (part number, wanted)."""


def inside_of(
    layout: Layout, moved: Iterable[tuple[Key, str]], sitting: Sitting
) -> frozenset[Key]:
    """Return the positions whose part comes with a moved part, however far down.

    Of two parts that include one another the first in the document is moved and
    brings the other.

    Args:
        layout: The catalogue's look-ups.
        moved: Position and part number of what is moved.
        sitting: What sits where in the build the parts are moved in.
    """
    inside: set[Key] = set()
    for position, part in sorted(moved, key=lambda each: layout.index[each[0]]):
        if position not in inside:
            inside |= _below(layout, position, part, sitting) - {position}
    return frozenset(inside)


def _below(layout: Layout, position: Key, part: str, sitting: Sitting) -> set[Key]:
    found: set[Key] = set()
    waiting = [(position, part)]
    while waiting:
        for key in _included(layout, *waiting.pop()):
            if key not in found:
                found.add(key)
                there = sitting.get(Place("position", key), {})
                waiting += ((key, number) for number, _ in there if number is not None)
    return found


def _included(layout: Layout, position: Key, part: str) -> Iterator[Key]:
    standing = layout.compiled.standing.positions[position]
    for ref in layout.parts[part].includes:
        yield from layout.compiled.keys_from(
            ref, standing.member, standing.position.each
        )
