"""Deliberate faults put into a good document, each with the finding it must give."""

from __future__ import annotations

import copy
import random

from tests.oracle.builds import Tree, code_and_member, key_of, read_model, valid_builds
from tests.oracle.lists import exists, keys_of
from tests.oracle.prove import Finding

KINDS = (
    "position_gap",
    "position_overlap",
    "fitment_dead",
    "part_unused",
    "dead_choice",
    "rule_redundant",
    "rule_never_applies",
    "joint_never_opened",
    "position_stuck",
)


def with_fault(tree: Tree, kind: str, rng: random.Random
               ) -> tuple[Tree, Finding] | None:  # fmt: skip
    """A copy with one fault of the kind, and the finding; None where there is no room.

    The finding's place is a code without a member.
    """
    doc = copy.deepcopy(tree)
    at = {
        "position_gap": _gap,
        "position_overlap": _overlap,
        "fitment_dead": _dead_fitment,
        "part_unused": _unused_part,
        "dead_choice": _dead_choice,
        "rule_redundant": _redundant_rule,
        "rule_never_applies": _idle_rule,
        "joint_never_opened": _closed_joint,
        "position_stuck": _stuck_position,
    }[kind](doc, rng)
    return None if at is None else (doc, (kind, at))


def _filled(doc: Tree) -> list[Tree]:
    """Positions of fill `one` that exist in some build, alone in their parts."""
    model = read_model(doc)
    builds = valid_builds(model)
    return [
        position
        for position in doc["positions"]
        if position.get("fill", "one") == "one"
        and all(
            any(exists(model, "positions", key_of(position["code"], m), b)
                for b in builds)
            for m in model.members(position.get("each"))
        )
    ]  # fmt: skip


def _gap(doc: Tree, rng: random.Random) -> str | None:
    """Take all fitments of rank 1 from a position."""
    places = _filled(doc)
    if not places:
        return None
    code = rng.choice(places)["code"]
    doc["fitments"] = [
        f for f in doc["fitments"] if f["position"] != code or f.get("rank", 1) != 1
    ]
    return str(code)


def _overlap(doc: Tree, rng: random.Random) -> str | None:
    """A second part wherever the position exists."""
    places = _filled(doc)
    if not places:
        return None
    code = rng.choice(places)["code"]
    parts = [f["part"] for f in doc["fitments"] if f["position"] == code]
    doc["fitments"].append({"position": code, "part": rng.choice(parts)})
    return str(code)


def _dead_fitment(doc: Tree, rng: random.Random) -> str | None:
    """A part that asks for two choices of one option at once."""
    options = [o for o in doc["options"] if o["choose"] == "one" and "each" not in o]
    if not options:
        return None
    option = rng.choice(options)
    one, other = rng.sample([choice["code"] for choice in option["choices"]], 2)
    fitment = {**rng.choice(doc["fitments"])}
    fitment["when"] = f"{option['code']} = {one} and {option['code']} = {other}"
    doc["fitments"].append(fitment)
    return f"{fitment['position']}/{len(doc['fitments']) - 1}"


def _unused_part(doc: Tree, rng: random.Random) -> str | None:
    number = f"X99.{rng.randint(100, 999)}"
    doc["parts"].append({"number": number, "name": "left over"})
    return number


def _dead_choice(doc: Tree, rng: random.Random) -> str | None:
    """A rule that rules a choice out."""
    model = read_model(doc)
    alive = [
        (option.key, choice)
        for option in model.options
        for choice in option.choices
        if option.key != "serial" and option.member is None
    ]
    key, choice = rng.choice(alive)
    doc["rules"].append({"code": "never_so", "then": f"{key} != {choice}"})
    if not valid_builds(read_model(doc)):
        return None
    return f"{key}.{choice}"


def _redundant_rule(doc: Tree, rng: random.Random) -> str | None:
    """The same rule twice."""
    if not doc["rules"]:
        return None
    doc["rules"].append({**rng.choice(doc["rules"]), "code": "again"})
    return "again"


def _idle_rule(doc: Tree, rng: random.Random) -> str | None:
    option = rng.choice(doc["options"])
    choice = option["choices"][0]["code"]
    if "each" in option:
        return None
    name = option["code"]
    doc["rules"].append({
        "code": "idle",
        "when": f"{name} = {choice} and {name} != {choice}",
        "then": f"{name} = {choice}",
    })  # fmt: skip
    return "idle"


def _closed_joint(doc: Tree, rng: random.Random) -> str | None:
    """Nothing opens a joint any more."""
    if not doc.get("joints"):
        return None
    code = rng.choice(doc["joints"])["code"]
    for step in doc.get("steps", []):
        step["opens"] = [joint for joint in step.get("opens", []) if joint != code]
        if not step["opens"]:
            del step["opens"]
    model = read_model(doc)
    builds = valid_builds(model)
    there = any(
        exists(model, "joints", key, build)
        for key in keys_of(model, "joints")
        if code_and_member(key)[0] == code
        for build in builds
    )
    return str(code) if there else None


def _stuck_position(doc: Tree, rng: random.Random) -> str | None:
    """A job renews what nothing takes out."""
    freed = {code for step in doc.get("steps", []) for code in step.get("frees", [])}
    seals = {seal for joint in doc.get("joints", []) for seal in joint["seals"]}
    places = [
        position["code"]
        for position in _filled(doc)
        if position["code"] not in freed | seals and "_" not in position["code"]
    ]
    if not places or not doc.get("jobs"):
        return None
    code = rng.choice(places)
    doc["jobs"].append({"code": "hopeless", "label": "Hopeless", "renew": [code]})
    return str(code)
