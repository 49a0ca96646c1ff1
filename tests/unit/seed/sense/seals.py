"""Gaskets and seals: each is renewed by some job, and pressed in with its tool."""

from __future__ import annotations

import re
from collections.abc import Iterator

from bomsvc.core.catalogue.entities import Part
from bomsvc.core.logic.builds import Build
from bomsvc.core.logic.standing import Key
from bomsvc.core.work import Plan
from tests.unit.seed.sense.engine import SEALING, Engine, text_of

PRESSED = re.compile(r"(crank|cam)?shaft seal|stem seal|lip seal", re.IGNORECASE)
"""Seals that run on a shaft or a stem are pressed on, not laid in."""
FITTING_TOOL = re.compile(r"\b(fitting|sleeve|driver|drift)\b", re.IGNORECASE)
"""What keeps the lip square and whole: common practice, no source."""


def seals_that_no_job_renews(engine: Engine) -> list[str]:
    """Of each build in the spread: its every gasket and seal has its job."""
    return [text for build in engine.spread for text in _not_renewed(engine, build)]


def _not_renewed(engine: Engine, build: Build) -> Iterator[str]:
    left = {f.position for f in engine.fitted(build) if f.part.kind in SEALING}
    jobs = engine.jobs(build)
    left -= renewed(engine.planned(build, jobs))
    for job in jobs:
        if not left:
            return
        left -= renewed(engine.planned(build, [job]))
    for position in sorted(left):
        yield f"{position}: no job renews it ({text_of(build)})"


def renewed(plan: Plan) -> set[Key]:
    """Positions that get a new part, also with another one."""
    brought = {one.position for one in plan.included}
    return brought | {one.position for one in plan.renewed}


def pressed_in(part: Part) -> bool:
    return part.kind == "seal" and PRESSED.search(part.name) is not None


def seals_fitted_without_a_tool(engine: Engine) -> list[str]:
    """A step that takes a pressed-in seal out names the tool for the new one."""
    steps = engine.compiled.standing.steps
    complaints = [
        f"{steps[step].step.code}: no tool to fit {one.fitment.part} at "
        f"{one.fitment.position.code} with"
        for one in engine.fitments()
        if pressed_in(engine.parts[one.fitment.part])
        for step in engine.compiled.standing.freed_by.get(one.position, ())
        if not any(FITTING_TOOL.search(tool) for tool in steps[step].step.tools)
    ]
    return list(dict.fromkeys(complaints))
