"""Traces of clean verdicts: why no valid build has a fault, for others to replay.

Each question that no valid build meets is put to a fresh solver with what it asks
as clauses of their own. That matters: under assumptions a solver may write an empty
clause that does not follow from the clauses alone. A trace shows that the clauses
have no model; that they say what the document says is for the oracle tests to show.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from pysat.solvers import Solver

from bomsvc.core.logic.budget import Budget
from bomsvc.core.logic.compiled import Compiled, Model
from bomsvc.core.logic.gates import definition
from bomsvc.core.prove.ground import PROOF_BUDGET, Clauses
from bomsvc.core.prove.proof import proven
from bomsvc.core.prove.rup import Refused, check, read_steps

TRUE_CLAUSE = (1,)


@dataclass(frozen=True, slots=True)
class Trace:
    """Clauses without a model, and the solver's steps to the contradiction."""

    clauses: tuple[tuple[int, ...], ...]
    steps: tuple[str, ...]

    def holds(self) -> bool:
        """Return whether the independent checker replays it to a contradiction."""
        try:
            check(self.clauses, read_steps(self.steps))
        except Refused:
            return False
        return True

    def text(self) -> str:
        """Return clauses as DIMACS, then the steps as DRUP, in one text."""
        top = max((abs(lit) for clause in self.clauses for lit in clause), default=0)
        lines = [f"p cnf {top} {len(self.clauses)}"]
        lines += [" ".join(map(str, (*clause, 0))) for clause in self.clauses]
        lines += ["c steps", *self.steps]
        return "\n".join(lines) + "\n"


def traces_of(compiled: Compiled, *, budget: Budget = PROOF_BUDGET) -> Iterator[Trace]:
    """Prove a revision and yield a trace for every question that was refuted."""
    made = proven(compiled, budget=budget, keep_refuted=True)
    refuted = made.ground.refuted
    assert refuted is not None, "the refuted questions were to be kept"
    for question in refuted:
        yield trace_of(made.ground.compiled.model, question)


def trace_of(model: Model, question: Clauses) -> Trace:
    """Return the trace of clauses that no valid build meets together."""
    clauses = tuple(clauses_of(model, question))
    with Solver(name="glucose4", with_proof=True) as solver:
        for clause in clauses:
            solver.add_clause(list(clause))
        assert not solver.solve(), "only refuted questions have a trace"
        steps = tuple(solver.get_proof())
    return Trace(clauses, steps)


def clauses_of(model: Model, question: Clauses) -> Iterator[tuple[int, ...]]:
    """Yield the option tree, the rules, the gates spoken of, and the question."""
    yield TRUE_CLAUSE
    for unit in model.structure:
        yield from unit.clauses
    spoken: list[int] = [lit for clause in question for lit in clause]
    for rule in model.rules:
        yield from rule.clauses
        spoken.extend(lit for clause in rule.clauses for lit in clause)
    seen: set[int] = set()
    while spoken:
        gate = abs(spoken.pop())
        if gate > model.top or gate in seen:
            continue
        inputs = model.inputs_of(gate)
        if not inputs:
            continue
        seen.add(gate)
        yield from (tuple(clause) for clause in definition(gate, inputs))
        spoken.extend(inputs)
    yield from question
