"""The next question: of the options that decide the outcomes, which to ask first."""

from __future__ import annotations

from collections.abc import Hashable, Sequence
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

from bomsvc.core.logic.deciding import Outcomes, can_be_asked
from bomsvc.core.logic.domains import Domain
from bomsvc.core.logic.in_force import Assumptions, InForce
from bomsvc.core.logic.known import Known
from bomsvc.core.logic.question_plan import Situation, questions_left
from bomsvc.core.logic.sampling import Case, all_cases, sampled_cases
from bomsvc.core.logic.standing import Key
from bomsvc.core.logic.tabled import tabled_cases
from bomsvc.core.logic.tree import StandingOption
from bomsvc.core.logic.weighing import Filed, filed_of

EXACT_CASES = 400
"""Exact search up to so many cases ..."""
EXACT_OPTIONS = 7
"""... of at most so many options."""
EXACT_SITUATIONS = 4000
"""Situations the exact search may look at."""
SAMPLED_CASES = 64
"""Cases looked at when there are more; the same ones every time."""


@dataclass(frozen=True, slots=True)
class StillPossible:
    """A choice that remains, and how to tell it."""

    code: str
    label: str
    tell: str | None
    band_mm: tuple[Decimal, Decimal] | None = None


@dataclass(frozen=True, slots=True)
class Question:
    """One option to ask about.

    Attributes:
        option: The option's key.
        ask: The question as a person would ask it.
        choices: What is still possible, document order.
        expected_after: Questions still expected after this one is answered.
        exact: Whether that is the least possible, or the greedy plan's number.
    """

    option: Key
    ask: str
    choices: tuple[StillPossible, ...]
    expected_after: float
    exact: bool


@dataclass(frozen=True, slots=True)
class ToMeasure:
    """A measured option that the outcomes wait on, with its possible bands."""

    option: Key
    label: str
    bands: tuple[StillPossible, ...]


def best_questions(
    rules: InForce,
    known: Known,
    deciding: Sequence[Key],
    places: Sequence[Outcomes],
    *,
    weights: Sequence[Known] = (),
) -> tuple[Question, ...]:
    """Return a question per deciding option that can be asked, best first.

    Ties keep document order. `weights`: engines on file; a case then weighs 1 and
    the number of those that agree with it. Without, all cases weigh the same.
    """
    options = rules.compiled.options
    asked = [key for key in deciding if can_be_asked(options[key], known)]
    domain = rules.domain(known.assumptions)
    if not asked or domain is None:
        return ()
    filed = filed_of(weights, [options[key] for key in asked], domain)
    left, exact = _expected(
        rules, known.assumptions, (asked, deciding), places, filed=filed
    )
    found = [
        Question(
            key,
            options[key].option.ask or "",
            still_possible(options[key], domain),
            float(round(after, 4)),
            exact,
        )
        for key, after in zip(asked, left, strict=True)
    ]
    order = sorted(range(len(found)), key=lambda i: (left[i], i))
    return tuple(found[i] for i in order)


def still_possible(option: StandingOption, domain: Domain) -> tuple[StillPossible, ...]:
    """Return the option's choices that some remaining build has."""
    return tuple(
        StillPossible(c.code, c.label, c.tell, c.band_mm)
        for c in option.option.choices
        if domain.may(option.choices[c.code])
    )


def measures(
    rules: InForce, known: Known, deciding: Sequence[Key]
) -> tuple[ToMeasure, ...]:
    """Return the measured options among the deciding ones."""
    domain = rules.domain(known.assumptions)
    options = [rules.compiled.options[key] for key in deciding]
    return tuple(
        ToMeasure(o.key, o.option.label, still_possible(o, domain))
        for o in options
        if domain is not None and o.option.known == "measured"
    )


def _expected(
    rules: InForce,
    assumptions: Assumptions,
    keys: tuple[Sequence[Key], Sequence[Key]],
    places: Sequence[Outcomes],
    *,
    filed: Filed,
) -> tuple[list[Fraction], bool]:
    """Return the questions expected after each of the first keys, and if exact."""
    asked, deciding = keys
    cases, complete = _cases(rules, assumptions, deciding, places, filed=filed)
    exact = complete and len(asked) <= EXACT_OPTIONS
    nodes = EXACT_SITUATIONS if exact else 0
    left, least = questions_left(_situation(cases, asked), nodes=nodes)
    return left, least and exact


def _cases(
    rules: InForce,
    assumptions: Assumptions,
    deciding: Sequence[Key],
    places: Sequence[Outcomes],
    *,
    filed: Filed,
) -> tuple[Sequence[Case], bool]:
    """Return all cases, or a fixed sample of them, and whether they are all."""
    domain = rules.domain(assumptions)
    assert domain is not None, "questions are asked of consistent answers only"
    limits = (EXACT_CASES, SAMPLED_CASES)
    tabled = tabled_cases(rules, domain, deciding, places, limits, filed=filed)
    if tabled is not None:
        return tabled
    keys = deciding
    cases = all_cases(rules, assumptions, keys, places, EXACT_CASES, filed=filed)
    if cases is not None:
        return cases, True
    return (
        sampled_cases(rules, assumptions, keys, places, SAMPLED_CASES, filed=filed),
        False,
    )


def _situation(cases: Sequence[Case], asked: Sequence[Key]) -> Situation:
    """Return the cases by what can be asked.

    What cannot be asked stays open: cases that answer all questions alike are one,
    and what comes out there is every outcome with what it still waits on.
    """
    grouped: dict[tuple[Hashable, ...], set[tuple[Hashable, Hashable]]] = {}
    weights: dict[tuple[Hashable, ...], int] = {}
    for case in cases:
        answers = tuple(case.answers[key] for key in asked)
        rest = tuple(v for key, v in case.answers.items() if key not in asked)
        grouped.setdefault(answers, set()).add((rest, case.outcome))
        # Engines are heard on what is asked only, so all of a group weigh the same.
        weights[answers] = case.weight
    columns = tuple(zip(*grouped, strict=True))
    outcomes = tuple(_outcome(found) for found in grouped.values())
    alike = len(set(weights.values())) == 1
    return Situation(columns, outcomes, () if alike else tuple(weights.values()))


def _outcome(found: set[tuple[Hashable, Hashable]]) -> Hashable:
    outcomes = {outcome for _, outcome in found}
    return outcomes.pop() if len(outcomes) == 1 else frozenset(found)
