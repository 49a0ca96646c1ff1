"""`like`: what an item takes over, and what it does not."""

from __future__ import annotations

from decimal import Decimal

import pytest

from bomsvc.core.catalogue import Limits, read_catalogue
from bomsvc.core.terms.problems import TooLarge
from tests.unit.catalogue.sample import edited, problems_of, sample


def test_only_what_differs_is_written() -> None:
    parts = {part.number: part for part in read_catalogue(sample()).parts}
    rear, front = parts["W40.1187"], parts["W40.1188"]
    assert front.name == "Oil pan, front sump"
    assert front.cautions == ("Hot oil burns.",)
    assert (front.pads, front.mass_kg) == (rear.pads, rear.mass_kg)


def test_a_field_is_taken_over_whole_or_not_at_all() -> None:
    tree = edited(("/parts/2/pads", "{foot: {mm: 3}}"))
    front = read_catalogue(tree).parts[2]
    assert list(front.pads) == ["foot"]
    assert front.pads["foot"].plus == 0


def test_null_takes_a_field_away() -> None:
    assert read_catalogue(edited(("/parts/2/mass_kg", "null"))).parts[2].mass_kg is None


def test_like_may_name_an_item_that_is_like_another() -> None:
    tree = edited(
        ("/parts/-", "{number: C, like: B, name: Third}"),
        ("/parts/-", "{number: B, like: w40.1188, mass_kg: 7.1}"),
    )
    third, second = read_catalogue(tree).parts[-2:]
    assert (third.name, third.mass_kg) == ("Third", Decimal("7.1"))
    assert second.name == "Oil pan, front sump"
    assert third.cautions == ("Hot oil burns.",)


def test_a_chain_of_thousands_is_followed() -> None:
    tree = sample()
    tree["parts"] += [
        {"number": f"L{i}", "like": f"L{i + 1}" if i < 4_999 else "W40.1187"}
        for i in range(5_000)
    ]
    parts = read_catalogue(tree).parts
    assert parts[-5_000].mass_kg == Decimal("6.2")


def test_the_name_itself_is_not_taken_over() -> None:
    tree = edited(("/options/-", "{like: sump, label: Another}"))
    assert [(p.pointer, p.code) for p in problems_of(tree)] == [
        ("/options/7", "missing_field")
    ]


def test_what_a_broken_like_would_have_brought_is_not_told_as_missing() -> None:
    tree = edited(
        ("/options/-", "{code: a_one, like: a_two}"),
        ("/options/-", "{code: a_two, like: a_one}"),
        ("/options/-", "{code: a_three, like: a_two}"),
    )
    assert [(p.pointer, p.code) for p in problems_of(tree)] == [
        ("/options/7/like", "like_circle")
    ]


def test_like_is_only_for_four_lists() -> None:
    tree = edited(("/positions/-", "{code: pan2, like: pan}"))
    assert "/positions/10/like" in {problem.pointer for problem in problems_of(tree)}


def test_like_cannot_make_a_short_document_huge() -> None:
    tree = sample()
    tree["parts"][0]["cautions"] = ["x" * 1_000] * 2
    tree["parts"] += [{"number": f"L{i}", "like": "W40.1000"} for i in range(100)]
    with pytest.raises(TooLarge, match="spread out the document is over"):
        read_catalogue(tree, limits=Limits(bytes=200_000))
    read_catalogue(tree, limits=Limits(bytes=300_000))


def test_a_long_circle_is_told_in_short() -> None:
    tree = sample()
    tree["parts"] += [
        {"number": f"L{i}", "like": f"L{(i + 1) % 99}"} for i in range(99)
    ]
    [problem] = problems_of(tree)
    assert problem.detail == (
        "`like` goes round in a circle: L0 -> L1 -> L2 -> L3 -> L4 -> L5 -> L6 -> "
        "L7 -> L8 -> L9 -> ... -> L0; write one of them out"
    )
