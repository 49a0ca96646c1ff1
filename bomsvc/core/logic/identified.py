"""Identify: what every choice can still be."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

import numpy as np

from bomsvc.core.logic.clash import Clash
from bomsvc.core.logic.compiled import Compiled
from bomsvc.core.logic.domains import Domain
from bomsvc.core.logic.known import Known
from bomsvc.core.logic.reasons import Reason
from bomsvc.core.logic.standing import Key
from bomsvc.core.logic.tree import StandingOption

ChoiceState = Literal["chosen", "follows", "open", "excluded"]
Activity = Literal["yes", "no", "open"]


@dataclass(frozen=True, slots=True)
class IdentifiedChoice:
    """`state` None: the answers clash. `why`: filled where it was asked for."""

    code: str
    state: ChoiceState | None
    why: tuple[Reason, ...] = ()


@dataclass(frozen=True, slots=True)
class IdentifiedOption:
    """One option with its choices, in document order; `active` None on a clash."""

    option: StandingOption
    active: Activity | None
    choices: tuple[IdentifiedChoice, ...]


@dataclass(frozen=True, slots=True)
class Identified:
    """What the answers tell of the build; `clash` is set when they contradict."""

    consistent: bool
    options: tuple[IdentifiedOption, ...]
    builds_left: int | None
    clash: Clash | None = None


Whys = Mapping[tuple[Key, str], tuple[Reason, ...]]
_Row = tuple[int, ...]
_CHOICE_STATES: tuple[ChoiceState, ...] = ("excluded", "open", "follows", "chosen")
_ACTIVITY: tuple[Activity, ...] = ("no", "open", "yes")
_ROWS_KEPT = 64


class Sheet:
    """Reads every option's states off a domain; keep one per compiled revision.

    States are read for all choices at once, and options whose states were met
    before are the same values again.
    """

    def __init__(self, compiled: Compiled) -> None:
        self._options = tuple(compiled.options.values())
        lits = [x for o in self._options for x in (o.active, *o.choices.values())]
        self._lits = np.array(lits, dtype=np.intp)
        ends = np.cumsum([1 + len(o.choices) for o in self._options]).tolist()
        self._spans = list(zip([0, *ends[:-1]], ends, strict=True))
        self._met: list[dict[_Row, IdentifiedOption]] = [{} for _ in self._options]

    def options(
        self, domain: Domain | None, known: Known, whys: Whys
    ) -> tuple[IdentifiedOption, ...]:
        """Return every option with its choices' states; None states on a clash."""
        if domain is None:
            return tuple(map(_stateless, self._options))
        rows = self._rows(domain, known)
        if whys:
            made = (
                _stated(option, row, whys)
                for option, row in zip(self._options, rows, strict=True)
            )
            return tuple(made)
        return tuple(
            met.get(row) or _remembered(met, option, row)
            for option, row, met in zip(self._options, rows, self._met, strict=True)
        )

    def _rows(self, domain: Domain, known: Known) -> list[_Row]:
        """Return per option the numbers of its activity and its choices' states."""
        variables, positive = np.abs(self._lits), self._lits > 0
        hold, fail = domain.can_hold[variables], domain.can_fail[variables]
        can_hold = np.where(positive, hold, fail)
        can_fail = np.where(positive, fail, hold)
        stated = np.isin(self._lits, np.array(list(known.stated), dtype=np.intp))
        certain = can_hold & ~can_fail
        numbers = can_hold.astype(np.int8) + certain + (certain & stated)
        flat = numbers.tolist()
        return [tuple(flat[start:end]) for start, end in self._spans]


def _remembered(
    met: dict[_Row, IdentifiedOption], option: StandingOption, row: _Row
) -> IdentifiedOption:
    if len(met) >= _ROWS_KEPT:
        met.clear()
    met[row] = _stated(option, row, {})
    return met[row]


def _stated(option: StandingOption, row: _Row, whys: Whys) -> IdentifiedOption:
    choices = (
        IdentifiedChoice(code, _CHOICE_STATES[number], whys.get((option.key, code), ()))
        for code, number in zip(option.choices, row[1:], strict=True)
    )
    # An active literal that was itself stated is no more than certain.
    return IdentifiedOption(option, _ACTIVITY[min(row[0], 2)], tuple(choices))


def _stateless(option: StandingOption) -> IdentifiedOption:
    choices = tuple(IdentifiedChoice(code, None) for code in option.choices)
    return IdentifiedOption(option, None, choices)
