"""A full build from partial answers, keeping as many usual choices as possible."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Literal

from pysat.card import ITotalizer

from bomsvc.core.logic.builds import Build
from bomsvc.core.logic.deciding import is_open
from bomsvc.core.logic.domains import Domain
from bomsvc.core.logic.gates import definition, negated
from bomsvc.core.logic.in_force import InForce
from bomsvc.core.logic.known import Known
from bomsvc.core.logic.serials import SERIAL, SERIAL_MAX, SERIAL_MIN
from bomsvc.core.logic.standing import TRUE, Key, Lit
from bomsvc.core.logic.tree import StandingOption
from bomsvc.core.logic.witness import least_build

How = Literal["answered", "follows", "usual", "other"]


@dataclass(frozen=True, slots=True)
class Completed:
    """A full build, and how each active option came to its value.

    `answered`: stated. `follows`: no other value remains. `usual`: taken because
    it is usual; of the serial number: the least that agrees, where what is known
    leaves more than one. `other`: neither; the usual choice would have cost more
    usual ones.
    """

    build: Build
    how: Mapping[Key, How]


def complete_build(rules: InForce, known: Known) -> Completed | None:
    """Return the build that keeps the most usual choices; None without any build.

    Among several the least in document order (see `least_build`).
    """
    domain = rules.domain(known.assumptions)
    if domain is None:
        return None
    build = _most_usual(rules, known, domain)
    return Completed(build, _how(rules, known, domain, build))


def _most_usual(rules: InForce, known: Known, domain: Domain) -> Build:
    compiled, engine = rules.compiled, rules.conditions
    assumed = list(known.assumptions)
    build = least_build(compiled, engine, assumed, known.serial)
    assert build is not None, "the domain showed a build"
    undecided = [o for o in _wished(rules) if is_open(o, domain)]
    unusual = [o for o in undecided if not _is_usual(o, build)]
    if not unusual:
        return build
    limits = _Limits(rules, undecided, len(unusual))
    most = limits.least(assumed)
    build = least_build(compiled, engine, assumed, known.serial, limits.at_most(most))
    assert build is not None, "the bound was shown to be reachable"
    return build


def _wished(rules: InForce) -> Iterator[StandingOption]:
    """Yield the options that have a usual choice; the serial number has none."""
    return (o for key, o in rules.compiled.options.items() if key != SERIAL)


def _is_usual(option: StandingOption, build: Build) -> bool:
    if not build.truth(option.active):
        return True
    return set(build.choices(option.key)) == set(option.usual)


class _Limits:
    """Bounds on how many options differ from the usual, as literals to assume."""

    def __init__(
        self, rules: InForce, options: Sequence[StandingOption], upper: int
    ) -> None:
        self._engine = rules.conditions
        unusual = [self._unusual(option) for option in options]
        self._upper = upper
        total = ITotalizer(lits=unusual, ubound=upper, top_id=self._engine.top)
        self._outputs = list(total.rhs)
        for clause in total.cnf.clauses:
            self._engine.add(clause)
        self._engine.reserve(total.top_id)
        total.delete()

    def at_most(self, count: int) -> tuple[int, ...]:
        """Return local literals to assume: at most `count` options are unusual."""
        return (-self._outputs[count],) if count < len(self._outputs) else ()

    def least(self, assumed: Sequence[int]) -> int:
        """Return the least possible number of unusual options."""
        count = self._upper
        while count and self._engine.solve([*assumed, *self.at_most(count - 1)]):
            count -= 1
        return count

    def _unusual(self, option: StandingOption) -> int:
        """Return a local literal: the option is active and not as usual."""
        kept = [
            lit if code in option.usual else negated(lit)
            for code, lit in option.choices.items()
        ]
        if option.option.choose == "one":
            kept = [option.choices[code] for code in option.usual]
        as_usual = self._engine.fresh()
        for clause in definition(as_usual, kept):
            self._engine.add(clause)
        unusual = self._engine.fresh()
        for clause in definition(unusual, [option.active, Lit(-as_usual)]):
            self._engine.add(clause)
        return unusual


def _how(rules: InForce, known: Known, domain: Domain, build: Build) -> dict[Key, How]:
    stated = known.stated
    return {
        key: (
            _how_serial(rules, known, domain, build)
            if key == SERIAL
            else _how_one(option, stated, domain, build)
        )
        for key, option in rules.compiled.options.items()
        if build.truth(option.active)
    }


def _how_serial(rules: InForce, known: Known, domain: Domain, build: Build) -> How:
    """Return how the number is known: an interval that follows is no number yet."""
    first, last = known.serial or (SERIAL_MIN, SERIAL_MAX)
    if first == last:
        return "answered"
    option = rules.compiled.options[SERIAL]
    if is_open(option, domain):
        return "usual"
    (code,) = build.choices(SERIAL)
    here = next(i for i in rules.compiled.intervals if i.code == code)
    one = max(first, here.first) == min(last, here.last)
    return "follows" if one else "usual"


def _how_one(
    option: StandingOption, stated: frozenset[Lit], domain: Domain, build: Build
) -> How:
    lits = option.choices.values()
    undecided = [x for x in lits if x != TRUE and domain.may(x) and domain.may(-x)]
    if not undecided:
        return "answered" if _was_answered(option, stated, build) else "follows"
    return "usual" if _is_usual(option, build) else "other"


def _was_answered(option: StandingOption, stated: frozenset[Lit], build: Build) -> bool:
    """Return whether the build's value is what was stated, wholly."""
    lits = option.choices.values()
    if option.option.choose == "one":
        return any(lit in stated for lit in lits if build.truth(lit))
    return all(lit in stated or negated(lit) in stated for lit in lits)
