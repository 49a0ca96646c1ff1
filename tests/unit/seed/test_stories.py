"""What the counter's days need of the demo family."""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction
from itertools import combinations, product
from typing import TYPE_CHECKING, Any

import pytest

from bomsvc.core.resolve.convert import Converted, convert
from bomsvc.core.resolve.lines import GroupForm, Resolved, Work
from bomsvc.core.work import Plan, plan

if TYPE_CHECKING:
    from tests.unit.seed.conftest import Demo

SUMP_OPTIONS = ("use", "sump", "pan")


def on_file(engines: list[dict[str, Any]], serial: str) -> dict[str, Any]:
    (row,) = (row for row in engines if row["serial"] == serial)
    answers: dict[str, Any] = row["answers"]
    return answers


def renewed(found: Resolved) -> dict[str, Decimal]:
    """Quantity per part of the certain lines to renew."""
    total: dict[str, Decimal] = {}
    for line in found.lines:
        if line.need == "renew" and line.state == "certain":
            assert line.part is not None
            total[line.part] = total.get(line.part, Decimal(0)) + line.qty
    return total


def length_mm(group: GroupForm) -> Fraction:
    assert group.screw is not None
    assert group.screw.chosen is not None
    return group.screw.chosen.length_mm


def work_of(found: Resolved) -> Work:
    assert found.work is not None
    return found.work


def possible(demo: Demo, answers: dict[str, Any]) -> bool:
    return demo.reasoner.consistent(demo.known(answers))


def sump_answers(demo: Demo) -> list[dict[str, str]]:
    """Every combination of the three options that some valid build has."""
    choices = [list(demo.compiled.options[key].choices) for key in SUMP_OPTIONS]
    combined = [dict(zip(SUMP_OPTIONS, c, strict=True)) for c in product(*choices)]
    return [answers for answers in combined if possible(demo, answers)]


# Story A


def test_the_known_engine_has_its_sump_list_certain_at_once(
    demo: Demo, engines: list[dict[str, Any]]
) -> None:
    found = demo.lists(on_file(engines, "N210440"), jobs=["reseal_sump"])
    assert found.certain
    assert found.questions == ()
    parts = renewed(found)
    assert {demo.parts[number].kind for number in parts} == {
        "gasket",
        "washer",
        "sealant",
        "fluid",
    }
    assert parts["W40.1162"] == 1
    assert parts["W90.0001"] == Decimal("29.5")
    assert parts["W90.0010"] == Decimal("0.03")


def test_the_heel_of_the_cast_sump_takes_longer_screws(
    demo: Demo, engines: list[dict[str, Any]]
) -> None:
    found = demo.lists(on_file(engines, "N210440"), jobs=["reseal_sump"])
    (rail,) = found.joints
    lengths = {group.group: length_mm(group) for group in rail.groups}
    assert lengths == {"side": 40, "clip": 40, "front": 40, "rear": 50}


# Story B


def test_the_sump_list_is_certain_once_three_options_are_known(demo: Demo) -> None:
    for answers in sump_answers(demo):
        assert demo.lists(answers, jobs=["reseal_sump"]).certain, answers


def test_the_sump_list_depends_on_each_of_the_three(demo: Demo) -> None:
    lists = [
        (answers, renewed(demo.lists(answers, jobs=["reseal_sump"])))
        for answers in sump_answers(demo)
    ]
    matters = {
        key
        for (a, one), (b, two) in combinations(lists, 2)
        if one != two
        for key in SUMP_OPTIONS
        if all(a[other] == b[other] for other in SUMP_OPTIONS if other != key)
    }
    assert matters == set(SUMP_OPTIONS)


def test_a_boat_is_asked_two_questions_of_eighteen(demo: Demo) -> None:
    found = demo.lists({"use": "boat", "drive": "none"}, jobs=["reseal_sump"])
    assert {question.option for question in found.questions} == {"sump", "pan"}
    assert not found.certain
    answered = demo.lists(
        {"use": "boat", "drive": "none", "sump": "rear", "pan": "cast"},
        jobs=["reseal_sump"],
    )
    assert answered.certain


