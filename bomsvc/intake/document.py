"""A catalogue document from its text, JSON or YAML, with places in the text."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Literal

from bomsvc.core.catalogue import Catalogue, Limits, read_catalogue
from bomsvc.core.terms.json_places import locate_json
from bomsvc.core.terms.json_text import decoded, read_json
from bomsvc.core.terms.numbers import Tree
from bomsvc.core.terms.pointers import split
from bomsvc.core.terms.problems import BadInput, Problem, TooLarge
from bomsvc.intake.yaml_text import locate_yaml, read_yaml

Media = Literal["json", "yaml"]
Path = tuple[str, ...]
_USUAL_LIMITS = Limits()


@dataclass(frozen=True, slots=True)
class _Reader:
    """How one kind of text is read, and how a place in it is found again."""

    read: Callable[..., Tree]
    locate: Callable[[str, frozenset[Path]], dict[Path, tuple[int, int]]]


_READERS: dict[Media, _Reader] = {
    "json": _Reader(read_json, locate_json),
    "yaml": _Reader(read_yaml, locate_yaml),
}


def read_tree(
    data: bytes | str, media: Media, *, limits: Limits = _USUAL_LIMITS
) -> Tree:
    """Return the tree of a JSON or YAML text, numbers exactly as written.

    Raises:
        TooLarge: Over the limits of bytes or nesting.
        BadInput: The text cannot be read strictly.
    """
    read = _READERS[media].read
    return read(data, max_depth=limits.nesting, max_bytes=limits.bytes)


def read_document(
    data: bytes | str, media: Media, *, limits: Limits = _USUAL_LIMITS
) -> Catalogue:
    """Return the catalogue that a JSON or YAML text says.

    Args:
        data: The text, or its bytes in UTF-8.
        media: Which of the two it is.
        limits: How large it may be.

    Raises:
        TooLarge: Over a limit.
        BadInput: Something is wrong; every problem, with its JSON pointer and the
            line and column of the place.
    """
    tree = read_tree(data, media, limits=limits)
    try:
        return read_catalogue(tree, limits=limits)
    except TooLarge:
        raise
    except BadInput as refusal:
        source = decoded(data, max_bytes=limits.bytes)
        problems = refusal.problems
    raise BadInput(_placed(problems, source, media))


def _placed(problems: tuple[Problem, ...], source: str, media: Media) -> list[Problem]:
    """The problems with line and column; of the nearest holder where none is."""
    wanted = frozenset(
        path[:length]
        for path in (split(problem.pointer) for problem in problems)
        for length in range(len(path) + 1)
    )
    found = _READERS[media].locate(source, wanted)
    return [_with_place(problem, found) for problem in problems]


def _with_place(problem: Problem, found: dict[Path, tuple[int, int]]) -> Problem:
    path = split(problem.pointer)
    while path not in found:
        path = path[:-1]
    line, column = found[path]
    return replace(problem, line=line, column=column)
