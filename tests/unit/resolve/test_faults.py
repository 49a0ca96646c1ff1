"""Drafts that are not proven yet: what is missing is a fault, never an exception."""

from __future__ import annotations

from bomsvc.core.resolve.lines import Fault, Line, Resolved
from tests.unit.resolve.compact import changed, full, known, listed

PAN_PAD = "{number: D11, name: Rear pan, mass_kg: 31, pads: {rail: {mm: 12, tol: 0.3}}}"
RAIL_HOLE = "rail: {thread: M10, form: blind, threaded_mm: 26, drilled_mm: 36,"


def at(found: Resolved, place: str) -> Line:
    (line,) = [one for one in found.lines if place in map(str, one.places)]
    return line


def fault(found: Resolved, place: str) -> Fault:
    return next(one for one in found.faults if one.at == place)


def test_a_part_without_the_pad_leaves_the_screw_unsized_and_wanted() -> None:
    draft = changed((PAN_PAD, "{number: D11, name: Rear pan}"))
    found = listed(full(), draft=draft, joints=["rail"])
    line = at(found, "rail.a")
    assert (line.part, line.wanted) == (None, "ISO 4762 - M10 - 10.9")
    assert line.screw is None
    assert fault(found, "rail.a") == Fault(
        "pad_missing", "rail.a", "D11 in pan says no pad 'rail'."
    )


def test_the_fault_says_under_which_condition_it_stands() -> None:
    draft = changed((PAN_PAD, "{number: D11, name: Rear pan, pads: {rim: {mm: 1}}}"))
    found = listed(known(plate="none"), draft=draft, joints=["rail"])
    assert fault(found, "rail.a").when == "sump = rear"
    assert fault(found, "rail.a").detail == (
        "D11 in pan says no pad 'rail' (it has rim)."
    )


def test_a_hole_that_is_not_there_is_a_fault() -> None:
    draft = changed((RAIL_HOLE, RAIL_HOLE.replace("rail:", "rim:")))
    found = listed(full(), draft=draft, joints=["rail"])
    assert fault(found, "rail.a").code == "hole_missing"
    assert fault(found, "rail.a").detail == "D01 in block has no hole 'rail'."


def test_nothing_to_screw_into_is_a_fault() -> None:
    draft = changed(
        (
            "{position: block, part: D01}",
            "{position: block, part: D01, when: sump = front}",
        )
    )
    found = listed(full(sump="rear"), draft=draft, joints=["rail"])
    assert fault(found, "rail.a").detail == "nothing sits in block to screw into."


def test_a_screw_that_fits_without_a_number_is_named_by_its_designation() -> None:
    draft = changed(("length_mm: 55,", "length_mm: 90,"))
    found = listed(full(plate="thick"), draft=draft, joints=["rail"])
    line = at(found, "rail.a")
    assert (line.part, line.wanted) == (None, "ISO 4762 - M10 x 55 - 10.9")
    assert line.name == line.wanted
    assert fault(found, "rail.a").code == "screw_not_listed"


def test_no_screw_at_all_says_which_bound_fails() -> None:
    draft = changed((RAIL_HOLE, RAIL_HOLE.replace("threaded_mm: 26", "threaded_mm: 9")))
    found = listed(full(plate="none"), draft=draft, joints=["rail"])
    line = at(found, "rail.a")
    assert line.part is None
    assert line.screw is not None
    assert line.screw.failure is not None
    assert fault(found, "rail.a").code == "screw_none_fits"


def test_a_quantity_beside_the_holes_is_a_fault() -> None:
    draft = changed(
        ("{position: washers, part: D15}", "{position: washers, part: D15, qty: 4}")
    )
    found = listed(full(sump="front"), draft=draft, positions=["washers"])
    assert at(found, "washers").qty == 3
    assert fault(found, "washers").detail == (
        "D15 in washers is needed once per hole; its quantity must be 1, not 4."
    )


def test_a_gap_and_an_overlap_are_faults_of_the_position() -> None:
    gap = changed(
        (
            "{position: pan, part: D11, when: sump = rear}",
            "{position: pan, part: D11, when: plate = thick}",
        )
    )
    found = listed(full(sump="rear"), draft=gap, positions=["pan"])
    assert found.lines == ()
    assert [f.code for f in found.faults] == ["position_gap"]
    both = changed(
        ("{position: pan, part: D11, when: sump = rear}", "{position: pan, part: D11}")
    )
    found = listed(full(sump="front"), draft=both, positions=["pan"])
    assert [line.part for line in found.lines] == ["D10", "D11"]
    assert [f.code for f in found.faults] == ["position_overlap"]


def test_a_nut_without_its_figures_takes_them_from_its_standard() -> None:
    found = listed(full(), joints=["pump"])
    assert found.faults == ()
    other = changed(
        (
            "nut: {standard: ISO 4032, thread: M8}",
            "nut: {standard: ISO 4032, thread: M30}",
        )
    )
    found = listed(full(), draft=other, joints=["pump"])
    assert fault(found, "pump.s").code == "screw_unknown"


def test_a_draft_without_nut_or_stud_data_says_so() -> None:
    plain = changed(("nut: {standard: ISO 4032, thread: M8}", "cautions: [x]"))
    found = listed(full(), draft=plain, joints=["pump"])
    assert fault(found, "pump.s").detail == "no nut with its data at the thread's end."


def test_an_unknown_standard_is_a_fault_of_the_group() -> None:
    draft = changed(
        (
            "screw: {standard: [ISO 4762], thread: M10,",
            "screw: {standard: [ISO 9999], thread: M10,",
        )
    )
    found = listed(full(), draft=draft, joints=["rail"])
    assert fault(found, "rail.a").code == "screw_unknown"
    assert at(found, "rail.a").part is None
