"""Traces of clean verdicts replay; a trace that was touched is refused."""

from __future__ import annotations

import ast
from collections.abc import Callable
from functools import partial
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from pysat.solvers import Solver

from bomsvc.core.logic.compiled import compile_catalogue
from bomsvc.core.prove import rup
from bomsvc.core.prove.kept_trace import replay
from bomsvc.core.prove.rup import Checker, Refused, check, read_steps
from bomsvc.core.prove.trace import shared_clauses, traces_of
from bomsvc.intake.document import read_document

SEED = Path(__file__).parents[3] / "seed" / "catalogues" / "whimbrel.yaml"

# Two variables, every pair of signs: no model, and nothing follows by units alone.
SQUARE = ((1, 2), (1, -2), (-1, 2), (-1, -2))


def test_every_clean_verdict_has_a_trace_that_replays() -> None:
    compiled = compile_catalogue(read_document(SEED.read_bytes(), "yaml"))
    traces = traces_of(compiled)
    shared, _ = shared_clauses(compiled.model)
    assert replay(traces, digest=compiled.digest, shared=shared) > 100


def test_a_step_that_follows_is_taken() -> None:
    check(SQUARE, read_steps(["1 0", "0"]))


@pytest.mark.parametrize("lines", [["0"], [], ["d 1 2 0", "1 0", "0"], ["3 0"]])
def test_a_trace_without_the_step_that_matters_is_refused(lines: list[str]) -> None:
    with pytest.raises(Refused):
        check(SQUARE, read_steps(lines))


def test_an_empty_clause_that_holds_only_under_assumptions_is_refused() -> None:
    # Under the assumption -1 the clauses fail; by themselves they have a model.
    with pytest.raises(Refused):
        check(((1, 2), (1, -2)), read_steps(["0"]))
    check(((1, 2), (1, -2), (-1,)), read_steps(["0"]))


def test_a_trace_of_clauses_with_a_model_is_refused() -> None:
    steps = read_steps(["1 0", "0"])
    with pytest.raises(Refused):
        check(SQUARE[:3], steps)
    check(SQUARE, steps)


def test_one_verdict_lends_nothing_to_the_next() -> None:
    checker = Checker(SQUARE[:2])
    steps = read_steps(["1 0", "0"])
    for _ in range(3):
        checker.check(SQUARE[2:], steps)
        with pytest.raises(Refused):
            checker.check(SQUARE[2:3], steps)
        with pytest.raises(Refused):
            checker.check((), read_steps(["-1 0", "0"]))
        checker.check(((-1,),), ())


def test_a_shared_clause_that_one_verdict_deletes_is_there_for_the_next() -> None:
    checker = Checker(SQUARE[:2])
    checker.check(SQUARE[2:], read_steps(["1 0", "d 1 2 0", "d 1 -2 0", "0"]))
    checker.check(SQUARE[2:], read_steps(["1 0", "0"]))


@given(
    st.lists(
        st.lists(
            st.tuples(st.integers(1, 4), st.booleans()).map(
                lambda pair: pair[0] if pair[1] else -pair[0]
            ),
            min_size=1,
            max_size=3,
        ),
        max_size=14,
    ),
    st.lists(st.integers(0, 14), min_size=1, max_size=5),
)
def test_with_shared_clauses_the_checker_says_what_it_says_of_all_at_once(
    clauses: list[list[int]], cuts: list[int]
) -> None:
    def holds(judge: Callable[[], None]) -> bool:
        try:
            judge()
        except Refused:
            return False
        return True

    half = len(clauses) // 2
    checker = Checker(clauses[:half])
    for cut in cuts:
        own = clauses[half : half + cut]
        with Solver(
            name="glucose4", bootstrap_with=clauses[:half] + own, with_proof=True
        ) as solver:
            lines = () if solver.solve() else tuple(solver.get_proof())
        steps = read_steps(lines)
        alone = holds(partial(check, clauses[:half] + own, steps))
        assert alone == holds(partial(checker.check, own, steps))


@pytest.mark.parametrize("line", ["1 2", "1 x 0", "d", "1 0 2 0"])
def test_a_line_that_is_none_is_refused(line: str) -> None:
    with pytest.raises(Refused, match="not a line"):
        read_steps([line])


def test_the_checker_shares_no_code_with_the_logic() -> None:
    tree = ast.parse(Path(rup.__file__ or "").read_text(encoding="utf-8"))
    modules = {
        node.module for node in ast.walk(tree) if isinstance(node, ast.ImportFrom)
    }
    assert modules == {"__future__", "collections", "collections.abc", "itertools"}
