"""What a plan disturbs, as calls on positions, groups and steps."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from bomsvc.core.logic.standing import Key, StandingJob
from bomsvc.core.resolve.demand import Call, GroupName
from bomsvc.core.resolve.layout import Layout
from bomsvc.core.resolve.lines import Reason
from bomsvc.core.work.values import Plan, PositionRenewed, RenewReason

WholePlace = tuple[str, Key, str]
"""Kind, key and group code ("" without a group): what a call is on."""
Calls = dict[WholePlace, tuple[Call, ...]]


class _Gathering:
    """Calls by place, in the order they are made."""

    def __init__(self) -> None:
        self._found: dict[WholePlace, list[Call]] = {}

    def add(self, place: WholePlace, call: Call) -> None:
        self._found.setdefault(place, []).append(call)

    def done(self) -> Calls:
        return {place: tuple(calls) for place, calls in self._found.items()}


def calls_of_plan(layout: Layout, plan: Plan) -> Calls:
    """Everything the plan asks for in its case.

    Renewed and checked positions; the screws of opened and loosened groups; what
    the steps use.
    """
    found = _Gathering()
    opened = {o.joint: o.by for o in plan.opened}
    disturbed = _disturbed_groups(layout, plan, opened)
    for renewed in plan.renewed:
        call = _renewed_call(layout, renewed, opened, disturbed)
        found.add(("position", renewed.position, ""), call)
    for checked in plan.checked:
        call = Call("check", (Reason(job=checked.job),))
        found.add(("position", checked.position, ""), call)
    for (joint, group), reason in disturbed.items():
        found.add(("joint", joint, group), Call("fastener", (reason,)))
    _add_uses(layout, plan, found)
    return found.done()


def _disturbed_groups(
    layout: Layout, plan: Plan, opened: dict[Key, Key]
) -> dict[GroupName, Reason]:
    """Groups whose screws come out, with the reason."""
    joints = layout.compiled.standing.joints
    found: dict[GroupName, Reason] = {}
    for key, step in opened.items():
        for group in joints[key].groups:
            found[key, group.code] = Reason(joint=key, opened_by=step)
    for loosened in plan.loosened:
        name = (loosened.joint, loosened.group)
        reason = Reason(
            joint=loosened.joint, group=loosened.group, loosened_by=loosened.by
        )
        found.setdefault(name, reason)
    return found


def _renewed_call(
    layout: Layout,
    renewed: PositionRenewed,
    opened: dict[Key, Key],
    disturbed: dict[GroupName, Reason],
) -> Call:
    reasons = _told([_renew_reason(reason, opened) for reason in renewed.reasons])
    groups = _groups_at(layout, renewed.position, disturbed)
    return Call("single" if renewed.single_only else "renew", tuple(reasons), groups)


def _renew_reason(reason: RenewReason, opened: dict[Key, Key]) -> Reason:
    match reason.cause:
        case "job":
            return Reason(job=reason.by)
        case "renew_with":
            return Reason(renewed_with=reason.by)
        case "seal_freed" | "single_freed":
            return Reason(freed_by=reason.by)
        case "joint_opened" | "single_joint":
            return Reason(joint=reason.by, opened_by=opened.get(reason.by))


def _told(reasons: Sequence[Reason]) -> list[Reason]:
    """Without "freed by a step" where that step opens a joint already named."""
    openers = {reason.opened_by for reason in reasons if reason.opened_by}
    return [r for r in reasons if r.freed_by is None or r.freed_by not in openers]


def _groups_at(
    layout: Layout, position: Key, disturbed: Iterable[GroupName]
) -> tuple[GroupName, ...] | None:
    """The disturbed groups whose holes this position serves; None: no such group.

    Washers that two joints share are renewed at the joint that was opened.
    """
    uses = layout.hole_uses.get(position, ())
    known = set(disturbed)
    return tuple(use.name for use in uses if use.name in known) or None


def _add_uses(layout: Layout, plan: Plan, found: _Gathering) -> None:
    needed_by = {step.key: step.needed_by for step in plan.steps}
    for key in dict.fromkeys(use.step for use in plan.uses):
        reason = Reason(step=key, needed_by=needed_by.get(key))
        found.add(("step", key, ""), Call("renew", (reason,)))


def calls_without_plan(layout: Layout, jobs: Sequence[StandingJob]) -> Calls:
    """What the jobs themselves name, where no way in was found."""
    found = _Gathering()
    joints = layout.compiled.standing.joints
    for job in jobs:
        why = (Reason(job=job.key),)
        for key in job.renew:
            found.add(("position", key, ""), Call("renew", why))
        for key in job.check:
            found.add(("position", key, ""), Call("check", why))
        for key in job.reseal:
            for seal in joints[key].seals:
                found.add(("position", seal, ""), Call("renew", why))
            for group in joints[key].groups:
                found.add(("joint", key, group.code), Call("fastener", why))
    return found.done()
