"""What is measured after strip-down: shells, liners, shims and head gaskets."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import pytest

from bomsvc.core.resolve import Resolved

if TYPE_CHECKING:
    from tests.unit.seed.conftest import Demo


def on_file(engines: list[dict[str, Any]], serial: str) -> dict[str, Any]:
    (row,) = (row for row in engines if row["serial"] == serial)
    answers: dict[str, Any] = row["answers"]
    return answers


def ordered(found: Resolved) -> set[str | None]:
    """Part numbers of the lines that are surely renewed."""
    return {
        line.part
        for line in found.lines
        if line.need == "renew" and line.state == "certain"
    }


@pytest.mark.parametrize(
    ("job", "measured"),
    [
        ("renew_rod_bearing[3]", {"rod_size[3]"}),
        (
            "renew_liner[2]",
            {"liner_size[2]", "liner_seat[2]", "rod_size[2]", "deck_front"},
        ),
        ("renew_rear_head_gasket", {"deck_rear"}),
        ("renew_thrust_washers[4]", {"main_size[4]", "thrust_size"}),
    ],
)
def test_a_job_waits_for_the_measures_of_its_own_place_and_asks_nothing(
    demo: Demo, engines: list[dict[str, Any]], job: str, measured: set[str]
) -> None:
    found = demo.lists(on_file(engines, "N210440"), jobs=[job])
    assert found.questions == ()
    assert found.certain_but_measured
    assert {one.option for one in found.to_measure} == measured
    assert all(one.bands for one in found.to_measure)


def test_once_the_crankpin_is_measured_one_pair_of_shells_is_left(
    demo: Demo, engines: list[dict[str, Any]]
) -> None:
    answers = {**on_file(engines, "N210440"), "rod_size[3]": "us25"}
    found = demo.lists(answers, jobs=["renew_rod_bearing[3]"])
    assert found.certain
    shells = {p for p in ordered(found) if p is not None and p.startswith("W24")}
    assert shells == {"W24.0231", "W24.0232"}


def test_the_highest_output_has_no_shells_for_a_second_grind(demo: Demo) -> None:
    known = demo.known({"output": "kw280", "rod_size[5]": "us50"})
    assert not demo.reasoner.consistent(known)
    clash = demo.reasoner.clash(known)
    assert tuple(clash.rules) == ("strong_no_second_rod_grind[5]",)


@pytest.mark.parametrize("deck", ["low", "middle", "high"])
def test_the_head_screws_suit_each_thickness_of_gasket(
    demo: Demo, engines: list[dict[str, Any]], deck: str
) -> None:
    answers = {**on_file(engines, "N210440"), "deck_front": deck}
    found = demo.lists(answers, jobs=["renew_front_head_gasket"])
    assert found.faults == ()
    assert found.certain
    (form,) = (one for one in found.joints if one.joint == "head_front_deck")
    (group,) = form.groups
    assert group.screw is not None
    assert group.screw.chosen is not None
    assert group.screw.chosen.length_mm == 150
    assert group.screw.findings == ()


def test_a_recut_liner_seat_takes_one_shim(
    demo: Demo, engines: list[dict[str, Any]]
) -> None:
    answers = on_file(engines, "N210440")
    shims = {"W22.0111", "W22.0112"}
    for seat, shim in (
        ("std", set()),
        ("cut10", {"W22.0111"}),
        ("cut20", {"W22.0112"}),
    ):
        found = demo.lists({**answers, "liner_seat[2]": seat}, jobs=["renew_liner[2]"])
        assert ordered(found) & shims == shim
