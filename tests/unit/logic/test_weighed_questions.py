"""Engines on file tell how likely a case is, and so which question comes first."""

from __future__ import annotations

from fractions import Fraction

import pytest

from bomsvc.core.catalogue.entities import Under
from bomsvc.core.logic.answers import read_answers
from bomsvc.core.logic.budget import USUAL_BUDGET
from bomsvc.core.logic.compiled import compile_catalogue
from bomsvc.core.logic.deciding import Outcomes
from bomsvc.core.logic.in_force import rules_in_force
from bomsvc.core.logic.known import Known
from bomsvc.core.logic.question_plan import Situation, questions_left
from bomsvc.core.logic.reasoner import Reasoner
from bomsvc.core.logic.sampling import all_cases, sampled_cases
from bomsvc.core.logic.tabled import tabled_cases
from bomsvc.core.logic.weighing import filed_of
from tests.unit.logic.families import catalogue_of, option, repeatable

FAMILY = compile_catalogue(
    catalogue_of(
        option("sump", "rear", "front", ask="Where is the sump?"),
        option("gears", "plain", "wide", ask="Which gears?"),
        option("pump", "low", "high", ask="Which pump?"),
        option("fan", "belt", "none", ask="Which fan?"),
    )
)
REAR = FAMILY.options["sump"].choices["rear"]
PLAIN = FAMILY.options["gears"].choices["plain"]
LOW = FAMILY.options["pump"].choices["low"]
VECTORS = [(r, p, w) for r in (1, 0) for p in (1, 0) for w in (1, 0)]
PLACES = [
    Outcomes(
        (REAR, PLAIN, LOW),
        {
            (bool(r), bool(p), bool(w)): (1 if p else 2) if r else (3 if w else 4)
            for r, p, w in VECTORS
        },
    )
]
"""A rear sump then asks for the gears, a front sump for the pump."""
NOTHING = read_answers(FAMILY, {})


def engine(**answers: object) -> Known:
    return read_answers(FAMILY, answers)


def left(*weights: Known, known: Known = NOTHING) -> dict[str, float]:
    found = Reasoner(FAMILY).questions(known, PLACES, weights=weights)
    assert all(question.exact for question in found)
    return {question.option: question.expected_after for question in found}


def test_without_engines_on_file_all_cases_weigh_the_same() -> None:
    # Eight cases: the sump leaves one question; gears and pump leave the sump, and
    # in half the cases where the other kind of sump is found, one more.
    assert left() == {"sump": 1, "gears": 1.5, "pump": 1.5}
    assert list(left()) == ["sump", "gears", "pump"]


def test_engines_on_file_weigh_the_cases_they_agree_with() -> None:
    # Six engines: rear, plain. The two cases rear-plain weigh 7, the six others 1:
    # 20 in all. After the sump one question is left in every case: 1. After the gears
    # the sump is left in every case, and the pump where it is front (4 of 20): 1.2.
    # After the pump the sump, then the gears where it is rear (16 of 20): 1.8.
    six = [engine(sump="rear", gears="plain")] * 6
    assert left(*six) == {"sump": 1, "gears": 1.2, "pump": 1.8}


def test_what_an_engine_excludes_counts_as_what_it_says() -> None:
    stated = [engine(sump="rear")] * 3
    assert left(*[engine(sump={"not": ["front"]})] * 3) == left(*stated)
    assert left(*stated) != left()


def test_an_engine_that_says_nothing_of_what_is_asked_changes_nothing() -> None:
    six = [engine(sump="rear", gears="plain")] * 6
    assert left(*six, *[engine(fan="belt")] * 9, NOTHING) == left(*six)


def test_an_engine_unlike_the_one_asked_about_is_not_heard() -> None:
    known = engine(fan="none")
    belted = [engine(sump="rear", gears="plain", fan="belt")] * 6
    assert left(*belted, known=known) == left(known=known)
    bare = [engine(sump="rear", gears="plain", fan="none")] * 6
    assert left(*bare, known=known)["gears"] == 1.2


# Rows are the cases of two questions; the third comes out as one of two parts.
ANSWERS = (("a", "a", "b", "b"), ("x", "y", "x", "y"))
CORNER = ("n", "p", "p", "p")


