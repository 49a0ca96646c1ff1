"""What a list says in words, the same on the terminal and in the workbook."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal

from bomsvc.core.logic.compiled import Compiled
from bomsvc.core.resolve.lines import Alternate, Line, OpenPlace, Place, Work
from bomsvc.service.wording import (
    Labels,
    deciding_words,
    minutes_words,
    other_parts,
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
