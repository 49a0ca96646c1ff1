"""What a job takes on a small engine: ways in, seals, single-use parts, pins."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

import pytest

from bomsvc.core.work import Plan, plan
from bomsvc.core.work.values import RenewReason, StepReason
from tests.unit.work.worlds import World, truth_of


def planned(
    world: World,
    *jobs: str,
    by_way_of: tuple[str, ...] = (),
    true: tuple[int, ...] = (),
) -> Plan:
    found = plan(world.revision(), truth_of(true), jobs or ("job",), by_way_of)
    assert isinstance(found, Plan)
    return found


def reasons(found: Plan) -> dict[str, tuple[RenewReason, ...]]:
    return {one.position: one.reasons for one in found.renewed}


def engine(**changes: dict[str, Any]) -> World:
    """A pan under a shield; the pan can also be reached by lifting the engine."""
    world = World(
        parts={
            "pan": {},
            "shield": {},
            "gasket": {"kind": "gasket"},
            "mount": {},
        },
        positions={
            "pan": {"fitments": [("pan", 1)]},
            "shield": {"fitments": [("shield", 1)]},
            "pan_gasket": {"fitments": [("gasket", 1)]},
        },
        joints={"pan_rail": {"seals": ["pan_gasket"]}},
        steps={
            "shield_off": {"frees": ["shield"], "off": 10, "on": 15},
            "pan_down": {
                "frees": ["pan"],
                "opens": ["pan_rail"],
                "needs": ["shield"],
                "off": 20,
                "on": 30,
                "then": ["refill"],
            },
            "engine_up": {
                "frees": ["pan"],
                "opens": ["pan_rail"],
                "off": 100,
                "on": 40,
                "then": ["refill"],
            },
            "refill": {"on": 15},
        },
        jobs={"job": {"renew": ["pan"]}},
    )
    for kind, items in changes.items():
        getattr(world, kind).update(items)
    return world


def test_the_cheapest_way_in_is_taken_and_the_other_way_is_offered() -> None:
    found = planned(engine())
    assert found.done == ("pan_down", "refill", "shield_off")
    assert found.minutes == Decimal(90)
    assert found.optimal
    assert found.bound == found.minutes
    assert found.other_way is not None
    assert found.other_way.steps == ("engine_up", "refill")
    assert found.other_way.minutes == Decimal(155)
    assert found.other_way.instead_of == ("shield_off", "pan_down")
    assert found.other_way.optimal


def test_a_pinned_way_in_is_done_and_the_other_way_does_without_it() -> None:
    found = planned(engine(), by_way_of=("engine_up",))
    assert found.done == ("engine_up", "refill")
    assert found.minutes == Decimal(155)
    assert found.other_way is not None
    assert found.other_way.steps == ("shield_off", "pan_down", "refill")
    assert found.other_way.minutes == Decimal(90)
    assert found.other_way.instead_of == ("engine_up",)
    assert found.other_way.optimal
    assert found.steps[0].why == StepReason("pinned", "engine_up", "engine_up")


def test_pinning_the_way_that_is_taken_anyway_changes_nothing_offered() -> None:
    plainly, pinned = planned(engine()), planned(engine(), by_way_of=("pan_down",))
    assert pinned.done == plainly.done
    assert pinned.other_way == plainly.other_way


def test_a_pinned_step_that_this_build_lacks_is_named_and_ignored() -> None:
    world = engine()
    world.steps["engine_up"]["exists"] = 2
    found = planned(world, by_way_of=("engine_up",))
    assert found.pins_absent == ("engine_up",)
    assert found.done == ("pan_down", "refill", "shield_off")


def test_two_jobs_share_their_strip_down() -> None:
    world = engine(
        jobs={"other": {"renew": ["shield"]}, "seal": {"reseal": ["pan_rail"]}}
    )
    alone = planned(world, "other").minutes + planned(world, "job").minutes
    together = planned(world, "job", "other", "seal")
    assert together.minutes == Decimal(90)
    assert together.minutes < alone


def test_a_job_that_this_build_lacks_asks_for_nothing() -> None:
    world = engine(jobs={"job": {"renew": ["pan"], "exists": 2}})
    found = planned(world)
    assert found.done == ()
    assert found.renewed == ()
    assert found.minutes == 0


def test_what_is_not_there_need_not_come_off_first() -> None:
    world = engine()
    world.positions["shield"] = {"fill": "optional", "fitments": [("shield", 2)]}
    assert planned(world).done == ("pan_down", "refill")
    assert "shield_off" in planned(world, true=(2,)).done


def test_the_seals_of_an_opened_joint_are_renewed() -> None:
    found = planned(engine())
    assert reasons(found)["pan_gasket"] == (
        RenewReason("joint_opened", "pan_rail"),
        RenewReason("seal_freed", "pan_down"),
    )
    assert [(o.joint, o.by) for o in found.opened] == [("pan_rail", "pan_down")]


def test_a_seal_freed_without_opening_its_joint_is_renewed_too() -> None:
    world = engine(jobs={"job": {"do": ["slip"]}})
    world.steps["slip"] = {"frees": ["pan_gasket"], "off": 5}
    found = planned(world)
    assert reasons(found) == {"pan_gasket": (RenewReason("seal_freed", "slip"),)}
    assert found.opened == ()


def test_a_single_use_part_that_comes_off_is_renewed() -> None:
    world = engine(parts={"shield": {"reuse": "single"}})
    assert reasons(planned(world))["shield"] == (
        RenewReason("single_freed", "shield_off"),
    )


def test_what_is_renewed_with_a_part_is_freed_by_more_steps() -> None:
    world = engine(
        parts={"pan": {"renew_with": ["pump"]}, "pump": {"renew_with": ["key"]}},
        positions={
            "pump": {"fitments": [("pump", 1)]},
            "key": {"fitments": [("mount", 1)]},
        },
        steps={
            "pump_off": {"frees": ["pump"], "off": 5},
            "key_out": {"frees": ["key"], "off": 1, "needs": ["pump"]},
        },
    )
    found = planned(world)
    assert {"pump_off", "key_out"} <= set(found.done)
    assert reasons(found)["pump"] == (RenewReason("renew_with", "pan"),)
    assert reasons(found)["key"] == (RenewReason("renew_with", "pump"),)
    why = {step.key: step.why for step in found.steps}
    assert why["key_out"] == StepReason("renew_with", "pump", "key")


def test_what_comes_with_a_new_part_needs_no_step_of_its_own() -> None:
    world = engine(
        parts={"pan": {"includes": ["plug"]}},
        positions={"plug": {"fitments": [("mount", 1)]}},
    )
    found = planned(world)
    assert [(i.position, i.by) for i in found.included] == [("plug", "pan")]
    assert "plug" not in reasons(found)


def pump_with_impeller(**pump: list[str]) -> World:
    """A pan whose pump is renewed with it; the pump's impeller has a gasket."""
    return engine(
        parts={
            "pan": {"renew_with": ["pump"]},
            "pump": pump,
            "impeller": {"renew_with": ["impeller_gasket"]},
        },
        positions={
            name: {"fitments": [(part, 1)]}
            for name, part in (
                ("pump", "pump"),
                ("impeller", "impeller"),
                ("impeller_gasket", "gasket"),
            )
        },
        steps={
            "pump_off": {"frees": ["pump"], "off": 5},
            "impeller_out": {"frees": ["impeller", "impeller_gasket"], "off": 25},
        },
    )