@pytest.mark.parametrize("nodes", [1000, 0], ids=["exact", "greedy"])
def test_the_first_question_follows_the_weights(nodes: int) -> None:
    # The odd part is that of (a, x); both questions are alike while cases are: the
    # second is due where the first does not settle it, in 2 of 4 cases.
    plain = questions_left(Situation(ANSWERS, CORNER), nodes=nodes)
    assert plain == ([Fraction(1, 2), Fraction(1, 2)], nodes > 0)
    # (b, x) weighs 7 of 10: "b" settles 8 of 10, "y" only 2 of 10.
    weighed = questions_left(Situation(ANSWERS, CORNER, (1, 1, 7, 1)), nodes=nodes)
    assert weighed == ([Fraction(2, 10), Fraction(8, 10)], nodes > 0)
    # And (a, y) the other way round.
    turned = questions_left(Situation(ANSWERS, CORNER, (1, 7, 1, 1)), nodes=nodes)
    assert turned == ([Fraction(8, 10), Fraction(2, 10)], nodes > 0)


def test_weights_change_the_first_question_of_a_family() -> None:
    corner = [Outcomes((REAR, PLAIN), {v: int(all(v)) for v in PAIRS})]
    ask = Reasoner(FAMILY)
    assert [q.option for q in ask.questions(NOTHING, corner)] == ["sump", "gears"]
    # Six engines: rear, wide. That case weighs 7 of 10, so "wide" settles 8 of 10.
    filed = [engine(sump="rear", gears="wide")] * 6
    weighed = ask.questions(NOTHING, corner, weights=filed)
    assert [(q.option, q.expected_after) for q in weighed] == [
        ("gears", 0.2),
        ("sump", 0.8),
    ]
    # What was weighed once is not remembered for the next who does not ask for it.
    assert [q.option for q in ask.questions(NOTHING, corner)] == ["sump", "gears"]


PAIRS = [(r, p) for r in (True, False) for p in (True, False)]


@pytest.mark.parametrize("seed", range(40))
def test_a_case_that_weighs_three_counts_as_three_cases(seed: int) -> None:
    # The least plan for weighted cases is that for each case as often as it weighs.
    rng = repeatable(seed)
    rows = sorted({tuple(rng.randint(0, 2) for _ in range(3)) for _ in range(9)})
    outcomes = tuple(rng.randint(0, 2) for _ in rows)
    weights = tuple(rng.randint(1, 4) for _ in rows)
    many = [
        (r, o)
        for r, o, w in zip(rows, outcomes, weights, strict=True)
        for _ in range(w)
    ]
    once = Situation(tuple(zip(*rows, strict=True)), outcomes, weights)
    often = Situation(
        tuple(zip(*(row for row, _ in many), strict=True)), tuple(o for _, o in many)
    )
    for nodes in (10**6, 0):
        assert questions_left(once, nodes=nodes) == questions_left(often, nodes=nodes)


HUNG = compile_catalogue(
    catalogue_of(
        option("drive", "none", "gear", "belt", ask=None),
        option("pto", "short", "long", under=Under("drive", "gear")),
    )
)
PTO = HUNG.options["pto"]


@pytest.mark.parametrize(
    ("answers", "agree"),
    [
        ({"pto": {"fitted": True}}, ["short", "long"]),
        ({"pto": {"fitted": False}}, ["none"]),
        ({"pto": {"not": ["short"]}}, ["long", "none"]),
        ({"pto": "long"}, ["long"]),
        ({"drive": "belt"}, []),
    ],
    ids=str,
)
def test_an_engine_agrees_with_the_cases_that_its_answer_allows(
    answers: dict[str, object], agree: list[str]
) -> None:
    rules = rules_in_force(HUNG, (), solver="glucose4", budget=USUAL_BUDGET)
    domain = rules.domain(())
    assert domain is not None
    filed = filed_of([read_answers(HUNG, answers)], [PTO], domain)
    places = [Outcomes((PTO.choices["short"], PTO.choices["long"]))]
    names: dict[object, str] = {((True, False),): "short", ((False, True),): "long"}
    expected = {n: 1 + (n in agree) for n in ("short", "long", "none")}
    solved = all_cases(rules, (), ["pto"], places, 9, filed=filed)
    tabled = tabled_cases(rules, domain, ["pto"], places, (9, 9), filed=filed)
    assert solved is not None
    assert tabled is not None
    for cases in (solved, tabled[0]):
        told = {names.get(case.outcome, "none"): case.weight for case in cases}
        assert told == expected
    sample = sampled_cases(rules, (), ["pto"], places, 9, filed=filed)
    assert sample
    assert all(case in solved for case in sample)
