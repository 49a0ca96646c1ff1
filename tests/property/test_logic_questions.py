"""Deciding options suffice and none is to spare; questions lead to a certain list."""

from __future__ import annotations

import random
from collections import Counter
from collections.abc import Sequence
from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from bomsvc.core.logic.answers import read_answers
from bomsvc.core.logic.deciding import Outcomes, can_be_asked
from bomsvc.core.logic.question_plan import Situation, questions_left
from bomsvc.core.logic.sampling import Case, all_cases, sampled_cases
from bomsvc.core.logic.standing import Key, Lit
from bomsvc.core.logic.tabled import tabled_cases
from tests.unit.logic.asking import Ask, conditions_of, random_ask
from tests.unit.logic.families import repeatable
from tests.unit.logic.listing import Listed

seeds = st.integers(0, 10**9)
many = settings(max_examples=80, deadline=None)


def places_of(ask: Ask, seed: int) -> list[Outcomes]:
    """Two places over the family's conditions, outcomes lumped at random."""
    rng = repeatable(seed)
    lits = [lit for lit, _ in conditions_of(ask)]
    rng.shuffle(lits)
    places = []
    for part in (tuple(lits[:3]), tuple(lits[3:5])):
        vectors = ask.reasoner.cases(ask.known, part, limit=100).vectors
        classes = {v: rng.randint(0, 2) for v in vectors}
        places.append(Outcomes(part, classes if rng.random() < 0.7 else None))
    return places


def outcome(ask: Ask, places: Sequence[Outcomes], index: int) -> tuple[object, ...]:
    truth = {lit: truths[index] for lit, truths in conditions_of(ask)}
    return tuple(p.outcome(tuple(truth[Lit(x)] for x in p.lits)) for p in places)


def sufficient(ask: Ask, outcomes: Sequence[object], keys: Sequence[Key]) -> bool:
    """Whether builds left that agree on these options come out the same."""
    seen: dict[tuple[object, ...], object] = {}
    for build, found in zip(ask.left, outcomes, strict=True):
        row = tuple(_value(ask, build, key) for key in keys)
        if seen.setdefault(row, found) != found:
            return False
    return True


def _value(ask: Ask, build: Listed, key: Key) -> frozenset[str]:
    return build[key] or frozenset()


@many
@given(seeds)
def test_the_deciding_options_decide_and_none_can_be_spared(seed: int) -> None:
    ask = random_ask(seed, share=0.2)
    if not ask.left:
        return
    places = places_of(ask, seed)
    keys = ask.reasoner.deciding(ask.known, places)
    truths = conditions_of(ask)
    lookup = [{lit: t[i] for lit, t in truths} for i in range(len(ask.left))]
    outcomes = [
        tuple(p.outcome(tuple(row[x] for x in p.lits)) for p in places)
        for row in lookup
    ]
    assert sufficient(ask, outcomes, keys)
    for key in keys:
        assert not sufficient(ask, outcomes, [k for k in keys if k != key])


@many
@given(seeds)
def test_an_option_that_can_be_asked_is_preferred_where_it_decides(seed: int) -> None:
    ask = random_ask(seed, share=0.2)
    if not ask.left:
        return
    places = places_of(ask, seed)
    keys = ask.reasoner.deciding(ask.known, places)
    truths = conditions_of(ask)
    lookup = [{lit: t[i] for lit, t in truths} for i in range(len(ask.left))]
    outcomes = [
        tuple(p.outcome(tuple(row[x] for x in p.lits)) for p in places)
        for row in lookup
    ]
    options = ask.compiled.options
    askable = [k for k, o in options.items() if can_be_asked(o, ask.known)]
    if sufficient(ask, outcomes, askable):
        assert set(keys) <= set(askable)


@many
@given(seeds)
def test_answering_every_question_leaves_only_what_cannot_be_asked(seed: int) -> None:
    ask = random_ask(seed, share=0.2)
    if not ask.left:
        return
    rng = repeatable(seed)
    truth = rng.choice(ask.left)
    answers = dict(ask.answers)
    known = ask.known
    places = places_of(ask, seed)
    asked: list[Key] = []
    while questions := ask.reasoner.questions(known, places):
        key = questions[0].option
        assert key not in asked
        asked.append(key)
        answers[key] = _answer(ask, truth, key, questions[0].choices)
        known = read_answers(ask.compiled, answers)
    rest = ask.reasoner.deciding(known, places)
    options = ask.compiled.options
    assert not any(can_be_asked(options[key], known) for key in rest)
    measured = [m.option for m in ask.reasoner.to_measure(known, places)]
    assert measured == [k for k in rest if options[k].option.known == "measured"]
    if not rest:
        vectors = [ask.reasoner.cases(known, p.lits, limit=9).vectors for p in places]
        outcomes = [
            {p.outcome(v) for v in found}
            for p, found in zip(places, vectors, strict=True)
        ]
        assert all(len(found) == 1 for found in outcomes)


def _answer(ask: Ask, truth: Listed, key: Key, choices) -> object:  # type: ignore[no-untyped-def] # noqa: ANN001
    chosen = truth[key]
    if chosen is None:
        return {"fitted": False}
    assert chosen <= {c.code for c in choices}
    if key == "serial":
        return next(iter(chosen))
    if ask.compiled.options[key].option.choose == "any":
        return sorted(chosen)
    return next(iter(chosen))


