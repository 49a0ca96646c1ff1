"""Traces of clean verdicts replay; a trace that was touched is refused."""

from __future__ import annotations

import ast
from pathlib import Path

import pytest

from bomsvc.core.logic.compiled import compile_catalogue
from bomsvc.core.prove import rup
from bomsvc.core.prove.rup import Refused, check, read_steps
from bomsvc.core.prove.trace import Trace, traces_of
from bomsvc.intake.document import read_document

SEED = Path(__file__).parents[3] / "seed" / "catalogues" / "whimbrel.yaml"

# Two variables, every pair of signs: no model, and nothing follows by units alone.
SQUARE = ((1, 2), (1, -2), (-1, 2), (-1, -2))


def test_every_clean_verdict_has_a_trace_that_replays() -> None:
    catalogue = read_document(SEED.read_bytes(), "yaml")
    traces = list(traces_of(compile_catalogue(catalogue)))
    assert len(traces) > 100
    assert all(trace.holds() for trace in traces)


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
    assert not Trace(SQUARE[:3], ("1 0", "0")).holds()
    assert Trace(SQUARE, ("1 0", "0")).holds()


@pytest.mark.parametrize("line", ["1 2", "1 x 0", "d", "1 0 2 0"])
def test_a_line_that_is_none_is_refused(line: str) -> None:
    with pytest.raises(Refused, match="not a line"):
        read_steps([line])


def test_the_checker_shares_no_code_with_the_logic() -> None:
    tree = ast.parse(Path(rup.__file__ or "").read_text(encoding="utf-8"))
    modules = {
        node.module for node in ast.walk(tree) if isinstance(node, ast.ImportFrom)
    }
    assert modules == {"__future__", "collections", "collections.abc"}
