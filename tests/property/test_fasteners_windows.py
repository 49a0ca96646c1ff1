"""The window that is shown holds exactly the nominal lengths that would do."""

from __future__ import annotations

from fractions import Fraction

from hypothesis import given, settings
from hypothesis import strategies as st

from bomsvc.core.fasteners.bounds import Bounds
from bomsvc.core.fasteners.kinds import Band
from bomsvc.core.fasteners.names import get_screw_standard
from bomsvc.core.fasteners.threads import get_thread

F = Fraction
TENTH = F(1, 10)
BANDS = [
    get_screw_standard(standard).bands(get_thread(thread).d_mm)
    for standard, thread in (
        ("ISO 4762", "M10"),
        ("ISO 4014", "M8"),
        ("ISO 4014", "M10"),
        ("ISO 4014", "M24"),
        ("ASME B18.2.1", "3/8-16"),
        ("ASME B18.3", "1-8"),
    )
]


def _ends(length: Fraction, bands: tuple[Band, ...]) -> tuple[Fraction, Fraction]:
    band = next(b for b in bands if b.upto_mm is None or length <= b.upto_mm)
    return length - band.minus, length + band.plus


def _bounds(lower: Fraction, upper: Fraction) -> Bounds:
    nil = (F(0), F(0))
    return Bounds(
        "blind", F(3), (F(0), *nil), lower, upper, F(0), F(0), F(0), F(0), nil
    )


@settings(max_examples=300, deadline=None)
@given(st.sampled_from(BANDS), st.integers(50, 3500), st.integers(0, 300))
def test_no_length_outside_the_window_does_and_its_ends_do(
    bands: tuple[Band, ...], tenths: int, wide: int
) -> None:
    lower, upper = tenths * TENTH, (tenths + wide) * TENTH
    low, high = _bounds(lower, upper).window(bands)
    assert high is not None
    assert _ends(low, bands)[0] >= lower
    assert _ends(high, bands)[1] <= upper
    # Every tolerance is a multiple of a hundredth but js15 over 180 mm.
    hair = F(1, 2000)
    assert _ends(low - hair, bands)[0] < lower
    assert _ends(high + hair, bands)[1] > upper
    for length in (lower + F(k, 7) for k in range(-14, 15 + wide)):
        least, greatest = _ends(length, bands)
        if least >= lower and greatest <= upper:
            assert low <= length <= high


def test_a_bound_just_over_a_step_of_the_tolerance_stops_at_the_step() -> None:
    # js15 is 0.5 to 50 mm and 0.6 beyond: up to 50.55 only 50 itself comes.
    bands = BANDS[0]
    assert _bounds(F("49.6"), F("50.55")).window(bands) == (F("50.2"), F(50))
    assert _bounds(F("0.1"), F("0.2")).window(bands) == (F("0.3"), F(0))
