"""Where work on the demo engine can hurt somebody, its lists say so."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from tests.unit.seed.sense import cautions
from tests.unit.seed.sense.engine import Engine
from tests.unit.seed.sense.lists import every_list
from tests.unit.seed.sense.planting import Planted, about

SEED = Path(__file__).parents[3] / "seed"


def test_hot_pressurised_and_live_work_carries_its_caution(sense: Engine) -> None:
    assert cautions.work_without_its_caution(sense, every_list(sense)) == []


@pytest.mark.parametrize(
    ("job", "known"),
    [
        ("reseal_outlet", {}),
        ("reseal_turbo_drain", {}),
        ("renew_thermostats", {}),
        ("renew_injection_pump", {}),
        ("renew_starter", {}),
        ("renew_impeller", {"use": "boat", "cooling": "raw"}),
        ("renew_compressor", {"compressor": "single"}),
    ],
)
def test_work_without_its_caution_is_found(
    sense: Engine, job: str, known: dict[str, str]
) -> None:
    silent = tuple(replace(step, cautions=()) for step in sense.catalogue.steps)
    odd = Planted(replace(sense.catalogue, steps=silent)).at(job, **known)
    assert about(cautions.work_without_its_caution(odd, every_list(odd)), job)


def test_every_joint_is_shown_with_the_usual_cautions(sense: Engine) -> None:
    assert cautions.joints_shown_without_cautions(every_list(sense)) == []


def test_a_joint_shown_without_cautions_is_found(sense: Engine) -> None:
    bare = [
        (
            build,
            job,
            plan,
            replace(
                found,
                joints=tuple(replace(joint, cautions=()) for joint in found.joints),
            ),
        )
        for build, job, plan, found in every_list(sense)[:1]
    ]
    assert about(cautions.joints_shown_without_cautions(bare), "pan_rail")


def test_no_strip_down_is_without_any_caution(sense: Engine) -> None:
    assert cautions.strip_down_without_any_caution(every_list(sense)) == []


def test_a_strip_down_without_any_caution_is_found(sense: Engine) -> None:
    bare = [
        (build, job, plan, replace(found, work=replace(found.work, cautions=())))
        for build, job, plan, found in every_list(sense)[:1]
        if found.work is not None
    ]
    assert about(cautions.strip_down_without_any_caution(bare), "reseal_sump")


def test_the_data_say_that_they_are_invented(sense: Engine) -> None:
    document = (SEED / "catalogues/whimbrel.yaml").read_text(encoding="utf-8")
    notice = (SEED / "NOTICE.txt").read_text(encoding="utf-8")
    told = cautions.data_that_do_not_say_they_are_invented(sense, document, notice)
    assert told == []


def test_data_that_do_not_say_so_are_found(sense: Engine) -> None:
    family = replace(sense.catalogue.family, note="A six-cylinder diesel.")
    silent = Planted(replace(sense.catalogue, family=family))
    told = cautions.data_that_do_not_say_they_are_invented(silent, "format: 1", "")
    assert len(told) == 3