def test_what_comes_with_a_new_pump_is_not_drawn_out_of_the_old_one() -> None:
    world = pump_with_impeller(includes=["impeller", "impeller_gasket"])
    found = planned(world)
    assert "pump_off" in found.done
    assert "impeller_out" not in found.done
    assert {i.position for i in found.included} == {"impeller", "impeller_gasket"}
    assert not {"impeller", "impeller_gasket"} & set(reasons(found))


def test_a_gasket_that_the_new_pump_lacks_is_renewed_with_its_impeller() -> None:
    found = planned(pump_with_impeller(includes=["impeller"]))
    assert "impeller_out" in found.done
    assert reasons(found)["impeller_gasket"] == (RenewReason("renew_with", "impeller"),)


def test_a_part_named_and_brought_by_the_same_new_part_is_just_brought() -> None:
    world = pump_with_impeller(
        includes=["impeller", "impeller_gasket"], renew_with=["impeller_gasket"]
    )
    assert "impeller_out" not in planned(world).done


def test_only_the_single_use_parts_of_a_mixed_place_are_renewed() -> None:
    world = engine(
        parts={"shim": {"reuse": "single"}, "block": {"renew_with": ["pan"]}},
        positions={
            "pack": {"fill": "several", "fitments": [("shim", 1), ("block", 1)]}
        },
        steps={"pack_out": {"frees": ["pack"], "off": 5}},
        jobs={"job": {"do": ["pack_out"]}},
    )
    found = planned(world)
    (pack,) = found.renewed
    assert pack.position == "pack"
    assert pack.single_only
    assert found.done == ("pack_out",)


