"""A pool that has forgotten its builds costs time, never an answer."""

from __future__ import annotations

from bomsvc.core.logic.compiled import compile_catalogue
from bomsvc.core.logic.known import NOTHING
from bomsvc.core.logic.reasoner import Reasoner
from tests.unit.logic.big_families import big_family


def test_states_are_the_same_after_the_pool_forgot_every_build() -> None:
    compiled = compile_catalogue(big_family(60, 200))
    lits = tuple(
        fitment.applies
        for position in compiled.standing.positions.values()
        for fitment in position.fitments
    )
    worn = Reasoner(compiled)
    worn.identify(NOTHING)
    worn._rules(NOTHING).pool._used[:] = 0
    assert worn.states(NOTHING, lits) == Reasoner(compiled).states(NOTHING, lits)
