"""Faults of a document's joints and conditions, build by build.

Reading taken:
- A group is reported as `joint.group`, per member.
- Where a pad or hole is missing, or two stated screws apply, the rest of the joint
  is not sized in that build.
- A margin under 0.25 mm is thin; a screw that fails is not also thin. Margins are
  those of the full need, also for a stated screw.
- By its form: whatever the answers that the option tree allows, rules aside, at
  every member; the words `always` and `never` by themselves are meant.
"""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction

from tests.oracle.builds import (
    Build,
    Model,
    Tree,
    code_and_member,
    tree_builds,
    valid_builds,
)
from tests.oracle.joints import groups_of, into_of, seen_from, sized, stated_parts
from tests.oracle.lists import fitted, item, keys_of
from tests.oracle.screws import Sized

Finding = tuple[str, str]
THIN = Fraction(1, 4)


def joint_findings(model: Model) -> set[Finding]:
    """All findings of all joints over all valid builds."""
    return {
        finding
        for build in valid_builds(model)
        for joint in keys_of(model, "joints")
        for finding in findings_in(model, joint, build)
    }


def findings_in(model: Model, joint: str, build: Build) -> Iterator[Finding]:
    """The findings of one joint in one build."""
    groups = groups_of(model, joint, build)
    wrong = [f for group in groups for f in _data_findings(model, joint, group, build)]
    yield from wrong
    if wrong:
        return
    for code, one in sized(model, joint, build).items():
        yield from ((kind, f"{joint}.{code}") for kind in _sizing(one))


def _data_findings(
    model: Model, joint: str, group: Tree, build: Build
) -> Iterator[Finding]:
    at = f"{joint}.{group['code']}"
    for layer in group["layers"]:
        for key in seen_from(model, joint, layer["position"]):
            for part, _ in fitted(model, key, build):
                if layer["pad"] not in item(model, "parts", part).get("pads", {}):
                    yield "pad_missing", at
    into = into_of(item(model, "joints", code_and_member(joint)[0]), group)
    if "hole" in into:
        for key in seen_from(model, joint, into["position"]):
            for part, _ in fitted(model, key, build):
                if into["hole"] not in item(model, "parts", part).get("holes", {}):
                    yield "hole_missing", at
    if len(stated_parts(model, joint, group, build)) > 1:
        yield "screw_stated_overlap", at


def _sizing(one: Sized) -> Iterator[str]:
    if one.fixed and one.failure is not None:
        yield "screw_stated_fails"
    elif one.screw is None:
        yield "screw_none_fits"
    else:
        if one.screw.part is None:
            yield "screw_not_listed"
        assert one.margins is not None
        figures = (one.margins.short, one.margins.over, one.margins.shank)
        if not one.fixed and min(m for m in figures if m is not None) < THIN:
            yield "screw_thin_margin"


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
