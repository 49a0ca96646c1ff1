"""Conversions: what comes off, goes on, stays; which screws change; the work."""

from __future__ import annotations

import gc

from bomsvc.core.logic.answers import read_answers
from bomsvc.core.logic.compiled import Compiled
from bomsvc.core.logic.known import Known
from bomsvc.core.logic.reasoner import Reasoner
from bomsvc.core.resolve import Clashing
from bomsvc.core.resolve.convert import Converted, convert
from bomsvc.service.replies.convert import convert_reply
from tests.unit.resolve.compact import full, known, reasoner
from tests.unit.resolve.workbench import engine, fitment, part, position


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


def test_the_serial_number_is_the_engines_own_and_stays() -> None:
    found = converted(full(serial=210440), known(filter="two"))
    assert found.after.serial == (210440, 210440)


def test_what_followed_before_stays_where_it_is_still_allowed() -> None:
    # Nobody said rear: the thick plate forced it, and the shim plate allows it.
    found = converted(known(plate="thick"), known(plate="shim"))
    kept = {entry.key: entry.typed for entry in found.after.entries}
    assert kept["sump"] == "rear"
    assert found.after.entries[0].key == "sump"  # in document order


def test_sets_and_options_that_are_not_there_stay_too() -> None:
    bench = engine(
        options=[
            "{code: kind, label: Kind, ask: k, choices: "
            "[{code: plain, label: P}, {code: rich, label: R}]}",
            "{code: extras, label: Extras, choose: any, ask: e, choices: "
            "[{code: heater, label: H}, {code: lamp, label: L}]}",
            "{code: trim, label: Trim, under: kind.rich, ask: t, choices: "
            "[{code: red, label: R}, {code: blue, label: B}]}",
        ],
        rules=["{code: r, when: kind = plain, then: extras = heater, because: cold}"],
        positions=[position("a")],
        parts=[part("A")],
        fitments=[fitment("a", "A")],
    )
    before = read_answers(bench.compiled, {"kind": "plain"})
    lamp = read_answers(bench.compiled, {"extras": {"lamp": True}})
    same = convert(bench, before, lamp)
    assert isinstance(same, Converted)
    assert {e.name: e.typed for e in same.after.entries} == {
        "kind": "plain",
        "extras.lamp": True,
        "trim": {"fitted": False},
    }
    # Trim was not there; on a rich engine it has to be asked.
    rich = convert(bench, before, read_answers(bench.compiled, {"kind": "rich"}))
    assert isinstance(rich, Converted)
    assert [(c.option, c.cause) for c in rich.changes] == [
        ("kind", "asked"),
        ("trim", "open"),
    ]
    kept = {e.name: e.typed for e in rich.after.entries}
    assert kept["extras.heater"] is True


def test_conversions_leave_nothing_behind_in_memory() -> None:
    before = full(sump="rear")
    converted(before, known(sump="front"))
    gc.collect()
    kept = sum(isinstance(one, Compiled) for one in gc.get_objects())
    for filters in ("two", "one", "two"):
        converted(before, known(filter=filters))
    gc.collect()
    assert sum(isinstance(one, Compiled) for one in gc.get_objects()) == kept


def test_without_a_way_in_there_is_no_work_and_a_fault() -> None:
    bench = engine(
        positions=[position("a")],
        parts=[part("A"), part("B")],
        fitments=[
            fitment("a", "A", "when: kind = plain"),
            fitment("a", "B", "when: kind = rich"),
        ],
    )
    before = read_answers(bench.compiled, {"kind": "plain"})
    found = convert(bench, before, read_answers(bench.compiled, {"kind": "rich"}))
    assert isinstance(found, Converted)
    assert found.work is None
    assert [f.code for f in found.take.faults] == ["position_stuck"]
    assert convert_reply(found)["work"] is None


def charger(*, wheel_of_the_new: str = "includes: [wheel]") -> Reasoner:
    """A charger that comes with its wheel; the wheel also comes out on its own."""
    return engine(
        positions=[position("charger"), position("wheel")],
        parts=[
            part("OLD", "includes: [wheel]"),
            part("NEW", wheel_of_the_new),
            part("W1"),
            part("W2"),
        ],
        fitments=[
            fitment("charger", "OLD", "when: kind = plain"),
            fitment("charger", "NEW", "when: kind = rich"),
            fitment("wheel", "W1", "when: kind = plain"),
            fitment("wheel", "W2", "when: kind = rich"),
        ],
        steps=[
            "{code: charger_off, label: Off, frees: [charger], minutes_off: 20}",
            "{code: apart, label: Apart, frees: [wheel], minutes_off: 65}",
        ],
    )


def moved(bench: Reasoner) -> tuple[list[str | None], list[str | None], list[str]]:
    """Numbers that come off and go on, and the steps of the strip-down."""
    before = read_answers(bench.compiled, {"kind": "plain"})
    found = convert(bench, before, read_answers(bench.compiled, {"kind": "rich"}))
    assert isinstance(found, Converted)
    assert found.work is not None
    steps = [step.step for step in found.work.strip]
    return [m.part for m in found.off], [m.part for m in found.on], steps


def test_what_comes_with_the_new_assembly_is_neither_freed_nor_told_again() -> None:
    assert moved(charger()) == (["OLD"], ["NEW"], ["charger_off"])


def test_what_the_new_assembly_lacks_goes_on_by_itself() -> None:
    assert moved(charger(wheel_of_the_new="")) == (
        ["OLD"],
        ["NEW", "W2"],
        ["charger_off", "apart"],
    )


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
