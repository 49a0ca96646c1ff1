"""Faults of a document, by looking at every valid build.

A finding is (code, at). Reading taken:
- Things with `each` are reported per member, but a rule or a condition only when
  it is so at every member.
- The serial's intervals may be dead, but an uncut serial is not forced.
- A part is used when a fitment, a step, a stated screw, a `sold_as` or a group's
  wish for such a screw names it.
- A renewed position is stuck when no step of the build frees it; it waits in a
  cycle when steps free it but no order of steps reaches it.
- A forgotten gasket is a step that can be done, needs met, with the clamped part's
  joint still closed. Loosening is enough when all groups that clamp the part are
  loose and in each the part lies nearer the head than every seal in place there.
- A joint that lies wholly within the freed part may stay closed: all that its groups
  clamp and that is in place (layers and the part screwed into) comes with that part,
  however far down, and there is something that does.
- A position that is a seal of the joint asks for the joint to be open.
"""

from __future__ import annotations

import itertools
from collections.abc import Iterator

from tests.oracle.builds import (
    Build,
    Model,
    builds_under,
    chosen,
    code_and_member,
    valid_builds,
)
from tests.oracle.joints import groups_of, into_of, seen_from
from tests.oracle.lists import (
    exists,
    fitted,
    item,
    keys_named,
    keys_of,
    part_positions,
)
from tests.oracle.work import (
    Setting,
    can_be_ordered,
    freed,
    opened,
    renewed,
    setting_of,
    undone_groups,
)

Finding = tuple[str, str]


def findings(model: Model) -> set[Finding]:
    """All findings of the kinds above."""
    builds = valid_builds(model)
    if not builds:
        return {("no_valid_build", model.doc["family"]["code"])}
    return {
        *option_findings(model, builds),
        *rule_findings(model, builds),
        *position_findings(model, builds),
        *part_findings(model),
        *work_findings(model, builds),
    }


def option_findings(model: Model, builds: list[Build]) -> Iterator[Finding]:
    """Choices that no build, or every build, has."""
    for option in model.options:
        for choice in option.choices:
            truths = {chosen(build[option.key], "=", [choice]) for build in builds}
            if truths == {False}:
                yield "dead_choice", f"{option.key}.{choice}"
            elif truths == {True} and option.key != "serial":
                yield "forced_choice", f"{option.key}.{choice}"


def rule_findings(model: Model, builds: list[Build]) -> Iterator[Finding]:
    """Rules that never apply, or that follow from the others."""
    for entry in model.doc.get("rules", []):
        members = [rule for rule in model.rules if rule.code == entry["code"]]
        if not any(
            model.test(rule.when[0], build, rule.when[1], rule.member)
            for rule in members
            for build in builds
        ):
            yield "rule_never_applies", entry["code"]
        if len(builds_without(model, entry["code"])) == len(builds):
            yield "rule_redundant", entry["code"]


def builds_without(model: Model, code: str) -> list[Build]:
    """The builds that would be valid without one rule."""
    return builds_under(model, lambda rule: rule.code != code)


def position_findings(model: Model, builds: list[Build]) -> Iterator[Finding]:
    """Gaps, overlaps, empty optional positions, fitments no build uses."""
    used: set[int] = set()
    for key in keys_of(model, "positions"):
        code, member = code_and_member(key)
        place = item(model, "positions", code)
        fill = place.get("fill", "one")
        for build in builds:
            if not exists(model, "positions", key, build):
                continue
            count = len(fitted(model, key, build))
            if count == 0 and fill != "several":
                yield ("position_gap" if fill == "one" else "position_empty"), key
            if count > 1 and fill != "several":
                yield "position_overlap", key
            used |= {
                index
                for index, fitment in enumerate(model.doc["fitments"])
                if fitment["position"] == code
                and model.holds(fitment.get("when"), build, place, member)
            }
    for index, fitment in enumerate(model.doc["fitments"]):
        if index not in used:
            yield "fitment_dead", f"{fitment['position']}/{index}"


def part_findings(model: Model) -> Iterator[Finding]:
    """Parts that nothing names."""
    doc = model.doc
    used = {fitment["part"] for fitment in doc["fitments"]}
    used |= {use["part"] for step in doc.get("steps", []) for use in
             step.get("uses", [])}  # fmt: skip
    for part in doc["parts"]:
        if "sold_as" in part:
            used.add(part["sold_as"]["number"])
            used |= {content["part"] for content in part["sold_as"]["contents"]}
    for joint in doc.get("joints", []):
        for group in joint["groups"]:
            used |= {stated["part"] for stated in group.get("stated", [])}
    for part in doc["parts"]:
        if part["number"] not in used and "screw" not in part:
            yield "part_unused", part["number"]


