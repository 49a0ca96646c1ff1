"""A small invented family for tests of the faces: one sump, one joint, one job."""

from __future__ import annotations

import copy
from typing import Any

Json = dict[str, Any]

WHIMBREL: Json = {
    "format": 1,
    "family": {
        "code": "whimbrel",
        "name": "Whimbrel",
        "maker": "Tarrow Engine Works",
        "note": "invented",
        "serial": {"prefixes": {"N": "plant.north", "S": "plant.south"}},
    },
    "options": [
        {
            "code": "plant",
            "label": "Built at",
            "choose": "one",
            "choices": [
                {"code": "north", "label": "North works"},
                {"code": "south", "label": "South works"},
            ],
        },
        {
            "code": "sump",
            "label": "Sump",
            "choose": "one",
            "ask": "Where is the deep part of the oil pan?",
            "choices": [
                {"code": "rear", "label": "Rear sump", "tell": "deep at the flywheel"},
                {"code": "front", "label": "Front sump", "tell": "deep at the pulley"},
            ],
        },
        {
            "code": "gears",
            "label": "Gear train",
            "choose": "one",
            "ask": "Which gear train?",
            "choices": [
                {"code": "plain", "label": "Plain"},
                {"code": "quiet", "label": "Quiet"},
                {"code": "wide", "label": "Wide"},
            ],
        },
        {
            "code": "extras",
            "label": "Extras",
            "choose": "any",
            "ask": "What is fitted besides?",
            "choices": [
                {"code": "heater", "label": "Sump heater"},
                {"code": "block", "label": "Block heater"},
            ],
        },
    ],
    "rules": [
        {
            "code": "r7",
            "when": "sump = front",
            "then": "not gears = wide",
            "because": "The wide gear train reaches into the front sump.",
        },
        {
            "code": "p1",
            "when": "extras = heater",
            "then": "sump = rear",
            "because": "The front sump has no boss for the heater.",
            "strength": "physical",
        },
        {
            "code": "r9",
            "when": "serial < 200000",
            "then": "sump = rear",
            "because": "The front sump came with 200000.",
        },
    ],
    "sections": [{"code": "bottom", "label": "Bottom end"}],
    "positions": [
        {"code": "block", "label": "Block", "section": "bottom"},
        {"code": "pan", "label": "Oil pan", "section": "bottom"},
        {"code": "pan_gasket", "label": "Oil pan gasket", "section": "bottom"},
    ],
    "parts": [
        {
            "number": "W10.0001",
            "name": "Cylinder block",
            "mass_kg": 180,
            "holes": {
                "rail": {
                    "thread": "M10x1.5",
                    "form": "blind",
                    "threaded_mm": 24,
                    "drilled_mm": 31.3,
                    "entry_mm": 1,
                    "entry_tol": 0.25,
                    "material": "grey_iron",
                }
            },
        },
        {
            "number": "W40.1187",
            "name": "Oil pan, rear sump",
            "mass_kg": 7.25,
            "pads": {"rail": {"mm": 34, "tol": 0.2}},
        },
        {
            "number": "W40.1190",
            "name": "Oil pan, front sump",
            "mass_kg": 7.5,
            "pads": {"rail": {"mm": 34, "tol": 0.2}},
        },
        {
            "number": "W40.2001",
            "name": "Oil pan gasket",
            "kind": "gasket",
            "reuse": "single",
            "pads": {"rail": {"mm": 0.8, "tol": 0.1, "soft": True}},
        },
        {
            "number": "W90.1055",
            "name": "Socket screw M10 x 55",
            "kind": "screw",
            "screw": {
                "standard": "ISO 4762",
                "thread": "M10x1.5",
                "length_mm": 55,
                "property_class": "10.9",
            },
        },
        {"number": "W80.0001", "name": "Engine oil", "kind": "fluid", "unit": "LTR"},
    ],
    "fitments": [
        {"position": "block", "part": "W10.0001"},
        {"position": "pan", "part": "W40.1187", "when": "sump = rear"},
        {"position": "pan", "part": "W40.1190", "when": "sump = front"},
        {"position": "pan_gasket", "part": "W40.2001"},
    ],
    "joints": [
        {
            "code": "pan_rail",
            "label": "Oil pan to block",
            "seals": ["pan_gasket"],
            "screw": {
                "standard": ["ISO 4762"],
                "thread": "M10x1.5",
                "property_class": "10.9",
            },
            "into": {"position": "block", "hole": "rail"},
            "groups": [
                {
                    "code": "a",
                    "holes": [
                        {"hole": 1, "x": 0, "y": 0},
                        {"hole": 2, "x": 100, "y": 0},
                    ],
                    "layers": [
                        {"position": "pan", "pad": "rail"},
                        {"position": "pan_gasket", "pad": "rail"},
                    ],
                }
            ],
        }
    ],
    "steps": [
        {
            "code": "pan_off",
            "label": "Take off the oil pan",
            "frees": ["pan"],
            "opens": ["pan_rail"],
            "then": ["refill_oil"],
            "minutes_off": 15,
            "minutes_on": 25,
        },
        {
            "code": "refill_oil",
            "label": "Refill the oil",
            "minutes_on": 10,
            "uses": [{"part": "W80.0001", "qty": "18"}],
        },
    ],
    "jobs": [
        {"code": "reseal_sump", "label": "Reseal the sump", "reseal": ["pan_rail"]},
        {"code": "renew_pan", "label": "Renew the oil pan", "renew": ["pan"]},
    ],
}


def whimbrel(**family: object) -> Json:
    """Return the family's document, with changes to its `family`."""
    document = copy.deepcopy(WHIMBREL)
    document["family"].update(family)
    return document


def dunlin(**part: object) -> Json:
    """Return a second family that shares the gasket; `part` changes it there."""
    document = whimbrel(code="dunlin", name="Dunlin")
    for one in document["parts"]:
        if one["number"] == "W40.2001":
            one.update(part)
    return document