def flange() -> World:
    """A flange held by studs, nuts and washers, with a gasket and a shim inside."""
    single = {"reuse": "single"}
    names = ("gasket", "nut", "washer", "stud", "shim", "seal_washer")
    return World(
        parts={name: dict(single) for name in names},
        positions={name: {"fitments": [(name, 1)]} for name in names},
        joints={
            "flange": {
                "seals": ["gasket", "seal_washer"],
                "groups": {
                    "a": {
                        "nut": "nut",
                        "stud": "stud",
                        "layers": [
                            ("washer", "hole"),
                            ("seal_washer", "hole"),
                            ("shim", "joint"),
                        ],
                    }
                },
            }
        },
        steps={
            "open": {"opens": ["flange"], "off": 10},
            "loosen": {"loosens": [("flange", "a")], "off": 5},
        },
        jobs={"seal": {"reseal": ["flange"]}, "ease": {"do": ["loosen"]}},
    )


def test_an_opened_joint_renews_seals_hardware_and_single_use_layers() -> None:
    found = planned(flange(), "seal")
    assert set(reasons(found)) == {
        "gasket",
        "nut",
        "washer",
        "stud",
        "shim",
        "seal_washer",
    }
    assert reasons(found)["shim"][-1] == RenewReason("single_joint", "flange")
    assert {freed.how for freed in found.freed} == {"joint"}


def test_a_stud_that_stays_is_not_renewed() -> None:
    world = flange()
    world.joints["flange"]["groups"]["a"]["stays"] = True
    assert "stud" not in reasons(planned(world, "seal"))


def test_a_loosened_group_renews_nuts_and_washers_but_no_seals() -> None:
    found = planned(flange(), "ease")
    assert set(reasons(found)) == {"nut", "washer"}
    assert found.opened == ()
    assert [(g.joint, g.group) for g in found.loosened] == [("flange", "a")]
    assert {freed.how for freed in found.freed} == {"group"}


def test_a_group_of_an_opened_joint_is_not_told_as_loosened() -> None:
    assert planned(flange(), "seal", "ease").loosened == ()


def test_a_single_use_layer_that_a_step_takes_out_needs_that_step() -> None:
    world = flange()
    world.steps["shim_out"] = {"frees": ["shim"], "off": 3}
    found = planned(world, "seal")
    assert found.done == ("open", "shim_out")
    why = {step.key: step.why for step in found.steps}
    assert why["shim_out"] == StepReason("single_use", "open", "shim")


