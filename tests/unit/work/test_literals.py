"""Which literals a plan depends on: all that matter, and few others."""

from __future__ import annotations

from bomsvc.core.logic.standing import Lit
from bomsvc.core.work import plan_literals, work_literals
from tests.unit.work.worlds import World


def bearing() -> World:
    """A bearing in three undersizes, under a cover some builds have."""
    return World(
        parts={"std": {"reuse": "single"}, "us25": {"reuse": "single"}, "cover": {}}
        | {"us50": {"reuse": "single"}},
        positions={
            "bearing": {"fitments": [("std", 2), ("us25", 3), ("us50", 4)]},
            "cover": {"exists": 5, "fitments": [("cover", 5)]},
        },
        steps={
            "cap_off": {
                "frees": ["bearing"],
                "needs": ["cover"],
                "uses": [("oil", 6), ("paste", 1)],
            },
            "cover_off": {"frees": ["cover"], "exists": 7},
        },
        jobs={"job": {"renew": ["bearing"], "exists": 8}},
    )


def test_undersizes_that_are_worked_on_alike_do_not_multiply_the_cases() -> None:
    assert set(plan_literals(bearing().revision(), ["job"])) == {5, 7, 8}


def test_what_the_steps_use_matters_to_the_list_only() -> None:
    assert set(work_literals(bearing().revision(), ["job"])) == {5, 6, 7, 8}


def test_a_size_that_is_renewed_with_more_matters() -> None:
    world = bearing()
    world.parts["us50"]["renew_with"] = ["cover"]
    assert 4 in plan_literals(world.revision(), ["job"])
    assert 2 not in plan_literals(world.revision(), ["job"])


def test_what_is_settled_is_not_asked_and_cuts_off_what_hangs_on_it() -> None:
    def settled(lit: Lit) -> bool | None:
        return {5: False, 8: True}.get(lit)

    assert plan_literals(bearing().revision(), ["job"], settled=settled) == ()


def test_a_job_certainly_absent_depends_on_nothing() -> None:
    def settled(lit: Lit) -> bool | None:
        return False if lit == 8 else None

    assert work_literals(bearing().revision(), ["job"], settled=settled) == ()
