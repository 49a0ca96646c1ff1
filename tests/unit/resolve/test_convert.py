"""Conversions: what comes off, goes on, stays; which screws change; the work."""

from __future__ import annotations

from bomsvc.core.logic.known import Known
from bomsvc.core.resolve import Clashing
from bomsvc.core.resolve.convert import Converted, convert
from bomsvc.service.replies.convert import convert_reply
from tests.unit.resolve.compact import full, known, reasoner


def converted(before: Known, changes: Known) -> Converted:
    found = convert(reasoner(), before, changes)
    assert not isinstance(found, Clashing)
    return found


def test_another_sump_takes_the_old_pan_off_and_puts_the_new_one_on() -> None:
    found = converted(full(sump="rear"), known(sump="front"))
    assert [(m.part, str(m.place)) for m in found.off] == [
        ("D11", "pan"),
        ("D81", "rail.b"),
    ]
    assert [(m.part, str(m.place)) for m in found.on] == [("D10", "pan")]
    assert [(c.option, c.before, c.after, c.cause) for c in found.changes] == [
        ("sump", ("rear",), ("front",), "asked")
    ]


def test_options_that_nobody_mentions_stay_as_they_are() -> None:
    found = converted(full(), known(filter="two"))
    kept = {entry.key: entry.typed for entry in found.after.entries}
    assert kept == {**kept, "sump": "rear", "pump_kind": "plain", "filter": "two"}
    assert [c.option for c in found.changes] == ["filter"]


def test_what_a_rule_forces_follows() -> None:
    found = converted(full(sump="front"), known(plate="thick"))
    assert {(c.option, c.cause) for c in found.changes} == {
        ("sump", "follows"),
        ("plate", "asked"),
    }
    assert {m.part for m in found.on} >= {"D11", "D13", "D12"}


def test_a_thicker_stack_changes_its_screws_and_the_new_ones_are_taken() -> None:
    found = converted(full(sump="rear"), known(plate="thick"))
    assert [(str(s.place), s.before, s.after) for s in found.screws] == [
        ("rail.a", "D81", "D84"),
        ("rail.b", "D81", "D84"),
    ]
    screws = [line for line in found.take.lines if line.part == "D84"]
    assert [(line.need, line.take == line.qty) for line in screws] == [
        ("renew", True),
        ("renew", True),
    ]


def test_another_number_of_the_same_part_is_a_quantity_change() -> None:
    found = converted(full(filter="one"), known(filter="two"))
    (change,) = found.quantities
    assert (change.part, int(change.before), int(change.after)) == ("D30", 1, 2)
    assert found.off == found.on == ()


def test_what_stays_is_told_from_what_comes_out_and_goes_back() -> None:
    found = converted(full(sump="rear"), known(sump="front"))
    stays = {str(m.place): m for m in found.stays}
    assert stays["block"].part == "D01"
    assert not stays["block"].disturbed
    assert "pan_gasket" not in stays  # renewed by the work, so it does not stay
    assert "pan" not in stays


def test_seals_and_fluids_of_the_work_are_taken_too() -> None:
    found = converted(full(sump="rear"), known(sump="front"))
    taken = {line.part: line.take for line in found.take.lines}
    assert taken["D12"] == 1
    assert taken["D90"] == 12


def test_the_work_strips_the_old_engine_and_refits_the_new_one() -> None:
    found = converted(full(sump="rear", plate="none"), known(plate="shim"))
    assert found.work is not None
    assert [s.step for s in found.work.strip] == ["drain_oil", "pan_off"]
    assert [s.step for s in found.work.refit] == ["plate_off", "pan_off", "fill_oil"]
    assert found.work.minutes[0] == found.work.minutes[1] == 10 + 20 + 5 + 25 + 6


def test_what_is_not_known_before_is_not_claimed() -> None:
    found = converted(known(sump="rear"), known(sump="front"))
    assert "rail.a" in {str(place) for place in found.unsettled}
    assert "D11" in {m.part for m in found.off}


def test_changes_that_cannot_be_are_a_clash() -> None:
    found = convert(reasoner(), full(), known(plate="thick", sump="front"))
    assert isinstance(found, Clashing)
    assert found.clash.rules == ("r1",)


def test_an_engine_that_cannot_be_is_a_clash_before_anything_changes() -> None:
    impossible = full(plate="thick", sump="front")
    assert isinstance(convert(reasoner(), impossible, known()), Clashing)


def test_the_reply_has_every_part_of_it() -> None:
    reply = convert_reply(converted(full(sump="rear"), known(sump="front")))
    assert list(reply) == [
        "changes", "off", "on", "stays", "quantities", "screws", "unsettled",
        "take", "work",
    ]  # fmt: skip
    assert reply["changes"] == [
        {"option": "sump", "before": ["rear"], "after": ["front"], "cause": "asked"}
    ]
    screw = reply["screws"][0]  # type: ignore[index]
    assert (screw["before"], screw["after"]) == ("D81", None)
    assert screw["before_screw"]["chosen"]["length_mm"] == 35
