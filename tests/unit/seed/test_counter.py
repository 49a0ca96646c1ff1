"""What a counter reads on the demo's engines, list by list."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING, Any

import pytest

from bomsvc.core.resolve import Resolved
from bomsvc.core.resolve.lines import JointForm
from bomsvc.core.resolve.tightening import STAYS_CLOSED

if TYPE_CHECKING:
    from tests.unit.seed.conftest import Demo

Lists = Callable[..., Resolved]


@pytest.fixture(scope="module")
def n210440(demo: Demo, engines: list[dict[str, Any]]) -> Lists:
    """Lists for the engine on file with that serial."""
    (row,) = [engine for engine in engines if engine["serial"] == "N210440"]

    def lists(**scope: Any) -> Resolved:
        return demo.lists({**row["answers"], "serial": row["serial"]}, **scope)

    return lists


def joint(found: Resolved, key: str) -> JointForm:
    return next(form for form in found.joints if form.joint == key)


def test_a_joint_that_stays_closed_is_tightened_at_its_loose_screws_only(
    n210440: Lists,
) -> None:
    rim = joint(n210440(jobs=["reseal_drive_adapter"]), "front_cover_rim")
    assert [group.group for group in rim.groups] == ["steady"]
    assert [(p.groups, p.order) for p in rim.passes] == [(("steady",), (16, 19))] * 2
    # The bead is not laid anew, so nothing is said of it.
    assert rim.note == STAYS_CLOSED
    assert rim.sheet is not None
    assert [p for p in rim.sheet.passes if " 4, " in p] == []
    assert STAYS_CLOSED in rim.sheet.notes


def test_a_joint_that_is_opened_keeps_all_its_passes_and_its_note(
    n210440: Lists,
) -> None:
    rim = joint(n210440(jobs=["reseal_front_cover"]), "front_cover_rim")
    assert {hole for p in rim.passes for hole in p.order} == set(range(1, 20))
    assert rim.note is not None
    assert "bead" in rim.note


def test_orders_name_only_holes_that_the_joint_has_on_this_engine(
    n210440: Lists,
) -> None:
    found = n210440(jobs=["renew_front_head_gasket"])
    for form in found.joints:
        holes = {hole for group in form.groups for hole in group.holes}
        orders = [form.loosen_order, *(stated.order for stated in form.passes)]
        assert {hole for order in orders for hole in order} <= holes, form.joint
    assert joint(found, "exhaust_port[1]").passes[0].order == (1, 2)
    assert joint(found, "exhaust_port[6]").passes[0].order == (3, 4)


def test_a_job_for_other_engines_says_for_which_and_why_not_this_one(
    n210440: Lists,
) -> None:
    found = n210440(jobs=["renew_bleed_brake"])
    (fault,) = found.faults
    assert (fault.code, fault.at) == ("job_absent", "renew_bleed_brake")
    assert fault.detail == (
        "There is nothing to do: “Renew the bleed-valve brake” is only for engines "
        "where engine brake is bleed-valve brake. We were told: duty is irrigation "
        "pump. A pump set stops against its own water."
    )
    assert found.lines == ()


def test_a_place_of_other_engines_says_on_which_it_is(n210440: Lists) -> None:
    (fault,) = n210440(positions=["exhaust_flap"]).faults
    assert fault.detail == (
        "“Exhaust flap” is only on engines where engine brake is exhaust flap brake. "
        "We were told: engine brake is no brake."
    )
