"""Cases of the deciding options with what comes out: all of them, or a sample.

The sample is made by asking for the least build under differently shuffled wishes.
The shuffles are fixed, and verdicts settle every choice of each build, so the sample
is the same every time and spreads over all options.
"""

from __future__ import annotations

from collections.abc import Hashable, Iterator, Mapping, Sequence
from dataclasses import dataclass

from bomsvc.core.logic.deciding import Outcomes
from bomsvc.core.logic.domains import Flags
from bomsvc.core.logic.engine import Engine
from bomsvc.core.logic.gates import negated
from bomsvc.core.logic.in_force import Assumptions, InForce
from bomsvc.core.logic.standing import TRUE, Key, Lit
from bomsvc.core.logic.tree import StandingOption
from bomsvc.core.logic.weighing import Filed, weight_of


@dataclass(frozen=True, slots=True)
class Case:
    """Values of the deciding options, and the outcome at every place.

    `weight`: 1 and the engines on file that agree with it.
    """

    answers: Mapping[Key, Hashable]
    outcome: Hashable
    weight: int = 1


def all_cases(
    rules: InForce,
    assumptions: Assumptions,
    keys: Sequence[Key],
    places: Sequence[Outcomes],
    limit: int,
    *,
    filed: Filed = (),
) -> tuple[Case, ...] | None:
    """Return every case, sorted, or None when there are more than `limit`."""
    reader = _Reader(rules, keys, places, filed)
    engine = rules.conditions
    found: dict[tuple[bool, ...], Case] = {}
    with engine.guarded() as guard:
        while len(found) <= limit and engine.solve([*assumptions, guard]):
            row, case = reader.read(engine.found())
            found[row] = case
            engine.add([-guard, *reader.against(row)])
    if len(found) > limit:
        return None
    return tuple(found[row] for row in sorted(found, reverse=True))


def sampled_cases(
    rules: InForce,
    assumptions: Assumptions,
    keys: Sequence[Key],
    places: Sequence[Outcomes],
    count: int,
    *,
    filed: Filed = (),
) -> tuple[Case, ...]:
    """Return at most `count` distinct cases spread over the options' values."""
    reader = _Reader(rules, keys, places, filed)
    found: dict[tuple[bool, ...], Case] = {}
    for seed in range(count):
        wishes = list(_shuffled(reader.alternatives, seed))
        values = _build_wishing(rules.conditions, assumptions, wishes)
        row, case = reader.read(values)
        found[row] = case
    return tuple(found[row] for row in sorted(found, reverse=True))


def _build_wishing(
    engine: Engine, assumptions: Assumptions, wishes: Sequence[Sequence[Lit]]
) -> Flags:
    """Return a build that has, of each wish in turn, the first literal possible.

    The wishes must settle every choice that is read from the build: what they leave
    open is the solver's own, and differs from call to call.
    """
    fixed: list[int] = list(assumptions)
    engine.prefer([choices[0] for choices in wishes])
    possible = engine.solve(fixed)
    assert possible, "cases are asked of consistent answers only"
    values = engine.values()
    for choices in wishes:
        for wish in choices:
            if bool(values[abs(wish)]) != (wish > 0):
                if not engine.solve([*fixed, wish]):
                    continue
                values = engine.values()
            fixed.append(wish)
            break
    return values


_MULTIPLIER, _INCREMENT, _MASK = 6364136223846793005, 1442695040888963407, (1 << 64) - 1
"""Knuth's MMIX linear congruential generator (TAOCP 2, 3.3.4, from memory)."""


def _shuffled(
    alternatives: Sequence[Sequence[Lit]], seed: int
) -> Iterator[tuple[Lit, ...]]:
    """Yield all alternatives, they and what is in each in an order fixed by `seed`."""
    state = seed
    keyed = []
    for lits in alternatives:
        drawn = []
        for lit in lits:
            state = (state * _MULTIPLIER + _INCREMENT) & _MASK
            drawn.append((state >> 33, lit))
        drawn.sort()
        keyed.append((drawn[0][0], tuple(lit for _, lit in drawn)))
    # Sorted by the least draw, the alternatives too come in a shuffled order.
    yield from (lits for _, lits in sorted(keyed))


def _alternatives(
    option: StandingOption, lits: Sequence[Lit]
) -> Iterator[tuple[Lit, ...]]:
    """Yield what excludes one another, so that one of each settles the option.

    Of `one` option the first choice taken settles the rest. The choices of an `any`
    option say nothing of each other: each is there or not.
    """
    if option.option.choose == "any":
        yield from ((lit, negated(lit)) for lit in lits)
    elif lits:
        yield tuple(lits)


class _Reader:
    """Reads a build as a case of the deciding options."""

    def __init__(
        self,
        rules: InForce,
        keys: Sequence[Key],
        places: Sequence[Outcomes],
        filed: Filed,
    ) -> None:
        options = rules.compiled.options
        self.keys = {
            key: [lit for lit in options[key].choices.values() if lit != TRUE]
            for key in keys
        }
        self.choices = [lit for lits in self.keys.values() for lit in lits]
        self.alternatives = [
            wish
            for key, lits in self.keys.items()
            for wish in _alternatives(options[key], lits)
        ]
        self._places = places
        self._filed = filed
        wanted = [lit for place in places for lit in place.lits]
        self._table = rules.table(tuple(wanted))

    def read(self, core: Flags) -> tuple[tuple[bool, ...], Case]:
        """Return the truth of the choices, and the case."""
        row = tuple(bool(core[abs(lit)]) == (lit > 0) for lit in self.choices)
        answers: dict[Key, Hashable] = {}
        start = 0
        for key, lits in self.keys.items():
            answers[key] = row[start : start + len(lits)]
            start += len(lits)
        return row, Case(
            answers,
            outcome_of(self._places, self._table.truths(core).tolist()),
            weight_of(self._filed, core),
        )

    def against(self, row: tuple[bool, ...]) -> list[int]:
        """Return the literals of "some choice is different"."""
        return [-lit if v else lit for lit, v in zip(self.choices, row, strict=True)]


def outcome_of(places: Sequence[Outcomes], truths: Sequence[bool]) -> Hashable:
    """Return what comes out at all places for the truths of all their literals."""
    outcomes = []
    start = 0
    for place in places:
        end = start + len(place.lits)
        outcomes.append(place.outcome(tuple(truths[start:end])))
        start = end
    return tuple(outcomes)
