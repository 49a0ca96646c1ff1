"""Conditions of a document are told in words, without a code."""

from __future__ import annotations

import pytest

from bomsvc.core.catalogue.conditions import ALWAYS, Among, And, Not, Or, SerialIs
from bomsvc.core.catalogue.conditions.tree import Condition, MemberIs, Never
from bomsvc.core.logic.compiled import Compiled
from bomsvc.core.logic.condition_words import condition_sentence

CAST = Among("pan", ("cast",))
REAR = Among("sump", ("rear",))
HEATER = Among("extras", ("heater",))

TOLD: dict[str, tuple[Condition, str]] = {
    "always": (ALWAYS, "Always."),
    "never": (Never(), "Never."),
    "a choice": (CAST, "Make of the sump is cast aluminium."),
    "one of two": (
        Among("sump", ("front", "rear")),
        "Well of the sump is front well or rear well.",
    ),
    "not a choice": (Not(CAST), "Make of the sump is not cast aluminium."),
    "neither": (
        Not(Among("sump", ("front", "rear"))),
        "Well of the sump is neither front well nor rear well.",
    ),
    "an extra": (HEATER, "With sump heater."),
    "no extra": (Not(HEATER), "Without sump heater."),
    "both": (
        And((CAST, REAR)),
        "Make of the sump is cast aluminium and well of the sump is rear well.",
    ),
    "either": (
        Or((CAST, HEATER)),
        "Make of the sump is cast aluminium; or with sump heater.",
    ),
    "either, inside both": (
        And((REAR, Or((CAST, HEATER)))),
        "Well of the sump is rear well and (make of the sump is cast aluminium;"
        " or with sump heater).",
    ),
    "not both": (
        Not(And((CAST, REAR))),
        "It is not so that make of the sump is cast aluminium and well of the sump"
        " is rear well.",
    ),
    "a serial": (SerialIs(">=", 206000), "Serial number from 206000."),
    "a member": (
        Among("main_size", ("us25",), 4),
        "Main journal size (main 4) is undersize 0.25 mm.",
    ),
    "every member": (
        Among("main_size", ("us25",), "all"),
        "Every main journal size is undersize 0.25 mm.",
    ),
    "a place in the series": (MemberIs("main", "<=", 3), "Main up to 3."),
}


@pytest.mark.parametrize("name", TOLD)
def test_a_condition_reads_as_a_sentence(
    whimbrel_compiled: Compiled, name: str
) -> None:
    condition, words = TOLD[name]
    assert condition_sentence(whimbrel_compiled, condition) == words