def work_findings(model: Model, builds: list[Build]) -> Iterator[Finding]:
    """Positions without a way in, forgotten gaskets, closed joints, idle jobs."""
    jobs = [job["code"] for job in model.doc.get("jobs", [])]
    seen: set[str] = set()
    for build in builds:
        for job in jobs:
            yield from idle_jobs(model, job, build)
        setting = setting_of(model, jobs, build)
        opens = opened(setting, setting.steps)
        for joint in keys_of(model, "joints"):
            if exists(model, "joints", joint, build) and joint not in opens:
                yield "joint_never_opened", joint
        signature = setting.signature()
        if signature not in seen:
            seen.add(signature)
            yield from stuck_findings(setting)
        yield from forgotten(model, setting, build)


def idle_jobs(model: Model, job: str, build: Build) -> Iterator[Finding]:
    """Jobs that exist but renew nothing and open nothing here."""
    for key in keys_named(model, "jobs", job, None, None):
        if not exists(model, "jobs", key, build):
            continue
        asked = setting_of(model, [key], build).asked
        parts = [p for position in asked.renew for p in fitted(model, position, build)]
        if not parts and not asked.reseal and not asked.do:
            yield "job_idle", key


def _ways(setting: Setting) -> Iterator[tuple[str, ...]]:
    """Every set of steps whose needs are met within it, in some order."""
    keys = list(setting.steps)
    for size in range(len(keys) + 1):
        for subset in itertools.combinations(keys, size):
            if can_be_ordered(setting, subset):
                yield subset


def reachable(setting: Setting) -> set[str]:
    """All positions that some order of steps frees."""
    done = set[str]()
    while True:
        more = {
            key
            for key, step in setting.steps.items()
            if step.needs_steps <= done and step.needs_positions <= freed(setting, done)
        }
        if more <= done:
            return freed(setting, done)
        done |= more


def stuck_findings(setting: Setting) -> Iterator[Finding]:
    """Renewed positions that cannot be reached."""
    out = freed(setting, setting.steps)
    within = reachable(setting)
    for key in renewed(setting, []):
        if key not in out:
            yield "position_stuck", key
        elif key not in within:
            yield "needs_cycle", key


def clamped(model: Model, joint: str, position: str, build: Build
            ) -> list[tuple[str, bool]]:  # fmt: skip
    """Groups that clamp a position, and whether loosening them is enough for it."""
    entry = item(model, "joints", code_and_member(joint)[0])
    seals = {k for name in entry["seals"] for k in seen_from(model, joint, name)}
    found = []
    for group in groups_of(model, joint, build):
        layers = [
            key
            for layer in group["layers"]
            for key in seen_from(model, joint, layer["position"])
            if fitted(model, key, build)
        ]
        into = into_of(entry, group)
        if position in layers:
            nearer = layers[: layers.index(position) + 1]
            found.append((group["code"], not seals & set(nearer)))
        elif "hole" in into and position in seen_from(model, joint, into["position"]):
            found.append((group["code"], False))
    return found


def within(model: Model, joint: str, position: str, build: Build) -> bool:
    """Whether all that a joint clamps comes with what sits in the position."""
    entry = item(model, "joints", code_and_member(joint)[0])
    others = set[str]()
    for group in groups_of(model, joint, build):
        names = [layer["position"] for layer in group["layers"]]
        into = into_of(entry, group)
        names += [into["position"]] if "hole" in into else []
        others |= {key for name in names for key in seen_from(model, joint, name)}
    others = {key for key in others - {position} if fitted(model, key, build)}
    return bool(others) and others <= brought_by(model, position, build)


def brought_by(model: Model, position: str, build: Build) -> set[str]:
    """The positions whose parts come with a position's part, however far down."""
    found, waiting = set[str](), [position]
    while waiting:
        here = waiting.pop()
        for part, _ in fitted(model, here, build):
            more = set(part_positions(model, part, "includes", here)) - found
            found |= more
            waiting += more
    return found


def forgotten(model: Model, setting: Setting, build: Build) -> Iterator[Finding]:
    """Steps that can free a part while a joint that clamps it is still closed."""
    ways: list[tuple[str, ...]] | None = None
    for key, step in setting.steps.items():
        for joint in setting.groups:
            clamping = {
                position: clamped(model, joint, position, build)
                for position in step.frees
                if fitted(model, position, build)
                and not within(model, joint, position, build)
            }
            if not any(clamping.values()):
                continue
            ways = list(_ways(setting)) if ways is None else ways
            for groups in filter(None, clamping.values()):
                if any(
                    key in way and _still_closed(setting, way, joint, groups)
                    for way in ways
                ):
                    yield "forgotten_gasket", key


def _still_closed(
    setting: Setting, way: tuple[str, ...], joint: str, groups: list[tuple[str, bool]]
) -> bool:
    if joint in opened(setting, way):
        return False
    loose = undone_groups(setting, way)
    return not all(enough and (joint, code) in loose for code, enough in groups)
