"""The benches run on engines that are what they claim, and every part is told of."""

from __future__ import annotations

from pathlib import Path

import pytest

from bomsvc.core.prove import prove
from bomsvc.core.work import Plan, plan
from scripts.benches.__main__ import PARTS, main
from scripts.benches.figures import met
from scripts.benches.made_documents import compiled, document
from scripts.benches.made_engines import engine, thicket
from scripts.benches.work import first_ways

SCRIPT = Path(__file__).parents[2] / "scripts" / "bench"


def test_every_part_is_named_where_people_look() -> None:
    told = SCRIPT.read_text(encoding="utf-8")
    assert f"({', '.join(PARTS)})" in told


def test_a_part_that_is_none_is_refused(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["prove", "provee"]) == 2
    assert "no such part: provee" in capsys.readouterr().out


def test_the_generated_catalogue_has_neither_gap_nor_overlap() -> None:
    report = prove(compiled(document(40, joints=2)))
    assert report.proven
    assert report.figures.hole_groups == 10
    assert not {f.code for f in report.findings} & {"position_gap", "position_overlap"}
    assert not report.faults


def test_first_ways_take_no_fewer_minutes_than_the_plan() -> None:
    for made, jobs in (engine(1, 30, 5), thicket(1, 30, 5, span=4)):
        found = plan(made, lambda lit: lit > 0, jobs)
        assert isinstance(found, Plan)
        steps = [made.steps[key].step for key in first_ways(made, jobs)]
        taken = sum(step.minutes_off + step.minutes_on for step in steps)
        assert 0 < found.minutes <= taken


def test_a_goal_is_met_only_as_a_whole() -> None:
    assert (met(1 < 2), met(1 < 2, 2 < 1)) == ("met", "missed")
