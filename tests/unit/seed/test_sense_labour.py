"""The demo's jobs take the hours that a workshop expects."""

from __future__ import annotations

from decimal import Decimal

import pytest

from tests.unit.seed.sense import labour
from tests.unit.seed.sense.engine import Engine
from tests.unit.seed.sense.planting import about, altered, without


def test_every_job_takes_the_hours_expected(sense: Engine) -> None:
    assert labour.jobs_of_unlikely_length(sense) == []


@pytest.mark.parametrize(
    ("job", "step", "minutes"),
    [
        ("renew_front_seal", "test_run", 900),
        ("change_oil", "drain_oil", 90),
        ("renew_rear_seal", "rear_seal_off", 600),
        ("renew_rear_head_gasket", "head_rear_off", 900),
        ("renew_flap_actuator", "flap_actuator_off", 3_000),
    ],
)
def test_a_job_of_unlikely_length_is_found(
    sense: Engine, job: str, step: str, minutes: int
) -> None:
    slow = altered(sense, "steps", step, minutes_off=Decimal(minutes))
    known = {"use": "harvester", "brake": "flap"} if "flap" in job else {}
    assert about(labour.jobs_of_unlikely_length(slow.at(job, **known)), job)


def test_a_job_done_in_no_time_is_found(sense: Engine) -> None:
    none = Decimal(0)
    quick = altered(
        sense, "steps", "air_element_out", minutes_off=none, minutes_on=none
    )
    found = labour.jobs_of_unlikely_length(quick.at("renew_air_element"))
    assert about(found, "renew_air_element")


def test_the_jobs_expected_are_on_the_menu(sense: Engine) -> None:
    assert labour.jobs_that_are_expected(sense) == []


def test_a_job_missing_from_the_menu_is_found(sense: Engine) -> None:
    poor = without(sense, "jobs", "change_oil")
    assert about(labour.jobs_that_are_expected(poor), "change_oil")
