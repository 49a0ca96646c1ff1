"""What is asked for: jobs, positions, sections, joints, or the whole engine."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from bomsvc.core.logic.compiled import Compiled
from bomsvc.core.logic.standing import Key
from bomsvc.core.terms.pointers import join
from bomsvc.core.terms.problems import BadInput, Problem
from bomsvc.core.terms.words import nearest

_FIELDS = ("jobs", "positions", "sections", "joints", "whole")
_MEMBER = re.compile(r"(?P<code>[^\[\]]+)\[(?P<member>[0-9]{1,9})\]")


@dataclass(frozen=True, slots=True)
class Scope:
    """What the list is for; keys in document order, each once.

    `sections` are codes as asked; their sub-sections are meant too.
    """

    jobs: tuple[Key, ...] = ()
    positions: tuple[Key, ...] = ()
    sections: tuple[str, ...] = ()
    joints: tuple[Key, ...] = ()
    whole: bool = False


def read_scope(
    compiled: Compiled, raw: Mapping[str, object], *, pointer: str = "/scope"
) -> Scope:
    """Read a scope as a request gives it.

    Args:
        compiled: The family's compiled revision.
        raw: Any mix of `jobs`, `positions`, `sections`, `joints` (lists of codes,
            `main_upper[4]` for one member of a series, `main_upper` for all) and
            `whole` (a truth value).
        pointer: Where the scope stands in the request.

    Raises:
        BadInput: Every problem: unknown field or name (with the nearest known
            one), a member that is not there, a wrong type, an empty scope.
    """
    problems = _unknown_fields(raw, pointer)
    standing = compiled.standing
    sections = {s.code: (s.code,) for s in compiled.catalogue.sections}
    scope = Scope(
        jobs=_keys(raw, "jobs", _by_code(standing.jobs), pointer, problems),
        positions=_keys(
            raw, "positions", _by_code(standing.positions), pointer, problems
        ),
        sections=_keys(raw, "sections", sections, pointer, problems),
        joints=_keys(raw, "joints", _by_code(standing.joints), pointer, problems),
        whole=_whole(raw, pointer, problems),
    )
    if not problems and scope == Scope():
        problems.append(_empty(pointer))
    if problems:
        raise BadInput(problems)
    return scope


def read_by_way_of(
    compiled: Compiled, raw: object, *, pointer: str = "/by_way_of"
) -> tuple[Key, ...]:
    """Read the steps a person pinned as the way in, in document order.

    Raises:
        BadInput: Not a list, or names that are no steps, with the nearest step.
    """
    problems: list[Problem] = []
    known = _by_code(compiled.standing.steps)
    keys = _names(raw, "steps", known, pointer, problems)
    if problems:
        raise BadInput(problems)
    return keys


def _unknown_fields(raw: Mapping[str, object], pointer: str) -> list[Problem]:
    return [
        _unknown(join(pointer, name), f"field {name!r} of a scope", name, _FIELDS)
        for name in raw
        if name not in _FIELDS
    ]


def _whole(raw: Mapping[str, object], pointer: str, problems: list[Problem]) -> bool:
    value = raw.get("whole", False)
    if isinstance(value, bool):
        return value
    detail = "Whole is true or false."
    problems.append(Problem(join(pointer, "whole"), detail, code="wrong_type"))
    return False


def _empty(pointer: str) -> Problem:
    return Problem(
        pointer,
        "The scope asks for nothing. Name at least one of jobs, positions, sections "
        "or joints, or set whole to true.",
        code="scope_empty",
    )


def _by_code(keys: Iterable[Key]) -> dict[str, tuple[Key, ...]]:
    """Codes to their keys: one, or one per member of a series."""
    found: dict[str, list[Key]] = {}
    for key in keys:
        found.setdefault(key.partition("[")[0], []).append(key)
    return {code: tuple(members) for code, members in found.items()}


def _keys(
    raw: Mapping[str, object],
    field: str,
    known: Mapping[str, tuple[Key, ...]],
    pointer: str,
    problems: list[Problem],
) -> tuple[Key, ...]:
    if field not in raw:
        return ()
    return _names(raw[field], field, known, join(pointer, field), problems)


def _names(
    value: object,
    field: str,
    known: Mapping[str, tuple[Key, ...]],
    pointer: str,
    problems: list[Problem],
) -> tuple[Key, ...]:
    if not isinstance(value, Sequence) or isinstance(value, str | bytes):
        detail = f"A list of {field} is due, such as [{_example(known)}]."
        problems.append(Problem(pointer, detail, code="wrong_type"))
        return ()
    asked: set[Key] = set()
    for number, name in enumerate(value):
        here = join(pointer, str(number))
        asked.update(_members(name, field, known, here, problems))
    return tuple(k for keys in known.values() for k in keys if k in asked)


def _members(
    name: object,
    field: str,
    known: Mapping[str, tuple[Key, ...]],
    pointer: str,
    problems: list[Problem],
) -> tuple[Key, ...]:
    if not isinstance(name, str):
        detail = f"A code from the {field} is due, such as {_example(known)}."
        problems.append(Problem(pointer, detail, code="wrong_type"))
        return ()
    if name in known:
        return known[name]
    match = _MEMBER.fullmatch(name)
    code = match["code"] if match else name
    if code not in known:
        what = f"{name!r} in this family's {field}"
        problems.append(_unknown(pointer, what, code, known))
        return ()
    if name in known[code]:
        return (name,)
    problems.append(_no_member(pointer, name, code, known[code]))
    return ()


def _unknown(pointer: str, what: str, word: str, known: Iterable[str]) -> Problem:
    remedy = nearest(word, known)
    hint = f" Did you mean {remedy!r}?" if remedy else ""
    return Problem(
        pointer, f"There is no {what}.{hint}", code="unknown_name", remedy=remedy
    )


def _no_member(pointer: str, name: str, code: str, members: tuple[Key, ...]) -> Problem:
    if members == (code,):
        detail = f"{code!r} stands once on the engine: write it without a member."
        return Problem(pointer, detail, code="no_such_member", remedy=code)
    detail = (
        f"There is no {name!r}: {code!r} stands {len(members)} times, "
        f"{members[0]} to {members[-1]}."
    )
    return Problem(pointer, detail, code="no_such_member", remedy=members[-1])


def _example(known: Mapping[str, tuple[Key, ...]]) -> str:
    return f'"{next(iter(known), "code")}"'
