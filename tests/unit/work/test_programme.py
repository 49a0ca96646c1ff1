"""The integer programme gives the answers of the search, and honest bounds."""

from __future__ import annotations

import subprocess
import sys

import pytest

from bomsvc.core.work import Plan, WorkSettings, plan
from bomsvc.core.work.cover import Cover, largest_valid
from bomsvc.core.work.programme import Programme
from tests.unit.work.generated import thicket, world_by_chance
from tests.unit.work.worlds import World, truth_of

PROGRAMME_ONLY = WorkSettings(search_budget=-1)
NEITHER = WorkSettings(search_budget=-1, programme_steps=0)


def in_whole_minutes(world: World) -> World:
    """The programme's doubles prove nothing about a millionth of a minute."""
    for spec in world.steps.values():
        spec["off"] = int(float(spec["off"]))
        spec["on"] = int(float(spec["on"]))
    return world


@pytest.mark.parametrize("batch", range(4))
def test_the_programme_plans_as_the_search_does(batch: int) -> None:
    for seed in range(batch * 40, batch * 40 + 40):
        revision = in_whole_minutes(world_by_chance(seed)).revision()
        jobs = ["job0", "job1"]
        truth = truth_of({2 + seed % 3})
        searched = plan(revision, truth, jobs)
        assert plan(revision, truth, jobs, settings=PROGRAMME_ONLY) == searched, seed


@pytest.mark.parametrize("seed", range(4))
def test_the_programme_keeps_a_thicket_free_of_mutual_waiting(seed: int) -> None:
    revision = thicket(seed, positions=8).revision()
    searched = plan(revision, truth_of(()), ["job"])
    assert isinstance(searched, Plan)
    assert plan(revision, truth_of(()), ["job"], settings=PROGRAMME_ONLY) == searched


@pytest.mark.parametrize("seed", range(6))
def test_without_budget_a_plan_still_works_and_its_bound_is_true(seed: int) -> None:
    revision = thicket(seed, positions=8).revision()
    best = plan(revision, truth_of(()), ["job"])
    rough = plan(revision, truth_of(()), ["job"], settings=NEITHER)
    assert isinstance(best, Plan)
    assert isinstance(rough, Plan)
    assert best.optimal
    assert rough.bound <= best.minutes <= rough.minutes
    assert rough.optimal == (rough.bound == rough.minutes)


def circle() -> Cover:
    """Two steps that wait on each other cost 2; the way round costs 9."""
    return Cover(
        minutes=(1, 1, 9),
        ranks=(0, 1, 2),
        steps=0b111,
        first=((0b010,), (0b101,), ()),
        owed=((), (), ()),
        roots=(0b001,),
    )


def test_a_circle_is_cut_off_by_a_row_that_every_plan_keeps() -> None:
    programme = Programme(circle(), usable=0b111, node_limit=100)
    found = programme.solve()
    assert found.proven
    assert found.chosen == 0b111
    assert found.weight == circle().weight(0b111)


def test_a_circle_without_a_way_round_has_no_plan() -> None:
    found = Programme(circle(), usable=0b011, node_limit=100).solve()
    assert found.chosen is None
    assert found.proven


def test_figures_are_solved_minutes_first_then_count() -> None:
    many = 700_000
    cover = Cover(
        minutes=(many, many - 1, 1, many),
        ranks=(3, 1, 2, 0),
        steps=0b1111,
        first=((), (0b100,), (), ()),
        owed=((), (), (), ()),
        roots=(0b1011,),
    )
    found = Programme(cover, usable=0b1111, node_limit=100).solve()
    assert found.proven
    assert found.chosen == 0b1000  # one step, and first in code order


def test_a_difference_too_fine_for_doubles_is_not_called_proven() -> None:
    huge = 7_000_000_000
    cover = Cover(
        minutes=(huge, huge + 1),
        ranks=(0, 1),
        steps=0b11,
        first=((), ()),
        owed=((), ()),
        roots=(0b11,),
    )
    found = Programme(cover, usable=0b11, node_limit=100).solve()
    assert not found.proven
    assert found.bound // cover.unit <= huge
    assert found.chosen is not None


def test_the_largest_valid_set_tells_why_the_rest_is_left_out() -> None:
    removal = largest_valid(circle(), 0b011)
    assert removal.alive == 0
    assert set(removal.witness) == {0, 1}


def test_planning_small_jobs_does_not_import_scipy() -> None:
    lines = (
        "import sys",
        "from bomsvc.core.work import plan",
        "from tests.unit.work.generated import thicket",
        "from tests.unit.work.worlds import World, truth_of",
        "plan(thicket(1, positions=5).revision(), truth_of(()), ['job'])",
        "assert 'scipy' not in sys.modules",
    )
    subprocess.run([sys.executable, "-c", "\n".join(lines)], check=True)
