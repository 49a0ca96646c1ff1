"""A corrupted trace is refused, whatever was done to it."""

from __future__ import annotations

import random
from functools import cache
from typing import NamedTuple

import pytest
from pysat.solvers import Solver

from bomsvc.core.prove.rup import Refused, check, read_steps

# Two variables, every pair of signs: no model, and nothing follows by units alone.
SQUARE = ((1, 2), (1, -2), (-1, 2), (-1, -2))


class Trace(NamedTuple):
    clauses: tuple[tuple[int, ...], ...]
    steps: tuple[str, ...]

    def holds(self) -> bool:
        try:
            check(self.clauses, read_steps(self.steps))
        except Refused:
            return False
        return True


@cache
def pigeons_in_holes(size: int) -> Trace:
    """So many pigeons in one hole fewer, and a solver's trace that it cannot be."""
    pigeons = [tuple(p * 10 + h for h in range(1, size)) for p in range(1, size + 1)]
    apart = [
        (-(one * 10 + hole), -(other * 10 + hole))
        for hole in range(1, size)
        for one in range(1, size + 1)
        for other in range(1, one)
    ]
    clauses = (*pigeons, *apart)
    with Solver(name="glucose4", with_proof=True) as solver:
        for clause in clauses:
            solver.add_clause(list(clause))
        assert not solver.solve()
        return Trace(clauses, tuple(solver.get_proof()))


def added(trace: Trace) -> list[int]:
    """Where a clause is added that is neither empty nor a clause of the question."""
    return [
        n
        for n, line in enumerate(trace.steps)
        if not line.startswith("d") and line.split() != ["0"]
    ]


def test_the_steps_of_a_real_trace_replay() -> None:
    assert pigeons_in_holes(4).holds()
    assert len(added(pigeons_in_holes(4))) > 3


def test_a_trace_cut_short_is_refused_wherever_it_matters() -> None:
    trace = pigeons_in_holes(4)
    cut = [trace._replace(steps=trace.steps[:n]) for n in range(len(trace.steps))]
    # What is left may already be a contradiction by units; once it is, it stays one.
    verdicts = [one.holds() for one in cut]
    assert not verdicts[0]
    assert verdicts == sorted(verdicts)
    assert verdicts.count(False) >= 3


def test_a_trace_without_its_added_clauses_is_refused() -> None:
    trace = pigeons_in_holes(4)
    bare = tuple(line for n, line in enumerate(trace.steps) if n not in added(trace))
    assert not trace._replace(steps=bare).holds()


def test_a_literal_turned_round_in_the_clause_that_is_learnt_first_is_refused() -> None:
    trace = pigeons_in_holes(4)
    first = added(trace)[0]
    lits = trace.steps[first].split()
    for place in range(len(lits) - 1):
        turned = [*lits]
        turned[place] = str(-int(turned[place]))
        steps = (*trace.steps[:first], " ".join(turned), *trace.steps[first + 1 :])
        assert not trace._replace(steps=steps).holds(), turned


def test_a_trace_is_of_its_own_clauses_and_of_no_others() -> None:
    trace = pigeons_in_holes(4)
    for left_out in range(len(trace.clauses)):
        others = trace.clauses[:left_out] + trace.clauses[left_out + 1 :]
        assert not trace._replace(clauses=others).holds(), left_out


def spoilt(steps: list[str], rng: random.Random) -> list[str]:
    """The steps with one thing done to them."""
    n, m = rng.randrange(len(steps)), rng.randrange(len(steps))
    match rng.choice(("drop", "repeat", "swap", "turn", "cut", "nonsense")):
        case "drop" if len(steps) > 1:
            return [*steps[:n], *steps[n + 1 :]]
        case "repeat":
            return [*steps[:n], steps[m], *steps[n:]]
        case "swap":
            steps = [*steps]
            steps[n], steps[m] = steps[m], steps[n]
            return steps
        case "turn":
            return [*steps[:n], _turned(steps[n], rng), *steps[n + 1 :]]
        case "cut":
            return [*steps[:n], steps[n][: len(steps[n]) // 2]]
    return [*steps[:n], "1 0 0 x", *steps[n + 1 :]]


def _turned(line: str, rng: random.Random) -> str:
    words = line.split() or ["0"]
    place = rng.randrange(len(words))
    word = words[place]
    words[place] = word.removeprefix("-") if word.startswith("-") else f"-{word}"
    return " ".join(words)


def test_whatever_is_done_to_a_trace_no_clauses_with_a_model_are_refuted() -> None:
    trace = pigeons_in_holes(4)
    rng = random.Random(7)  # noqa: S311 - repeatable, nothing secret
    with_model = trace.clauses[1:]
    for _ in range(300):
        steps = list(trace.steps)
        for _ in range(rng.randint(1, 4)):
            steps = spoilt(steps, rng)
        assert not Trace(with_model, tuple(steps)).holds()


def test_a_clause_that_fixes_something_outlives_its_deletion() -> None:
    # Solvers delete the reason of what they hold to be so, and go on holding it.
    clauses = ((1,), (-1, 2), (-2, 3), (-3, -2))
    check(clauses, read_steps(["d -1 2 0", "0"]))
    check(((-1, 2), (1, 2), (-2, 3), (-2, -3)), read_steps(["2 0", "d -1 2 0", "0"]))


def test_a_clause_that_fixes_nothing_is_gone_when_it_is_deleted() -> None:
    with pytest.raises(Refused):
        check(SQUARE, read_steps(["d 1 -2 0", "1 0", "0"]))
