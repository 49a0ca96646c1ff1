"""Questions over more cases than can be looked at: the same sample every time."""

from __future__ import annotations

from bomsvc.core.logic.answers import read_answers
from bomsvc.core.logic.budget import USUAL_BUDGET
from bomsvc.core.logic.compiled import compile_catalogue
from bomsvc.core.logic.deciding import Outcomes
from bomsvc.core.logic.in_force import rules_in_force
from bomsvc.core.logic.reasoner import Reasoner
from bomsvc.core.logic.sampling import Case, sampled_cases
from bomsvc.core.logic.standing import Lit
from tests.unit.logic.families import catalogue_of, is_, option, repeatable, rule

EXTRAS = [f"extras{n}" for n in range(4)]
CODES = [f"x{n}" for n in range(6)]
FAMILY = compile_catalogue(
    catalogue_of(
        option("drive", "none", "belt", "gear"),
        *(option(key, *CODES, choose="any") for key in EXTRAS),
        rules=tuple(
            rule(f"r{n}", is_(key, "x0"), is_(EXTRAS[n - 1], "x1"))
            for n, key in enumerate(EXTRAS)
        ),
    )
)
KEYS = ("drive", *EXTRAS)
LITS = tuple(lit for key in KEYS for lit in FAMILY.options[key].choices.values())
PLACES = (Outcomes(LITS),)
"""Every choice matters: millions of cases, far more than a joint table holds."""
NOTHING = read_answers(FAMILY, {})


def worn(solver: str) -> Reasoner:
    """A reasoner that has answered much else before."""
    reasoner = Reasoner(FAMILY, solver=solver)
    rng = repeatable(3)
    for _ in range(30):
        reasoner.possible(NOTHING, [Lit(x) for x in rng.sample(LITS, 4)])
        reasoner.witness(NOTHING, [rng.choice(LITS)])
    return reasoner


def told(reasoner: Reasoner) -> list[tuple[str, float]]:
    found = reasoner.questions(NOTHING, PLACES)
    assert [q.exact for q in found] == [False] * len(found)
    return [(q.option, q.expected_after) for q in found]


def sample(solver: str) -> tuple[Case, ...]:
    rules = rules_in_force(FAMILY, (), solver=solver, budget=USUAL_BUDGET)
    return sampled_cases(rules, (), KEYS, PLACES, 64)


def test_a_sample_of_sets_is_the_same_whatever_was_asked_before() -> None:
    first = told(Reasoner(FAMILY))
    assert len(first) == len(KEYS)
    for solver in ("glucose4", "cadical153", "minisat22"):
        used = worn(solver)
        assert told(used) == first
        assert told(used) == first


def test_a_sample_is_the_same_whichever_solver_makes_it() -> None:
    one, *others = map(sample, ("glucose4", "cadical153", "minisat22"))
    assert all(other == one for other in others)


def test_a_sample_spreads_over_every_choice_of_every_option() -> None:
    cases = sample("glucose4")
    assert len(cases) > 60
    for key in KEYS:
        for column in zip(*(case.answers[key] for case in cases), strict=True):
            assert 8 <= sum(column) <= 56
