"""Count, completion, questions, reasons and covers against every build."""

from __future__ import annotations

import random
from collections.abc import Hashable
from functools import cache
from typing import NamedTuple

import pytest

from bomsvc.core.catalogue import read_catalogue
from bomsvc.core.logic.answers import read_answers
from bomsvc.core.logic.compiled import compile_catalogue
from bomsvc.core.logic.covers import Cover
from bomsvc.core.logic.deciding import Outcomes
from bomsvc.core.logic.known import Known
from bomsvc.core.logic.reasoner import Reasoner
from bomsvc.core.logic.standing import Lit
from bomsvc.core.terms.json_text import read_json
from tests.oracle.answers import (
    Answers,
    decides,
    decides_irreducibly,
    pieces_of,
    remaining,
)
from tests.oracle.asking import answers_of
from tests.oracle.builds import (
    Build,
    Model,
    builds_under,
    code_and_member,
    read_interval,
    read_model,
)
from tests.oracle.builds import valid_builds as all_valid_builds
from tests.oracle.documents import Knobs, document, json_text
from tests.oracle.explain import (
    Held,
    Term,
    cases_of,
    is_cover,
    is_irredundant,
    is_prime,
    most_usual,
    questions_after,
    values_left,
)
from tests.oracle.lists import exists, item

KNOBS = Knobs(options=5, positions=4, rules=3, most_builds=200, variety=True)


class Asked(NamedTuple):
    model: Model
    reasoner: Reasoner
    answers: Answers
    known: Known
    left: list[Build]


@cache
def both(seed: int) -> tuple[Model, Reasoner]:
    tree = document(seed, KNOBS)
    catalogue = read_catalogue(read_json(json_text(tree)))
    return read_model(tree), Reasoner(compile_catalogue(catalogue))


def asked(seed: int) -> Asked:
    rng = random.Random(seed)  # noqa: S311 - repeatable, nothing secret
    model, reasoner = both(seed)
    build = rng.choice(all_valid_builds(model))
    answers = answers_of(rng, model, build, rng.choice((0.0, 0.2, 0.5)))
    known = read_answers(reasoner.compiled, answers)
    return Asked(model, reasoner, answers, known, remaining(model, answers))


def fitment_truths(model: Model, left: list[Build]) -> dict[str, list[bool]]:
    """For each fitment at each member, in which builds it applies."""
    found = {}
    for entry in model.doc["positions"]:
        for member in model.members(entry.get("each")):
            key = f"{entry['code']}[{member}]" if member else entry["code"]
            for index, fitment in enumerate(model.doc["fitments"]):
                if fitment["position"] != entry["code"]:
                    continue
                found[f"{key}/{index}"] = [
                    exists(model, "positions", key, build)
                    and model.holds(fitment.get("when"), build, entry, member)
                    for build in left
                ]
    return found


def fitment_literals(reasoner: Reasoner) -> dict[str, Lit]:
    return {
        f"{key}/{fitment.index}": fitment.applies
        for key, position in reasoner.compiled.standing.positions.items()
        for fitment in position.fitments
    }


def check_count_and_completion(one: Asked) -> None:
    assert one.reasoner.count(one.known) == len(one.left)
    completed = one.reasoner.complete(one.known)
    assert completed is not None
    expected = most_usual(one.model, one.left)
    found = dict(completed.build.answers)
    low, high = read_interval(str(expected["serial"]))
    serial = found.pop("serial")
    assert isinstance(serial, int)
    assert low <= serial <= high
    assert {k: set(v) if isinstance(v, list) else v for k, v in found.items()} == {
        key: set(value) if isinstance(value, frozenset) else value
        for key, value in expected.items()
        if value is not None and key != "serial"
    }


def check_reasons(one: Asked, truths: dict[str, list[bool]]) -> None:
    """A reason forces what it explains, and nothing of it can be spared."""
    literals = fitment_literals(one.reasoner)
    for name, lit in literals.items():
        values = set(truths[name])
        why = one.reasoner.why(one.known, lit)
        if len(values) > 1:
            assert why.state == "open"
            outcome = list(truths[name])
            assert decides_irreducibly(one.left, list(why.decided_by), outcome)
            continue
        assert why.state == ("certain" if values == {True} else "excluded")
        answers = {r.name for r in why.reasons if r.kind == "answer"}
        rules = {r.name for r in why.reasons if r.kind == "rule"}
        assert forces(one, name, answers, rules, next(iter(values)))
        for spared in answers:
            assert not forces(one, name, answers - {spared}, rules, values.copy().pop())
        for spared in rules:
            assert not forces(one, name, answers, rules - {spared}, values.copy().pop())


