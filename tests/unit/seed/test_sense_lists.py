"""The demo's lists hold each thing once, as it is sold, and new where it must be."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from decimal import Decimal

import pytest

from bomsvc.core.resolve import Resolved
from bomsvc.core.resolve.lines import Line, Place
from tests.unit.seed.sense import lists
from tests.unit.seed.sense.engine import Engine, Listed
from tests.unit.seed.sense.lists import every_list
from tests.unit.seed.sense.planting import about, without

CHECKS = (
    lists.lists_with_faults,
    lists.single_use_parts_that_go_in_again,
    lists.parts_ordered_outside_their_set,
    lists.parts_listed_beside_what_includes_them,
    lists.alternates_that_are_listed,
)


@pytest.mark.parametrize("check", CHECKS, ids=lambda check: check.__name__)
def test_every_list_is_sound(
    sense: Engine, check: Callable[[Engine, tuple[Listed, ...]], list[str]]
) -> None:
    listed = every_list(sense)
    assert len(listed) > 200
    assert check(sense, listed) == []


def spoilt(
    sense: Engine, job: str, spoil: Callable[[Resolved], Resolved]
) -> list[Listed]:
    """A job's lists with a fault written into them."""
    return [
        (build, key, plan, spoil(found))
        for build, key, plan, found in every_list(sense)
        if key == job
    ]


def line(part: str, position: str) -> Line:
    place = Place("position", position)
    one = Decimal(1)
    return Line(part, "", "C62", one, one, "renew", "certain", (place,))


def test_a_gasket_that_goes_in_again_is_found(sense: Engine) -> None:
    listed = spoilt(sense, "reseal_sump", lambda found: replace(found, lines=()))
    found = lists.single_use_parts_that_go_in_again(sense, listed)
    assert about(found, "pan_gasket")
    assert about(found, "drain_washer")


def test_half_a_set_that_is_ordered_is_found(sense: Engine) -> None:
    listed = spoilt(
        sense, "renew_main_bearing[4]", lambda found: replace(found, orders=())
    )
    found = lists.parts_ordered_outside_their_set(sense, listed)
    assert about(found, "W20.6111")


def test_a_part_listed_beside_what_brings_it_is_found(sense: Engine) -> None:
    more = line("W24.0205", "rod_bush[4]")
    listed = spoilt(
        sense,
        "renew_rod[4]",
        lambda found: replace(found, lines=(*found.lines, more)),
    )
    found = lists.parts_listed_beside_what_includes_them(sense, listed)
    assert about(found, "rod_bush[4]")


def test_an_exchange_unit_that_is_listed_is_found(sense: Engine) -> None:
    listed = spoilt(
        sense,
        "renew_starter",
        lambda found: replace(found, lines=(line("W58.1109", "starter"),)),
    )
    assert about(lists.alternates_that_are_listed(sense, listed), "W58.1109")


def test_a_list_with_a_fault_is_found(sense: Engine) -> None:
    odd = without(sense, "fitments", "pan_gasket").at("reseal_sump")
    assert about(lists.lists_with_faults(odd, every_list(odd)), "pan_gasket")
