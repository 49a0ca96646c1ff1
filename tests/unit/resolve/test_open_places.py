"""Half-known engines: candidates, the options that decide, measuring, not seeing."""

# Decimals compare with whole numbers here.
# mypy: disable-error-code="comparison-overlap"
from __future__ import annotations

from decimal import Decimal

from bomsvc.core.resolve.lines import CandidatePart, OpenPlace, Resolved
from tests.unit.resolve.compact import full, known, listed


def opening(found: Resolved, place: str) -> OpenPlace:
    return next(one for one in found.open if str(one.place) == place)


def parts(one: OpenPlace) -> list[list[tuple[str | None, Decimal]]]:
    return [[(p.part, p.qty) for p in c.parts] for c in one.candidates]


def test_an_open_place_names_its_candidates_and_the_option_that_decides() -> None:
    found = listed(known(), positions=["pan"])
    one = opening(found, "pan")
    assert parts(one) == [[("D10", Decimal(1))], [("D11", Decimal(1))]]
    assert one.decided_by == ("sump",)
    (question,) = found.questions
    assert question.option == "sump"
    assert [c.tell for c in question.choices] == [
        "deep under the damper",
        "deep at the flywheel",
    ]


def test_nothing_at_all_can_be_a_candidate() -> None:
    one = opening(listed(known(), positions=["plate_gasket"]), "plate_gasket")
    assert sorted(parts(one)) == [[], [("D12", Decimal(1))]]


def test_a_rule_settles_what_nobody_answered() -> None:
    found = listed(known(plate="thick"), positions=["pan"])
    assert found.certain
    assert [line.part for line in found.lines] == ["D11"]


def test_the_same_part_in_another_number_is_open_and_take_all_takes_the_most() -> None:
    one = opening(listed(known(), positions=["oil_filter"]), "oil_filter")
    assert parts(one) == [[("D30", Decimal(1))], [("D30", Decimal(2))]]
    assert one.take_all == (CandidatePart("renew", "D30", Decimal(2)),)


def test_taking_all_takes_each_candidate_once() -> None:
    one = opening(listed(known(), positions=["pan"]), "pan")
    assert [(p.part, p.qty) for p in one.take_all] == [("D10", 1), ("D11", 1)]


def test_one_place_that_is_certain_does_not_merge_with_one_that_is_open() -> None:
    found = listed(known(), positions=["pan_gasket", "plate_gasket"])
    states = {str(line.places[0]): line.state for line in found.lines}
    assert states == {"pan_gasket": "certain", "plate_gasket": "open"}


def test_what_waits_for_a_measurement_is_not_asked_and_says_the_bands() -> None:
    found = listed(known(sump="rear", main_size_2="std"), positions=["main_shell"])
    assert found.certain_but_measured
    assert not found.certain
    assert found.questions == ()
    assert [m.option for m in found.to_measure] == ["main_size[1]", "main_size[3]"]
    assert [b.band_mm for b in found.to_measure[0].bands] == [
        (Decimal("79.98"), Decimal(80)),
        (Decimal("79.73"), Decimal("79.75")),
    ]
    waiting = [line for line in found.lines if line.state == "open"]
    assert {line.waits_on for line in waiting} == {("main_size[1]",), ("main_size[3]",)}


def test_what_cannot_be_seen_is_not_asked_again_and_stays_open() -> None:
    found = listed(known(sump={"unseen": True}), positions=["pan"])
    one = opening(found, "pan")
    assert found.questions == ()
    assert one.waits_on == ("sump",)
    assert not found.certain_but_measured


def test_a_certain_list_has_nothing_open_and_nothing_to_ask() -> None:
    found = listed(full(), whole=True)
    assert found.certain
    assert not found.certain_but_measured
    assert (found.open, found.questions, found.to_measure) == ((), (), ())


def test_only_options_that_change_the_list_are_asked() -> None:
    found = listed(known(), positions=["pan", "oil_filter"])
    assert {q.option for q in found.questions} == {"sump", "filter"}
