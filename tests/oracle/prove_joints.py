"""Faults of a document's joints and conditions, build by build.

Reading taken:
- A group is reported as `joint.group`, per member.
- A group with a pad, hole or nut missing is not sized and takes no part in the
  choice of the joint's lengths; the other groups are sized without it.
- A margin under 0.25 mm is thin; a screw that fails is not also thin. A stated screw
  is held to the stripping need; where it meets that and not the guide, it is thin.
- An alternate is tried by itself, with the usual parts everywhere else.
- The greatest torque stated for a group counts, whatever the pass.
- By its form: whatever the answers that the option tree allows, rules aside, at
  every member; the words `always` and `never` by themselves are meant.
"""

from __future__ import annotations

import copy
from collections.abc import Iterator
from fractions import Fraction

from tests.oracle.builds import (
    Build,
    Model,
    Tree,
    code_and_member,
    read_model,
    tree_builds,
    valid_builds,
)
from tests.oracle.joints import (
    groups_of,
    into_of,
    seen_from,
    sized,
    stack_of,
    stated_parts,
)
from tests.oracle.lists import fitted, item, keys_of
from tests.oracle.screws import Sized, Stack, margins
from tests.oracle.studs import stud_findings
from tests.oracle.torque import load_shares

Finding = tuple[str, str]
THIN = Fraction(1, 4)


def joint_findings(model: Model) -> set[Finding]:
    """All findings of all joints over all valid builds, alternates too."""
    builds = valid_builds(model)
    return {
        finding
        for other, position in with_alternates(model)
        for joint in keys_of(model, "joints")
        if position is None or position in _positions_of(model, joint)
        for build in builds
        if position is None or _sits(other, joint, position, build)
        for finding in findings_in(other, joint, build)
    }


def with_alternates(model: Model) -> Iterator[tuple[Model, str | None]]:
    """The document, then one with each alternate in its position, all by itself."""
    yield model, None
    for index, fitment in enumerate(model.doc["fitments"]):
        if fitment.get("rank", 1) == 1:
            continue
        doc = copy.deepcopy(model.doc)
        alone = doc["fitments"][index]
        del alone["rank"]
        others = [f for f in doc["fitments"] if f["position"] != alone["position"]]
        doc["fitments"] = [*others, alone]
        yield read_model(doc), fitment["position"]


def _positions_of(model: Model, joint: str) -> set[str]:
    """The codes of all positions that a joint's groups name."""
    entry = item(model, "joints", code_and_member(joint)[0])
    found = set()
    for group in entry["groups"]:
        found |= {layer["position"] for layer in group["layers"]}
        into = into_of(entry, group)
        found |= {into[name] for name in ("position", "nut") if name in into}
        if "stud" in group:
            found.add(group["stud"]["position"])
    return found


def _sits(model: Model, joint: str, position: str, build: Build) -> bool:
    keys = seen_from(model, joint, position)
    return any(fitted(model, key, build) for key in keys)


def findings_in(model: Model, joint: str, build: Build) -> Iterator[Finding]:
    """The findings of one joint in one build."""
    whole = []
    for group in groups_of(model, joint, build):
        at = f"{joint}.{group['code']}"
        missing = list(_missing(model, joint, group, build))
        yield from ((code, at) for code in missing)
        if missing:
            continue
        whole.append(group)
        if len(stated_parts(model, joint, group, build)) > 1:
            yield "screw_stated_overlap", at
        if "stud" in group:
            found = stud_findings(model, joint, group, build)
            yield from ((code, at) for code in found)
    for code, one in sized(model, joint, build, whole).items():
        (group,) = (g for g in whole if g["code"] == code)
        stack = stack_of(model, joint, group, build)
        yield from ((kind, f"{joint}.{code}") for kind in _sizing(stack, one))
        entry = item(model, "joints", code_and_member(joint)[0])
        yield from ((kind, f"{joint}.{code}") for kind in _stressed(entry, one))


def _missing(model: Model, joint: str, group: Tree, build: Build) -> Iterator[str]:
    for layer in group["layers"]:
        for part in _parts_in(model, joint, layer["position"], build):
            if layer["pad"] not in part.get("pads", {}):
                yield "pad_missing"
    into = into_of(item(model, "joints", code_and_member(joint)[0]), group)
    if "hole" in into:
        parts = _parts_in(model, joint, into["position"], build)
        if not parts or any(into["hole"] not in p.get("holes", {}) for p in parts):
            yield "hole_missing"
    if "nut" in into:
        parts = _parts_in(model, joint, into["nut"], build)
        if not any("nut" in part for part in parts):
            yield "hole_missing"


def _parts_in(model: Model, joint: str, name: str, build: Build) -> list[Tree]:
    return [
        item(model, "parts", part)
        for key in seen_from(model, joint, name)
        for part, _ in fitted(model, key, build)
    ]


def _sizing(stack: Stack, one: Sized) -> Iterator[str]:
    if one.fixed and one.failure is not None:
        yield "screw_stated_fails"
    elif one.screw is None:
        yield "screw_none_fits"
    else:
        if one.screw.part is None:
            yield "screw_not_listed"
        assert one.margins is not None
        figures = (one.margins.short, one.margins.over, one.margins.shank)
        strict = margins(stack, one.screw).short
        if min(m for m in figures if m is not None) < THIN or strict < 0:
            yield "screw_thin_margin"


def _stressed(joint: Tree, one: Sized) -> Iterator[str]:
    """Whether a stated torque strains a screw beyond its proof load."""
    torques = [
        Fraction(str(one_pass["torque_nm"]))
        for one_pass in joint.get("tighten", {}).get("passes", [])
        if "torque_nm" in one_pass and one.group in one_pass.get("groups", [one.group])
    ]
    if not torques or one.screw is None:
        return
    screw = one.screw
    usual, lowest = load_shares(
        screw.standard, screw.thread, screw.property_class, max(torques)
    )
    if usual > 1:
        yield "screw_overstressed"
    elif lowest > 1:
        yield "screw_overstressed (note)"


Written = tuple[str, str | None]


def conditions(tree: object, each: str | None = None) -> Iterator[Written]:
    """Every written condition with the series it is seen from."""
    if isinstance(tree, dict):
        each = tree.get("each", each)
        for name, value in tree.items():
            if name in ("when", "exists") and isinstance(value, str):
                yield value, each
            else:
                yield from conditions(value, each)
    elif isinstance(tree, list):
        for value in tree:
            yield from conditions(value, each)


def written(model: Model) -> set[Written]:
    """All conditions of a document; those of fitments seen from their position."""
    found = set()
    for kind, items in model.doc.items():
        for entry in items if isinstance(items, list) else []:
            each = None
            if kind == "fitments":
                each = item(model, "positions", entry["position"]).get("each")
            found |= set(conditions(entry, each))
    return found


def constant_conditions(model: Model) -> set[Finding]:
    """Conditions with the same truth whatever the answers: (finding, text)."""
    builds = list(tree_builds(model))
    found: set[Finding] = set()
    for text, each in written(model):
        condition = model.condition(text)
        truths = {
            model.test(condition, build, each, member)
            for build in builds
            for member in model.members(each)
        }
        if len(truths) == 1 and condition[0] not in ("always", "never"):
            name = "condition_always" if True in truths else "condition_never"
            found.add((name, text))
    return found
