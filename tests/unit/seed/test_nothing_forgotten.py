"""Every job of the demo engine, alone and in numbers: nothing is forgotten."""

from __future__ import annotations

import csv
import json
from decimal import Decimal
from functools import lru_cache
from pathlib import Path

import pytest

from bomsvc.core.catalogue.entities import Part
from bomsvc.core.logic.answers import read_answers
from bomsvc.core.logic.builds import Build
from bomsvc.core.logic.compiled import Compiled
from bomsvc.core.logic.reasoner import Reasoner
from bomsvc.core.logic.standing import Key
from bomsvc.core.work import Plan, plan

ENGINES = Path(__file__).parents[3] / "seed" / "engines.csv"
FRONT = ("renew_front_seal", "reseal_front_cover", "renew_damper")


@pytest.fixture(scope="module")
def builds(whimbrel_reasoner: Reasoner) -> list[Build]:
    """A build of each engine on file, the usual choices where it is not known."""
    with ENGINES.open(encoding="utf-8", newline="") as rows:
        answers = [json.loads(row["answers"]) for row in csv.DictReader(rows)]
    known = [read_answers(whimbrel_reasoner.compiled, one) for one in answers]
    found = [whimbrel_reasoner.witness(one) for one in known]
    return [build for build in found if build is not None]


def planned(
    compiled: Compiled, build: Build, *jobs: Key, by_way_of: tuple[Key, ...] = ()
) -> Plan:
    found = plan(compiled, build.truth, jobs, by_way_of)
    assert isinstance(found, Plan), found
    return found


def jobs_of(compiled: Compiled, build: Build) -> list[Key]:
    standing = compiled.standing.jobs.values()
    return [job.key for job in standing if build.truth(job.exists)]


@lru_cache(maxsize=1)
def parts_of(compiled: Compiled) -> dict[str, Part]:
    return {part.number: part for part in compiled.catalogue.parts}


def single_use(compiled: Compiled, build: Build, position: Key) -> bool:
    """Whether what sits at the position in this build is used once only."""
    parts = parts_of(compiled)
    sits = [
        parts[fitment.fitment.part]
        for fitment in compiled.standing.positions[position].fitments
        if fitment.fitment.rank == 1 and build.truth(fitment.applies)
    ]
    return bool(sits) and all(part.reuse == "single" for part in sits)


def filled(compiled: Compiled, build: Build, position: Key) -> bool:
    return any(
        fitment.fitment.rank == 1 and build.truth(fitment.applies)
        for fitment in compiled.standing.positions[position].fitments
    )


def new_at(found: Plan) -> set[Key]:
    """The positions that get a new part, also with another one."""
    brought = {one.position for one in found.included}
    return brought | {one.position for one in found.renewed}


@pytest.fixture(scope="module")
def plans(whimbrel_compiled: Compiled, builds: list[Build]) -> list[tuple[Build, Plan]]:
    """Every job of every build on file."""
    return [
        (build, planned(whimbrel_compiled, build, job))
        for build in builds
        for job in jobs_of(whimbrel_compiled, build)
    ]


def test_every_joint_a_job_opens_gets_all_its_seals_anew(
    whimbrel_compiled: Compiled, plans: list[tuple[Build, Plan]]
) -> None:
    opened = 0
    for build, found in plans:
        new = new_at(found)
        for joint in found.opened:
            seals = whimbrel_compiled.standing.joints[joint.joint].seals
            there = {s for s in seals if filled(whimbrel_compiled, build, s)}
            assert there <= new, (joint.joint, there - new)
            opened += 1
    assert opened > 1_000


def test_no_single_use_part_that_comes_out_goes_in_again(
    whimbrel_compiled: Compiled, plans: list[tuple[Build, Plan]]
) -> None:
    freed = 0
    for build, found in plans:
        new = new_at(found)
        for one in found.freed:
            if single_use(whimbrel_compiled, build, one.position):
                assert one.position in new, one
                freed += 1
    assert freed > 1_000


def test_shared_steps_count_once_and_two_of_three_jobs_are_planned_anew(
    whimbrel_compiled: Compiled, builds: list[Build]
) -> None:
    build = builds[0]
    alone = {job: planned(whimbrel_compiled, build, job) for job in FRONT}
    three = planned(whimbrel_compiled, build, *FRONT)
    two = planned(whimbrel_compiled, build, *FRONT[::2])
    steps = whimbrel_compiled.standing.steps
    minutes = sum(
        (steps[k].step.minutes_off + steps[k].step.minutes_on for k in three.done),
        Decimal(0),
    )
    assert len(set(three.done)) == len(three.done)
    assert three.minutes == minutes
    assert three.minutes < sum(one.minutes for one in alone.values())
    assert max(one.minutes for one in alone.values()) <= three.minutes
    assert alone["renew_damper"].minutes < two.minutes < three.minutes


def test_pinning_the_other_way_in_changes_what_comes_out(
    whimbrel_compiled: Compiled, builds: list[Build]
) -> None:
    build = builds[0]
    below = planned(whimbrel_compiled, build, "reseal_sump")
    raised = planned(
        whimbrel_compiled, build, "reseal_sump", by_way_of=("pan_off_raised",)
    )
    assert "pan_off_raised" not in below.done
    assert {"engine_raise", "pan_off_raised"} <= {*raised.done}
    assert "pan_off" not in raised.done
    new = {one.position for one in raised.renewed}
    assert "mount_nut" in new
    assert "mount_nut" not in {one.position for one in below.renewed}


def test_forty_jobs_at_once_are_planned_to_the_proven_least(
    whimbrel_compiled: Compiled, builds: list[Build]
) -> None:
    for build in builds:
        jobs = jobs_of(whimbrel_compiled, build)[:40]
        assert len(jobs) == 40
        together = planned(whimbrel_compiled, build, *jobs)
        assert together.optimal
        assert together.minutes == together.bound
        assert together.minutes >= planned(whimbrel_compiled, build, *jobs[:39]).minutes