@many
@given(seeds)
def test_only_choices_that_remain_are_offered(seed: int) -> None:
    ask = random_ask(seed, share=0.3)
    if not ask.left:
        return
    for question in ask.reasoner.questions(ask.known, places_of(ask, seed)):
        offered = [c.code for c in question.choices]
        seen = set().union(*(b[question.option] or set() for b in ask.left))
        option = ask.compiled.options[question.option]
        assert offered == [c for c in option.choices if c in seen]
        assert question.ask == option.option.ask


def brute_expected(situation: Situation) -> list[Fraction]:
    """Least expected number of further questions, by trying every plan."""

    def cost(rows: tuple[int, ...]) -> int:
        if len({situation.outcomes[r] for r in rows}) == 1:
            return 0
        options = [
            sum(cost(p) for p in parts)
            for answers in situation.answers
            if len(parts := split(answers, rows)) > 1
        ]
        return len(rows) + min(options)

    def split(answers, rows) -> list[tuple[int, ...]]:  # type: ignore[no-untyped-def] # noqa: ANN001
        values = dict.fromkeys(answers[r] for r in rows)
        return [tuple(r for r in rows if answers[r] == v) for v in values]

    rows = tuple(range(len(situation.outcomes)))
    return [
        Fraction(sum(cost(p) for p in split(a, rows)), len(rows))
        for a in situation.answers
    ]


def random_situation(rng: random.Random, *, most: int = 5) -> Situation:
    questions = rng.randint(1, most)
    rows = {
        tuple(rng.randint(0, 2) for _ in range(questions))
        for _ in range(rng.randint(1, 14))
    }
    table = sorted(rows)
    columns = tuple(zip(*table, strict=True))
    return Situation(columns, tuple(rng.randint(0, 2) for _ in table))


@pytest.mark.parametrize("block", range(8))
def test_the_exact_plan_asks_as_few_questions_as_any_plan(block: int) -> None:
    for seed in range(block * 25, block * 25 + 25):
        situation = random_situation(repeatable(seed))
        left, exact = questions_left(situation, nodes=10**6)
        assert exact
        assert left == brute_expected(situation)


def test_the_greedy_plan_asks_at_most_three_in_a_hundred_more_on_the_whole() -> None:
    greedy = least = Fraction(0)
    for seed in range(150):
        situation = random_situation(repeatable(seed))
        quick, exact = questions_left(situation, nodes=0)
        if exact:
            continue
        greedy += 1 + min(quick)
        least += 1 + min(brute_expected(situation))
    assert least > 0
    assert greedy <= least * Fraction(103, 100)


@many
@given(seeds)
def test_an_option_that_cannot_be_told_is_not_asked(seed: int) -> None:
    ask = random_ask(seed, share=0.1)
    if not ask.left:
        return
    places = places_of(ask, seed)
    questions = ask.reasoner.questions(ask.known, places)
    if not questions:
        return
    unseen = questions[0].option
    answers = {**ask.answers, unseen: {"unseen": True}}
    known = read_answers(ask.compiled, answers)
    if unseen in ask.answers:
        return
    again = [q.option for q in ask.reasoner.questions(known, places)]
    assert unseen not in again


@many
@given(seeds)
def test_cases_from_the_table_are_those_found_by_solving(seed: int) -> None:
    ask = random_ask(seed, share=0.2)
    if not ask.left:
        return
    places = places_of(ask, seed)
    keys = ask.reasoner.deciding(ask.known, places)
    if not keys:
        return
    rules = ask.reasoner._rules(ask.known)
    domain = rules.domain(ask.known.assumptions)
    assert domain is not None
    found = tabled_cases(rules, domain, keys, places, (10**6, 4))
    assert found is not None
    tabled, complete = found
    solved = all_cases(rules, ask.known.assumptions, keys, places, 10**6)
    assert complete
    assert solved is not None
    assert len(tabled) == len(solved)
    assert Counter(c.outcome for c in tabled) == Counter(c.outcome for c in solved)
    if len(tabled) > 4:
        sample = tabled_cases(rules, domain, keys, places, (3, 4))
        assert sample is not None
        assert not sample[1]
        assert {_row(c) for c in sample[0]} <= {_row(c) for c in tabled}
        assert len(sample[0]) == 4


def _row(case: Case) -> tuple[object, ...]:
    return (*case.answers.values(), case.outcome)


@many
@given(seeds)
def test_a_sample_found_by_solving_is_of_real_cases(seed: int) -> None:
    ask = random_ask(seed, share=0.2)
    if not ask.left:
        return
    places = places_of(ask, seed)
    keys = ask.reasoner.deciding(ask.known, places)
    rules = ask.reasoner._rules(ask.known)
    known = ask.known.assumptions
    solved = all_cases(rules, known, keys, places, 10**6)
    assert solved is not None
    rows = {_row(c) for c in solved}
    sample = sampled_cases(rules, known, keys, places, 12)
    assert {_row(c) for c in sample} <= rows
    assert sample
