"""What is in the box: the parts that come inside a listed part."""

from __future__ import annotations

import itertools

import pytest

from bomsvc.core.logic.reasoner import Reasoner
from bomsvc.core.resolve import Resolved
from bomsvc.core.resolve.lines import Line
from tests.unit.resolve.workbench import OPTION, engine, fitment, listed, part, position

SEALED = (
    "{code: oil, label: Oil, ask: Which oil?, "
    "choices: [{code: mineral, label: Mineral}, {code: ester, label: Ester}]}"
)
JOBS = ["{code: look, label: Look at the pump, check: [pump]}"]
STEPS = ["{code: pump_off, label: Pump off, frees: [pump], minutes_off: 5}"]


@pytest.fixture(scope="module")
def pumps() -> Reasoner:
    """Two pumps with a rotor inside, the rotor with its seal, by two options."""
    return engine(
        options=[OPTION, SEALED],
        positions=[position(code) for code in ("pump", "rotor", "seal", "plate")],
        parts=[
            part("P1", "includes: [rotor]"),
            part("P2", "includes: [rotor, plate]"),
            part("R1", "includes: [seal]"),
            part("R2"),
            part("S1"),
            part("S2"),
            part("T1"),
        ],
        fitments=[
            fitment("pump", "P1", "when: kind = plain"),
            fitment("pump", "P2", "when: kind = rich"),
            fitment("rotor", "R1", "when: kind = plain or oil = ester"),
            fitment("rotor", "R2", "when: kind = rich and oil = mineral"),
            fitment("seal", "S1", "when: oil = mineral"),
            fitment("seal", "S2", "when: oil = ester"),
            fitment("plate", "T1", "when: kind = rich, qty: 3"),
        ],
        steps=STEPS,
        jobs=JOBS,
    )


def pump(found: Resolved, number: str) -> Line:
    (line,) = [one for one in found.lines if one.part == number]
    return line


def inside(line: Line) -> list[tuple[str, str, int, str]]:
    return [(b.position, b.part, int(b.qty), b.state) for b in line.brings]


def test_what_comes_with_a_part_comes_with_what_it_brings_in_turn(
    pumps: Reasoner,
) -> None:
    found = listed(pumps, {"kind": "plain", "oil": "ester"}, positions=["pump"])
    assert inside(pump(found, "P1")) == [
        ("rotor", "R1", 1, "certain"),
        ("seal", "S2", 1, "certain"),
    ]
    assert pump(found, "P1").brings[0].name == "part R1"


def test_a_settled_pump_may_hold_a_seal_that_is_open(pumps: Reasoner) -> None:
    found = listed(pumps, {"kind": "plain"}, positions=["pump"])
    assert found.certain
    assert inside(pump(found, "P1")) == [
        ("rotor", "R1", 1, "certain"),
        ("seal", "S1", 1, "open"),
        ("seal", "S2", 1, "open"),
    ]


def test_an_open_pump_holds_for_certain_what_its_own_builds_agree_on(
    pumps: Reasoner,
) -> None:
    found = listed(pumps, positions=["pump"])
    assert ("rotor", "R1", 1, "certain") in inside(pump(found, "P1"))
    # Of the mineral seal no rich pump knows anything: its rotor then has none.
    assert inside(pump(found, "P2")) == [
        ("rotor", "R1", 1, "open"),
        ("rotor", "R2", 1, "open"),
        ("seal", "S2", 1, "open"),
        ("plate", "T1", 3, "certain"),
    ]


def test_the_box_does_not_remember_another_engine(pumps: Reasoner) -> None:
    for oil, seal in (("mineral", "S1"), ("ester", "S2"), ("mineral", "S1")):
        answers = {"kind": "plain", "oil": oil}
        found = listed(pumps, answers, positions=["pump"])
        assert inside(pump(found, "P1"))[-1] == ("seal", seal, 1, "certain")


def test_what_is_only_looked_at_brings_nothing(pumps: Reasoner) -> None:
    found = listed(pumps, {"kind": "plain", "oil": "ester"}, jobs=["look"])
    line = pump(found, "P1")
    assert (line.need, line.brings) == ("check", ())


def test_each_member_of_a_series_brings_its_own() -> None:
    each = "each: main"
    caps = engine(
        positions=[position("cap", each), position("dowel", each)],
        parts=[part("C1", "includes: [dowel]"), part("D1")],
        fitments=[fitment("cap", "C1"), fitment("dowel", "D1")],
    )
    found = listed(caps, positions=["cap"])
    assert inside(pump(found, "C1")) == [
        (f"dowel[{n}]", "D1", 1, "certain") for n in (1, 2, 3)
    ]


def test_two_parts_that_hold_one_another_are_told_once() -> None:
    pair = engine(
        positions=[position("cap"), position("body")],
        parts=[part("C1", "includes: [body]"), part("B1", "includes: [cap]")],
        fitments=[fitment("cap", "C1"), fitment("body", "B1")],
    )
    found = listed(pair, positions=["cap", "body"])
    assert [line.part for line in found.lines] == ["C1"]
    assert inside(found.lines[0]) == [("body", "B1", 1, "certain")]


def test_every_box_of_a_half_known_engine_agrees_with_all_its_builds(
    pumps: Reasoner,
) -> None:
    kinds, oils = ("plain", "rich"), ("mineral", "ester")
    for kind, oil in itertools.product((None, *kinds), (None, *oils)):
        known = {"kind": kind, "oil": oil}
        answers = {name: code for name, code in known.items() if code}
        found = listed(pumps, answers, positions=["pump"])
        builds = [
            listed(pumps, {"kind": k, "oil": o}, positions=["pump"]).lines[0]
            for k, o in itertools.product(kinds, oils)
            if kind in (None, k) and oil in (None, o)
        ]
        for line in found.lines:
            boxes = [{b[:3] for b in inside(b)} for b in builds if b.part == line.part]
            every, some = set.intersection(*boxes), set.union(*boxes)
            assert {b[:3] for b in inside(line)} == some
            assert {b[:3] for b in inside(line) if b[3] == "certain"} == every
