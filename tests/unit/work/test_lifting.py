"""Which steps carry a lifting caution."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

import pytest

from bomsvc.core.logic.standing import Lit
from bomsvc.core.work import Plan, WorkSettings, plan, plan_literals
from bomsvc.core.work.values import Lifting
from tests.unit.work.worlds import World, truth_of


def head(step: dict[str, Any] | None = None, **parts: Any) -> World:
    """A head that a step takes off with its gasket."""
    known: dict[str, Any] = {"head": {"mass": Decimal(20)}, "bracket": {}}
    known["gasket"] = {"kind": "gasket", "mass": None}
    known.update(parts)
    return World(
        parts=known,
        positions={
            "head": {"fitments": [("head", 1)]},
            "gasket": {"fitments": [("gasket", 1)]},
            "bracket": {"fitments": [("bracket", 1)]},
        },
        steps={"lift": {"frees": ["head", "gasket", "bracket"], **(step or {})}},
        jobs={"job": {"do": ["lift"]}},
    )


def lifted(
    world: World, true: tuple[int, ...] = (), limit: str = "25"
) -> tuple[Lifting, ...]:
    settings = WorkSettings(lift_limit_kg=Decimal(limit))
    literals = {
        1,
        *map(abs, plan_literals(world.revision(), ["job"], settings=settings)),
    }

    def truth(lit: Lit) -> bool:
        assert abs(lit) in literals
        return truth_of(true)(lit)

    found = plan(world.revision(), truth, ["job"], settings=settings)
    assert isinstance(found, Plan)
    return found.lifting


def test_a_light_part_carries_no_caution_though_its_gasket_is_not_weighed() -> None:
    assert lifted(head()) == ()


def test_the_sum_of_what_leaves_counts() -> None:
    world = head(bracket={"mass": Decimal("5.1")})
    assert lifted(world) == (Lifting("lift", Decimal("25.1"), stated=False),)


def test_exactly_the_limit_is_not_too_much() -> None:
    assert lifted(head(bracket={"mass": Decimal(5)})) == ()


def test_an_unknown_mass_always_carries_a_caution() -> None:
    world = head(bracket={"mass": None})
    assert lifted(world) == (Lifting("lift", None, stated=False),)


@pytest.mark.parametrize(("kg", "count"), [(25, 0), (26, 1)])
def test_what_the_step_states_goes_before_the_sum(kg: int, count: int) -> None:
    found = lifted(head({"lift": Decimal(kg)}, bracket={"mass": None}))
    assert len(found) == count
    assert all(one.stated and one.mass_kg == kg for one in found)


def test_the_quantity_counts() -> None:
    world = head()
    world.positions["head"]["qty"] = Decimal(2)
    assert lifted(world) == (Lifting("lift", Decimal(40), stated=False),)


def test_the_limit_is_the_shops_own() -> None:
    assert len(lifted(head(), limit="15")) == 1


def test_of_several_heads_the_one_that_is_fitted_counts() -> None:
    world = head(heavy={"mass": Decimal(31)})
    world.positions["head"]["fitments"] = [("head", 2), ("heavy", -2)]
    assert lifted(world, true=(2,)) == ()
    assert lifted(world) == (Lifting("lift", Decimal(31), stated=False),)
