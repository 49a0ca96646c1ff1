"""A small engine without fault: two options, a pan on a rail, a pump behind it."""

from __future__ import annotations

import copy
from typing import Any

from bomsvc.core.catalogue import read_catalogue
from bomsvc.core.logic.compiled import compile_catalogue
from bomsvc.core.logic.reasoner import Reasoner
from bomsvc.core.prove import Finding, prove
from bomsvc.core.terms.json_text import read_json
from tests.oracle.documents import json_text

Tree = dict[str, Any]

SCREW = {
    "standard": "ISO 4762",
    "thread": "M10",
    "property_class": "8.8",
}
ENGINE: Tree = {
    "format": 1,
    "family": {"code": "whimbrel", "name": "Whimbrel", "note": "invented"},
    "options": [
        {
            "code": "sump",
            "label": "Oil sump",
            "ask": "Where is the deep end?",
            "choices": [
                {"code": "front", "label": "Front"},
                {"code": "rear", "label": "Rear"},
            ],
        },
        {
            "code": "plate",
            "label": "Stiffener plate",
            "ask": "Is there a plate?",
            "choices": [
                {"code": "none", "label": "None"},
                {"code": "thick", "label": "Thick"},
            ],
        },
    ],
    "sections": [{"code": "engine", "label": "Engine"}],
    "positions": [
        {"code": "block", "label": "Cylinder block", "section": "engine"},
        {"code": "pan", "label": "Oil pan", "section": "engine"},
        {"code": "gasket", "label": "Pan gasket", "section": "engine"},
        {
            "code": "stiffener",
            "label": "Stiffener",
            "section": "engine",
            "exists": "plate = thick",
        },
        {"code": "pump", "label": "Oil pump", "section": "engine"},
    ],
    "parts": [
        {
            "number": "W40.1",
            "name": "Block",
            "holes": {
                "rail": {
                    "thread": "M10",
                    "form": "blind",
                    "threaded_mm": 24,
                    "drilled_mm": 30,
                    "material": "grey_iron",
                }
            },
        },
        {"number": "W40.2", "name": "Pan, front", "pads": {"rail": {"mm": 12}}},
        {"number": "W40.3", "name": "Pan, rear", "pads": {"rail": {"mm": 12}}},
        {"number": "W40.4", "name": "Gasket", "pads": {"rail": {"mm": 1}}},
        {"number": "W40.5", "name": "Plate", "pads": {"rail": {"mm": 10}}},
        {"number": "W40.6", "name": "Pump"},
        *(
            {
                "number": f"S.{length}",
                "name": "Screw",
                "kind": "screw",
                "screw": {**SCREW, "length_mm": length},
            }
            for length in (30, 40)
        ),
    ],
    "fitments": [
        {"position": "block", "part": "W40.1"},
        {"position": "pan", "part": "W40.2", "when": "sump = front"},
        {"position": "pan", "part": "W40.3", "when": "sump = rear"},
        {"position": "gasket", "part": "W40.4"},
        {"position": "stiffener", "part": "W40.5"},
        {"position": "pump", "part": "W40.6"},
    ],
    "joints": [
        {
            "code": "rail",
            "label": "Oil pan to block",
            "seals": ["gasket"],
            "screw": {**SCREW, "standard": ["ISO 4762"]},
            "into": {"position": "block", "hole": "rail"},
            "groups": [
                {
                    "code": "a",
                    "label": "Rail screws",
                    "holes": [{"hole": 1, "x": 0, "y": 0}, {"hole": 2, "x": 9, "y": 0}],
                    "layers": [
                        {"position": "stiffener", "pad": "rail"},
                        {"position": "pan", "pad": "rail"},
                        {"position": "gasket", "pad": "rail"},
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
            "opens": ["rail"],
        },
        {
            "code": "pump_off",
            "label": "Take out the pump",
            "frees": ["pump"],
            "needs": ["pan"],
        },
    ],
    "jobs": [
        {"code": "pump", "label": "Renew the oil pump", "renew": ["pump"]},
        {"code": "reseal", "label": "Reseal the oil pan", "reseal": ["rail"]},
    ],
}


def engine() -> Tree:
    return copy.deepcopy(ENGINE)


def reasoner_of(tree: Tree) -> Reasoner:
    return Reasoner(compile_catalogue(read_catalogue(read_json(json_text(tree)))))


def found_in(tree: Tree, code: str | None = None) -> list[Finding]:
    report = prove(reasoner_of(tree).compiled)
    return [f for f in report.findings if code in (None, f.code)]


def the(tree: Tree, code: str) -> Finding:
    (finding,) = found_in(tree, code)
    return finding
