"""What a list says in words, the same on the terminal and in the workbook."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal

from bomsvc.core.catalogue.entities import ReuseLimit
from bomsvc.core.logic.compiled import Compiled
from bomsvc.core.resolve.lines import (
    Alternate,
    Brought,
    Line,
    OpenPlace,
    Place,
    Reason,
    State,
    Work,
)
from bomsvc.core.resolve.scope import Scope
from bomsvc.service.wording import (
    Labels,
    again_words,
    brought_words,
    deciding_words,
    minutes_words,
    other_parts,
    parts_title,
    planned_words,
)

WORK = Work(steps=(), minutes=(Decimal(156), Decimal(301)), basis="exact", optimal=True)


def place(**fields: tuple[str, ...]) -> OpenPlace:
    named = {"decided_by": (), "waits_on": (), "candidates": (), "take_all": ()}
    return OpenPlace(place=Place("position", "pan"), **{**named, **fields})  # type: ignore[arg-type]


def test_members_of_a_series_are_named_together(whimbrel_compiled: Compiled) -> None:
    labels = Labels(whimbrel_compiled)
    places = [Place("position", f"rod_upper[{n}]") for n in (1, 2, 3, 5)]
    single = [labels.place(one) for one in places]
    assert single[0].endswith("(cylinder 1)")
    together = labels.places([Place("position", "pan"), *places])
    name = single[0].removesuffix(" (cylinder 1)")
    assert together == f"Sump; {name} (cylinder 1 to 3 and 5)"


def test_the_same_place_twice_is_named_once(whimbrel_compiled: Compiled) -> None:
    labels = Labels(whimbrel_compiled)
    assert labels.places([Place("position", "pan")] * 2) == "Sump"


def test_settled_minutes_are_a_span() -> None:
    assert minutes_words(WORK) == "156 to 301 minutes"
    assert minutes_words(replace(WORK, minutes=(Decimal(9),) * 2)) == "9 minutes"
    assert planned_words(WORK) == ""


def test_where_not_every_case_was_planned_the_minutes_are_an_instance() -> None:
    perhaps = replace(WORK, basis="may_matter")
    assert (
        minutes_words(perhaps)
        == "for instance 156 to 301 minutes; not every case was planned"
    )
    assert "others may take other steps" in planned_words(perhaps)


def test_what_has_to_be_measured_is_waited_for(whimbrel_compiled: Compiled) -> None:
    labels = Labels(whimbrel_compiled)
    size = ("rod_size[3]",)
    waiting = place(decided_by=size, waits_on=size)
    assert deciding_words(waiting, labels).startswith("waits for Rod journal size")
    asked = deciding_words(place(decided_by=("pan",)), labels)
    assert asked == "depends on Make of the sump"


def test_an_open_place_without_a_deciding_option_says_why(
    whimbrel_compiled: Compiled,
) -> None:
    words = deciding_words(place(), Labels(whimbrel_compiled))
    assert words == "depends on the way in, which is not settled"


def test_what_may_be_taken_instead_is_named_once_and_is_another_part() -> None:
    def instead(number: str) -> Alternate:
        return Alternate(number, "Filter", Decimal(1), 2, "filter", "open")

    line = Line(
        part="F1",
        name="Filter",
        unit="C62",
        qty=Decimal(1),
        take=Decimal(1),
        need="renew",
        state="open",
        places=(),
        alternates=(instead("F2"), instead("F2"), instead("F1")),
    )
    assert other_parts(line) == ["F2 (Filter)"]


def boxed(*brings: Brought, qty: int = 1) -> Line:
    return Line(
        part="P1",
        name="Pump",
        unit="C62",
        qty=Decimal(qty),
        take=Decimal(qty),
        need="renew",
        state="certain",
        places=(),
        brings=brings,
    )


def inside(position: str, part: str, state: State = "certain") -> Brought:
    return Brought(position, part, "Seal", Decimal(1), state)


def test_what_is_in_every_box_is_counted_over_all_places() -> None:
    assert brought_words(boxed()) == ""
    assert brought_words(boxed(inside("seal", "S1"))) == "with it: Seal S1"
    several = boxed(*(inside(f"seal[{n}]", "S1") for n in (1, 2, 3)), qty=3)
    assert brought_words(several) == "with them: 3 Seal S1"


def test_what_may_be_in_the_box_is_told_as_ways() -> None:
    line = boxed(inside("seal", "S1", "open"), inside("seal", "S2", "open"))
    assert brought_words(line) == "with it, as the build is: Seal S1 or Seal S2"


def test_parts_are_headed_as_what_was_asked_for() -> None:
    assert parts_title(Scope(jobs=("reseal",), joints=("rail",))) == "Renew"
    assert parts_title(Scope(joints=("rail",))) == "Seals and screws"
    assert parts_title(Scope(sections=("fuel",), joints=("rail",))) == "Parts"
    assert parts_title(Scope(whole=True)) == "Parts"


def test_a_limited_screw_of_an_asked_joint_says_its_limits(
    whimbrel_compiled: Compiled,
) -> None:
    labels = Labels(whimbrel_compiled)
    parts = whimbrel_compiled.catalogue.parts
    limited = next(
        p for p in parts if p.kind == "screw" and isinstance(p.reuse, ReuseLimit)
    )
    single = next(p for p in parts if p.kind == "screw" and p.reuse == "single")
    asked = (Reason(joint="rail"),)
    line = replace(boxed(), part=limited.number, why=asked)
    assert again_words(line, labels).startswith("used again within limits: ")
    line = replace(boxed(), part=single.number, why=asked)
    assert again_words(line, labels) == "never used again"
    opened = replace(line, why=(Reason(joint="rail", opened_by="pan_off"),))
    assert again_words(opened, labels) == ""
