"""What a person at the counter relies on while answering one question after another."""

from __future__ import annotations

import random
from decimal import Decimal
from functools import cache
from typing import Any

import pytest

from bomsvc.core.catalogue import read_catalogue
from bomsvc.core.logic.answers import read_answers
from bomsvc.core.logic.compiled import compile_catalogue
from bomsvc.core.logic.reasoner import Reasoner
from bomsvc.core.resolve import Clashing, Resolved, read_scope, resolve
from bomsvc.core.terms.json_text import read_json
from tests.oracle.documents import Knobs, json_text
from tests.oracle.workshop import workshop_document

KNOBS = Knobs(
    options=5, positions=4, rules=2, joints=1, steps=3, jobs=2, most_builds=120
)
Answers = dict[str, Any]
Contribution = tuple[str, str | None, str, str]


@cache
def reasoner_of(seed: int) -> Reasoner:
    text = json_text(workshop_document(seed, KNOBS))
    return Reasoner(compile_catalogue(read_catalogue(read_json(text))))


def rng_of(seed: int) -> random.Random:
    return random.Random(seed)  # noqa: S311 - repeatable, nothing secret


def scope_for(rng: random.Random, reasoner: Reasoner) -> dict[str, Any]:
    if rng.random() < 0.4:
        return {"whole": True}
    jobs = list(reasoner.compiled.standing.jobs)
    return {"jobs": rng.sample(jobs, k=rng.randint(1, len(jobs)))}


def listed(reasoner: Reasoner, answers: Answers, raw: dict[str, Any]) -> Resolved:
    known = read_answers(reasoner.compiled, answers)
    found = resolve(reasoner, known, read_scope(reasoner.compiled, raw))
    assert not isinstance(found, Clashing)
    return found


def certain(found: Resolved) -> dict[tuple[str, str | None, str | None], Decimal]:
    """Need, part and designation to the certain quantity over all its lines."""
    totals: dict[tuple[str, str | None, str | None], Decimal] = {}
    for line in found.lines:
        if line.state == "certain":
            key = (line.need, line.part, line.wanted)
            totals[key] = totals.get(key, Decimal(0)) + line.qty
    return totals


def answer_of(build_answers: Answers, key: str) -> object:
    """What the engine on the stand answers about an option it may not have."""
    return build_answers.get(key, {"fitted": False})


@pytest.mark.parametrize("seed", range(80))
def test_answering_only_ever_adds_to_what_is_certain(seed: int) -> None:
    rng = rng_of(seed)
    reasoner = reasoner_of(seed % 20)
    raw = scope_for(rng, reasoner)
    engine = dict(an_engine(rng, reasoner))
    answers: Answers = {}
    before = certain(listed(reasoner, answers, raw))
    for key in rng.sample(list(reasoner.compiled.options), k=3):
        answers[key] = answer_of(engine, key)
        after = certain(listed(reasoner, answers, raw))
        for line, qty in before.items():
            assert after.get(line, Decimal(0)) >= qty
        before = after


def an_engine(rng: random.Random, reasoner: Reasoner) -> Answers:
    """A valid engine, found by asking for random choices while they last."""
    wanted: Answers = {}
    for key, option in reasoner.compiled.options.items():
        if option.option.choose == "one" and key != "serial":
            trial = {**wanted, key: rng.choice(list(option.choices))}
            if reasoner.consistent(read_answers(reasoner.compiled, trial)):
                wanted = trial
    build = reasoner.witness(read_answers(reasoner.compiled, wanted))
    assert build is not None
    return dict(build.answers)


@pytest.mark.parametrize("seed", range(60))
def test_answering_what_is_asked_ends_with_a_list_that_asks_no_more(seed: int) -> None:
    rng = rng_of(1_000 + seed)
    reasoner = reasoner_of(seed % 20)
    raw = scope_for(rng, reasoner)
    engine = dict(an_engine(rng, reasoner))
    answers: Answers = {}
    asked: list[str] = []
    while (found := listed(reasoner, answers, raw)).questions:
        question = found.questions[0]
        assert question.option not in asked
        asked.append(question.option)
        answers[question.option] = answer_of(engine, question.option)
    assert all(place.waits_on for place in found.open)
    # The finished list is the engine's own list, but for what nobody could tell.
    whole = certain(listed(reasoner, engine, raw))
    for line, qty in certain(found).items():
        assert whole[line] >= qty
    if found.certain:
        assert certain(found) == whole


@pytest.mark.parametrize("seed", range(60))
def test_taking_all_is_enough_for_every_engine_that_agrees(seed: int) -> None:
    rng = rng_of(2_000 + seed)
    reasoner = reasoner_of(seed % 20)
    raw = scope_for(rng, reasoner)
    half_known = listed(reasoner, {}, raw)
    taken: dict[tuple[str | None, str | None], Decimal] = {}
    for (need, part, wanted), qty in certain(half_known).items():
        if need == "renew":
            key = (part, wanted)
            taken[key] = taken.get(key, Decimal(0)) + qty
    for place in half_known.open:
        for one in place.take_all:
            key = (one.part, one.wanted)
            taken[key] = taken.get(key, Decimal(0)) + one.qty
    needed = certain(listed(reasoner, dict(an_engine(rng, reasoner)), raw))
    for (need, part, wanted), qty in needed.items():
        if need == "renew":
            assert taken.get((part, wanted), Decimal(0)) >= qty


@pytest.mark.parametrize("seed", range(40))
def test_every_line_of_the_list_has_a_reason_and_a_place(seed: int) -> None:
    rng = rng_of(3_000 + seed)
    reasoner = reasoner_of(seed % 20)
    found = listed(reasoner, {}, scope_for(rng, reasoner))
    for line in found.lines:
        assert line.why
        assert line.places
        assert line.take == (line.qty if line.need == "renew" else 0)
        assert (line.state == "open") == bool(line.decided_by)
        assert line.part is not None or line.wanted
