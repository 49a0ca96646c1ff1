"""A count that goes on from the last one equals a count from nothing."""

from __future__ import annotations

import random
from collections.abc import Sequence

import pytest

from bomsvc.core.logic.answers import read_answers
from bomsvc.core.logic.budget import USUAL_BUDGET
from bomsvc.core.logic.compiled import Compiled, compile_catalogue
from bomsvc.core.logic.counting import Counter
from bomsvc.core.logic.domains import Domain
from bomsvc.core.logic.in_force import rules_in_force
from bomsvc.core.logic.summing import Summing, Table
from tests.unit.logic.big_families import big_family

MANY = 1 << 30


def _counter(compiled: Compiled) -> Counter:
    return Counter(compiled, [c for rule in compiled.model.rules for c in rule.clauses])


def _walk(compiled: Compiled, seed: int) -> list[Domain]:
    """Return the domains of a walk that answers and takes back in any order."""
    rules = rules_in_force(compiled, (), solver="glucose4", budget=USUAL_BUDGET)
    draw = random.Random(seed)  # noqa: S311
    answers: dict[str, object] = {}
    domains = []
    for _ in range(25):
        if answers and draw.random() < 0.4:
            del answers[draw.choice(sorted(answers))]
        else:
            key = draw.choice(
                [
                    key
                    for key, option in compiled.options.items()
                    if key != "serial" and option.option.choose == "one"
                ]
            )
            answers[key] = draw.choice(sorted(compiled.options[key].choices))
        found = rules.domain(read_answers(compiled, answers).assumptions)
        if found is None:
            answers.clear()
        else:
            domains.append(found)
    return domains


@pytest.mark.parametrize("seed", range(4))
def test_clicks_to_and_fro_count_as_if_counted_from_nothing(seed: int) -> None:
    compiled = compile_catalogue(big_family(24))
    running = _counter(compiled)
    for domain in _walk(compiled, seed):
        fresh = _counter(compiled).count(domain, cells=MANY)
        assert running.count(domain, cells=MANY) == fresh
        assert fresh


def test_a_budget_is_met_or_not_whatever_was_counted_before() -> None:
    compiled = compile_catalogue(big_family(24))
    running = _counter(compiled)
    verdicts = set()
    for domain in _walk(compiled, 7):
        for cells in (40, 90, 200, 1000, MANY):
            fresh = _counter(compiled).count(domain, cells=cells)
            assert running.count(domain, cells=cells) == fresh
            verdicts.add(fresh is None)
    assert verdicts == {True, False}


def test_a_click_sums_less_than_a_count_from_nothing(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    summed: list[int] = []
    whole = Summing.summed

    def noted(self: Summing, column: int, size: int, tables: Sequence[Table]) -> Table:
        summed.append(column)
        return whole(self, column, size, tables)

    monkeypatch.setattr(Summing, "summed", noted)
    compiled = compile_catalogue(big_family(60))
    rules = rules_in_force(compiled, (), solver="glucose4", budget=USUAL_BUDGET)
    counter = _counter(compiled)
    start = rules.domain(())
    assert start is not None
    counter.count(start, cells=MANY)
    first = len(summed)
    key, option = next(iter(compiled.options.items()))
    answers = {key: next(iter(option.choices))}
    click = rules.domain(read_answers(compiled, answers).assumptions)
    assert click is not None
    summed.clear()
    counter.count(click, cells=MANY)
    assert len(summed) < first / 2
