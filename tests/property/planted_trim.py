"""A cover with a joint, steps and a job, to be put into any generated document.

It is without fault as it is; each plant spoils it, where that can be in builds with
the rich trim only. Joints of the document it is put into are not disturbed: its
screws have a finish of their own.
"""

from __future__ import annotations

import copy
from collections.abc import Callable
from decimal import Decimal
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


def _choices(*codes: str) -> list[Tree]:
    return [{"code": code, "label": code.title()} for code in codes]


def _option(code: str, **more: Any) -> Tree:
    return {
        "code": code,
        "label": code.replace("_", " ").title(),
        "choose": "one",
        "choices": _choices("plain", "rich"),
        **more,
    }


def _position(code: str, **more: Any) -> Tree:
    label = code.replace("_", " ").title()
    return {"code": code, "label": label, "section": "engine", **more}


TRIM: Tree = {
    "options": [_option("trim", ask="Which trim is it?")],
    "positions": [_position(f"trim_{what}") for what in ("body", "cover", "gasket")],
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


def _the(tree: Tree, kind: str, name: str) -> Tree:
    key = "number" if kind == "parts" else "code"
    (found,) = (item for item in tree[kind] if item[key] == name)
    assert isinstance(found, dict)
    return found


def _rule(tree: Tree, code: str, **fields: str) -> None:
    tree["rules"].append({"code": code, "because": "planted", **fields})


def _body_when_rich(tree: Tree, hole: Tree | None) -> None:
    """Another body where the trim is rich."""
    for fitment in tree["fitments"]:
        if fitment["position"] == "trim_body":
            fitment["when"] = "trim = plain"
    holes = {} if hole is None else {"rail": hole}
    tree["parts"].append({"number": "T.7", "name": "Body, rich", "holes": holes})
    tree["fitments"].append({"position": "trim_body", "part": "T.7", "when": RICH})


def _state(tree: Tree, *stated: Tree) -> None:
    _the(tree, "joints", "trim_rim")["groups"][0]["stated"] = list(stated)


def _thick_when_rich(tree: Tree, mm: int) -> None:
    _the(tree, "parts", "T.3")["pads"]["rail"]["mm"] = mm


# --- options, rules, conditions ---------------------------------------------


def no_valid_build(tree: Tree) -> str:
    _rule(tree, "trim_never", then="never")
    return str(tree["family"]["code"])


def dead_choice(tree: Tree) -> str:
    _rule(tree, "trim_plain", then="trim != rich")
    return "trim.rich"


def forced_choice(tree: Tree) -> str:
    dead_choice(tree)
    return "trim.plain"


def idle_option(tree: Tree) -> str:
    tree["options"].append(_option("trim_paint", ask="Which paint?"))
    return "trim_paint"


def option_unaskable(tree: Tree) -> str:
    del _the(tree, "options", "trim")["ask"]
    return "trim"


def condition_never(tree: Tree) -> str:
    when = "trim = plain and trim = rich"
    tree["fitments"].append({"position": "trim_cover", "part": "T.3", "when": when})
    return "trim_cover"


def condition_always(tree: Tree) -> str:
    _the(tree, "steps", "trim_off")["exists"] = "trim = plain or trim = rich"
    return "trim_off"


def rule_never_applies(tree: Tree) -> str:
    when = "trim = plain and trim = rich"
    _rule(tree, "trim_idle", when=when, then="trim = plain")
    return "trim_idle"


def rule_redundant(tree: Tree) -> str:
    tree["options"].append(_option("trim_paint", ask="Which paint?"))
    for code in ("trim_once", "trim_again"):
        _rule(tree, code, when=RICH, then="trim_paint = rich")
    return "trim_again"


# --- positions and parts ----------------------------------------------------


def position_gap(tree: Tree) -> str:
    tree["fitments"] = [f for f in tree["fitments"] if f["part"] != "T.3"]
    return "trim_cover"


def position_overlap(tree: Tree) -> str:
    tree["fitments"].append({"position": "trim_cover", "part": "T.2", "when": RICH})
    return "trim_cover"


def position_empty(tree: Tree) -> str:
    tree["positions"].append(_position("trim_badge", fill="optional"))
    tree["parts"].append({"number": "T.9", "name": "Badge"})
    badge = {"position": "trim_badge", "part": "T.9", "when": "trim = plain"}
    tree["fitments"].append(badge)
    return "trim_badge"


def fitment_dead(tree: Tree) -> str:
    _rule(tree, "trim_plain", then="trim != rich")
    return "trim_cover"


def part_unused(tree: Tree) -> str:
    tree["parts"].append({"number": "T.9", "name": "Left over"})
    return "T.9"


def quantity_by_holes(tree: Tree) -> str:
    tree["positions"].append(_position("trim_washer"))
    washer = {"name": "Washer", "kind": "washer", "pads": {"rail": {"mm": 1}}}
    for number, when, more in (
        ("T.8", "trim = plain", {}),
        ("T.9", RICH, {"qty": "2"}),
    ):
        tree["parts"].append({"number": number, **washer})
        fitment = {"position": "trim_washer", "part": number, "when": when, **more}
        tree["fitments"].append(fitment)
    layer = {"position": "trim_washer", "pad": "rail", "per": "hole"}
    _the(tree, "joints", "trim_rim")["groups"][0]["layers"].insert(0, layer)
    return "trim_washer"


# --- joints -----------------------------------------------------------------


def pad_missing(tree: Tree) -> str:
    _the(tree, "parts", "T.3")["pads"] = {}
    return "trim_rim.a"


def hole_missing(tree: Tree) -> str:
    _body_when_rich(tree, None)
    return "trim_rim.a"


def hole_unplaced(tree: Tree) -> str:
    _the(tree, "joints", "trim_rim")["groups"][0]["holes"][1] = {"hole": 2}
    return "trim_rim.a"


def screw_unknown(tree: Tree) -> str:
    _body_when_rich(tree, {**HOLE, "thread": "M11"})
    return "trim_rim.a"


def screw_none_fits(tree: Tree) -> str:
    _body_when_rich(tree, {**HOLE, "threaded_mm": 4})
    return "trim_rim.a"


def screw_not_listed(tree: Tree) -> str:
    _thick_when_rich(tree, 32)
    return "trim_rim.a"


def screw_stated_fails(tree: Tree) -> str:
    _state(tree, {"part": "T.40", "when": RICH})
    return "trim_rim.a"


def screw_stated_overlap(tree: Tree) -> str:
    _state(tree, {"part": "T.30"}, {"part": "T.30", "when": RICH})
    return "trim_rim.a"


def screw_thin_margin(tree: Tree) -> str:
    # 13 + 1 mm clamped: 0.08 mm to spare before a screw of 30 mm engages too little.
    _thick_when_rich(tree, 13)
    return "trim_rim.a"


def screw_hard_to_start(tree: Tree) -> str:
    free = {"mm": 1, "soft": True, "free_mm": Decimal(20)}
    part = {"number": "T.8", "name": "Gasket, soft", "kind": "gasket"}
    tree["parts"].append({**part, "pads": {"rail": free}})
    for fitment in tree["fitments"]:
        if fitment["position"] == "trim_gasket":
            fitment["when"] = "trim = plain"
    tree["fitments"].append({"position": "trim_gasket", "part": "T.8", "when": RICH})
    return "trim_rim.a"


def screw_overstressed(tree: Tree) -> str:
    joint = _the(tree, "joints", "trim_rim")
    joint["groups"].append(
        {**joint["groups"][0], "code": "b", "exists": RICH, "holes": [{"hole": 3,
         "x": 18, "y": 0}]}
    )  # fmt: skip
    joint["tighten"] = {"passes": [{"torque_nm": 400, "groups": ["b"]}]}
    return "trim_rim.b"


# --- work -------------------------------------------------------------------


def position_stuck(tree: Tree) -> str:
    step = _the(tree, "steps", "trim_off")
    tree["steps"].append({**step, "code": "trim_open", "exists": RICH, "frees": []})
    step["exists"] = "trim = plain"
    return "trim_cover"


def joint_never_opened(tree: Tree) -> str:
    _the(tree, "steps", "trim_off")["exists"] = "trim = plain"
    return "trim_rim"


def needs_cycle(tree: Tree) -> str:
    other = {"code": "trim_clip", "label": "Undo the clip", "exists": RICH}
    tree["steps"].append({**other, "needs": ["trim_off"]})
    _the(tree, "steps", "trim_off")["needs"] = ["trim_clip"]
    return "trim_clip"


def forgotten_gasket(tree: Tree) -> str:
    step = {"code": "trim_cut", "label": "Cut the trim off", "frees": ["trim_cover"]}
    tree["steps"].append({**step, "exists": RICH})
    return "trim_cut"


def job_idle(tree: Tree) -> str:
    job = {"code": "trim_look", "label": "Look at the trim", "check": ["trim_cover"]}
    tree["jobs"].append({**job, "exists": RICH})
    return "trim_look"


def not_proven(tree: Tree) -> str:
    """A part that sits there when seven pigeons find six holes of their own."""
    size = 7
    holes = [{"code": f"h{n}", "label": "x"} for n in range(size - 1)]
    for one in range(size):
        tree["options"].append(_option(f"t{one}", choices=holes))
    crowded = " or ".join(
        f"(t{one} = h{hole} and t{other} = h{hole})"
        for hole in range(size - 1)
        for one in range(size)
        for other in range(one)
    )
    for fitment in tree["fitments"]:
        if fitment["part"] == "T.3":
            fitment["when"] = f"{RICH} and ({crowded})"
    return "trim_cover"


PLANTS: dict[str, Callable[[Tree], str]] = {
    plant.__name__: plant
    for plant in (
        no_valid_build,
        dead_choice,
        forced_choice,
        idle_option,
        option_unaskable,
        condition_never,
        condition_always,
        rule_never_applies,
        rule_redundant,
        position_gap,
        position_overlap,
        position_empty,
        fitment_dead,
        part_unused,
        quantity_by_holes,
        pad_missing,
        hole_missing,
        hole_unplaced,
        screw_unknown,
        screw_none_fits,
        screw_not_listed,
        screw_stated_fails,
        screw_stated_overlap,
        screw_thin_margin,
        screw_hard_to_start,
        screw_overstressed,
        position_stuck,
        joint_never_opened,
        needs_cycle,
        forgotten_gasket,
        job_idle,
        not_proven,
    )
}
