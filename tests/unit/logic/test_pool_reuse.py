"""What known builds show is not asked of the solver again."""

from __future__ import annotations

from collections.abc import Sequence

import pytest

from bomsvc.core.logic.answers import read_answers
from bomsvc.core.logic.compiled import compile_catalogue
from bomsvc.core.logic.engine import Engine
from bomsvc.core.logic.reasoner import Reasoner
from tests.unit.logic.big_families import big_family


def test_a_condition_seen_both_ways_is_not_asked_of_the_solver_again(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    family = compile_catalogue(big_family(60, 400, seed=1))
    lits = [f.applies for p in family.standing.positions.values() for f in p.fitments]
    first, other = tuple(lits[:200]), tuple(lits[200:])
    reasoner = Reasoner(family)
    nothing = read_answers(family, {})
    asked: list[int] = []
    solve = Engine.solve

    def counted(engine: Engine, assumptions: Sequence[int]) -> bool:
        asked.append(len(assumptions))
        return solve(engine, assumptions)

    monkeypatch.setattr(Engine, "solve", counted)
    found = reasoner.states(nothing, first)
    fresh = len(asked)
    for turn in range(500):
        reasoner.possible(nothing, [other[turn % len(other)]])
    asked.clear()
    assert reasoner.states(nothing, first) == found
    # Only what no build can show is asked again.
    never_both_ways = found.count("excluded") + found.count("certain")
    assert len(asked) <= never_both_ways < fresh