def test_steps_that_wait_on_each_other_are_avoided_at_a_price() -> None:
    world = World(
        parts={"x": {}},
        positions={"a": {"fitments": [("x", 1)]}, "b": {"fitments": [("x", 1)]}},
        steps={
            "a_off": {"frees": ["a"], "needs": ["b"], "off": 1},
            "b_off": {"frees": ["b"], "needs": ["a"], "off": 1},
            "b_dear": {"frees": ["b"], "off": 50},
        },
        jobs={"job": {"renew": ["a"]}},
    )
    found = planned(world)
    assert found.done == ("a_off", "b_dear")
    assert [step.key for step in found.steps] == ["b_dear", "a_off"]


def test_parts_that_wait_on_each_other_only_together_are_planned_as_one() -> None:
    """Each part alone would take its cheap way; together these form a circle."""
    names = ("a", "b", "p", "q")
    world = World(
        parts={"x": {}},
        positions={name: {"fitments": [("x", 1)]} for name in names},
        steps={
            "both": {"frees": ["a", "b"], "needs": ["p", "q"], "off": 1},
            "p_near": {"frees": ["p"], "needs": ["a"], "off": 1},
            "p_far": {"frees": ["p"], "off": 10},
            "q_near": {"frees": ["q"], "needs": ["b"], "off": 1},
            "q_far": {"frees": ["q"], "off": 20},
            "a_alone": {"frees": ["a"], "off": 100},
        },
        jobs={"job": {"do": ["both"]}},
    )
    assert planned(world).done == ("both", "p_far", "q_far")


def tie(*names: str) -> World:
    return World(
        parts={"x": {}},
        positions={"a": {"fitments": [("x", 1)]}},
        steps={name: {"frees": ["a"], "off": 10} for name in names},
        jobs={"job": {"renew": ["a"]}},
    )


def test_equal_ways_are_settled_by_code_order() -> None:
    found = planned(tie("zip", "cut", "saw"))
    assert found.done == ("cut",)
    assert found.other_way is not None
    assert found.other_way.steps == ("saw",)


def test_members_of_a_series_count_by_number() -> None:
    assert planned(tie("cut[10]", "cut[9]", "cut[2]")).done == ("cut[2]",)


def test_fewer_steps_win_among_equal_minutes() -> None:
    world = tie("whole")
    world.steps["cover"] = {"frees": ["cover"], "off": 4}
    world.positions["cover"] = {"fitments": [("x", 1)]}
    world.steps["behind"] = {"frees": ["a"], "needs": ["cover"], "off": 6}
    assert planned(world).done == ("whole",)


@pytest.mark.parametrize(("off", "on"), [("0.000001", "0.1"), ("12.345678", "0")])
def test_minutes_are_exact_to_the_last_decimal(off: str, on: str) -> None:
    world = tie("cut")
    world.steps["cut"] = {"frees": ["a"], "off": off, "on": on}
    assert planned(world).minutes == Decimal(off) + Decimal(on)


def test_checked_positions_that_are_renewed_anyway_are_not_checked() -> None:
    world = engine(jobs={"job": {"renew": ["pan"], "check": ["pan", "shield"]}})
    assert [(c.position, c.job) for c in planned(world).checked] == [("shield", "job")]


def test_tools_cautions_and_uses_come_once_in_the_order_of_the_work() -> None:
    world = engine()
    world.steps["pan_down"] |= {
        "tools": ["driver", "scraper"],
        "cautions": ["Hot oil."],
        "uses": [("sealant", 1), ("oil", 2)],
    }
    world.steps["shield_off"] |= {"tools": ["driver"], "cautions": ["Sharp edges."]}
    found = planned(world)
    assert found.tools == ("driver", "scraper")
    assert found.cautions == ("Sharp edges.", "Hot oil.")
    assert [(u.step, u.use.use.part) for u in found.uses] == [
        ("pan_down", "sealant"),
        ("pan_down", "oil"),
    ]


def test_every_step_says_what_it_is_done_for() -> None:
    found = planned(engine())
    why = {step.key: step.why for step in found.steps}
    assert why == {
        "pan_down": StepReason("renew", "job", "pan"),
        "shield_off": StepReason("need", "pan_down", "shield"),
        "refill": StepReason("then", "pan_down", "refill"),
    }
