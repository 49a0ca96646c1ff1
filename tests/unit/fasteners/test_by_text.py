"""Joints typed on a command line."""

from __future__ import annotations

from fractions import Fraction
from typing import Any

import pytest

from bomsvc.core.terms.problems import BadInput
from bomsvc.service.replies.size import size_reply
from bomsvc.service.sizing import size
from bomsvc.service.sizing_text import (
    parse_into,
    parse_layer,
    parse_number,
    request_from_text,
)

F = Fraction


@pytest.mark.parametrize(
    ("typed", "meant"),
    [
        ("34", {"mm": F(34)}),
        ("34+-0.2", {"mm": F(34), "tol": F("0.2")}),
        ("34 +/- .2", {"mm": F(34), "tol": F("0.2")}),
        ("34\N{PLUS-MINUS SIGN}0.2", {"mm": F(34), "tol": F("0.2")}),
        ("34+0.3-0.1", {"mm": F(34), "plus": F("0.3"), "minus": F("0.1")}),
        ("34+0.3", {"mm": F(34), "plus": F("0.3")}),
        ("34-0.1", {"mm": F(34), "minus": F("0.1")}),
        ("1-3/8+-1/64", {"mm": F("1.375"), "tol": F(1, 64)}),
        ("0.8+-0.1, soft, free=1.1, name=gasket",
         {"mm": F("0.8"), "tol": F("0.1"), "soft": True, "free_mm": F("1.1"),
          "name": "gasket"}),
        ("washer=ISO 7089", {"washer": "ISO 7089"}),
    ],
)  # fmt: skip
def test_a_layer_is_read_as_it_is_typed(typed: str, meant: dict[str, Any]) -> None:
    assert parse_layer(typed) == meant


@pytest.mark.parametrize(
    ("typed", "meant"),
    [
        ("blind,threaded=24,drilled=31.3,entry=1+-0.25,material=grey_iron",
         {"form": "blind", "threaded_mm": F(24), "drilled_mm": F("31.3"),
          "entry_mm": F(1), "entry_tol": F("0.25"), "material": "grey_iron"}),
        ("through, thickness=24+0.1-0.2, exit=1, protrusion=5, material=steel, "
         "strength=500",
         {"form": "through", "thickness_mm": F(24), "thickness_plus": F("0.1"),
          "thickness_minus": F("0.2"), "exit_mm": F(1), "protrusion_mm": F(5),
          "material": "steel", "strength_mpa": F(500)}),
        ("nut,height=8.22+-0.18", {"form": "nut", "height_mm": F("8.22"),
                                   "tol": F("0.18")}),
        ("nut,standard=ISO 4032", {"form": "nut", "standard": "ISO 4032"}),
    ],
)  # fmt: skip
def test_what_the_thread_goes_into_is_read_as_it_is_typed(
    typed: str, meant: dict[str, Any]
) -> None:
    assert parse_into(typed) == meant


def test_the_command_line_of_story_h_gives_the_same_screw() -> None:
    request = request_from_text(
        standard="ISO 4762",
        thread="M10",
        property_class="10.9",
        layers=["34+-0.2", "0.8+-0.1"],
        into="blind,threaded=24,drilled=31.3,entry=1+-0.25,material=grey_iron",
    )
    reply = size_reply(size(request))
    assert isinstance(reply["chosen"], dict)
    assert reply["chosen"]["designation"] == "ISO 4762 - M10 x 55 - 10.9"


def test_inches_lengths_and_engagement_from_text() -> None:
    request = request_from_text(
        standard="ASME B18.2.1",
        thread="3/8-16",
        property_class="5",
        layers=["1+-.010", "0.0655+-0.0145"],
        into="blind,threaded=1-1/8,entry=.045+-.015,material=grey_iron",
        inch=True,
        engagement="0.469",
        lengths=["1-3/4", "2"],
    )
    assert request["units"] == "inch"
    assert request["lengths_in"] == [F("1.75"), F(2)]
    reply = size_reply(size(request))
    assert isinstance(reply["chosen"], dict)
    assert reply["chosen"]["length_in"] == 2


def _details(call: Any, *args: Any) -> list[tuple[str, str]]:
    with pytest.raises(BadInput) as caught:
        call(*args)
    return [(p.pointer, p.detail) for p in caught.value.problems]


def test_an_unreadable_size_is_underlined() -> None:
    assert _details(parse_layer, "34, 0.8x, soft") == [
        ("/layers/0",
         '"0.8x" is no size; sizes are as 34 or 34+-0.2.\n'
         "  34, 0.8x, soft\n"
         "      ^^^^")
    ]  # fmt: skip


def test_an_unknown_word_is_underlined_and_names_the_nearest() -> None:
    ((pointer, detail),) = _details(
        parse_into, "blind,threaded=24,matrial=steel", "/into"
    )
    assert pointer == "/into"
    assert detail == (
        '"matrial" is none of threaded, drilled, entry, material, strength. Is '
        "material meant?\n"
        "  blind,threaded=24,matrial=steel\n"
        "                    ^^^^^^^"
    )


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ("", '"" is none of blind, through, nut.'),
        ("blynd", "Is blind meant?"),
        ("blind,24", '"24" is none of threaded'),
        ("blind,threaded=deep", '"deep" is no size'),
        ("blind,threaded=24+-1", "threaded_mm has no tolerance."),
        ("blind,strength=1/0", '"1/0" is no number.'),
    ],
)
def test_what_cannot_be_read_is_refused(typed: str, said: str) -> None:
    assert said in _details(parse_into, typed)[0][1]


def test_a_layer_word_that_is_unknown_is_refused() -> None:
    assert "is none of soft, free, name, washer" in _details(parse_layer, "x=1")[0][1]
    assert '"a" is no number' in _details(parse_layer, "3,free=a")[0][1]


def test_every_unreadable_text_is_told() -> None:
    with pytest.raises(BadInput) as caught:
        request_from_text(
            standard="ISO 4762",
            thread="M10",
            property_class="10.9",
            layers=["x", "34", "y"],
            into="z",
            engagement="?",
            lengths=["50", "!"],
        )
    assert [p.pointer for p in caught.value.problems] == [
        "/layers/0",
        "/layers/2",
        "/into",
        "/engagement_mm",
        "/lengths_mm/1",
    ]


def test_a_number_alone_may_be_a_fraction() -> None:
    assert parse_number(" 1-3/4 ") == F("1.75")
    assert parse_number("34.50") == F("34.5")
