"""Steps and jobs."""

from __future__ import annotations

from bomsvc.core.catalogue.entities import Job, Step, Use
from bomsvc.core.catalogue.finder import Finder
from bomsvc.core.catalogue.forms.records import Values


def build_step(values: Values, finder: Finder) -> Step:
    """Return a step."""
    each, names = finder.each(values), finder.names
    return Step(
        code=values["code"],
        label=values["label"],
        each=each,
        exists=finder.condition(values, "exists", each),
        frees=finder.refs(values, "frees", names.position, each),
        opens=finder.refs(values, "opens", names.joint, each),
        loosens=finder.group_refs(values, "loosens"),
        needs=finder.refs(values, "needs", names.position_or_step, each),
        then=finder.refs(values, "then", names.step, each),
        after=finder.refs(values, "after", names.step, each),
        minutes_off=values["minutes_off"],
        minutes_on=values["minutes_on"],
        uses=tuple(_use(use, each, finder) for use in values["uses"]),
        lift_kg=values["lift_kg"],
        tools=values["tools"],
        cautions=values["cautions"],
    )


def _use(values: Values, each: str | None, finder: Finder) -> Use:
    part = finder.part(values, "part")
    return Use(part, values["qty"], finder.condition(values, "when", each))


def build_job(values: Values, finder: Finder) -> Job:
    """Return a job."""
    each, names = finder.each(values), finder.names
    return Job(
        code=values["code"],
        label=values["label"],
        each=each,
        exists=finder.condition(values, "exists", each),
        renew=finder.refs(values, "renew", names.position, each),
        reseal=finder.refs(values, "reseal", names.joint, each),
        do=finder.refs(values, "do", names.step, each),
        check=finder.refs(values, "check", names.position, each),
        note=values["note"],
    )
