"""Larger families: counts and backbones agree with an independent solver.

OR-Tools' CP-SAT gets the family straight from the document's options and rules,
with its own variables, so nothing of the compiled clauses is shared.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import pytest
from ortools.sat.python import cp_model

from bomsvc.core.catalogue.conditions import (
    Always,
    Among,
    And,
    Condition,
    Never,
    Not,
    Or,
    SerialIs,
)
from bomsvc.core.catalogue.entities import Catalogue
from bomsvc.core.logic.answers import read_answers
from bomsvc.core.logic.compiled import compile_catalogue
from bomsvc.core.logic.known import NOTHING
from bomsvc.core.logic.reasoner import Reasoner
from tests.unit.logic.big_families import big_family

Truth = cp_model.LiteralT


class Second:
    """The family in CP-SAT; serial cuts as in the document."""

    def __init__(self, catalogue: Catalogue, cuts: list[int]) -> None:
        self.model = cp_model.CpModel()
        self.serial = [self.model.new_bool_var(f"serial {c}") for c in cuts]
        self.cuts = cuts
        self.model.add_exactly_one(self.serial)
        self.choices = {
            o.code: {c.code: self.model.new_bool_var(c.code) for c in o.choices}
            for o in catalogue.options
        }
        for o in catalogue.options:
            lits = list(self.choices[o.code].values())
            active = (
                self.choices[o.under.option][o.under.choice]
                if o.under
                else self.model.new_constant(1)
            )
            if o.choose == "one":
                self.model.add(sum(lits) == active)
            else:
                for lit in lits:
                    self.model.add_implication(lit, active)
        for r in catalogue.rules:
            self.model.add_bool_or([~self.lit(r.when), self.lit(r.then)])

    def lit(self, c: Condition) -> Truth:
        match c:
            case Always():
                return self.model.new_constant(1)
            case Never():
                return self.model.new_constant(0)
            case Not(term):
                return ~self.lit(term)
            case SerialIs(">=", number):
                later = [
                    v
                    for v, cut in zip(self.serial, self.cuts, strict=True)
                    if cut >= number
                ]
                return self._or(later)
            case Among(code, some, _):
                return self._or([self.choices[code][x] for x in some])
            case Or(terms):
                return self._or([self.lit(t) for t in terms])
            case And(terms):
                return ~self._or([~self.lit(t) for t in terms])
        raise AssertionError(c)

    def _or(self, lits: Sequence[Truth]) -> Truth:
        held = self.model.new_bool_var("")
        self.model.add_max_equality(held, lits)
        return held

    def possible(self, *lits: Truth) -> bool:
        self.model.clear_assumptions()
        self.model.add_assumptions(list(lits))
        solver = cp_model.CpSolver()
        solver.parameters.num_workers = 1
        return bool(solver.solve(self.model) == cp_model.OPTIMAL)

    def count(self) -> int:
        solver = cp_model.CpSolver()
        solver.parameters.num_workers = 1
        solver.parameters.enumerate_all_solutions = True
        tally = Tally()
        solver.solve(self.model, tally)
        return tally.found


class Tally(cp_model.CpSolverSolutionCallback):
    def __init__(self) -> None:
        super().__init__()
        self.found = 0

    def on_solution_callback(self) -> None:
        self.found += 1


def cuts_of(compiled_codes: Iterator[str]) -> list[int]:
    return [int(code.split("..")[0]) for code in compiled_codes]


@pytest.mark.parametrize("seed", range(6))
def test_counts_agree_with_a_second_solver(seed: int) -> None:
    catalogue = big_family(9, seed=seed)
    compiled = compile_catalogue(catalogue)
    second = Second(catalogue, cuts_of(iter(compiled.options["serial"].choices)))
    count = Reasoner(compiled).count(NOTHING)
    assert count == second.count()


@pytest.mark.parametrize("seed", range(3))
def test_what_can_be_agrees_with_a_second_solver(seed: int) -> None:
    catalogue = big_family(40, seed=seed)
    compiled = compile_catalogue(catalogue)
    second = Second(catalogue, cuts_of(iter(compiled.options["serial"].choices)))
    reasoner = Reasoner(compiled)
    answers: dict[str, str] = {}
    for option in catalogue.options[5::9]:
        if option.choose == "one":
            trial = {**answers, option.code: option.choices[-1].code}
            if reasoner.consistent(read_answers(compiled, trial)):
                answers = trial
    known = read_answers(compiled, answers)
    given = [second.choices[key][str(code)] for key, code in answers.items()]
    found = reasoner.identify(known)
    assert answers
    for seen in found.options[:-1]:
        for choice in seen.choices:
            var = second.choices[seen.option.key][choice.code]
            can = second.possible(*given, var), second.possible(*given, ~var)
            meaning = {"open": (True, True), "excluded": (False, True)}
            assert choice.state is not None
            assert can == meaning.get(choice.state, (True, False))
