"""The demo's holes lie in metal, apart from one another, and are all tightened."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal
from typing import Any

import pytest

from bomsvc.core.catalogue.entities import HolePlace
from tests.unit.seed.sense import holes
from tests.unit.seed.sense.engine import Engine
from tests.unit.seed.sense.planting import Planted, about, altered, item


def moved(sense: Engine, joint: str, hole: int, to: HolePlace) -> Planted:
    """The document with one hole of a joint somewhere else."""
    groups = tuple(
        replace(g, holes=tuple(to if h.hole == hole else h for h in g.holes))
        for g in item(sense, "joints", joint).groups
    )
    return altered(sense, "joints", joint, groups=groups)


def at(hole: int, x: float | None, y: float | None) -> HolePlace:
    spot = [None if c is None else Decimal(str(c)) for c in (x, y)]
    return HolePlace(hole, *spot)


def test_every_hole_lies_in_metal(sense: Engine) -> None:
    assert holes.holes_outside_the_metal(sense) == []


@pytest.mark.parametrize(
    ("joint", "hole", "x", "y"),
    [
        ("pan_rail", 1, -20, 14),  # outside
        ("pan_rail", 1, 110, 7),  # less than 8 mm from the edge
        ("gear_case_rail", 1, 260, 150),  # in the opening for the crankshaft
        ("gear_case_rail", 1, 260, 236),  # less than 10 mm from that opening
        ("pan_rail", 1, None, None),  # nowhere
    ],
)
def test_a_hole_outside_the_metal_is_found(
    sense: Engine, joint: str, hole: int, x: float | None, y: float | None
) -> None:
    odd = moved(sense, joint, hole, at(hole, x, y))
    assert about(holes.holes_outside_the_metal(odd), f"{joint}: hole {hole}")


def test_a_joint_without_a_drawing_is_found(sense: Engine) -> None:
    odd = altered(sense, "joints", "pan_rail", drawing=None)
    assert about(holes.holes_outside_the_metal(odd), "pan_rail")


def test_a_socket_goes_over_every_head(sense: Engine) -> None:
    assert holes.holes_too_near_one_another(sense) == []


def test_two_holes_too_near_one_another_are_found(sense: Engine) -> None:
    odd = moved(sense, "pan_rail", 1, at(1, 215, 14))
    assert about(holes.holes_too_near_one_another(odd), "holes 1 and 2")


def test_holes_of_two_engines_may_share_a_place(sense: Engine) -> None:
    """The injector clamp of the front head and of the rear one: never both."""
    seat = item(sense, "joints", "injector_seat")
    spots = [(hole.x, hole.y) for group in seat.groups for hole in group.holes]
    assert len(set(spots)) < len(spots)
    assert not about(holes.holes_too_near_one_another(sense), "injector_seat")


def test_every_hole_has_a_name_of_its_own(sense: Engine) -> None:
    assert holes.holes_of_one_name(sense) == []


def test_two_holes_of_one_name_are_found(sense: Engine) -> None:
    odd = moved(sense, "pan_rail", 1, at(2, 110, 14))
    assert about(holes.holes_of_one_name(odd), "pan_rail")


def test_every_pass_names_each_of_its_holes_once(sense: Engine) -> None:
    assert holes.holes_left_out_of_an_order(sense) == []


def left_out(tighten: Any) -> Any:
    first, *rest = tighten.passes
    return replace(tighten, passes=(replace(first, order=first.order[1:]), *rest))


def twice(tighten: Any) -> Any:
    first, *rest = tighten.passes
    return replace(
        tighten, passes=(replace(first, order=(*first.order, first.order[0])), *rest)
    )


def one_group_never(tighten: Any) -> Any:
    one = replace(tighten.passes[0], groups=("rim",), order=())
    return replace(tighten, passes=(one,))


def loosened_in_part(tighten: Any) -> Any:
    return replace(tighten, loosen_order=(1, 2))


def no_pass(tighten: Any) -> Any:
    return replace(tighten, passes=())


@pytest.mark.parametrize(
    "plant", [left_out, twice, one_group_never, loosened_in_part, no_pass]
)
def test_an_order_that_is_not_whole_is_found(sense: Engine, plant: Any) -> None:
    tighten = plant(item(sense, "joints", "gear_case_rail").tighten)
    odd = altered(sense, "joints", "gear_case_rail", tighten=tighten)
    assert about(holes.holes_left_out_of_an_order(odd), "gear_case_rail")
