"""The demo's stated torques: enough to hold, and not more than the screw bears."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal

import pytest

from bomsvc.core.catalogue.entities import Pass
from tests.unit.seed.sense import torques
from tests.unit.seed.sense.engine import Engine
from tests.unit.seed.sense.planting import Planted, about, altered, item


def passed(sense: Engine, joint: str, *figures: dict[str, int]) -> Planted:
    """The document with other passes over all the joint's holes."""
    tighten = item(sense, "joints", joint).tighten
    first = tighten.passes[0]
    passes = [
        Pass(first.groups, first.order, **{k: Decimal(v) for k, v in one.items()})
        for one in figures
    ]
    return altered(
        sense, "joints", joint, tighten=replace(tighten, passes=tuple(passes))
    )


def test_every_torque_holds_and_none_is_too_much(sense: Engine) -> None:
    assert torques.torques_out_of_band(sense) == []


@pytest.mark.parametrize("joint", ["pan_rail", "turbo_foot", "main_cap"])
@pytest.mark.parametrize("torque_nm", [2, 600])
def test_a_torque_out_of_band_is_found(
    sense: Engine, joint: str, torque_nm: int
) -> None:
    odd = passed(sense, joint, {"torque_nm": torque_nm})
    assert about(torques.torques_out_of_band(odd), joint)


def test_a_joint_without_a_torque_is_found(sense: Engine) -> None:
    odd = passed(sense, "pan_rail", {"angle_deg": 90})
    assert about(torques.torques_out_of_band(odd), "pan_rail")


def test_every_angle_starts_from_a_snug_torque(sense: Engine) -> None:
    assert torques.angles_after_no_snug_torque(sense) == []


@pytest.mark.parametrize(
    "figures",
    [
        [{"angle_deg": 90}],
        [{"torque_nm": 400}, {"angle_deg": 90}],
        [{"angle_deg": 90}, {"torque_nm": 80}],
    ],
)
def test_an_angle_from_no_snug_torque_is_found(
    sense: Engine, figures: list[dict[str, int]]
) -> None:
    odd = passed(sense, "head_front_deck", *figures)
    assert about(torques.angles_after_no_snug_torque(odd), "head_front_deck")


def test_torques_rise_from_pass_to_pass(sense: Engine) -> None:
    assert torques.torques_that_fall(sense) == []


def test_a_pass_that_is_no_tighter_is_found(sense: Engine) -> None:
    odd = passed(sense, "gear_case_rail", {"torque_nm": 45}, {"torque_nm": 45})
    assert about(torques.torques_that_fall(odd), "gear_case_rail")
