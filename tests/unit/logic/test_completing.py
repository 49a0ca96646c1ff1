"""A full build made from what is known never passes off a made-up number."""

from __future__ import annotations

import pytest

from bomsvc.core.catalogue.conditions import SerialIs
from bomsvc.core.logic.answers import read_answers
from bomsvc.core.logic.compiled import compile_catalogue
from bomsvc.core.logic.completing import Completed
from bomsvc.core.logic.reasoner import Reasoner
from tests.unit.logic.families import catalogue_of, is_, option, rule

FAMILY = compile_catalogue(
    catalogue_of(
        option("plant", "north", "south"),
        rules=(
            rule("r_north", SerialIs("<", 21000), is_("plant", "north")),
            rule("r_south", SerialIs(">=", 21000), is_("plant", "south")),
        ),
    )
)


def completed(**answers: object) -> Completed:
    reasoner = Reasoner(FAMILY)
    found = reasoner.complete(read_answers(FAMILY, answers))
    assert found is not None
    assert reasoner.broken_rules(found.build) == ()
    return found


@pytest.mark.parametrize(
    ("answers", "serial", "how"),
    [
        ({}, 1, "usual"),
        ({"plant": "north"}, 1, "usual"),
        ({"serial": "..20999"}, 1, "usual"),
        ({"serial": "500..600"}, 500, "usual"),
        ({"serial": 512}, 512, "answered"),
        ({"serial": "512..512"}, 512, "answered"),
        ({"serial": "29999..30001", "plant": "south"}, 29999, "usual"),
        ({"serial": "20999..21000", "plant": "south"}, 21000, "follows"),
    ],
)
def test_a_serial_number_nobody_said_is_only_usual_even_where_its_range_follows(
    answers: dict[str, object], serial: int, how: str
) -> None:
    found = completed(**answers)
    assert (found.build.serial, found.how["serial"]) == (serial, how)


def test_the_rest_of_the_build_follows_from_a_number_that_was_said() -> None:
    found = completed(serial=40_000)
    assert found.build.answers == {"plant": "south", "serial": 40_000}
    assert dict(found.how) == {"plant": "follows", "serial": "answered"}
