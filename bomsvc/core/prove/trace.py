"""Traces of clean verdicts: why no valid build has a fault, for others to replay.

Each question that no valid build meets is put to a fresh solver with what it asks
as clauses of their own. That matters: under assumptions a solver may write an empty
clause that does not follow from the clauses alone. A trace shows that the clauses
have no model; that they say what the document says is for the oracle tests to show.

The clauses of the option tree and the rules are shared by all verdicts. A verdict
has its own besides: the conditions spoken of, as gates, and what is asked.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from pysat.solvers import Solver

from bomsvc.core.logic.budget import Budget
from bomsvc.core.logic.compiled import Compiled, Model
from bomsvc.core.logic.gates import definition
from bomsvc.core.prove.ground import PROOF_BUDGET, Clauses
from bomsvc.core.prove.proof import proven

TRUE_CLAUSE = (1,)
FRESH = 10
"""A fresh solver knows nothing of the other questions, and may take so many times
the conflicts of one question."""

Clause = tuple[int, ...]


@dataclass(frozen=True, slots=True)
class Verdict:
    """One clean verdict.

    Attributes:
        about: What was asked about: a finding's code and place, or a check.
        clauses: Its own clauses: without a model, together with the shared ones.
        steps: The solver's steps to the contradiction, as DRUP lines.
    """

    about: str
    clauses: tuple[Clause, ...]
    steps: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Traces:
    """The clean verdicts of one document.

    Attributes:
        digest: The document's digest.
        shared: The clauses of the option tree and the rules.
        verdicts: Every clean verdict; it may be read once only.
    """

    digest: str
    shared: tuple[Clause, ...]
    verdicts: Iterable[Verdict]


def traces_of(compiled: Compiled, *, budget: Budget = PROOF_BUDGET) -> Traces:
    """Prove a revision and return a trace for every question that was refuted.

    A question that a fresh solver does not refute within its budget has an empty
    trace, which no checker takes for a refutation unless none is needed.
    """
    made = proven(compiled, budget=budget, keep_refuted=True)
    refuted = made.ground.refuted
    assert refuted is not None, "the refuted questions were to be kept"
    model = made.ground.compiled.model
    shared, known = shared_clauses(model)
    conflicts = FRESH * budget.conflicts

    def verdicts() -> Iterator[Verdict]:
        for question, about in refuted.items():
            own = tuple(_own_clauses(model, question, known))
            steps = _steps((*shared, *own), conflicts)
            yield Verdict(about, own, steps)

    return Traces(compiled.digest, shared, verdicts())


def shared_clauses(model: Model) -> tuple[tuple[Clause, ...], frozenset[int]]:
    """Return the clauses of the tree and the rules, and the gates they define."""
    clauses: list[Clause] = [TRUE_CLAUSE]
    for unit in model.structure:
        clauses.extend(unit.clauses)
    for rule in model.rules:
        clauses.extend(rule.clauses)
    gates = dict(_gates_below(model, clauses, frozenset()))
    for defined in gates.values():
        clauses.extend(defined)
    return tuple(clauses), frozenset(gates)


def _own_clauses(
    model: Model, question: Clauses, known: frozenset[int]
) -> Iterator[Clause]:
    for _, defined in _gates_below(model, question, known):
        yield from defined
    yield from question


def _gates_below(
    model: Model, clauses: Iterable[Clause], known: frozenset[int]
) -> Iterator[tuple[int, list[Clause]]]:
    """Yield the gates that clauses speak of, with the clauses that define them."""
    spoken = [abs(lit) for clause in clauses for lit in clause]
    seen = set(known)
    while spoken:
        gate = spoken.pop()
        # Beyond the model's are a question's own variables, which it defines itself.
        if gate > model.top or gate in seen:
            continue
        seen.add(gate)
        inputs = model.inputs_of(gate)
        if inputs:
            yield gate, [tuple(clause) for clause in definition(gate, inputs)]
            spoken.extend(abs(lit) for lit in inputs)


def _steps(clauses: Iterable[Clause], conflicts: int) -> tuple[str, ...]:
    with Solver(name="glucose4", with_proof=True) as solver:
        for clause in clauses:
            solver.add_clause(list(clause))
        solver.conf_budget(conflicts)
        verdict = solver.solve_limited()
        assert verdict is not True, "only refuted questions have a trace"
        return () if verdict is None else tuple(solver.get_proof())
