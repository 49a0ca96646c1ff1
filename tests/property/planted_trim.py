"""Ways to spoil the trim: one for each code of the proof's list.

Each plant gives the place of its finding, and spoils the trim, where that can be, in
builds with the rich trim only.
"""

from __future__ import annotations

from collections.abc import Callable
from decimal import Decimal

from tests.property.trim import HOLE, RICH, Tree, option, position


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
    tree["options"].append(option("trim_paint", ask="Which paint?"))
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
    tree["options"].append(option("trim_paint", ask="Which paint?"))
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
    tree["positions"].append(position("trim_badge", fill="optional"))
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
    tree["positions"].append(position("trim_washer"))
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
        tree["options"].append(option(f"t{one}", choices=holes))
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