def test_what_cannot_be_seen_leaves_both_candidates(demo: Demo) -> None:
    answers = {"use": "boat", "drive": "none", "sump": "rear", "pan": {"unseen": True}}
    found = demo.lists(answers, jobs=["reseal_sump"])
    assert not any(question.option == "pan" for question in found.questions)
    (gasket,) = (p for p in found.open if p.place.key == "pan_gasket")
    offered = {part.part for one in gasket.candidates for part in one.parts}
    assert offered == {"W40.1160", "W40.1162"}


def test_a_boat_with_a_front_well_clashes_with_one_rule(demo: Demo) -> None:
    known = demo.known({"use": "boat", "sump": "front"})
    assert not demo.reasoner.consistent(known)
    clash = demo.reasoner.clash(known)
    assert tuple(clash.rules) == ("boat_no_front_sump",)


def test_a_harvester_is_not_asked_about_the_make_of_its_sump(demo: Demo) -> None:
    found = demo.lists({"use": "harvester"}, jobs=["reseal_sump"])
    assert {question.option for question in found.questions} == {"sump"}


# Story C


def test_three_jobs_at_the_front_share_their_strip_down(
    demo: Demo, engines: list[dict[str, Any]]
) -> None:
    answers = on_file(engines, "N210440")
    jobs = ["renew_front_seal", "reseal_front_cover", "renew_damper"]
    together = demo.lists(answers, jobs=jobs)
    alone = [demo.lists(answers, jobs=[job]) for job in jobs]
    minutes = [work_of(found).minutes[0] for found in alone]
    assert max(minutes) <= work_of(together).minutes[0] < sum(minutes) / 2
    for line in together.lines:
        if line.part == "W12.2020":
            assert line.qty == 1


def test_a_damper_is_lifted_with_a_caution_and_its_screws_are_new(
    demo: Demo, engines: list[dict[str, Any]]
) -> None:
    found = demo.lists(on_file(engines, "N210440"), jobs=["renew_damper"])
    assert renewed(found)["W80.1610"] == 4
    heavy = {step.step for step in work_of(found).steps if step.lift_kg}
    assert "radiator_off" in heavy


# Story E


def deeper_cover(demo: Demo) -> Demo:
    """The next revision's cover, its rim 10 mm thicker, and no new screw."""
    first = demo.text.index("  - number: W12.2010")
    last = demo.text.index("  - number: W12.2014")
    covers = demo.text[first:last].replace("rim: {mm: 14,", "rim: {mm: 24,")
    return type(demo)(demo.text[:first] + covers + demo.text[last:])


def test_a_deeper_cover_leaves_two_holes_of_the_front_take_off_without_a_screw(
    demo: Demo,
) -> None:
    revised = deeper_cover(demo)
    plain = revised.lists(
        {"plant": "north", "drive": "none"}, joints=["front_cover_rim"]
    )
    assert plain.faults == ()
    driven = revised.lists(
        {"plant": "north", "pto": "front"}, joints=["front_cover_rim"]
    )
    (fault,) = driven.faults
    assert (fault.code, fault.at) == ("screw_not_listed", "front_cover_rim.steady")
    (short,) = (line for line in driven.lines if line.part is None)
    assert short.qty == 2


# Story F


def test_moving_the_well_changes_what_hangs_in_it_and_nothing_else(
    demo: Demo, engines: list[dict[str, Any]]
) -> None:
    now = on_file(engines, "N205566")
    before = fitted(demo.lists(now, whole=True))
    after = fitted(demo.lists({**now, "sump": "rear"}, whole=True))
    changed = {place for place in before | after if before[place] != after[place]}
    assert changed == {"pan", "pickup", "dipstick", "dipstick_tube"}


