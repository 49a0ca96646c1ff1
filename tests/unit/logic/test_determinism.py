"""Results depend on the question only: not on solver, history, hashing or threads."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from typing import Any

import pytest

from bomsvc.core.logic.answers import read_answers
from bomsvc.core.logic.compiled import Compiled, compile_catalogue
from bomsvc.core.logic.deciding import Outcomes
from bomsvc.core.logic.known import Known
from bomsvc.core.logic.reasoner import Reasoner
from bomsvc.service.replies.identify import identify_reply
from tests.unit.logic.big_families import big_family

SOLVERS = ["glucose4", "cadical153", "minisat22"]
ROOT = Path(__file__).parents[3]
COMPILED = compile_catalogue(big_family(24, 24, seed=5))


def knowns(compiled: Compiled) -> list[Known]:
    asked: list[dict[str, Any]] = [
        {},
        {"o0": "c1"},
        {"o3": {"not": ["c0"]}, "serial": "1500..4500"},
        {f"o{i}": "c1" for i in range(0, 24, 3)},
        {f"o{i}": f"c{i % 2}" for i in range(24)},
    ]
    readable = []
    for answers in asked:
        kept = {
            key: value
            for key, value in answers.items()
            if key == "serial" or compiled.options[key].option.choose == "one"
        }
        readable.append(read_answers(compiled, kept))
    return readable


def everything(reasoner: Reasoner, known: Known) -> dict[str, Any]:
    """Every answer about one state of knowledge, as plain data."""
    compiled = reasoner.compiled
    reply = identify_reply(reasoner.identify(known), revision={})
    found: dict[str, Any] = {"identify": reply}
    if not reasoner.consistent(known):
        return found
    fits = [f for p in compiled.standing.positions.values() for f in p.fitments]
    lits = tuple(f.applies for f in fits)
    places = [Outcomes(lits[i : i + 4]) for i in (0, 8, 16)]
    witness = reasoner.witness(known)
    completed = reasoner.complete(known)
    assert witness is not None
    assert completed is not None
    found["witness"] = witness.answers
    found["complete"] = [completed.build.answers, dict(completed.how)]
    cases = reasoner.cases(known, lits[:6], limit=5)
    found["cases"] = [list(map(list, cases.vectors)), cases.complete]
    found["states"] = list(reasoner.states(known, lits))
    found["deciding"] = list(reasoner.deciding(known, places))
    found["questions"] = [
        [q.option, q.expected_after, q.exact] for q in reasoner.questions(known, places)
    ]
    found["why"] = [repr(reasoner.why(known, lit)) for lit in lits[:6]]
    found["covers"] = [repr(reasoner.cover(known, lit)) for lit in lits[:3]]
    return found


def record(solver: str) -> str:
    reasoner = Reasoner(COMPILED, solver=solver)
    return json.dumps([everything(reasoner, known) for known in knowns(COMPILED)])


def test_all_solvers_give_the_same_answers() -> None:
    one, *others = map(record, SOLVERS)
    assert all(other == one for other in others)
    assert '"consistent": false' in one
    assert '"exact"' not in one


def test_the_answers_do_not_depend_on_what_was_asked_before() -> None:
    used = Reasoner(COMPILED)
    for known in reversed(knowns(COMPILED)):
        everything(used, known)
    again = json.dumps([everything(used, known) for known in knowns(COMPILED)])
    assert again == record("glucose4")


@pytest.mark.parametrize("seed", ["0", "1", "2"])
def test_the_answers_do_not_depend_on_hashing(seed: str) -> None:
    code = (
        "from tests.unit.logic.test_determinism import record;print(record('glucose4'))"
    )
    done = subprocess.run(
        [sys.executable, "-c", code],
        cwd=ROOT,
        env={**os.environ, "PYTHONHASHSEED": seed},
        capture_output=True,
        text=True,
        check=True,
    )
    assert done.stdout.strip() == record("glucose4")


def test_one_reasoner_serves_many_threads() -> None:
    shared = Reasoner(COMPILED)
    asked = knowns(COMPILED) * 4
    with ThreadPoolExecutor(6) as threads:
        found = list(threads.map(lambda known: everything(shared, known), asked))
    assert json.dumps(found[: len(asked) // 4]) == record("glucose4")
    assert found[: len(asked) // 4] * 4 == found
