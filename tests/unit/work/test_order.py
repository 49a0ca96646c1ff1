"""In which order: needs first, refit in reverse unless `after` says otherwise."""

from __future__ import annotations

from typing import Any

from bomsvc.core.work import Plan, plan
from tests.unit.work.worlds import World, truth_of


def ordered(steps: dict[str, Any], do: list[str]) -> tuple[list[str], list[str]]:
    """Strip-down and refit of a job that does these steps."""
    names = {p for s in steps.values() for p in (*s.get("frees", ()),)}
    world = World(
        parts={"x": {}},
        positions={name: {"fitments": [("x", 1)]} for name in sorted(names)},
        steps=steps,
        jobs={"job": {"do": do}},
    )
    found = plan(world.revision(), truth_of(()), ["job"])
    assert isinstance(found, Plan)
    assert [step.order for step in found.steps] == list(range(1, len(found.steps) + 1))
    phases = [step.phase for step in found.steps]
    assert phases == sorted(phases, key=("strip", "refit").index)
    strip = [step.key for step in found.steps if step.phase == "strip"]
    return strip, [step.key for step in found.steps if step.phase == "refit"]


def off(position: str, *needs: str, **more: Any) -> dict[str, Any]:
    return {"frees": [position], "needs": list(needs), "off": 5, "on": 5, **more}


def test_what_covers_another_comes_off_first_and_goes_back_last() -> None:
    steps = {"inner": off("i", "m"), "middle": off("m", "o"), "outer": off("o")}
    strip, refit = ordered(steps, ["inner"])
    assert strip == ["outer", "middle", "inner"]
    assert refit == ["inner", "middle", "outer"]


def test_independent_steps_stand_in_the_order_of_the_document() -> None:
    steps = {"zeta": off("z"), "alpha": off("a"), "mid": off("m", "z")}
    strip, _ = ordered(steps, ["alpha", "mid"])
    assert strip == ["zeta", "alpha", "mid"]


def test_a_step_without_minutes_on_has_no_entry_in_refit() -> None:
    assert ordered({"drain": off("d", on=0)}, ["drain"]) == (["drain"], [])


def test_filling_is_refit_and_comes_after_what_owes_it() -> None:
    steps = {
        "fill": {"on": 15},
        "pan": off("p", then=["fill"]),
        "guard": off("g"),
    }
    strip, refit = ordered(steps, ["pan", "guard"])
    assert strip == ["pan", "guard"]
    assert refit == ["guard", "pan", "fill"]


def test_bleeding_waits_for_the_filling_it_needs() -> None:
    steps = {
        "bleed": {"on": 5, "needs": ["fill"]},
        "fill": {"on": 15},
        "pan": off("p", then=["bleed"]),
    }
    assert ordered(steps, ["pan"]) == (["pan"], ["pan", "fill", "bleed"])


def test_setting_with_the_cover_off_is_done_before_the_cover_goes_back() -> None:
    steps = {"cover": off("c"), "set_lash": {"needs": ["c"], "on": 40}}
    assert ordered(steps, ["set_lash"]) == (["cover"], ["set_lash", "cover"])


def test_a_lock_needed_first_belongs_to_strip_down() -> None:
    steps = {"belt": off("b", "lock"), "lock": {"on": 2}, "isolate": {}}
    steps["belt"]["needs"] = ["lock", "isolate"]
    strip, refit = ordered(steps, ["belt"])
    assert strip == ["lock", "isolate", "belt"]
    assert refit == ["belt", "lock"]


def test_after_overrules_the_reverse_of_strip_down() -> None:
    steps = {"pump": off("p"), "belt": off("b"), "fan": off("f")}
    assert ordered(steps, list(steps))[1] == ["fan", "belt", "pump"]
    steps["fan"]["after"] = ["pump"]
    assert ordered(steps, list(steps))[1] == ["belt", "pump", "fan"]


def test_what_was_under_a_delayed_step_waits_with_it() -> None:
    """The cover waits for the pump; the pipe, over the cover, goes back after both."""
    steps = {
        "pump": off("p"),
        "pipe": off("i"),
        "cover": off("c", "i", after=["pump"]),
    }
    assert ordered(steps, list(steps))[1] == ["pump", "cover", "pipe"]


def test_after_in_a_circle_still_gives_an_order() -> None:
    steps = {"a": off("x", after=["b"]), "b": off("y", after=["a"])}
    assert sorted(ordered(steps, ["a", "b"])[1]) == ["a", "b"]


def test_after_a_step_that_is_not_done_asks_for_nothing() -> None:
    steps = {"a": off("x", after=["b"]), "b": off("y")}
    assert ordered(steps, ["a"])[1] == ["a"]
