"""The demo has the size of a real family."""

from __future__ import annotations

from bomsvc.intake.document import read_document
from tests.unit.seed.sense import variety
from tests.unit.seed.sense.engine import Engine
from tests.unit.seed.sense.planting import Planted

SMALL = b"""
format: 1
family: {code: small, name: Small}
"""


def test_the_family_has_the_size_of_a_real_one(sense: Engine) -> None:
    assert variety.too_small(sense) == []


def test_a_family_that_is_too_small_is_found() -> None:
    small = Planted(read_document(SMALL, "yaml"), only=[{}])
    found = variety.too_small(small)
    assert [text.split(":")[0] for text in found] == [x.what for x in variety.SIZE]
