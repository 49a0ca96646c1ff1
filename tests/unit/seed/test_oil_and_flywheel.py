"""Oil, its filler and the flywheel end of the demo engine, as a fitter finds them."""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction
from typing import TYPE_CHECKING, Any

import pytest

from bomsvc.core.resolve.lines import Resolved
from bomsvc.core.work import Plan, plan

if TYPE_CHECKING:
    from tests.unit.seed.conftest import Demo

PUMP: dict[str, Any] = {
    "use": "pump",
    "plant": "north",
    "output": "kw230",
    "sump": "rear",
    "drive": "none",
    "pto": "none",
    "damper": "rubber",
    "housing": "sae1",
    "serial": 210_500,
}


def lengths(demo: Demo, joint: str, **known: Any) -> set[Fraction]:
    """Screw lengths of a joint, mm."""
    found = demo.lists({**PUMP, **known}, joints=[joint])
    sized = [g.screw for form in found.joints for g in form.groups if g.screw]
    assert all(one.findings == () for one in sized)
    return {one.chosen.length_mm for one in sized if one.chosen is not None}


def steps(demo: Demo, known: dict[str, Any], *jobs: str) -> set[str]:
    build = demo.reasoner.witness(demo.known(known))
    assert build is not None
    found = plan(demo.compiled, build.truth, jobs)
    assert isinstance(found, Plan)
    return {step.key for step in found.steps}


def litres(found: Resolved) -> Decimal:
    return sum((x.qty for x in found.lines if x.part == "W90.0001"), Decimal(0))


# Screws that follow a part between


@pytest.mark.parametrize(
    ("joint", "known", "other", "longer_mm"),
    [
        ("starter_flange", {}, {"housing": "sae2"}, 10),
        ("filler_port", {"filler": "front"}, {"filler": "side"}, 10),
        ("coupling_rim", {}, {"use": "boat"}, 5),
        ("damper_nose", {}, {"use": "harvester", "sump": "front"}, 10),
        ("oil_cooler_rim", {}, {"output": "kw280", "damper": "viscous"}, 10),
        ("breather_foot", {}, {"use": "harvester", "sump": "front"}, 5),
        ("bracket_rear_face", {}, {"use": "boat"}, 5),
    ],
)
def test_a_thicker_part_between_makes_the_screws_longer(
    demo: Demo, joint: str, known: dict[str, Any], other: dict[str, Any], longer_mm: int
) -> None:
    (one,) = lengths(demo, joint, **known)
    (two,) = lengths(demo, joint, **{**known, **other})
    assert two - one == longer_mm


def test_a_geared_starter_needs_a_thicker_spacer_than_a_plain_one(demo: Demo) -> None:
    (plain,) = lengths(demo, "starter_flange", housing="sae2", serial=210_500)
    (geared,) = lengths(demo, "starter_flange", housing="sae2", serial=213_000)
    assert geared > plain


# Ways in


def test_a_pumps_coupling_rubbers_change_through_the_inspection_opening(
    demo: Demo,
) -> None:
    alone = steps(demo, PUMP, "renew_coupling_rubbers")
    assert "rubbers_out_below" in alone
    assert "load_back" not in alone


def test_rubbers_change_on_the_bench_when_the_coupling_is_off_anyway(
    demo: Demo,
) -> None:
    both = steps(demo, PUMP, "renew_coupling_rubbers", "renew_rear_seal")
    assert "rubbers_out" in both
    assert "rubbers_out_below" not in both


def test_a_boats_rubbers_change_only_with_the_gearbox_drawn_back(demo: Demo) -> None:
    assert "load_back" in steps(demo, {"use": "boat"}, "renew_coupling_rubbers")


def test_the_rear_seal_is_drawn_with_its_carrier_left_in_place(demo: Demo) -> None:
    assert "rear_carrier_off" not in steps(demo, PUMP, "renew_rear_seal")
    together = steps(demo, PUMP, "renew_rear_seal", "reseal_rear_carrier")
    assert "rear_seal_off" not in together


# Oil


@pytest.mark.parametrize(("output", "filters"), [("kw230", 1), ("kw280", 2)])
def test_new_filters_take_their_oil_beside_the_fill(
    demo: Demo, output: str, filters: int
) -> None:
    known = {**PUMP, "output": output, "damper": "viscous"}
    left_on = litres(demo.lists(known, jobs=["service_250"]))
    renewed = litres(demo.lists(known, jobs=["change_oil"]))
    assert renewed - left_on == filters * Decimal("1.1")


def test_a_filter_brings_its_own_sealing_ring(demo: Demo) -> None:
    found = demo.lists(PUMP, jobs=["change_oil"])
    assert not [line for line in found.lines if line.part == "W44.0325"]
    assert demo.parts["W44.0320"].includes


def test_nobody_pours_oil_over_a_turning_shaft(demo: Demo) -> None:
    known = demo.known({"pto": "front", "filler": "front"})
    assert not demo.reasoner.consistent(known)
    assert tuple(demo.reasoner.clash(known).rules) == ("front_pto_filler",)


def test_the_gears_are_told_at_a_plug_that_every_front_cover_has(demo: Demo) -> None:
    plug = demo.compiled.standing.positions["inspection_plug"]
    nothing = demo.known({})
    assert demo.reasoner.certain(nothing, plug.exists)
    for option in demo.catalogue.options:
        if option.code in {"gears", "idler"}:
            assert "inspection plug" in (option.ask or "")


def test_no_screw_of_the_flywheel_housing_lies_below_the_sump_rail(demo: Demo) -> None:
    """Front cover and housing share the crankshaft's axis; the block ends at y = 0."""
    joints = {joint.code: joint for joint in demo.catalogue.joints}
    cover = joints["front_cover_rim"].drawing
    assert cover is not None
    axis_mm = cover.circles[0].y
    housing = joints["flywheel_housing_rim"]
    heights = [
        hole.y + axis_mm
        for group in housing.groups
        for hole in group.holes
        if hole.y is not None
    ]
    assert min(heights) > 0


def test_a_mount_is_changed_with_the_engine_jacked_and_not_lifted_out(
    demo: Demo,
) -> None:
    for use in ("pump", "boat"):
        done = steps(demo, {"use": use}, "renew_mounts")
        assert done == {"mounts_off_jacked"}


def test_a_breather_hose_to_the_air_intake_has_a_clamp_at_either_end(
    demo: Demo,
) -> None:
    found = demo.lists({"use": "boat"}, positions=["breather_clamp"])
    assert [line.qty for line in found.lines] == [2]
