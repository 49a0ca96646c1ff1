"""Two families may know the same part; their engineering data must agree."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import cast

from bomsvc.core.terms.json_text import read_json
from bomsvc.core.terms.numbers import Tree
from bomsvc.core.terms.pointers import join
from bomsvc.core.terms.problems import Problem
from bomsvc.core.terms.words import part_identity, part_search_key
from bomsvc.service.json_bytes import encode_text
from bomsvc.service.ports import UnitOfWork
from bomsvc.service.records import PublishedPart

FAMILY_FIELDS = frozenset({"number", "includes", "renew_with"})
"""Fields not compared: spellings of the number, and positions of one family."""

PartTree = Mapping[str, Tree]


def parts_of(document: bytes) -> Sequence[PartTree]:
    """Return the parts of a canonical document, numbers as written."""
    tree = cast("Mapping[str, Tree]", read_json(document))
    return cast("Sequence[PartTree]", tree.get("parts") or ())


def published_parts(family: str, document: bytes) -> Iterator[PublishedPart]:
    """Yield what a published document says of each of its parts."""
    for part in parts_of(document):
        number, name = str(part["number"]), str(part["name"])
        yield PublishedPart(
            family=family,
            identity=part_identity(number),
            search_key=part_search_key(number),
            number=number,
            name=name,
            name_key=name_key(name),
            kind=str(part.get("kind", "component")),
            data=encode_text(part),
        )


def name_key(name: str) -> str:
    """Return the form in which part names are searched."""
    return " ".join(name.casefold().split())


def disagreements(uow: UnitOfWork, family: str, document: bytes) -> tuple[Problem, ...]:
    """Return where this document's parts differ from other families' published ones.

    Args:
        uow: The unit of work to look in.
        family: The family of the document, whose own revisions do not count.
        document: The canonical document.
    """
    parts = parts_of(document)
    place = {part_identity(str(p["number"])): i for i, p in enumerate(parts)}
    problems: list[Problem] = []
    for known in uow.parts.elsewhere(family, tuple(place)):
        index = place[known.identity]
        theirs = cast("PartTree", read_json(known.data))
        for name in _differing(parts[index], theirs):
            problems.append(_differs(index, name, parts[index], theirs, known.family))
    return tuple(sorted(problems, key=lambda p: int(p.pointer.split("/")[2])))


def _differing(ours: PartTree, theirs: PartTree) -> list[str]:
    names = dict.fromkeys((*ours, *theirs))
    return [
        name
        for name in names
        if name not in FAMILY_FIELDS and ours.get(name) != theirs.get(name)
    ]


def _differs(
    index: int, name: str, ours: PartTree, theirs: PartTree, family: str
) -> Problem:
    mine, other = _said(ours, name), _said(theirs, name)
    detail = (
        f"Part {ours['number']} is also a part of the family {family!r}, and their"
        f" engineering data must agree: {name} is {mine} here and {other} there."
    )
    return Problem(
        pointer=join("/parts", index, name),
        detail=detail,
        code="part_disagrees",
        remedy=f"Make {name} the same in both, or give this part its own number.",
    )


def _said(part: PartTree, name: str) -> str:
    return encode_text(part[name]) if name in part else "not given"
