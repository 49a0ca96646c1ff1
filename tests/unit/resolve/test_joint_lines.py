"""Joints: seals, screws sized for every stack, and what goes with them."""

from __future__ import annotations

from fractions import Fraction

from bomsvc.core.resolve.lines import Line, Reason, Resolved
from tests.unit.resolve.compact import full, known, listed


def at(found: Resolved, place: str) -> Line:
    (line,) = [one for one in found.lines if place in map(str, one.places)]
    return line


def test_a_joint_takes_its_seals_its_screws_and_its_washers() -> None:
    found = listed(full(plate="shim"), joints=["rail"])
    taken = {str(p): line.part for line in found.lines for p in line.places}
    assert taken == {
        "pan_gasket": "D12",
        "plate_gasket": "D12",
        "washers": "D15",
        "rail.a": "D81",
        "rail.b": "D81",
    }
    assert {line.need for line in found.lines} == {"renew"}
    assert Reason(joint="rail") in at(found, "rail.a").why


def test_the_plate_in_the_stack_gets_the_longer_screw() -> None:
    thin = at(listed(full(plate="none"), joints=["rail"]), "rail.a")
    thick = at(listed(full(plate="thick"), joints=["rail"]), "rail.a")
    assert (thin.part, thick.part) == ("D81", "D84")
    assert thin.screw is not None
    assert thick.screw is not None
    assert thin.screw.clamp_mm[0] == Fraction("14.8")
    # Plate and its gasket come on top of pan, gasket and washer.
    assert thick.screw.clamp_mm[0] == Fraction("14.8") + Fraction("20.8")


def test_screws_of_different_groups_stay_different_lines() -> None:
    found = listed(full(), joints=["rail"])
    assert at(found, "rail.a").qty == 3
    assert at(found, "rail.b").qty == 1


def test_members_of_a_series_are_places_of_one_screw_line() -> None:
    line = at(listed(full(), joints=["cap"]), "cap[1].c")
    assert line.qty == 6
    assert [str(p) for p in line.places] == ["cap[1].c", "cap[2].c", "cap[3].c"]
    assert line.places[0].holes == (1, 2)
    assert line.cases == ()


def test_one_screw_for_two_stacks_is_certain_and_carries_both_figures() -> None:
    found = listed(known(sump="rear", plate={"not": ["thick"]}), joints=["rail"])
    line = at(found, "rail.a")
    assert (line.part, line.state) == ("D81", "certain")
    assert [case.when for case in line.cases] == ["plate = none", "plate = shim"]
    # The tightest of the stacks is the one that stands on the line.
    rooms = [c.figures.margins.least() for c in line.cases if c.figures.margins]
    assert line.screw is not None
    assert line.screw.margins is not None
    assert line.screw.margins.least() == min(rooms)


def test_two_screws_for_two_stacks_are_open_with_their_forms() -> None:
    found = listed(known(sump="rear"), joints=["rail"])
    one = next(o for o in found.open if str(o.place) == "rail.a")
    assert one.decided_by == ("plate",)
    assert [[p.part for p in c.parts] for c in one.candidates] == [["D81"], ["D84"]]
    assert all(c.screw is not None for c in one.candidates)


def test_studs_that_stay_are_not_taken_their_nuts_are() -> None:
    found = listed(full(), joints=["pump"])
    taken = {str(p): line.qty for line in found.lines for p in line.places}
    assert taken == {"pump_gasket": 1, "pump_nut": 3}


def test_a_joint_shows_its_groups_its_passes_and_its_studs_figures() -> None:
    found = listed(full(), joints=["rail", "pump"])
    rail, pump = found.joints
    assert [g.group for g in rail.groups] == ["a", "b"]
    assert [g.part for g in rail.groups] == ["D81", "D81"]
    assert rail.passes[0].order == (1, 3, 2, 4)
    assert rail.passes[0].torque_nm == 48
    (stud,) = pump.groups
    assert stud.part is None
    assert stud.screw is not None
    assert stud.screw.stud is not None
    assert stud.screw.stud.stays


def test_a_group_that_only_the_rear_sump_has_is_open_while_the_sump_is() -> None:
    found = listed(known(plate="none"), joints=["rail"])
    one = next(o for o in found.open if str(o.place) == "rail.b")
    assert sorted(len(c.parts) for c in one.candidates) == [0, 1]
    assert one.decided_by == ("sump",)
    (rail,) = found.joints
    assert [g.state for g in rail.groups] == ["certain", "open"]


def test_a_settled_joint_is_drawn_and_an_open_one_is_not() -> None:
    (settled,) = listed(full(), joints=["rail"]).joints
    (half_known,) = listed(known(), joints=["rail"]).joints
    assert settled.svg is not None
    assert settled.svg.startswith("<svg")
    assert settled.sheet is not None
    assert [row.holes for row in settled.sheet.rows] == [(1, 2, 3, 4)]
    assert settled.sheet.rows[0].reuse == "Single use: always renew."
    assert half_known.svg is None
    assert half_known.sheet is None


def test_the_usual_cautions_stand_beside_every_drawn_joint() -> None:
    (rail,) = listed(full(), joints=["rail"]).joints
    assert any("maker's current manual prevails" in text for text in rail.cautions)


def test_the_whole_lists_its_screws_and_draws_no_joint_that_was_not_asked_for() -> None:
    assert listed(full(), whole=True).joints == ()
    assert len(listed(full(), whole=True, joints=["rail"]).joints) == 1
