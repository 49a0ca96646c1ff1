"""What is fitted: positions, sections and the whole engine."""

from __future__ import annotations

from decimal import Decimal

from bomsvc.core.resolve.lines import Line, Reason, Resolved
from tests.unit.resolve.compact import full, known, listed


def at(found: Resolved, place: str) -> list[Line]:
    return [line for line in found.lines if place in map(str, line.places)]


def only(found: Resolved, place: str) -> Line:
    (line,) = at(found, place)
    return line


def test_the_build_decides_the_part_and_the_line_says_by_which_answer() -> None:
    line = only(listed(full(sump="front"), positions=["pan"]), "pan")
    assert (line.part, line.state, line.need) == ("D10", "certain", "renew")
    assert line.why == (Reason(position="pan", when="sump = front", given=("sump",)),)


def test_a_part_in_several_places_is_one_line_with_all_of_them() -> None:
    found = listed(full(), positions=["main_cap"])
    (line,) = found.lines
    assert line.qty == 3
    assert [str(p) for p in line.places] == [
        "main_cap[1]",
        "main_cap[2]",
        "main_cap[3]",
    ]


def test_a_section_takes_in_the_sections_below_it() -> None:
    found = listed(full(), sections=["bottom"])
    assert at(found, "pan")
    assert at(found, "block")
    assert not at(found, "pump")


def test_a_position_that_does_not_exist_takes_nothing() -> None:
    found = listed(full(plate="none"), positions=["plate", "pan"])
    assert at(found, "plate") == []
    (fault,) = found.faults
    assert (fault.code, fault.at) == ("position_absent", "plate")


def test_who_asks_for_a_whole_series_is_not_told_of_members_that_are_missing() -> None:
    assert listed(full(), positions=["main_cap", "main_screws"]).faults == ()


def test_washers_come_by_the_holes_of_the_groups_of_this_build() -> None:
    front = listed(full(sump="front"), positions=["washers"])
    rear = listed(full(sump="rear"), positions=["washers"])
    assert only(front, "washers").qty == 3
    assert only(rear, "washers").qty == 4


def test_what_a_part_includes_is_not_listed_again() -> None:
    whole = listed(full(pump_kind="whole"), positions=["pump", "pump_seal"])
    plain = listed(full(pump_kind="plain"), positions=["pump", "pump_seal"])
    assert at(whole, "pump_seal") == []
    assert only(plain, "pump_seal").part == "D42"


def test_what_is_included_is_listed_when_the_including_part_is_not_asked_for() -> None:
    found = listed(full(pump_kind="whole"), positions=["pump_seal"])
    assert only(found, "pump_seal").part == "D42"


def test_an_alternate_is_offered_beside_the_line_and_never_listed() -> None:
    found = listed(full(), positions=["oil_filter"])
    line = only(found, "oil_filter")
    assert line.part == "D30"
    (other,) = line.alternates
    assert (other.part, other.rank, other.state) == ("D31", 2, "certain")
    assert other.note == "change at twice the hours"


def test_the_whole_engine_has_its_screws_too() -> None:
    found = listed(full(), whole=True)
    assert only(found, "rail.a").part == "D81"
    assert only(found, "cap[2].c").qty == 6


def test_quantities_are_exact_and_in_the_parts_unit() -> None:
    line = only(listed(full(plant="north"), positions=["shims"]), "shims")
    assert (line.qty, line.unit) == (Decimal(2), "C62")


def test_a_position_note_is_an_instruction_of_the_line() -> None:
    line = only(listed(full(), positions=["pan_gasket"]), "pan_gasket")
    assert line.instructions == ("dry both faces",)


def test_nothing_known_leaves_both_pans_open() -> None:
    found = listed(known(), positions=["pan"])
    assert not found.certain
    assert [line.part for line in found.lines] == ["D10", "D11"]
    assert {line.state for line in found.lines} == {"open"}
