"""Jobs are proven in every build, however many cases their conditions have."""

from __future__ import annotations

from collections.abc import Iterable

from bomsvc.core.logic.budget import Budget
from bomsvc.core.prove import Finding, prove
from bomsvc.core.prove.findings import Report
from tests.unit.prove.small_engine import Tree, engine, reasoner_of

MANY = 20


def report_of(tree: Tree, *, conflicts: int = 200_000) -> Report:
    return prove(reasoner_of(tree).compiled, budget=Budget(conflicts=conflicts))


def work_findings(report: Report) -> list[Finding]:
    codes = {"position_stuck", "needs_cycle", "joint_never_opened", "not_proven"}
    return [f for f in report.findings if f.code in codes]


def with_many_covers() -> Tree:
    """A job behind twenty covers, each held in one of two ways: 2^20 cases."""
    tree = engine()
    tree["options"] += [_option(n) for n in range(MANY)]
    tree["positions"] += [_position(n) for n in range(MANY)]
    tree["fitments"] += [
        {"position": f"cover{n}", "part": "W40.6"} for n in range(MANY)
    ]
    tree["steps"] += [step for n in range(MANY) for step in _ways(n)]
    tree["steps"][1]["needs"] = ["pan", *(f"cover{n}" for n in range(MANY))]
    return tree


def _option(number: int) -> Tree:
    choices = [{"code": "bolts", "label": "Bolts"}, {"code": "clips", "label": "Clips"}]
    return {
        "code": f"held{number}",
        "label": f"Hold of cover {number}",
        "ask": "How is it held?",
        "choices": choices,
    }


def _position(number: int) -> Tree:
    return {"code": f"cover{number}", "label": f"Cover {number}", "section": "engine"}


def _ways(number: int) -> Iterable[Tree]:
    for how in ("bolts", "clips"):
        yield {
            "code": f"cover{number}_{how}",
            "label": f"Take off cover {number} by its {how}",
            "frees": [f"cover{number}"],
            "exists": f"held{number} = {how}",
        }


def all_clips(numbers: Iterable[int]) -> str:
    return " and ".join(f"held{n} = clips" for n in numbers)


def test_a_job_with_a_million_cases_is_proven() -> None:
    report = report_of(with_many_covers())
    assert report.proven
    assert work_findings(report) == []


def test_what_is_stuck_in_one_case_of_a_million_is_found_there() -> None:
    tree = with_many_covers()
    step = tree["steps"][-1]
    step["exists"] = f"held{MANY - 1} = clips and not ({all_clips(range(MANY - 1))})"
    (finding,) = work_findings(report_of(tree))
    assert (finding.code, finding.at) == ("position_stuck", f"cover{MANY - 1}")
    assert finding.severity == "fault"
    assert finding.detail == (
        "The job 'Renew the oil pump' cannot be done in this build: no step frees "
        "Cover 19, and 'Take out the pump' cannot be done without."
    )
    assert finding.build is not None
    clips = {f"held{n}": "clips" for n in range(MANY)}
    assert clips.items() <= finding.build.answers.items()


def test_steps_that_wait_on_one_another_in_one_case_of_a_million_are_found() -> None:
    tree = with_many_covers()
    tree["options"].append(_option(MANY))
    tree["positions"].append(_position(MANY))
    when = all_clips(range(MANY))
    tree["fitments"].append({"position": f"cover{MANY}", "part": "W40.6", "when": when})
    tree["positions"][-1]["fill"] = "optional"
    off = {
        "code": "last_off",
        "label": "Take off the last cover",
        "frees": [f"cover{MANY}"],
        "needs": ["pump"],
    }
    tree["steps"].append(off)
    tree["steps"][1]["needs"] = ["pan", f"cover{MANY}"]
    (finding,) = work_findings(report_of(tree))
    assert (finding.code, finding.at) == ("needs_cycle", "last_off")
    assert finding.detail == (
        "The job 'Renew the oil pump' cannot be done in this build: 'Take off the "
        "last cover' and 'Take out the pump' wait on one another."
    )


def test_each_of_two_causes_in_different_builds_is_found() -> None:
    tree = with_many_covers()
    tree["steps"][-1]["exists"] = "never"
    tree["steps"][-4]["exists"] = "never"
    found = work_findings(report_of(tree))
    assert [f.at for f in found] == ["cover18", "cover19"]


def test_a_cause_that_keeps_several_jobs_from_being_done_is_told_once() -> None:
    tree = engine()
    tree["steps"][0]["exists"] = "plate = none"
    tree["jobs"].append({"code": "pan", "label": "Renew the pan", "renew": ["pan"]})
    found = work_findings(report_of(tree))
    assert [(f.code, f.at) for f in found] == [
        ("position_stuck", "pan"),
        ("joint_never_opened", "rail"),
    ]


def test_steps_that_owe_one_another_can_be_done_together() -> None:
    tree = engine()
    tree["steps"][0]["then"] = ["pump_off"]
    tree["steps"][1] = {**tree["steps"][1], "needs": [], "then": ["pan_off"]}
    assert work_findings(report_of(tree)) == []


def test_what_is_owed_counts_as_far_as_the_parts_renewed_with_a_seal() -> None:
    tree = engine()
    tree["parts"][3] |= {"renew_with": ["stiffener"]}
    (finding,) = work_findings(report_of(tree))
    assert (finding.code, finding.at) == ("position_stuck", "stiffener")
    assert finding.detail == (
        "The job 'Renew the oil pump' cannot be done in this build: no step frees "
        "Stiffener, and 'Take off the oil pan' cannot be done without."
    )
    assert finding.shown == "The usual build, except stiffener plate is thick."


def test_what_comes_with_a_new_part_is_not_stuck_in_the_old_one() -> None:
    tree = engine()
    tree["parts"][5] |= {"renew_with": ["stiffener"], "includes": ["stiffener"]}
    assert work_findings(report_of(tree)) == []


def test_a_job_is_not_said_to_be_proven_when_the_budget_runs_out() -> None:
    tree = with_many_covers()
    size = 7
    holes = [{"code": f"h{hole}", "label": "x"} for hole in range(size - 1)]
    tree["options"] += [
        {"code": f"p{one}", "label": "x", "choices": holes} for one in range(size)
    ]
    crowded = " or ".join(
        f"(p{one} = h{hole} and p{other} = h{hole})"
        for hole in range(size - 1)
        for one in range(size)
        for other in range(one)
    )
    tree["steps"][-1]["exists"] = f"held{MANY - 1} = clips and ({crowded})"
    found = work_findings(report_of(tree, conflicts=20))
    assert ("not_proven", "pump") in {(f.code, f.at) for f in found}
    assert work_findings(report_of(tree)) == []


def test_what_is_renewed_with_a_part_is_named_with_that_part() -> None:
    tree = engine()
    tree["jobs"][0]["code"] = "pump_job"
    tree["parts"][5]["renew_with"] = ["stiffener"]
    (finding,) = work_findings(report_of(tree))
    assert finding.detail == (
        "The job 'Renew the oil pump' cannot be done in this build: no step frees "
        "Stiffener, which is renewed with Oil pump."
    )
