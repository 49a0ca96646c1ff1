"""The oracle's sizing against the worked cases of the fastener study."""

from __future__ import annotations

from fractions import Fraction

import pytest

from tests.oracle.screws import (
    Hole,
    NutSide,
    Screw,
    Sized,
    Stack,
    guide_need,
    size_joint,
    stripping_need,
)


def _f(text: str | None) -> Fraction | None:
    return None if text is None else Fraction(text)


def _blind(thread: str, depth: str, entry: str, tol: str) -> Hole:
    return Hole(
        thread,
        "grey_iron",
        threaded=Fraction(depth),
        entry=Fraction(entry),
        entry_tol=Fraction(tol),
    )


# (case, standard, thread, clamp min, max, into, need, protrusion,
#  length or failure, short, over, shank)
WORKED = [
    ("1", "ISO 4014", "M10", "27.2", "28.8",
     NutSide(Fraction("8.04"), Fraction("8.40")), None, None,
     45, "4.3", None, "8.2"),
    ("2", "ISO 4762", "M8", "12.5", "13.3", _blind("M8", "25", "0.75", "0.25"),
     "16", None, 35, "1.7", "0.75", None),
    ("3a", "ISO 4014", "M12", "16.1", "16.9", _blind("M12", "28", "1.25", "0.25"),
     "15", None, "no_length_in_window", None, None, None),
    ("3b", "ISO 4017", "M12", "16.1", "16.9", _blind("M12", "28", "1.25", "0.25"),
     "15", None, 40, "2.6", "1.85", None),
    ("4a", "ISO 4014", "M10", "11.9", "12.1", _blind("M10", "40", "0.75", "0.25"),
     "25", None, "shank_too_long", None, None, None),
    ("4b", "ISO 4017", "M10", "11.9", "12.1", _blind("M10", "40", "0.75", "0.25"),
     "25", None, 45, "3.4", "4.9", None),
    ("5", "ISO 4017", "M8", "20.3", "21.5", _blind("M8", "16", "0.75", "0.25"),
     "10", None, "bottoms_out", None, None, None),
    ("6", "ISO 4017", "M10", "19.8", "20.2", _blind("M10", "14", "0.75", "0.25"),
     "10", None, "too_little_engagement", None, None, None),
    ("7", "ISO 4017", "M12", "51.8", "52.2", _blind("M12", "28.5", "1.25", "0.25"),
     "15", None, "no_length_in_window", None, None, None),
    ("8", "ISO 4014", "M16", "42.4", "43.6",
     Hole("M16", "steel", thickness=Fraction(24), thickness_tol=Fraction("0.2"),
          entry=Fraction("0.75"), entry_tol=Fraction("0.25"), exit=Fraction(1)),
     "16", "5", 70, "4.8", "0.6", "10.9"),
]  # fmt: skip


@pytest.mark.parametrize("case", WORKED, ids=[str(case[0]) for case in WORKED])
def test_worked_cases_come_out_to_the_digit(case: tuple[object, ...]) -> None:
    _, standard, thread, low, high, into, need, protrusion, result, *figures = case
    assert isinstance(into, Hole | NutSide)
    stack = Stack(
        "a",
        Fraction(str(low)),
        Fraction(str(high)),
        into,
        (str(standard),),
        str(thread),
        "8.8",
        _f(None if need is None else str(need)),
        _f(None if protrusion is None else str(protrusion)),
    )
    sized = size_joint([stack], [])["a"]
    if isinstance(result, str):
        assert sized.failure == result
        return
    assert sized.screw is not None
    assert sized.margins is not None
    assert sized.screw.length == result
    for figure, found in zip(
        figures,
        (sized.margins.short, sized.margins.over, sized.margins.shank),
        strict=True,
    ):
        assert figure is None or found == Fraction(str(figure))


def test_stripping_needs_of_the_study() -> None:
    iron = Hole("M12x1.75", "grey_iron")
    assert round(float(stripping_need(iron, "8.8")), 2) == 11.48
    assert guide_need(iron, "8.8") == 15
    soft = Hole("M8", "aluminium", strength=Fraction(310) * Fraction(7, 10) * 20 / 13)
    # The study takes a shear strength of 217 MPa: 10.42 mm.
    assert round(float(stripping_need(soft, "10.9")), 2) == 10.42


def _plate(group: str, clamp: int, stated: Screw | None = None) -> Stack:
    hole = Hole("M8", "steel", threaded=Fraction(30))
    return Stack(
        group,
        Fraction(clamp),
        Fraction(clamp),
        hole,
        ("ISO 4762", "ISO 4017"),
        "M8",
        "8.8",
        stated=stated,
    )


def _lengths(sized: dict[str, Sized]) -> list[int | None]:
    return [one.screw.length if one.screw else None for one in sized.values()]


def test_a_joint_takes_the_fewest_lengths_that_do() -> None:
    # Alone 8 mm take 20 (window 19.0 .. 36.3) and 14 mm take 25 or 30.
    assert _lengths(size_joint([_plate("a", 8)], [])) == [20]
    alone = _lengths(size_joint([_plate("b", 14)], []))
    assert alone == [25]
    assert _lengths(size_joint([_plate("a", 8), _plate("b", 14)], [])) == [25, 25]


def test_a_stated_length_draws_the_others_to_it() -> None:
    stated = Screw("S30", "ISO 4762", "M8", 30, "8.8")
    sized = size_joint([_plate("a", 8), _plate("b", 14, stated)], [stated])
    assert _lengths(sized) == [30, 30]


def test_the_catalogue_comes_before_the_standards_series() -> None:
    listed = Screw("S30", "ISO 4017", "M8", 30, "8.8")
    sized = size_joint([_plate("a", 8)], [listed])
    assert sized["a"].screw == listed
    short = Screw("S12", "ISO 4017", "M8", 12, "8.8")
    sized = size_joint([_plate("a", 8)], [short])
    assert sized["a"].screw is not None
    assert (sized["a"].screw.part, sized["a"].screw.length) == (None, 20)
