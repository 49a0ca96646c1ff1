"""What a request may ask a list for, and what it is told when it may not."""

from __future__ import annotations

from typing import Any

import pytest

from bomsvc.core.resolve import Scope, read_by_way_of, read_scope
from bomsvc.core.terms.problems import BadInput
from tests.unit.resolve.compact import compiled


def problems_of(raw: dict[str, Any]) -> dict[str, tuple[str, str | None]]:
    with pytest.raises(BadInput) as refused:
        read_scope(compiled(), raw)
    return {p.pointer: (p.detail, p.remedy) for p in refused.value.problems}


def test_a_bare_code_means_every_member_of_its_series() -> None:
    scope = read_scope(compiled(), {"positions": ["main_shell"]})
    assert scope.positions == ("main_shell[1]", "main_shell[2]", "main_shell[3]")


def test_one_member_can_be_named() -> None:
    scope = read_scope(compiled(), {"joints": ["cap[2]"]})
    assert scope.joints == ("cap[2]",)


def test_any_order_and_repeats_ask_for_the_same() -> None:
    first = read_scope(compiled(), {"positions": ["pump", "pan", "pan"]})
    second = read_scope(compiled(), {"positions": ["pan", "pump"]})
    assert first == second == Scope(positions=("pan", "pump"))


def test_scopes_mix() -> None:
    raw = {"jobs": ["mains"], "sections": ["front"], "whole": False}
    scope = read_scope(compiled(), raw)
    assert scope == Scope(jobs=("mains",), sections=("front",))


def test_every_problem_is_told_at_once_with_the_nearest_name() -> None:
    raw = {
        "jobs": ["reseal_sumpp", 7],
        "positions": ["main_shell[4]", "pan[1]", "pann"],
        "whole": "yes",
        "section": ["oil"],
    }
    found = problems_of(raw)
    assert found["/scope/section"][1] == "sections"
    assert found["/scope/jobs/0"][1] == "reseal_sump"
    assert found["/scope/positions/0"] == (
        "There is no 'main_shell[4]': 'main_shell' stands 3 times, "
        "main_shell[1] to main_shell[3].",
        "main_shell[3]",
    )
    assert found["/scope/positions/1"][1] == "pan"
    assert found["/scope/positions/2"][1] == "pan"
    assert found["/scope/whole"][0] == "Whole is true or false."
    assert "A code from the jobs is due" in found["/scope/jobs/1"][0]
    assert len(found) == 7


def test_a_list_is_due_not_a_single_name() -> None:
    assert (
        "A list of joints is due" in problems_of({"joints": "rail"})["/scope/joints"][0]
    )


def test_a_scope_that_asks_for_nothing_says_what_could_be_asked() -> None:
    empty: list[dict[str, Any]] = [{}, {"jobs": []}, {"whole": False}]
    for raw in empty:
        assert "asks for nothing" in problems_of(raw)["/scope"][0]


def test_steps_pinned_as_the_way_in_are_read_like_scopes() -> None:
    assert read_by_way_of(compiled(), ["pump_off"]) == ("pump_off",)
    with pytest.raises(BadInput) as refused:
        read_by_way_of(compiled(), ["pump_of"])
    (problem,) = refused.value.problems
    assert (problem.pointer, problem.remedy) == ("/by_way_of/0", "pump_off")
