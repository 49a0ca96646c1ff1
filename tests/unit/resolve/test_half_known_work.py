"""The work of an engine that is only half known: one order, fit for every case."""

from __future__ import annotations

from collections.abc import Mapping
from decimal import Decimal

import pytest

from bomsvc.core.logic.answers import read_answers
from bomsvc.core.logic.reasoner import Reasoner
from bomsvc.core.resolve import Clashing, read_scope, resolve
from bomsvc.core.resolve.layout import layout_of
from bomsvc.core.resolve.lines import Work, WorkStep
from bomsvc.core.resolve.merging import merged_order
from bomsvc.core.resolve.plans import plan_cases
from bomsvc.core.resolve.view import View
from bomsvc.core.work import Plan
from bomsvc.core.work.values import StepDone, StepReason
from bomsvc.service.replies.resolve import step_form

PUMP = {"use": "pump", "serial": "N210440"}
PHASES = ("strip", "refit")


def work_on(reasoner: Reasoner, answers: Mapping[str, object], job: str) -> Work:
    known = read_answers(reasoner.compiled, dict(answers))
    scope = read_scope(reasoner.compiled, {"jobs": [job]})
    found = resolve(reasoner, known, scope)
    assert not isinstance(found, Clashing)
    assert found.work is not None
    return found.work


def plans_of(reasoner: Reasoner, answers: Mapping[str, object], job: str) -> list[Plan]:
    layout = layout_of(reasoner.compiled)
    view = View(reasoner, read_answers(reasoner.compiled, dict(answers)))
    return plan_cases(view, layout, (job,), ()).plans()


def places(work: Work, phase: str) -> dict[str, int]:
    return {step.step: step.order for step in work.steps if step.phase == phase}


def one(work: Work, key: str) -> WorkStep:
    return next(step for step in work.steps if step.step == key)


def test_what_sits_behind_the_damper_goes_back_before_it(
    whimbrel_reasoner: Reasoner,
) -> None:
    refit = places(work_on(whimbrel_reasoner, PUMP, "renew_front_seal"), "refit")
    for damper in ("damper_off", "damper_off_short"):
        assert refit["adapter_off"] < refit[damper]
        assert refit[damper] < refit["alternator_belt_off"]


@pytest.mark.parametrize(
    ("job", "answers"),
    [
        ("renew_front_seal", {}),
        ("renew_front_seal", PUMP),
        ("renew_gears", {"use": "pump"}),
        ("renew_piston[3]", {}),
    ],
)
def test_the_order_is_that_of_every_case(
    whimbrel_reasoner: Reasoner, job: str, answers: Mapping[str, object]
) -> None:
    work = work_on(whimbrel_reasoner, answers, job)
    plans = plans_of(whimbrel_reasoner, answers, job)
    assert len(plans) > 1
    for phase in PHASES:
        order = list(places(work, phase))
        for plan in plans:
            own = [step.key for step in plan.steps if step.phase == phase]
            assert [key for key in order if key in own] == own


@pytest.mark.parametrize("answers", [{}, {"serial": "N210440"}])
def test_where_cases_differ_by_habit_each_can_still_be_worked(
    whimbrel_reasoner: Reasoner, answers: Mapping[str, object]
) -> None:
    """The camshaft job's cases are in different orders where nothing is at stake."""
    work = work_on(whimbrel_reasoner, answers, "renew_camshaft")
    for phase in PHASES:
        place = places(work, phase)
        for plan in plans_of(whimbrel_reasoner, answers, "renew_camshaft"):
            for step in (s for s in plan.steps if s.phase == phase):
                assert all(place[w] < place[step.key] for w in step.waits_for)


def test_a_step_of_some_cases_names_the_options_that_decide_it(
    whimbrel_reasoner: Reasoner,
) -> None:
    work = work_on(whimbrel_reasoner, PUMP, "renew_front_seal")
    assert one(work, "damper_off_short").decided_by == ("damper",)
    assert one(work, "pto_output_off").decided_by == ("pto",)
    assert one(work, "front_seal_off").decided_by == ()
    for step in work.steps:
        assert (step.state == "open") == bool(step.decided_by), step.step
    assert step_form(one(work, "pto_output_off"))["decided_by"] == ["pto"]


def entries(*keys: str, waits: dict[str, str] | None = None) -> list[StepDone]:
    waits = waits or {}
    return [
        StepDone(
            key=key,
            phase="strip",
            order=number,
            minutes=Decimal(0),
            lift_kg=None,
            opens=(),
            loosens=(),
            needed_by="job",
            why=StepReason("do", "job", key),
            waits_for=(waits[key],) if key in waits else (),
        )
        for number, key in enumerate(keys, start=1)
    ]


RANKS = {"a": 0, "b": 1, "c": 2, "d": 3}


def test_steps_that_no_case_puts_in_order_stand_as_in_the_document() -> None:
    assert merged_order([entries("d", "a"), entries("d", "b")], RANKS) == [
        "d",
        "a",
        "b",
    ]


def test_where_two_cases_contradict_each_other_the_first_one_decides() -> None:
    assert merged_order([entries("b", "a"), entries("a", "b", "c")], RANKS) == [
        "b",
        "a",
        "c",
    ]


def test_what_has_a_reason_comes_before_any_habit() -> None:
    second = entries("b", "c", "a", waits={"a": "b"})
    assert merged_order([entries("a", "b", "c"), second], RANKS) == ["b", "a", "c"]


def test_a_way_in_that_no_build_takes_asks_no_questions(
    whimbrel_reasoner: Reasoner,
) -> None:
    """A rod bearing comes out from below; the engine is not lifted out for it."""
    known = read_answers(whimbrel_reasoner.compiled, {})
    scope = read_scope(whimbrel_reasoner.compiled, {"jobs": ["renew_rod_bearing[3]"]})
    found = resolve(whimbrel_reasoner, known, scope)
    assert not isinstance(found, Clashing)
    assert found.work is not None
    assert found.work.basis == "exact"
    assert "engine_out" not in {step.step for step in found.work.steps}
    assert len(found.questions) <= 5