def forces(
    one: Asked, name: str, answers: set[str], rules: set[str], truth: object
) -> bool:
    """Whether the answers and rules leave no build in which it is otherwise."""
    position, _, index = name.partition("/")
    code, member = code_and_member(position)
    entry = item(one.model, "positions", code)
    fitment = one.model.doc["fitments"][int(index)]
    kept = [p for p in pieces_of(one.model, one.answers) if p.name in answers]
    assert len(kept) == len(answers)
    for build in builds_under(one.model, lambda rule: rule.key in rules):
        if all(piece.agrees(build) for piece in kept):
            here = exists(one.model, "positions", position, build) and one.model.holds(
                fitment.get("when"), build, entry, member
            )
            if here != truth:
                return False
    return True


def terms_of(cover: Cover) -> list[Term]:
    return [
        tuple(
            Held(
                limited.option,
                frozenset([*limited.choices, *([None] if limited.absent else [])]),
                limited.code,
            )
            for limited in term
        )
        for term in cover.terms
    ]


def check_covers(one: Asked, truths: dict[str, list[bool]]) -> None:
    """Covers are the condition itself, in prime terms, none of them to spare."""
    possible = values_left(one.model, one.left)
    for name, lit in fitment_literals(one.reasoner).items():
        cover = one.reasoner.cover(one.known, lit)
        terms = terms_of(cover)
        assert cover.complete
        assert is_cover(terms, one.left, truths[name])
        assert is_irredundant(terms, one.left, truths[name])
        for term in terms:
            assert is_prime(term, dict(possible), one.left, truths[name])


def check_questions(one: Asked, truths: dict[str, list[bool]]) -> bool:
    """The deciding options decide; the expected questions are the least there are."""
    names = sorted(truths)[:6]
    literals = fitment_literals(one.reasoner)
    places = [Outcomes(tuple(literals[name] for name in names))]
    outcome: list[Hashable] = list(zip(*(truths[name] for name in names), strict=True))
    keys = list(one.reasoner.deciding(one.known, places))
    assert decides_irreducibly(one.left, keys, list(outcome))
    if not keys:
        assert len(set(outcome)) == 1
        return False
    questions = one.reasoner.questions(one.known, places)
    unseen = {
        k for k, a in one.answers.items() if isinstance(a, dict) and "unseen" in a
    }
    can_ask = [
        key
        for key in keys
        if one.model.option(key).asked
        and not one.model.option(key).measured
        and key not in unseen
    ]
    assert {question.option for question in questions} == set(can_ask)
    if can_ask != keys:
        return False
    cases = cases_of(one.left, keys, outcome)
    assert decides(one.left, keys, list(outcome))
    if not all(question.exact for question in questions):
        # The exact search is for few cases; beyond, the reply says it is not exact.
        assert len(cases) > 100 or len(keys) > 6
        return False
    for question in questions:
        least = questions_after(cases, keys.index(question.option))
        assert question.expected_after == pytest.approx(float(least), abs=1e-4)
    expected = [question.expected_after for question in questions]
    assert expected == sorted(expected)
    return True


def check_all(seed: int) -> None:
    one = asked(seed)
    truths = fitment_truths(one.model, one.left)
    check_count_and_completion(one)
    check_reasons(one, truths)
    check_covers(one, truths)
    check_questions(one, truths)


@pytest.mark.parametrize("seed", range(80))
def test_explanations_agree_with_every_build(seed: int) -> None:
    check_all(seed)


def test_questions_are_asked_often_enough() -> None:
    found = 0
    for seed in range(40):
        one = asked(seed)
        found += check_questions(one, fitment_truths(one.model, one.left))
    assert found >= 12


@pytest.mark.long
@pytest.mark.parametrize("start", range(1_000, 5_000, 50))
def test_many_explanations_agree_with_every_build(start: int) -> None:
    for seed in range(start, start + 50):
        check_all(seed)
        both.cache_clear()
