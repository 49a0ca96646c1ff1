"""A proof made while somebody waits: the same report, or none at all."""

from __future__ import annotations

import itertools
import json

import pytest

from bomsvc.core.catalogue import read_catalogue
from bomsvc.core.logic.budget import Budget
from bomsvc.core.logic.compiled import Compiled, compile_catalogue
from bomsvc.core.prove import allowance, prove
from bomsvc.core.prove.allowance import Allowance, TakesLong, proven_at_once
from bomsvc.core.prove.ground import PROOF_BUDGET
from bomsvc.core.terms.json_text import read_json
from tests.contract.sample import whimbrel
from tests.hard_family import hard_family


def compiled(holes: int, positions: int) -> Compiled:
    return read(hard_family(holes=holes, positions=positions))


def read(document: object) -> Compiled:
    return compile_catalogue(read_catalogue(read_json(json.dumps(document))))


def never_over() -> bool:
    return False


def test_what_is_proven_at_once_is_what_is_proven_at_leisure() -> None:
    for one in (compiled(4, 3), read(whimbrel())):
        at_once = proven_at_once(one, budget=PROOF_BUDGET, is_spent=never_over)
        assert at_once is not None
        assert at_once == prove(one)


def test_a_small_family_that_is_hard_is_given_up_and_not_called_unproven() -> None:
    hard = compiled(9, 2)
    assert proven_at_once(hard, budget=PROOF_BUDGET, is_spent=never_over) is None


def test_a_budget_that_is_small_already_is_used_up_and_said_so() -> None:
    report = proven_at_once(
        compiled(7, 2), budget=Budget(conflicts=3), is_spent=never_over
    )
    assert report is not None
    assert not report.proven
    assert report.faults


@pytest.mark.parametrize("questions", [0, 1, 5, 40])
def test_when_time_is_over_no_further_question_is_asked(questions: int) -> None:
    asked = itertools.count()

    def over() -> bool:
        return next(asked) >= questions

    assert proven_at_once(compiled(4, 3), budget=PROOF_BUDGET, is_spent=over) is None
    assert next(asked) == questions + 1


def test_an_allowance_is_a_budget_of_small_questions() -> None:
    small = Allowance(Budget(conflicts=10**6, cells=7, nodes=8), never_over)
    assert small.conflicts == allowance.CONFLICTS_OF_ONE
    assert (small.cells, small.nodes) == (7, 8)
    assert Allowance(Budget(conflicts=5), never_over).conflicts == 5
    with pytest.raises(TakesLong):
        _ = Allowance(Budget(), lambda: True).conflicts
