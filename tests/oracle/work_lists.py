"""What the planned work of jobs needs, in one build.

Reading taken:
- Screws of opened joints and loosened groups that may be reused are `check`
  lines; nuts and washers that may be reused are not listed.
- A screw that the catalogue lacks is renewed.
- A position that is renewed is not also checked, nor one that a renewed part
  brings along.
"""

from __future__ import annotations

from decimal import Decimal

from tests.oracle.builds import Build, Model, code_and_member
from tests.oracle.joints import groups_of, hole_needs, screw_needs, sits
from tests.oracle.lists import Needs, item
from tests.oracle.work import (
    Plan,
    Setting,
    brought_along,
    is_single,
    renewed_parts,
    undone_groups,
)


def job_needs(model: Model, setting: Setting, plan: Plan, build: Build) -> Needs:
    """What the planned work needs in the build."""
    out = sorted(undone_groups(setting, plan.steps))
    whole, single = renewed_parts(setting, plan.steps)
    renew, brought = whole | single, brought_along(setting, whole, single)
    per_hole = hole_needs(model, out, build)
    counted = {place[1] for _, _, place in per_hole}
    needs: Needs = {n: q for n, q in per_hole.items() if n[2][1] in renew}
    for key in renew - counted:
        _fitted_needs(model, "renew", key, build, needs)
    for need, part, place in list(needs):
        only_single = place[1] in single and not is_single(model, part)
        if only_single or place[1] in brought:
            del needs[need, part, place]
    for key in setting.asked.check - renew - brought:
        _fitted_needs(model, "check", key, build, needs)
    for joint, code in out:
        here = [g for g in groups_of(model, joint, build) if g["code"] == code]
        for (_, part, place), qty in screw_needs(model, joint, here, build).items():
            needs[_screw_need(model, part), part, place] = qty
    _used_needs(model, plan, build, needs)
    return needs


def _fitted_needs(
    model: Model, need: str, position: str, build: Build, needs: Needs
) -> None:
    for part, qty in sits(model, position, build):
        key = (need, part, ("position", position))
        needs[key] = needs.get(key, Decimal(0)) + qty


def _screw_need(model: Model, part: str) -> str:
    if part.startswith("wanted:"):
        return "renew"
    return "renew" if is_single(model, part) else "check"


def _used_needs(model: Model, plan: Plan, build: Build, needs: Needs) -> None:
    for step in plan.steps:
        code, member = code_and_member(step)
        entry = item(model, "steps", code)
        for use in entry.get("uses", []):
            if model.holds(use.get("when"), build, entry, member):
                key = ("renew", use["part"], ("step", step))
                needs[key] = needs.get(key, Decimal(0)) + Decimal(use["qty"])
