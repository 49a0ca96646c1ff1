"""A cover with a joint, steps and a job, to be put into any generated document.

It is without fault as it is. Joints of the document it is put into are not
disturbed: its screws have a finish of their own.
"""

from __future__ import annotations

import copy
from typing import Any

Tree = dict[str, Any]
SCREW = {
    "standard": "ISO 4762",
    "thread": "M10",
    "property_class": "8.8",
    "finish": "trim black",
}
RICH = "trim = rich"
HOLE = {"thread": "M10", "form": "blind", "threaded_mm": 24, "material": "grey_iron"}


def choices(*codes: str) -> list[Tree]:
    """Choices labelled after their codes."""
    return [{"code": code, "label": code.title()} for code in codes]


def option(code: str, **more: Any) -> Tree:
    """An option of two choices, plain and rich; plain is the usual one."""
    return {
        "code": code,
        "label": code.replace("_", " ").title(),
        "choose": "one",
        "choices": choices("plain", "rich"),
        **more,
    }


def position(code: str, **more: Any) -> Tree:
    """A position labelled after its code."""
    label = code.replace("_", " ").title()
    return {"code": code, "label": label, "section": "engine", **more}


TRIM: Tree = {
    "options": [option("trim", ask="Which trim is it?")],
    "positions": [position(f"trim_{what}") for what in ("body", "cover", "gasket")],
    "parts": [
        {"number": "T.1", "name": "Body", "holes": {"rail": HOLE}},
        {"number": "T.2", "name": "Cover, plain", "pads": {"rail": {"mm": 12}}},
        {"number": "T.3", "name": "Cover, rich", "pads": {"rail": {"mm": 12}}},
        {
            "number": "T.4",
            "name": "Gasket",
            "kind": "gasket",
            "pads": {"rail": {"mm": 1, "soft": True}},
        },
        *(
            {
                "number": f"T.{length}",
                "name": "Screw",
                "kind": "screw",
                "screw": {**SCREW, "length_mm": length},
            }
            for length in (30, 40)
        ),
    ],
    "fitments": [
        {"position": "trim_body", "part": "T.1"},
        {"position": "trim_cover", "part": "T.2", "when": "trim = plain"},
        {"position": "trim_cover", "part": "T.3", "when": RICH},
        {"position": "trim_gasket", "part": "T.4"},
    ],
    "joints": [
        {
            "code": "trim_rim",
            "label": "Trim cover to body",
            "seals": ["trim_gasket"],
            "screw": {**SCREW, "standard": ["ISO 4762"]},
            "into": {"position": "trim_body", "hole": "rail"},
            "groups": [
                {
                    "code": "a",
                    "label": "Rim screws",
                    "holes": [{"hole": 1, "x": 0, "y": 0}, {"hole": 2, "x": 9, "y": 0}],
                    "layers": [
                        {"position": "trim_cover", "pad": "rail"},
                        {"position": "trim_gasket", "pad": "rail"},
                    ],
                }
            ],
        }
    ],
    "steps": [
        {
            "code": "trim_off",
            "label": "Take the trim off",
            "frees": ["trim_cover"],
            "opens": ["trim_rim"],
        }
    ],
    "jobs": [
        {
            "code": "trim",
            "label": "Renew the trim",
            "renew": ["trim_cover"],
            "reseal": ["trim_rim"],
        }
    ],
}


def with_trim(tree: Tree) -> Tree:
    """A copy of the document with the trim in it, without fault."""
    return {
        **tree,
        **{kind: [*tree.get(kind, []), *items]
           for kind, items in copy.deepcopy(TRIM).items()},
    }  # fmt: skip
