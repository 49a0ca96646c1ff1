"""What asks for a place, in which cases.

A *call* says that a position, a joint's group or a step is disturbed or asked for,
and how its parts are then treated. A *demand* is all calls for one place, by the
case of the few conditions they depend on.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Literal

from bomsvc.core.catalogue.entities import Part
from bomsvc.core.logic.standing import Key, Lit
from bomsvc.core.resolve.lines import Need, Reason
from bomsvc.core.resolve.view import Truth, Vector

Mode = Literal["renew", "check", "fastener", "single"]
GroupName = tuple[Key, str]


@dataclass(frozen=True, slots=True)
class Call:
    """One thing that asks for a place.

    Attributes:
        mode: `renew`: whatever sits there; `check`: look at it; `fastener`: renew
            it if single-use, else check it; `single`: renew it if single-use.
        reasons: Why, for the line.
        groups: For a part needed once per hole: only the holes of these groups;
            None: of every group that uses it.
    """

    mode: Mode
    reasons: tuple[Reason, ...] = ()
    groups: tuple[GroupName, ...] | None = None


@dataclass(frozen=True, slots=True)
class Term:
    """Calls by the case of a few conditions; without `lits`, always the same."""

    lits: tuple[Lit, ...]
    table: Mapping[Vector, tuple[Call, ...]]


@dataclass(frozen=True, slots=True)
class Demand:
    """The calls for one place: those of all terms together.

    `doubtful`: the calls may hold, and nobody settled in which cases.
    """

    terms: tuple[Term, ...]
    doubtful: bool = False

    @property
    def lits(self) -> tuple[Lit, ...]:
        """The conditions the calls depend on."""
        return tuple(lit for term in self.terms for lit in term.lits)

    def at(self, truth: Truth) -> tuple[Call, ...]:
        """The calls in the case that `truth` describes."""
        found: tuple[Call, ...] = ()
        for term in self.terms:
            found += term.table[tuple(truth(lit) for lit in term.lits)]
        return found


def always(*calls: Call) -> Demand:
    """A demand that no condition changes."""
    return Demand((Term((), {(): calls}),))


def where(lit: Lit, *calls: Call) -> Demand:
    """A demand in the cases in which the condition holds."""
    return Demand((Term((lit,), {(True,): calls, (False,): ()}),))


def perhaps(*calls: Call) -> Demand:
    """A demand that may hold in some remaining builds."""
    return Demand(always(*calls).terms, doubtful=True)


def joined(first: Demand, second: Demand) -> Demand:
    """Both demands for one place; what is asked for anyway is in no doubt."""
    for one, other in ((first, second), (second, first)):
        if one.doubtful and not other.doubtful and not other.lits:
            return other
    return Demand(first.terms + second.terms, first.doubtful or second.doubtful)


def by_case(
    lits: tuple[Lit, ...],
    vectors: Sequence[Vector],
    calls: Sequence[tuple[Call, ...]],
) -> Demand:
    """The demand with these calls in these cases, on as few literals as decide it.

    Cases that treat the place alike are one, with the reasons of all of them.
    """
    kinds = [tuple(dict.fromkeys((c.mode, c.groups) for c in each)) for each in calls]
    needed = _needed(vectors, kinds)
    merged = _merged(calls, kinds)
    table = {
        tuple(vector[column] for column in needed): merged[kind]
        for vector, kind in zip(vectors, kinds, strict=True)
    }
    return Demand((Term(tuple(lits[column] for column in needed), table),))


_Kind = tuple[tuple[Mode, tuple[GroupName, ...] | None], ...]


def _needed(vectors: Sequence[Vector], kinds: Sequence[_Kind]) -> list[int]:
    """Columns that still tell the kinds apart, dropping the last ones first."""
    if len(set(kinds)) == 1:
        return []
    columns = list(range(len(vectors[0])))
    for column in reversed(columns):
        fewer = [c for c in columns if c != column]
        if _tells_apart(fewer, vectors, kinds):
            columns = fewer
    return columns


def _tells_apart(
    columns: list[int], vectors: Sequence[Vector], kinds: Sequence[_Kind]
) -> bool:
    seen: dict[Vector, _Kind] = {}
    for vector, kind in zip(vectors, kinds, strict=True):
        cut = tuple(vector[c] for c in columns)
        if seen.setdefault(cut, kind) != kind:
            return False
    return True


def _merged(
    calls: Sequence[tuple[Call, ...]], kinds: Sequence[_Kind]
) -> dict[_Kind, tuple[Call, ...]]:
    """Per kind its calls, each with the reasons of every case of that kind."""
    reasons: dict[_Kind, list[dict[Reason, None]]] = {}
    for each, kind in zip(calls, kinds, strict=True):
        found = reasons.setdefault(kind, [{} for _ in kind])
        for call in each:
            found[kind.index((call.mode, call.groups))].update(
                dict.fromkeys(call.reasons)
            )
    return {
        kind: tuple(
            Call(mode, tuple(why), groups)
            for (mode, groups), why in zip(kind, found, strict=True)
        )
        for kind, found in reasons.items()
    }


def need_of(mode: Mode, part: Part) -> Need | None:
    """How this part is treated under a call of this mode; None: left as it is."""
    if mode in ("renew", "check"):
        return "renew" if mode == "renew" else "check"
    if part.reuse == "single":
        return "renew"
    return "check" if mode == "fastener" else None