def test_a_conversion_leaves_alone_what_comes_with_the_new_assemblies(
    demo: Demo, engines: list[dict[str, Any]]
) -> None:
    now = demo.known(on_file(engines, "N210440"))
    found = convert(
        demo.reasoner, now, demo.known({"output": "kw280", "gears": "heavy"})
    )
    assert isinstance(found, Converted)
    assert found.work is not None
    on = {str(moved.place) for moved in found.on}
    assert {"turbo", "water_pump"} <= on
    assert not {"turbo_cartridge", "water_pump_wheel"} & on
    freed = {
        position
        for step in (*found.work.strip, *found.work.refit)
        for position in demo.compiled.standing.steps[step.step].frees
    }
    assert {"turbo", "water_pump"} <= freed
    assert not {"turbo_cartridge", "water_pump_wheel"} & freed


def fitted(found: Resolved) -> dict[str, set[str | None]]:
    """Parts by position, of the lines that are certain."""
    parts: dict[str, set[str | None]] = {}
    for line in found.lines:
        for place in line.places:
            if place.kind == "position" and line.state == "certain":
                parts.setdefault(place.key, set()).add(line.part)
    return parts


# The rest of the menu


def test_a_main_bearing_waits_only_for_its_journal(
    demo: Demo, engines: list[dict[str, Any]]
) -> None:
    for main, measured in ((2, {"main_size[2]"}), (4, {"main_size[4]", "thrust_size"})):
        found = demo.lists(
            on_file(engines, "N210440"), jobs=[f"renew_main_bearing[{main}]"]
        )
        assert not found.certain
        assert found.certain_but_measured
        assert {one.option for one in found.to_measure} == measured


def test_thrust_washers_sit_at_the_fourth_main_only(demo: Demo) -> None:
    nothing = demo.known({})
    standing = demo.compiled.standing.positions
    there = [
        main
        for main in range(1, 8)
        if demo.reasoner.possible(nothing, [standing[f"thrust_upper[{main}]"].exists])
    ]
    assert there == [4]


@pytest.mark.parametrize("serial", ["N210440", "N215890", "S218003", "N213207"])
def test_every_job_of_a_known_engine_is_certain_but_for_what_is_measured(
    demo: Demo, engines: list[dict[str, Any]], serial: str
) -> None:
    answers = on_file(engines, serial)
    known = demo.known(answers)
    for key, job in demo.compiled.standing.jobs.items():
        if "[" in key and "[4]" not in key:
            continue
        if not demo.reasoner.possible(known, [job.exists]):
            continue
        found = demo.lists(answers, jobs=[key])
        assert found.faults == (), key
        assert found.certain or found.certain_but_measured, key
        assert found.lines, key
        assert work_of(found).optimal, key


def all_jobs(demo: Demo, build: Any) -> Plan:
    """The plan of every job there is on that build, together."""
    jobs = demo.compiled.standing.jobs.items()
    keys = [key for key, job in jobs if build.truth(job.exists)]
    found = plan(demo.compiled, build.truth, keys)
    assert isinstance(found, Plan), found
    return found


def brought(found: Plan) -> set[str]:
    """Places that get a new part, with it or on its own."""
    included = {one.position for one in found.included}
    return included | {one.position for one in found.renewed}


def test_every_gasket_and_seal_is_renewed_by_some_job(
    demo: Demo, a_build_of_each_choice: list[Any]
) -> None:
    sealing = {
        key
        for key, position in demo.compiled.standing.positions.items()
        for one in position.fitments
        if demo.parts[one.fitment.part].kind in {"gasket", "seal", "sealant"}
    }
    done: set[str] = set()
    for build in a_build_of_each_choice:
        done |= brought(all_jobs(demo, build))
    standing = demo.compiled.standing.positions
    for key in sorted(sealing - done):
        # Seals of places that no usual engine has.
        build = demo.reasoner.witness(demo.known({}), [standing[key].exists])
        assert build is not None, key
        done |= brought(all_jobs(demo, build))
    assert sealing <= done, sealing - done
