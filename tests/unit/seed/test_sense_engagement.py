"""The demo's screws engage what they need, whatever is clamped under them."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal
from fractions import Fraction

from tests.unit.seed.sense import engagement
from tests.unit.seed.sense.engine import Engine
from tests.unit.seed.sense.planting import Planted, about, altered

CAP = "W20.6010"
CAP_SCREW = "W80.1690"


def thicker_cap(sense: Engine, by_mm: Fraction) -> Planted:
    """The document with other main bearing caps, their screws as stated."""
    pads = dict(sense.parts[CAP].pads)
    more = Decimal(by_mm.numerator) / Decimal(by_mm.denominator)
    pads["seat"] = replace(pads["seat"], mm=pads["seat"].mm + more)
    return altered(sense, "parts", CAP, pads=pads)


def room_mm(sense: Engine) -> Fraction:
    """By how much the cap may be thicker before its screw is too short."""
    (case,) = (case for case in sense.cases if case.place == "main_cap.pair")
    assert case.sized.margins is not None
    return case.sized.margins.short


def test_every_screw_engages_what_it_needs(sense: Engine) -> None:
    assert len(sense.cases) > 80
    assert engagement.screws_that_hold_too_little(sense) == []


def test_a_screw_that_is_too_short_is_found(sense: Engine) -> None:
    too_thick = thicker_cap(sense, room_mm(sense) + 1)
    assert about(engagement.screws_that_hold_too_little(too_thick), "main_cap.pair")


def test_a_stack_that_no_screw_fits_is_found(sense: Engine) -> None:
    cover = sense.parts["W38.0701"]
    thick = replace(cover.pads["rim"], mm=Decimal(500))
    odd = altered(sense, "parts", cover.number, pads={**cover.pads, "rim": thick})
    assert about(engagement.screws_that_hold_too_little(odd), "side_cover_rail")


def test_no_screw_has_a_thin_margin(sense: Engine) -> None:
    assert engagement.thin_margins(sense) == []


def test_a_thin_margin_is_found(sense: Engine) -> None:
    thin = thicker_cap(sense, room_mm(sense) - Fraction(1, 10))
    assert engagement.screws_that_hold_too_little(thin) == []
    assert about(engagement.thin_margins(thin), "main_cap.pair")


def test_a_stud_with_little_thread_for_its_nut_is_found(sense: Engine) -> None:
    part = sense.parts["W82.1101"]
    free = [
        case.sized.stud.free_margin_mm
        for case in sense.cases
        if case.place == "pto_pad.pair" and case.sized.stud is not None
    ]
    assert part.stud is not None
    length_mm = part.stud.length_mm - Decimal(float(min(free))) + Decimal("0.1")
    stud = replace(part.stud, length_mm=round(length_mm, 3))
    odd = altered(sense, "parts", part.number, stud=stud)
    assert about(engagement.thin_margins(odd), "pto_pad")
