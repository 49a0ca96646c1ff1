"""What jobs may disturb where their cases are too many to plan one by one.

Every step that some remaining build may lead to is looked at; what the jobs
themselves name is certain where the job is.
"""

from __future__ import annotations

from collections.abc import Sequence

from bomsvc.core.logic.standing import Key
from bomsvc.core.resolve.demand import Call, Demand, Mode, always, perhaps
from bomsvc.core.resolve.disturbed import WholePlace, calls_without_plan
from bomsvc.core.resolve.layout import Layout
from bomsvc.core.resolve.lines import Reason
from bomsvc.core.resolve.view import View
from bomsvc.core.work.case import CaseStep
from bomsvc.core.work.shop import shop_of
from bomsvc.core.work.survey import Survey
from bomsvc.core.work.walk import case_of

_SINGLE = ("single_freed", "single_joint")


def demands_perhaps(
    view: View, layout: Layout, jobs: Sequence[Key], pins: Sequence[Key]
) -> dict[WholePlace, Demand]:
    """The demands of the jobs: certain where they name it, else doubtful."""
    compiled = layout.compiled
    survey = Survey(shop_of(compiled), view.settled())
    case = case_of(survey, jobs, pins)
    calls: dict[WholePlace, dict[Call, None]] = {}
    for step in case.steps.values():
        for place, call in _calls_of_step(layout, step):
            calls.setdefault(place, {})[call] = None
    for named, _ in case.renews:
        for position, because in survey.renewed_with(named):
            call = Call("renew", (Reason(renewed_with=because),))
            calls.setdefault(_position(position), {})[call] = None
    found = {place: perhaps(*each) for place, each in calls.items()}
    standing = [compiled.standing.jobs[key] for key in jobs]
    certain = [job for job in standing if view.state(job.exists) == "certain"]
    possible = [job for job in standing if view.state(job.exists) == "open"]
    for place, several in calls_without_plan(layout, possible).items():
        found.setdefault(place, perhaps(*several))
    for place, several in calls_without_plan(layout, certain).items():
        found[place] = always(*several)
    return found


def _calls_of_step(layout: Layout, step: CaseStep) -> list[tuple[WholePlace, Call]]:
    key = step.standing.key
    found: list[tuple[WholePlace, Call]] = []
    for position, reason in step.renews:
        mode: Mode = "single" if reason.cause in _SINGLE else "renew"
        call = Call(mode, (Reason(freed_by=key),))
        found.append((_position(position), call))
    joints = layout.compiled.standing.joints
    for joint in step.opens:
        why = (Reason(joint=joint, opened_by=key),)
        for group in joints[joint].groups:
            found.append((("joint", joint, group.code), Call("fastener", why)))
    for joint, code in step.loosens:
        why = (Reason(joint=joint, group=code, loosened_by=key),)
        found.append((("joint", joint, code), Call("fastener", why)))
    if step.standing.uses:
        found.append((("step", key, ""), Call("renew", (Reason(step=key),))))
    return found


def _position(key: Key) -> WholePlace:
    return ("position", key, "")
