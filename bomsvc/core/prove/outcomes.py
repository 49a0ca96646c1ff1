"""What a place, a job's work and a joint's tightening come to, as plain values.

Equal outcomes are equal lists: what words say of a part is not compared. What a line
further depends on (whether a screw may be used again, what a part brings along) is
kept beside it in `deep`, for the jobs that meet it.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from decimal import Decimal
from typing import Literal

from bomsvc.core.catalogue.entities import Part, ReuseLimit
from bomsvc.core.fasteners.values import SizedGroup
from bomsvc.core.logic.standing import Key
from bomsvc.core.resolve.items import Item
from bomsvc.core.resolve.lines import Need
from bomsvc.core.resolve.stack import Unsized

Aspect = Literal["list", "alternates", "work"]
"""What differs: what is handed over; what may be taken instead; steps, minutes and
tightening."""
PIECE = "C62"


@dataclass(frozen=True, slots=True)
class Taken:
    """A part taken at a place, as its line shows it.

    Attributes:
        part: The number; None where only `wanted`, a designation, is known.
        order: The number ordered; None: nothing is, or it is not to be had.
        limit: Greatest length in mm and most uses, for a part that is looked at.
        screw: The designation of a sized screw.
        name: In words; not compared.
        deep: What the line does not show.
    """

    need: Need
    part: str | None
    wanted: str | None
    qty: Decimal
    unit: str
    order: str | None
    limit: tuple[Decimal | None, int | None] | None
    screw: str | None
    name: str = field(compare=False)
    deep: object = field(compare=False)


@dataclass(frozen=True, slots=True)
class AtPlace:
    """What is taken at one place; `faults` are codes, `said` the same in words."""

    taken: tuple[Taken, ...] = ()
    holes: tuple[int, ...] = ()
    faults: tuple[str, ...] = ()
    said: tuple[str, ...] = field(default=(), compare=False)

    @property
    def deep(self) -> object:
        """Everything that a job's lines depend on."""
        return self, tuple(taken.deep for taken in self.taken)


NOTHING_TAKEN = AtPlace()


@dataclass(frozen=True, slots=True)
class StepTime:
    """A step done, with its minutes in strip-down and in refit."""

    step: Key
    off: Decimal
    on: Decimal


@dataclass(frozen=True, slots=True)
class WorkDone:
    """The work of a job: steps by key; `stuck`: why there is no way in."""

    minutes: Decimal | None
    steps: tuple[StepTime, ...]
    stuck: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Offered:
    """A part that may be taken instead."""

    rank: int
    part: str
    qty: Decimal


@dataclass(frozen=True, slots=True)
class Tightened:
    """One thing that is stated about tightening, in words."""

    text: str


def taken_of(items: Iterable[Item], parts: Mapping[str, Part]) -> tuple[Taken, ...]:
    """Return what is taken, in a fixed order."""
    found = (_taken(item, parts) for item in items)
    return tuple(sorted(found, key=lambda t: (t.need, t.part or "", t.wanted or "")))


def _taken(item: Item, parts: Mapping[str, Part]) -> Taken:
    part = None if item.part is None else parts[item.part]
    screw = None
    if item.figures is not None and item.figures.chosen is not None:
        screw = item.figures.chosen.designation
    return Taken(
        need=item.need,
        part=item.part,
        wanted=item.wanted,
        qty=item.qty,
        unit=part.unit if part else PIECE,
        order=_order(item, part),
        limit=_limit(item, part),
        screw=screw,
        name=screw or (part.name if part else item.wanted or ""),
        deep=_deep(part),
    )


def _order(item: Item, part: Part | None) -> str | None:
    if part is None or item.need != "renew":
        return None
    if part.sold_as is not None:
        return part.sold_as.number
    return part.number if part.not_sold is None else None


def _limit(item: Item, part: Part | None) -> tuple[Decimal | None, int | None] | None:
    if part is None or item.need != "check" or not isinstance(part.reuse, ReuseLimit):
        return None
    return part.reuse.max_length_mm, part.reuse.max_uses


def _deep(part: Part | None) -> object:
    if part is None:
        return None
    sold = part.sold_as, part.not_sold is None
    return part.reuse, part.includes, part.renew_with, sold


def faults_of(sized: SizedGroup | Unsized | None) -> tuple[tuple[str, str], ...]:
    """Return what is wrong with a group, as (code, words)."""
    if sized is None:
        return ()
    if isinstance(sized, Unsized):
        return tuple((flaw.code, flaw.what) for flaw in sized.flaws)
    return tuple((fault.code, fault.detail) for fault in sized.faults())
