"""The demo has enough of everything to show what the program does."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal

import pytest

from bomsvc.intake.document import read_document
from tests.unit.seed.sense import variety
from tests.unit.seed.sense.engine import Engine
from tests.unit.seed.sense.planting import Planted, about, altered, item

SMALL = b"""
format: 1
family: {code: small, name: Small}
sections: [{code: every, label: Every part}]
positions: [{code: block, label: Block, section: every}]
parts: [{number: P1, name: Block}]
fitments: [{position: block, part: P1}]
"""


@pytest.fixture(scope="module")
def small() -> Planted:
    """A family that shows nothing."""
    return Planted(read_document(SMALL, "yaml"), only=[{}])


def test_there_is_enough_variety(sense: Engine) -> None:
    assert variety.too_little_variety(sense) == []


def test_too_little_variety_is_found(small: Planted) -> None:
    found = variety.too_little_variety(small)
    assert [text.split(":")[0] for text in found] == [x.what for x in variety.LEAST]


def test_joints_whose_lengths_change_are_found_by_sizing(sense: Engine) -> None:
    found = variety.joints_of_several_lengths(sense)
    assert {"front_cover_rim", "damper_nose", "rocker_rail"} <= found
    assert "main_cap" not in found


def test_whatever_is_measured_falls_into_one_band(sense: Engine) -> None:
    assert variety.bands_that_leave_gaps(sense) == []


@pytest.mark.parametrize(
    ("band", "said"),
    [
        (("99.0", "99.2"), "nothing between"),
        (("99.0", "99.8"), "overlap"),
        (None, "no band"),
    ],
)
def test_a_band_with_a_gap_or_an_overlap_is_found(
    sense: Engine, band: tuple[str, str] | None, said: str
) -> None:
    *more, last = item(sense, "options", "main_size").choices
    made = None if band is None else tuple(Decimal(mm) for mm in band)
    choices = (*more, replace(last, band_mm=made))
    odd = altered(sense, "options", "main_size", choices=choices)
    assert about(variety.bands_that_leave_gaps(odd), said)
