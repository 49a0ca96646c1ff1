"""Completing, asking and covering, by looking at every remaining build.

Reading taken:
- A completed build leaves as few active options as can be without their usual
  choice (an `any` option: exactly the usual ones; the serial has none), and is the
  least of those.
- Questions: a case is a set of values of the options asked about; all cases are
  equally likely, and asking ends when the outcome is the same in all that are left.
- A term holds an option to some values, one of them possibly "not there"; for an
  `any` option each choice is there or not.
"""

from __future__ import annotations

from collections.abc import Hashable, Iterable
from dataclasses import dataclass
from fractions import Fraction

from tests.oracle.answers import least
from tests.oracle.builds import Build, Model, Value

Case = tuple[tuple[Hashable, ...], Hashable]


def unusual(model: Model, build: Build) -> int:
    """How many active options do not have their usual choice."""
    return sum(
        _as_set(build[option.key]) != set(option.usual)
        for option in model.options
        if build[option.key] is not None and option.key != "serial"
    )


def _as_set(value: Value) -> set[str]:
    if value is None:
        return set()
    return {value} if isinstance(value, str) else set(value)


def most_usual(model: Model, left: list[Build]) -> Build:
    """The least of the builds that keep the most usual choices."""
    fewest = min(unusual(model, build) for build in left)
    return least(model, [b for b in left if unusual(model, b) == fewest])


def cases_of(left: list[Build], keys: list[str], outcome: list[Hashable]) -> list[Case]:
    """The distinct values of the options, each with its outcome."""
    found = {
        tuple(build[key] or None for key in keys): result
        for build, result in zip(left, outcome, strict=True)
    }
    return list(found.items())


def questions_after(cases: list[Case], first: int) -> Fraction:
    """Least expected number of questions once the first one is answered."""
    total = sum(_least_total(part) for part in _parts(cases, first))
    return Fraction(total, len(cases))


def _parts(cases: list[Case], question: int) -> list[list[Case]]:
    parts: dict[Hashable, list[Case]] = {}
    for case in cases:
        parts.setdefault(case[0][question], []).append(case)
    return list(parts.values())


def _least_total(cases: list[Case]) -> int:
    """Least number of questions still to ask, summed over the cases."""
    if len({outcome for _, outcome in cases}) == 1:
        return 0
    totals = []
    for question in range(len(cases[0][0])):
        parts = _parts(cases, question)
        if len(parts) > 1:
            totals.append(len(cases) + sum(_least_total(part) for part in parts))
    return min(totals)


@dataclass(frozen=True)
class Held:
    """An option (or one choice of an `any` option) held to some values."""

    key: str
    values: frozenset[str | None]
    code: str = ""

    def allows(self, build: Build) -> bool:
        """Whether the build's value is among those allowed."""
        value = build[self.key]
        if not self.code:
            assert not isinstance(value, frozenset)
            return value in self.values
        return (self.code if self.code in _as_set(value) else None) in self.values


Term = tuple[Held, ...]


def covers(term: Term, build: Build) -> bool:
    """Whether the build meets all of the term."""
    return all(held.allows(build) for held in term)


def is_cover(terms: list[Term], left: list[Build], truths: list[bool]) -> bool:
    """Whether the terms together hold in just the builds where the truth does."""
    return all(
        any(covers(term, build) for term in terms) == truth
        for build, truth in zip(left, truths, strict=True)
    )


def is_irredundant(terms: list[Term], left: list[Build], truths: list[bool]) -> bool:
    """Whether no term can be left out."""
    return not any(
        is_cover([t for t in terms if t is not term], left, truths) for term in terms
    )


def is_prime(
    term: Term, values: dict[tuple[str, str], Iterable[str | None]],
    left: list[Build], truths: list[bool],
) -> bool:  # fmt: skip
    """Whether allowing any one value more lets in a build that must stay out.

    `values`: for each (option, choice of an `any` option or "") what it can be.
    """
    for place, held in enumerate(term):
        for value in values[held.key, held.code]:
            if value in held.values:
                continue
            wider = Held(held.key, held.values | {value}, held.code)
            changed = (*term[:place], wider, *term[place + 1 :])
            if not any(
                covers(changed, build) and not truth
                for build, truth in zip(left, truths, strict=True)
            ):
                return False
    return True


def values_left(
    model: Model, left: list[Build]
) -> dict[tuple[str, str], set[str | None]]:
    """What each option, or each choice of an `any` option, can still be."""
    found: dict[tuple[str, str], set[str | None]] = {}
    for option in model.options:
        for build in left:
            value = build[option.key]
            if not option.many:
                assert not isinstance(value, frozenset)
                found.setdefault((option.key, ""), set()).add(value)
                continue
            for code in option.choices:
                there = code if code in _as_set(value) else None
                found.setdefault((option.key, code), set()).add(there)
    return found
