"""Jobs: what the cheapest way in disturbs, each thing once."""

# Decimals compare with whole numbers here.
# mypy: disable-error-code="comparison-overlap"
from __future__ import annotations

from decimal import Decimal

from bomsvc.core.resolve.lines import Line, Reason, Resolved
from tests.unit.resolve.compact import full, known, listed


def at(found: Resolved, place: str) -> Line:
    (line,) = [one for one in found.lines if place in map(str, one.places)]
    return line


def places(found: Resolved) -> set[str]:
    return {str(p) for line in found.lines for p in line.places}


def test_resealing_the_sump_renews_seals_and_single_use_washers() -> None:
    found = listed(full(plate="shim"), jobs=["reseal_sump"])
    assert at(found, "pan_gasket").qty == 2
    washer = at(found, "washers")
    assert (washer.part, washer.qty, washer.need) == ("D15", 4, "renew")
    assert Reason(reuse="single") in washer.why
    assert Reason(joint="rail", opened_by="pan_off") in washer.why


def test_a_single_use_screw_is_renewed_and_a_reusable_one_is_checked() -> None:
    single = at(listed(full(plate="none"), jobs=["reseal_sump"]), "rail.a")
    again = at(listed(full(plate="thick"), jobs=["reseal_sump"]), "rail.a")
    assert (single.part, single.need, single.take) == ("D81", "renew", 3)
    assert (again.part, again.need, again.qty, again.take) == ("D84", "check", 3, 0)


def test_a_screw_of_limited_reuse_is_checked_against_its_limit() -> None:
    line = at(listed(full(), jobs=["mains"]), "cap[1].c")
    assert (line.part, line.need, line.take) == ("D82", "check", 0)
    assert line.limit is not None
    assert line.limit.max_length_mm == Decimal("62.5")
    assert line.limit.max_uses == 3
    assert Reason(reuse="limited") in line.why


def test_what_the_steps_use_is_taken_and_says_for_what() -> None:
    line = at(listed(full(sump="front"), jobs=["reseal_sump"]), "fill_oil")
    assert (line.part, line.qty, line.unit) == ("D90", 12, "LTR")
    assert line.why == (Reason(step="fill_oil", needed_by="drain_oil"),)


def test_fluids_of_several_steps_are_one_line() -> None:
    found = listed(full(sump="rear"), jobs=["reseal_sump", "filter_job"])
    line = at(found, "fill_oil")
    assert line.qty == 15
    assert [str(p) for p in line.places] == ["fill_oil", "top_up"]


def test_shared_strip_down_is_counted_once() -> None:
    apart = [listed(full(), jobs=[job]) for job in ("reseal_sump", "mains")]
    together = listed(full(), jobs=["reseal_sump", "mains"])
    works = [found.work for found in (*apart, together)]
    sump, mains, both = (work.minutes[0] for work in works if work is not None)
    assert both == mains < sump + mains


def test_what_the_job_checks_has_the_fitted_quantity_and_takes_none() -> None:
    line = at(listed(full(), jobs=["mains"]), "main_cap[1]")
    assert (line.need, line.qty, line.take) == ("check", 3, 0)
    assert line.instructions == ("to its bearing",)


def test_what_is_renewed_with_a_part_is_on_the_list() -> None:
    front = listed(full(sump="front"), jobs=["pan_job"])
    rear = listed(full(sump="rear"), jobs=["pan_job"])
    assert at(front, "pan_plug").part == "D16"
    assert Reason(renewed_with="pan") in at(front, "pan_plug").why
    assert "pan_plug" not in places(rear)


def test_matched_parts_that_come_out_go_back_as_they_were() -> None:
    found = listed(full(), jobs=["mains"])
    assert found.work is not None
    stays = {(s.position, s.text) for s in found.work.stays}
    assert ("main_cap[2]", "to its bearing") in stays


def test_what_a_new_pump_brings_is_not_listed_again() -> None:
    whole = listed(full(pump_kind="whole"), jobs=["pump_job"])
    plain = listed(full(pump_kind="plain"), jobs=["pump_job"])
    assert "pump_seal" not in places(whole)
    assert "pump_seal" in places(plain)


def test_reusable_nuts_and_staying_studs_are_left_alone() -> None:
    found = listed(full(), jobs=["pump_job"])
    assert not {"pump_nut", "pump_stud"} & places(found)


def test_the_work_stands_in_order_with_lifts_and_cautions() -> None:
    found = listed(full(), jobs=["reseal_sump"])
    assert found.work is not None
    steps = [(s.step, s.phase, s.order) for s in found.work.steps]
    assert steps == [
        ("drain_oil", "strip", 1),
        ("pan_off", "strip", 2),
        ("pan_off", "refit", 3),
        ("fill_oil", "refit", 4),
    ]
    assert found.work.steps[1].lift_kg == Decimal("31.1")
    assert found.work.minutes == (Decimal(61), Decimal(61))
    assert found.work.tools == ("torque wrench",)
    assert found.work.cautions == (
        "hot oil",
        "Take the pan off: lifts up to 31.1 kg. Use rated lifting gear and keep clear "
        "of the load; local codes and licensed practice prevail.",
    )


def test_a_light_pan_needs_no_lifting_caution() -> None:
    found = listed(full(sump="front"), jobs=["reseal_sump"])
    assert found.work is not None
    assert found.work.cautions == ("hot oil",)


def test_a_job_that_this_engine_does_not_have_says_so() -> None:
    found = listed(full(plate="none"), jobs=["plate_job"])
    (fault,) = found.faults
    assert (fault.code, fault.at) == ("job_absent", "plate_job")
    assert found.lines == ()


def test_no_way_in_is_a_fault_and_the_list_still_has_what_the_job_names() -> None:
    found = listed(full(), jobs=["stuck_job"])
    (fault,) = found.faults
    assert fault.code == "position_stuck"
    assert fault.detail == (
        "No step of this engine frees block; it is wanted by stuck_job."
    )
    assert places(found) == {"block"}
    assert found.work is None


def test_a_half_known_engine_has_least_and_most_minutes() -> None:
    found = listed(known(sump="rear"), jobs=["plate_job"])
    assert found.work is not None
    # Without a plate there is no such job.
    assert found.work.minutes == (Decimal(0), Decimal(71))
    assert found.work.basis == "exact"
    assert {s.state for s in found.work.steps} == {"open"}
    assert found.work.other_way is None


def test_a_step_that_does_not_exist_cannot_be_pinned() -> None:
    found = listed(full(plate="none"), jobs=["reseal_sump"], by_way_of=("plate_off",))
    assert [f.code for f in found.faults] == ["by_way_of_absent"]


def test_the_same_place_asked_for_by_job_and_by_position_is_listed_once() -> None:
    found = listed(full(plate="none"), jobs=["reseal_sump"], positions=["pan_gasket"])
    assert at(found, "pan_gasket").qty == 1


def test_asking_for_the_joint_renews_what_the_job_would_only_check() -> None:
    found = listed(full(plate="thick"), jobs=["reseal_sump"], joints=["rail"])
    assert at(found, "rail.a").need == "renew"
