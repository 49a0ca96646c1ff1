"""What a counter reads on the demo's engines, list by list."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import TYPE_CHECKING, Any

import pytest

from bomsvc.core.resolve import Resolved, read_scope, resolve
from bomsvc.core.resolve.lines import JointForm
from bomsvc.core.resolve.tightening import STAYS_CLOSED
from bomsvc.service.wording import Labels, other_way_sentence

if TYPE_CHECKING:
    from tests.unit.seed.conftest import Demo

Lists = Callable[..., Resolved]


@pytest.fixture(scope="module")
def n210440(demo: Demo, engines: list[dict[str, Any]]) -> Lists:
    """Lists for the engine on file with that serial."""
    (row,) = [engine for engine in engines if engine["serial"] == "N210440"]

    known = demo.known({**row["answers"], "serial": row["serial"]})

    def lists(*, by_way_of: Sequence[str] = (), **scope: Any) -> Resolved:
        asked = read_scope(demo.compiled, scope)
        found = resolve(demo.reasoner, known, asked, by_way_of=by_way_of)
        assert isinstance(found, Resolved)
        return found

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


def test_beside_a_pinned_way_in_the_shorter_one_is_offered(n210440: Lists) -> None:
    plainly = n210440(jobs=["reseal_sump"]).work
    pinned = n210440(jobs=["reseal_sump"], by_way_of=["engine_raise"]).work
    assert plainly is not None
    assert pinned is not None
    other = pinned.other_way
    assert other is not None
    assert other.minutes == plainly.minutes[0] < pinned.minutes[0]
    assert "engine_raise" in other.instead_of
    assert "engine_raise" not in other.steps


def test_the_other_way_lists_its_steps_as_they_would_be_worked(
    n210440: Lists,
) -> None:
    pinned = n210440(jobs=["reseal_sump"], by_way_of=["engine_raise"]).work
    plainly = n210440(jobs=["reseal_sump"]).work
    assert pinned is not None
    assert plainly is not None
    assert plainly.other_way is not None
    worked = tuple(dict.fromkeys(step.step for step in pinned.steps))
    assert plainly.other_way.steps == worked


@pytest.mark.parametrize(
    ("by_way_of", "said"),
    [
        ([], "takes 340 minutes more: 525 minutes."),
        (["engine_raise"], "takes 340 minutes less: 185 minutes."),
    ],
)
def test_the_other_way_is_compared_with_the_chosen_one(
    demo: Demo, n210440: Lists, by_way_of: list[str], said: str
) -> None:
    work = n210440(jobs=["reseal_sump"], by_way_of=by_way_of).work
    assert work is not None
    assert other_way_sentence(work, Labels(demo.compiled)).endswith(said)


def reasons(demo: Demo, found: Resolved, part: str) -> list[str]:
    labels = Labels(demo.compiled)
    return [
        labels.reason(reason)
        for line in found.lines
        if line.part == part
        for reason in line.why
    ]


def test_sealant_for_closing_up_is_not_said_to_be_used_in_taking_off(
    demo: Demo, n210440: Lists
) -> None:
    found = n210440(jobs=["reseal_front_cover"])
    labels = Labels(demo.compiled)
    where = {labels.place(p) for line in found.lines for p in line.places}
    assert "used in closing up after: Take the front cover off" in where
    assert "used at: Fill and bleed the cooling system" in where
    assert not [text for text in where if text.startswith("used for")]


def test_a_use_says_in_one_sentence_what_the_step_is_done_for(
    demo: Demo, n210440: Lists
) -> None:
    said = reasons(demo, n210440(jobs=["reseal_front_cover"]), "W90.0012")
    assert said == [
        "“Take the front cover off”, done for “Reseal the front cover”, uses it"
    ]


def test_an_open_candidate_says_on_what_condition_it_sits_there(demo: Demo) -> None:
    found = demo.lists({"use": "pump"}, jobs=["reseal_sump"])
    labels = Labels(demo.compiled)
    said = [
        labels.reason(reason)
        for line in found.lines
        if line.state == "open"
        for reason in line.why
        if reason.position is not None
    ]
    assert said
    assert all(" if " in text for text in said), said
    assert any(text.startswith("it sits at Sump gasket if ") for text in said), said


def test_sealant_is_called_for_at_the_holes_that_break_into_fluid(
    n210440: Lists,
) -> None:
    rim = joint(n210440(jobs=["reseal_front_cover"]), "front_cover_rim")
    assert (
        "Front cover to gear case: holes 3 and 7 break into a space with fluid: seal "
        "their threads as the maker's manual says."
    ) in rim.cautions
    assert not [text for text in rim.cautions if text.startswith("This hole")]


def test_a_part_that_is_only_checked_has_no_cautions_for_fitting_a_new_one(
    n210440: Lists,
) -> None:
    def hot(found: Resolved, need: str) -> list[bool]:
        return [
            any("200 °C" in text for text in line.cautions)
            for line in found.lines
            if line.need == need and "ring gear" in line.name
        ]

    assert hot(n210440(jobs=["renew_starter"]), "check") == [False]
    assert hot(n210440(jobs=["renew_ring_gear"]), "renew") == [True]


def test_only_a_part_that_goes_back_is_kept_with_its_mate(n210440: Lists) -> None:
    own = "Each piston goes back to its own bore."
    renewed = n210440(jobs=["renew_piston[3]"])
    assert own not in [t for line in renewed.lines for t in line.instructions]
    caps = n210440(jobs=["renew_main_bearing[2]"]).work
    assert caps is not None
    assert [stay for stay in caps.stays if "own number" in stay.text]
