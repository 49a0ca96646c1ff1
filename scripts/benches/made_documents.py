"""Generated documents at full size, invented, for the bench of the proof.

A family of 300 options with rules between neighbours and a few far ones; positions
split their builds by one, two or three options, some only thanks to a rule.
"""

from __future__ import annotations

import json
import random
from typing import Any

from bomsvc.core.catalogue import read_catalogue
from bomsvc.core.catalogue.limits import Limits
from bomsvc.core.logic.compiled import Compiled, compile_catalogue
from bomsvc.core.terms.json_text import read_json

OPTIONS = 300
Tree = dict[str, Any]


def family(rng: random.Random) -> Tree:
    """Options and rules: neighbours exclude or imply one another, a few far ones."""
    options: list[Tree] = []
    for n in range(OPTIONS):
        choices = [f"c{k}" for k in range(rng.choice((2, 2, 3, 3, 4, 5)))]
        option: Tree = {"code": f"o{n}", "label": f"Option {n}", "ask": "Which?"}
        option["choices"] = [{"code": c, "label": c} for c in choices]
        if n > 10 and rng.random() < 0.15:
            option["under"] = f"o{n - rng.randint(1, 5)}.c0"
        options.append(option)
    rules = []
    for n in range(OPTIONS):
        far = rng.random() < 0.02
        other = (
            rng.randrange(OPTIONS) if far else min(OPTIONS - 1, n + rng.randint(1, 6))
        )
        if other != n:
            rules.append(
                {
                    "code": f"r{n}",
                    "when": f"o{n} = c0",
                    "then": f"not o{other} = c1",
                    "because": "generated",
                }
            )
    return {"options": options, "rules": rules}


def split(rng: random.Random, options: list[Tree]) -> list[str]:
    """Four conditions or so of which exactly one holds in every valid build."""
    first = rng.randrange(OPTIONS)
    leaves: list[str] = []
    chosen = rng.randrange(len(options[first]["choices"]))
    for index, one in enumerate(_by(options[first])):
        if index == chosen and rng.random() < 0.7:
            second = options[min(OPTIONS - 1, first + rng.randint(1, 60))]
            if second is options[first] or len(second["choices"]) > 3:
                leaves.append(one)
                continue
            leaves += [f"{one} and {other}" for other in _by(second)]
        else:
            leaves.append(one)
    return leaves


def _by(option: Tree) -> list[str]:
    codes = [choice["code"] for choice in option["choices"]]
    first = [f"{option['code']} = {code}" for code in codes[:-1]]
    return [*first, f"not {option['code']} in ({', '.join(codes[:-1])})"]


def document(positions: int, joints: int = 0, seed: int = 1) -> Tree:
    """A whole document; joints of five groups each."""
    rng = random.Random(seed)
    tree = family(rng)
    fitments: list[Tree] = []
    places: list[Tree] = []
    parts = [
        {"number": f"P{n}", "name": f"part {n}", "pads": {"face": {"mm": 8 + n % 5}}}
        for n in range(400)
    ]
    for n in range(positions):
        places.append({"code": f"p{n}", "label": f"Place {n}", "section": "engine"})
        for condition in split(rng, tree["options"]):
            part = f"P{rng.randrange(400)}"
            fitments.append({"position": f"p{n}", "part": part, "when": condition})
    tree |= {"positions": places, "fitments": fitments, "parts": parts}
    if joints:
        _add_joints(tree, joints)
    return {
        "format": 1,
        "family": {"code": "bench", "name": "Bench", "note": "generated"},
        "sections": [{"code": "engine", "label": "Engine"}],
        **tree,
    }


def _add_joints(tree: Tree, joints: int) -> None:
    hole = {"thread": "M10", "form": "blind", "threaded_mm": 30, "drilled_mm": 36}
    block = {"number": "BLOCK", "name": "block"}
    block["holes"] = {"tapped": hole | {"material": "grey_iron"}}  # type: ignore[assignment]
    tree["parts"].append(block)
    for length in range(20, 85, 5):
        screw = {"standard": "ISO 4762", "thread": "M10", "length_mm": length}
        data = screw | {"property_class": "8.8"}
        tree["parts"].append({"number": f"S{length}", "name": "screw", "screw": data})
    tree["positions"].append({"code": "block", "label": "Block", "section": "engine"})
    tree["fitments"].append({"position": "block", "part": "BLOCK"})
    wanted = {"standard": ["ISO 4762"], "thread": "M10", "property_class": "8.8"}
    places = len(tree["positions"]) - 1
    tree["joints"] = [
        {
            "code": f"j{n}",
            "label": f"Joint {n}",
            "seals": [],
            "screw": wanted,
            "into": {"position": "block", "hole": "tapped"},
            "groups": [
                {
                    "code": f"g{k}",
                    "holes": [{"hole": 4 * k + h, "x": h, "y": k} for h in range(1, 5)],
                    "layers": [{"position": f"p{n % places}", "pad": "face"}],
                }
                for k in range(5)
            ],
        }
        for n in range(joints)
    ]
    tree["steps"] = [
        {"code": "open", "label": "Open all", "opens": [f"j{n}" for n in range(joints)]}
    ]


def compiled(tree: Tree) -> Compiled:
    """Read and compile a generated document."""
    text = json.dumps(tree)
    catalogue = read_catalogue(read_json(text), limits=Limits())
    return compile_catalogue(catalogue)
