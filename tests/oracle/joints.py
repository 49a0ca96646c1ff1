"""Joints of a document in one build: stacks, screws, and what they need.

Reading taken:
- A group stands where its joint and its own condition stand.
- A layer with several parts in its position adds each part's pad; with
  `count: qty` as many times as its quantity says.
- Nuts, washers (per-hole layers) and studs are needed at their position, as many
  as there are holes in the groups in hand.
- Where two stated screws apply, the first stands.
- By joints, everything there is needed as `renew`, a stud that stays excepted.
- The whole takes in the screws of all joints; sections do not.
"""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction
from typing import Any

from tests.oracle.builds import Build, Model, Tree, code_and_member
from tests.oracle.lists import (
    Needs,
    exists,
    fitted,
    item,
    keys_named,
    keys_of,
    without_included,
)
from tests.oracle.screws import Hole, NutSide, Screw, Sized, Stack, size_joint


def mm(value: Any) -> Fraction:
    """A length exactly as it is written."""
    return Fraction(str(value))


def plus_minus(figure: Tree) -> tuple[Fraction, Fraction]:
    """Plus and minus of a toleranced figure, mm."""
    both = mm(figure.get("tol", 0))
    return mm(figure.get("plus", both)), mm(figure.get("minus", both))


def groups_of(model: Model, joint: str, build: Build) -> list[Tree]:
    """The groups of a joint that exist in the build."""
    if not exists(model, "joints", joint, build):
        return []
    code, member = code_and_member(joint)
    entry = item(model, "joints", code)
    return [
        group
        for group in entry["groups"]
        if model.holds(group.get("exists"), build, entry, member)
    ]


def seen_from(model: Model, joint: str, name: str) -> list[str]:
    """The members of a position that a joint's member means."""
    code, member = code_and_member(joint)
    each = item(model, "joints", code).get("each")
    return keys_named(model, "positions", name, each, member)


def the_position(model: Model, joint: str, name: str) -> str:
    """The one position a joint's member means."""
    (key,) = seen_from(model, joint, name)
    return key


def _clamp(
    model: Model, joint: str, group: Tree, build: Build
) -> tuple[Fraction, Fraction]:
    low, high = Fraction(0), Fraction(0)
    for layer in group["layers"]:
        for key in seen_from(model, joint, layer["position"]):
            for part, qty in fitted(model, key, build):
                pad = item(model, "parts", part)["pads"][layer["pad"]]
                times = mm(qty) if layer.get("count") == "qty" else Fraction(1)
                plus, minus = plus_minus(pad)
                low += times * (mm(pad["mm"]) - minus)
                high += times * (mm(pad["mm"]) + plus)
    return low, high


def _optional(tree: Tree, name: str) -> Fraction | None:
    return mm(tree[name]) if name in tree else None


def _hole(figures: Tree) -> Hole:
    through = figures["form"] == "through"
    return Hole(
        figures["thread"],
        figures["material"],
        _optional(figures, "strength_mpa"),
        None if through else _optional(figures, "threaded_mm"),
        None if through else _optional(figures, "drilled_mm"),
        mm(figures.get("entry_mm", 0)),
        mm(figures.get("entry_tol", 0)),
        mm(figures["thickness_mm"]) if through else None,
        mm(figures.get("thickness_tol", 0)),
        mm(figures.get("exit_mm", 0)),
    )


def _into(model: Model, joint: str, into: Tree, build: Build) -> Hole | NutSide:
    if "hole" in into:
        key = the_position(model, joint, into["position"])
        ((part, _),) = fitted(model, key, build)
        return _hole(item(model, "parts", part)["holes"][into["hole"]])
    key = the_position(model, joint, into["nut"])
    ((part, _),) = fitted(model, key, build)
    nut = item(model, "parts", part)["nut"]
    plus, minus = plus_minus(nut)
    return NutSide(mm(nut["height_mm"]) - minus, mm(nut["height_mm"]) + plus)


def the_part(model: Model, joint: str, name: str, build: Build) -> Tree:
    """The one part in the position that a joint's member means."""
    ((part, _),) = fitted(model, the_position(model, joint, name), build)
    return item(model, "parts", part)


def screw_of(part: Tree) -> Screw:
    """A part's screw data."""
    data = part["screw"]
    return Screw(
        part["number"],
        data["standard"],
        data["thread"],
        int(data["length_mm"]),
        data["property_class"],
        data.get("fully_threaded", False),
        _optional(data, "thread_mm"),
        data.get("preferred", False),
    )


def catalogue_screws(model: Model) -> list[Screw]:
    """All screws among the parts."""
    return [screw_of(part) for part in model.doc["parts"] if "screw" in part]


def into_of(joint: Tree, group: Tree) -> Tree:
    """What a group is screwed into, its own or its joint's."""
    return dict(group["into"] if "into" in group else joint["into"])


def stated_parts(model: Model, joint: str, group: Tree, build: Build) -> list[str]:
    """The stated screws that apply to a group in the build."""
    code, member = code_and_member(joint)
    entry = item(model, "joints", code)
    return [
        stated["part"]
        for stated in group.get("stated", [])
        if model.holds(stated.get("when"), build, entry, member)
    ]


def stack_of(model: Model, joint: str, group: Tree, build: Build) -> Stack:
    """What a group's screw has to reach through and into."""
    entry = item(model, "joints", code_and_member(joint)[0])
    wanted = group["screw"] if "screw" in group else entry["screw"]
    low, high = _clamp(model, joint, group, build)
    stated = stated_parts(model, joint, group, build)
    return Stack(
        group["code"],
        low,
        high,
        _into(model, joint, into_of(entry, group), build),
        tuple(wanted["standard"]),
        wanted["thread"],
        wanted["property_class"],
        _optional(group, "engagement_mm"),
        _optional(group, "protrusion_mm"),
        screw_of(item(model, "parts", stated[0])) if stated else None,
    )


