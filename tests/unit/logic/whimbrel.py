"""A small invented family with names as a counter would see them."""

from __future__ import annotations

from bomsvc.core.catalogue.conditions import ALWAYS, And, Not, SerialIs
from bomsvc.core.catalogue.entities import (
    Catalogue,
    Choice,
    Fitment,
    Option,
    Position,
    Prefix,
    Ref,
    Rule,
    Under,
)
from tests.unit.logic.families import catalogue_of, is_


def small_whimbrel() -> Catalogue:
    """Sump, take-off, gears, extras, plant, bearings; five rules."""
    return catalogue_of(
        Option(
            "sump",
            "Oil sump",
            (Choice("rear", "Rear"), Choice("front", "Front"), Choice("deep", "Deep")),
            ask="Where is the deep end of the oil sump?",
        ),
        Option(
            "pto",
            "Front take-off",
            (Choice("none", "None"), Choice("gear", "Gear driven")),
            ask="Is there a take-off at the front?",
        ),
        Option(
            "gears",
            "Take-off gears",
            (Choice("plain", "Plain"), Choice("quiet", "Quiet")),
            under=Under("pto", "gear"),
            ask="Which gears drive the take-off?",
        ),
        Option(
            "extras",
            "Extras",
            (Choice("heater", "Block heater"), Choice("tilt", "Tilt sensor")),
            "any",
            ask="Which extras are there?",
            usual=("heater",),
        ),
        Option("plant", "Plant", (Choice("north", "North"), Choice("south", "South"))),
        Option(
            "main_size",
            "Main bearing size",
            (Choice("std", "Standard"), Choice("us25", "0.25 mm under")),
            each="main",
            known="measured",
        ),
        rules=(
            Rule(
                "r_room",
                Not(is_("sump", "front")),
                "the gear driven take-off stands where a front sump would be",
                is_("pto", "gear"),
            ),
            Rule(
                "r_quiet",
                is_("gears", "quiet"),
                "with a deep sump only quiet gears were made",
                And((is_("pto", "gear"), is_("sump", "deep"))),
            ),
            Rule(
                "r_north",
                is_("plant", "north"),
                "the north plant began the series",
                SerialIs("<", 21000),
            ),
            Rule(
                "r_tilt",
                Not(is_("extras", "tilt")),
                "the tilt sensor needs the room of a front sump",
                Not(is_("sump", "front")),
                None,
                "physical",
            ),
            Rule(
                "r_main",
                is_("main_size", "std"),
                "new crankshafts are standard",
                SerialIs(">=", 30000),
                "main",
            ),
        ),
        positions=(
            Position("pan", "Sump", "bottom"),
            Position("pickup", "Pickup pipe", "bottom", exists=ALWAYS),
        ),
        fitments=(
            Fitment(Ref("pan"), "W40.1187", when=is_("sump", "rear")),
            Fitment(Ref("pan"), "W40.1188", when=Not(is_("sump", "rear"))),
            Fitment(Ref("pickup"), "W40.1190", when=is_("gears", "plain")),
        ),
        series={"main": 2},
        prefixes=(
            Prefix("N", "plant", "north"),
            Prefix("S", "plant", "south"),
        ),
    )
