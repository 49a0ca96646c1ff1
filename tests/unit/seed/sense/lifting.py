"""What is too heavy for a person: the list says so, and how heavy."""

from __future__ import annotations

from decimal import Decimal

from bomsvc.core.logic.builds import Build
from bomsvc.core.logic.known import NOTHING
from bomsvc.core.logic.standing import Key
from bomsvc.core.work.values import LIFT_LIMIT_KG
from tests.unit.seed.sense.engine import Engine, text_of

RATED_GEAR = "rated lifting gear"
HOIST_KG = Decimal(600)
"""A step that lifts so much lifts the engine as a whole."""
WET_SHARE = Decimal("0.9")
"""A stated mass may round what leaves down by a tenth, no more."""


def heavy_parts_lifted_without_caution(engine: Engine) -> list[str]:
    """Each part over 25 kg (common practice, no source) that some step takes out."""
    complaints = {}
    cautioned = set()
    for one in engine.fitments():
        part = engine.parts[one.fitment.part]
        heavy = one.fitment.rank == 1 and (part.mass_kg or 0) > LIFT_LIMIT_KG
        if not heavy or not engine.compiled.standing.freed_by.get(one.position):
            continue
        complaints[part.number] = f"{part.number} {part.name}: lifted without caution"
        build = engine.reasoner.witness(NOTHING, [one.applies])
        if build is not None and _cautioned(engine, build, one.position):
            cautioned.add(part.number)
    return [text for number, text in complaints.items() if number not in cautioned]


def _cautioned(engine: Engine, build: Build, position: Key) -> bool:
    steps = set(engine.compiled.standing.freed_by[position])
    for job in engine.menu(build):
        plan = engine.planned(build, [job])
        lifting = {one.step for one in plan.lifting} & steps
        if lifting:
            return _told(engine, build, job, lifting)
    return False


def _told(engine: Engine, build: Build, job: Key, lifting: set[Key]) -> bool:
    work = engine.lists(build, jobs=[job]).work
    assert work is not None
    labels = {engine.compiled.standing.steps[key].step.label for key in lifting}
    return any(
        RATED_GEAR in text and text.startswith(label)
        for label in labels
        for text in work.cautions
    )


def steps_that_state_less_than_they_lift(engine: Engine) -> list[str]:
    complaints = []
    for build in [*engine.spread, *engine.of_each_choice]:
        for key, step in engine.compiled.standing.steps.items():
            stated = step.step.lift_kg
            if stated is None or not build.truth(step.exists):
                continue
            leaves = sum(
                (f.mass_kg for p in step.frees for f in engine.fitted_at(build, p)),
                Decimal(0),
            )
            if stated < WET_SHARE * leaves:
                complaints.append(f"{key}: states {stated} kg and lifts {leaves} kg")
    return list(dict.fromkeys(complaints))


def engines_heavier_than_the_hoist_is_told(engine: Engine) -> list[str]:
    """The raised engine hangs with its oil, its coolant and all that is bolted on."""
    hoists = {
        key: step.step.lift_kg
        for key, step in engine.compiled.standing.steps.items()
        if (step.step.lift_kg or 0) >= HOIST_KG
    }
    return [
        f"{key}: {told} kg are stated, {kg} kg hang on it ({text_of(build)})"
        for build in engine.spread
        for key, told in hoists.items()
        if (kg := _hanging_kg(engine, build)) > (told or 0)
    ]


def _hanging_kg(engine: Engine, build: Build) -> Decimal:
    kg = engine.mass_kg(build)
    for step in engine.compiled.standing.steps.values():
        for use in step.uses:
            part = engine.parts[use.use.part]
            if part.unit == "LTR" and build.truth(use.applies):
                kg += use.use.qty * (part.mass_kg or Decimal(0))
    return kg