def sized(
    model: Model, joint: str, build: Build, groups: list[Tree] | None = None
) -> dict[str, Sized]:
    """The screws of a joint in the build, by group; groups with studs left out.

    `groups`: those that can be sized; all that exist, if nothing is said.
    """
    there = groups_of(model, joint, build) if groups is None else groups
    stacks = [
        stack_of(model, joint, group, build) for group in there if "stud" not in group
    ]
    return size_joint(stacks, catalogue_screws(model))


def stud_positions(model: Model, joint: str, group: Tree) -> list[str]:
    """Positions of a group's studs, unless they stay."""
    stud = group.get("stud", {"stays": True})
    if stud.get("stays", False):
        return []
    return seen_from(model, joint, stud["position"])


def hardware(model: Model, joint: str, group: Tree) -> list[str]:
    """Positions of a group's washers, nuts and studs: one at each hole."""
    entry = item(model, "joints", code_and_member(joint)[0])
    into = into_of(entry, group)
    names = [
        layer["position"]
        for layer in group["layers"]
        if layer.get("per", "joint") == "hole"
    ]
    if "nut" in into:
        names.append(into["nut"])
    if "stud" in group:
        names.append(group["stud"]["position"])
    return [key for name in names for key in seen_from(model, joint, name)]


def loose_hardware(model: Model, joint: str, group: Tree) -> list[str]:
    """What comes out with a group's screws: studs that stay do not."""
    keys = hardware(model, joint, group)
    if "stud" not in group or stud_positions(model, joint, group):
        return keys
    return [k for k in keys if k not in seen_from(model, joint,
            group["stud"]["position"])]  # fmt: skip


def holes_at(model: Model, build: Build) -> dict[str, int]:
    """Number of holes in the build that each position of hardware serves."""
    counts: dict[str, int] = {}
    for joint in keys_of(model, "joints"):
        there = groups_of(model, joint, build)
        for group in item(model, "joints", code_and_member(joint)[0])["groups"]:
            for key in hardware(model, joint, group):
                holes = len(group["holes"]) if group in there else 0
                counts[key] = counts.get(key, 0) + holes
    return counts


def screw_needs(
    model: Model, joint: str, groups: list[Tree], build: Build, *, need: str = "renew"
) -> Needs:
    """The screws of some groups of a joint."""
    found = sized(model, joint, build) if groups else {}
    return {
        (need, _part(found[group["code"]]), ("group", f"{joint}.{group['code']}")):
            Decimal(len(group["holes"]))
        for group in groups
        if "stud" not in group
    }  # fmt: skip


def _part(one: Sized) -> str:
    """A part number, or what to look for where the catalogue has none."""
    screw = one.screw
    if screw is None:
        return "wanted: nothing fits"
    designation = f"{screw.standard} - {screw.thread} x {screw.length}"
    return screw.part or f"wanted: {designation} - {screw.property_class}"


def hole_needs(model: Model, groups: list[tuple[str, str]], build: Build) -> Needs:
    """Washers, nuts and studs of some (joint, group), as many as their holes."""
    needs: Needs = {}
    for joint, code in groups:
        (group,) = (g for g in groups_of(model, joint, build) if g["code"] == code)
        for key in loose_hardware(model, joint, group):
            for part, _ in fitted(model, key, build):
                need = ("renew", part, ("position", key))
                needs[need] = needs.get(need, Decimal(0)) + len(group["holes"])
    return needs


def sits(model: Model, position: str, build: Build) -> list[tuple[str, Decimal]]:
    """What sits in a position; hardware as many as it has holes in the build."""
    counts = holes_at(model, build)
    if position not in counts:
        return fitted(model, position, build)
    parts = {part for part, _ in fitted(model, position, build)}
    holes = Decimal(counts[position])
    return [(part, holes) for part in sorted(parts) if holes]


def fitted_needs(model: Model, scope: list[str], build: Build) -> Needs:
    """What sits in positions, but for what other parts of the scope bring along."""
    needs: Needs = {}
    for position in without_included(model, scope, build):
        for part, qty in sits(model, position, build):
            need = ("renew", part, ("position", position))
            needs[need] = needs.get(need, Decimal(0)) + qty
    return needs


def whole_needs(model: Model, build: Build) -> Needs:
    """Everything that is fitted: all positions and all screws."""
    needs = fitted_needs(model, keys_of(model, "positions"), build)
    for joint in keys_of(model, "joints"):
        groups = groups_of(model, joint, build)
        needs.update(screw_needs(model, joint, groups, build))
    return needs


def joint_needs(model: Model, joints: list[str], build: Build) -> Needs:
    """Seals, screws and what is needed per hole of some joints."""
    needs: Needs = {}
    groups: list[tuple[str, str]] = []
    for joint in joints:
        if not exists(model, "joints", joint, build):
            continue
        for name in item(model, "joints", code_and_member(joint)[0])["seals"]:
            for key in seen_from(model, joint, name):
                for part, qty in fitted(model, key, build):
                    needs["renew", part, ("position", key)] = qty
        here = groups_of(model, joint, build)
        needs.update(screw_needs(model, joint, here, build))
        groups += [(joint, group["code"]) for group in here]
    needs.update(hole_needs(model, groups, build))
    return needs
