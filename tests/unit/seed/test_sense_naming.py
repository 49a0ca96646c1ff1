"""The demo's parts and sections read well: no doubles, nothing left over."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import pytest

from bomsvc.core.catalogue.entities import Section
from tests.unit.seed.sense import naming
from tests.unit.seed.sense.engine import Engine
from tests.unit.seed.sense.planting import Planted, about, added, altered, item

CHECKS = (
    naming.sections_of_no_use,
    naming.labels_of_several,
    naming.names_that_tell_another_size,
    naming.names_of_several_parts,
    naming.parts_that_are_alike,
    naming.screws_with_two_numbers,
    naming.parts_that_nothing_uses,
)


@pytest.mark.parametrize("check", CHECKS, ids=lambda check: check.__name__)
def test_the_document_reads_well(
    sense: Engine, check: Callable[[Engine], list[str]]
) -> None:
    assert check(sense) == []


def test_a_section_with_nothing_in_it_is_found(sense: Engine) -> None:
    odd = added(sense, "sections", Section("bare", "Bare section"))
    assert naming.sections_of_no_use(odd) == ["bare: nothing is in it"]


def test_a_section_that_nobody_can_browse_is_found(sense: Engine) -> None:
    positions = tuple(
        replace(position, section="heads") for position in sense.catalogue.positions
    )
    odd = Planted(replace(sense.catalogue, positions=positions))
    assert about(naming.sections_of_no_use(odd), "heads")


def test_two_positions_of_one_label_are_found(sense: Engine) -> None:
    odd = altered(sense, "positions", "rear_seal", label="Sump")
    assert about(naming.labels_of_several(odd), "Sump")


def another(sense: Engine, number: str, **changes: str) -> Planted:
    """The document with the same part once more, under another number."""
    part = item(sense, "parts", number)
    return added(sense, "parts", replace(part, number="W99.0001", **changes))


def test_one_thing_with_two_numbers_is_found(sense: Engine) -> None:
    odd = another(sense, "W12.2024")
    assert about(naming.parts_that_are_alike(odd), "W99.0001")


def test_two_things_of_one_name_are_found(sense: Engine) -> None:
    odd = altered(sense, "parts", "W40.1201", name="Sump gasket for cast sump")
    assert about(naming.names_of_several_parts(odd), "W40.1201")


@pytest.mark.parametrize(
    ("number", "name"),
    [
        ("W80.1690", "Main cap screw M16x130"),
        ("W80.1690", "Main cap screw M14x140"),
        ("W80.1690", "Main cap screw"),
        ("W82.1001", "Nut M12"),
        ("W82.1101", "Stud M10x50"),
    ],
)
def test_a_name_that_tells_another_size_is_found(
    sense: Engine, number: str, name: str
) -> None:
    odd = altered(sense, "parts", number, name=name)
    assert about(naming.names_that_tell_another_size(odd), number)


def test_two_numbers_for_one_screw_are_found(sense: Engine) -> None:
    odd = another(sense, "W80.0840", name="Sump screw")
    assert about(naming.screws_with_two_numbers(odd), "W99.0001")


def test_a_part_that_nothing_uses_is_found(sense: Engine) -> None:
    odd = another(sense, "W12.2024", name="Spare ring")
    assert about(naming.parts_that_nothing_uses(odd), "W99.0001")


def test_a_screw_that_no_joint_asks_for_is_found(sense: Engine) -> None:
    odd_class = replace(item(sense, "parts", "W80.0840").screw, property_class="12.9")
    odd = altered(sense, "parts", "W80.0840", screw=odd_class)
    assert about(naming.parts_that_nothing_uses(odd), "W80.0840")
