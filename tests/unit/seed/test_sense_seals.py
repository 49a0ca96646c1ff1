"""Every gasket and seal of the demo has its job, and its tool."""

from __future__ import annotations

from tests.unit.seed.sense import seals
from tests.unit.seed.sense.engine import Engine
from tests.unit.seed.sense.planting import about, altered, without


def test_every_seal_of_each_build_is_renewed_by_some_job(sense: Engine) -> None:
    assert len(sense.spread) >= 8
    assert seals.seals_that_no_job_renews(sense) == []


def test_a_seal_that_no_job_renews_is_found(sense: Engine) -> None:
    others = [job.code for job in sense.catalogue.jobs if job.code != "change_oil"]
    poor = without(sense, "jobs", *others)
    found = seals.seals_that_no_job_renews(poor)
    assert about(found, "rear_seal")
    assert about(found, "head_gasket_front")


def test_a_job_that_is_alone_on_the_list_counts_as_well(sense: Engine) -> None:
    """Another way in may leave a joint shut when all jobs are done at once."""
    alone = without(sense, "jobs", "change_oil")
    assert seals.seals_that_no_job_renews(alone) == []


def test_pressed_in_seals_are_known_by_their_names(sense: Engine) -> None:
    pressed = {p.number for p in sense.catalogue.parts if seals.pressed_in(p)}
    assert {"W10.1310", "W12.2020", "W12.2022", "W16.4048", "W30.0404"} <= pressed
    assert pressed.isdisjoint({"W40.1195", "W22.0105", "W32.0541"})


def test_every_pressed_in_seal_is_fitted_with_a_tool(sense: Engine) -> None:
    assert seals.seals_fitted_without_a_tool(sense) == []


def test_a_seal_fitted_without_a_tool_is_found(sense: Engine) -> None:
    tools = ("Torque wrench to 200 Nm", "Compressed-air adapter")
    odd = altered(sense, "steps", "rear_seal_off", tools=tools)
    assert about(seals.seals_fitted_without_a_tool(odd), "rear_seal_off")
