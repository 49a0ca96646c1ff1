"""Arrangements that are rare on an engine and must come out right all the same."""

from __future__ import annotations

import pytest

from bomsvc.core.resolve.lines import Reason
from tests.unit.resolve.workbench import (
    engine,
    fitment,
    listed,
    part,
    position,
    taken,
)

BLOCK = part(
    "B",
    "holes: {h: {thread: M8, form: blind, threaded_mm: 30, drilled_mm: 40, "
    "material: steel}}",
)
SCREWS = [
    part(
        f"S{length}",
        "kind: screw, screw: {standard: ISO 4762, thread: M8, "
        f'length_mm: {length}, property_class: "8.8"}}',
    )
    for length in (25, 30, 35, 40, 45)
]
WANTED = 'screw: {standard: [ISO 4762], thread: M8, property_class: "8.8"}'


def covered(thickness: str, more: str = "") -> str:
    tail = f", {more}" if more else ""
    return part(f"C{thickness}", f"pads: {{p: {{mm: {thickness}}}}}{tail}")


def test_an_inclusion_reaches_through_what_is_included() -> None:
    bench = engine(
        positions=[position("a"), position("b"), position("c")],
        parts=[part("A", "includes: [b]"), part("B", "includes: [c]"), part("C")],
        fitments=[fitment("a", "A"), fitment("b", "B"), fitment("c", "C")],
    )
    assert taken(listed(bench, whole=True)) == {"a": ("A", 1, "renew")}
    # B is not asked for, but A brings it, and C with it.
    assert taken(listed(bench, positions=["a", "c"])) == {"a": ("A", 1, "renew")}
    assert taken(listed(bench, positions=["b", "c"])) == {"b": ("B", 1, "renew")}


def test_of_two_parts_that_include_each_other_the_first_is_listed() -> None:
    bench = engine(
        positions=[position("a"), position("b"), position("c")],
        parts=[part("A", "includes: [b]"), part("B", "includes: [c]"),
               part("C", "includes: [a]")],
        fitments=[fitment("a", "A"), fitment("b", "B"), fitment("c", "C")],
    )  # fmt: skip
    assert taken(listed(bench, whole=True)) == {"a": ("A", 1, "renew")}


def test_an_inclusion_that_depends_on_an_open_option_leaves_the_place_open() -> None:
    bench = engine(
        positions=[position("a"), position("b")],
        parts=[part("A", "includes: [b]"), part("X"), part("B")],
        fitments=[
            fitment("a", "A", "when: kind = rich"),
            fitment("a", "X", "when: kind = plain"),
            fitment("b", "B"),
        ],
    )
    found = listed(bench, whole=True)
    assert {str(one.place): one.decided_by for one in found.open} == {
        "a": ("kind",),
        "b": ("kind",),
    }
    assert taken(listed(bench, {"kind": "rich"}, whole=True)) == {
        "a": ("A", 1, "renew")
    }


def test_one_part_from_two_fitments_of_a_pack_adds_up() -> None:
    bench = engine(
        positions=[position("pack", "fill: several")],
        parts=[part("T", "kind: shim")],
        fitments=[
            fitment("pack", "T", "qty: 2"),
            fitment("pack", "T", "qty: 3, when: kind = rich"),
        ],
    )
    assert taken(listed(bench, {"kind": "rich"}, whole=True)) == {
        "pack": ("T", 5, "renew")
    }
    found = listed(bench, whole=True)
    (line,) = [one for one in found.lines if one.qty == 5]
    assert [reason.when for reason in line.why] == ["always", "kind = rich"]


def joint_of(layers: str, more: str = "") -> str:
    return (
        "{code: j, label: Joint, seals: [], "
        f"{WANTED}, into: {{position: block, hole: h}}{more}, "
        "groups: [{code: g, holes: [{hole: 1}, {hole: 2}], "
        f"layers: [{layers}]}}]}}"
    )


def test_members_with_different_stacks_share_a_line_and_say_which_is_which() -> None:
    bench = engine(
        positions=[position("block"), position("cap", "each: main")],
        parts=[BLOCK, covered("10"), covered("11"), *SCREWS],
        fitments=[
            fitment("block", "B"),
            fitment("cap", "C10", "when: main != 2"),
            fitment("cap", "C11", "when: main = 2"),
        ],
        joints=[joint_of("{position: cap, pad: p}", ", each: main")],
    )
    found = listed(bench, joints=["j"])
    (line,) = [one for one in found.lines if one.places[0].kind == "joint"]
    assert line.qty == 6
    assert [case.when for case in line.cases] == ["main = 1 or main = 3", "main = 2"]
    assert [int(case.figures.clamp_mm[0]) for case in line.cases] == [10, 11]


def test_loosening_a_group_takes_its_screws_out_and_leaves_the_seal() -> None:
    bench = engine(
        positions=[position("block"), position("lug"), position("seal")],
        parts=[BLOCK, covered("10"), *SCREWS, part("G", "kind: seal")],
        fitments=[fitment("block", "B"), fitment("lug", "C10"), fitment("seal", "G")],
        joints=[
            joint_of("{position: lug, pad: p}").replace("seals: []", "seals: [seal]")
        ],
        steps=["{code: lug_off, label: Lug off, frees: [lug], loosens: [j.g]}"],
        jobs=["{code: lug_job, label: Lug, renew: [lug]}"],
    )
    found = listed(bench, jobs=["lug_job"])
    assert taken(found) == {"lug": ("C10", 1, "renew"), "j.g": ("S25", 2, "check")}
    (line,) = [one for one in found.lines if one.need == "check"]
    assert line.why == (Reason(joint="j", group="g", loosened_by="lug_off"),)


def test_washers_shared_by_two_joints_are_renewed_where_the_joint_was_opened() -> None:
    washer = part("W", "kind: washer, reuse: single, pads: {f: {mm: 1}}")
    layers = "{position: washer, pad: f, per: hole}, {position: lid, pad: p}"
    bench = engine(
        positions=[position("block"), position("lid"), position("washer")],
        parts=[BLOCK, covered("10"), washer, *SCREWS],
        fitments=[fitment("block", "B"), fitment("lid", "C10"), fitment("washer", "W")],
        joints=[joint_of(layers), joint_of(layers).replace("code: j,", "code: k,")],
        steps=["{code: open_j, label: Open j, opens: [j]}"],
        jobs=["{code: j_job, label: Reseal j, reseal: [j]}"],
    )
    assert taken(listed(bench, jobs=["j_job"]))["washer"] == ("W", 2, "renew")
    assert taken(listed(bench, positions=["washer"]))["washer"] == ("W", 4, "renew")
    assert taken(listed(bench, joints=["k"]))["washer"] == ("W", 2, "renew")


def test_two_washers_under_each_head_are_two_for_each_hole() -> None:
    washer = part("W", "kind: washer, pads: {f: {mm: 1}}")
    twice = "{position: washer, pad: f, per: hole}"
    bench = engine(
        positions=[position("block"), position("lid"), position("washer")],
        parts=[BLOCK, covered("10"), washer, *SCREWS],
        fitments=[fitment("block", "B"), fitment("lid", "C10"), fitment("washer", "W")],
        joints=[joint_of(f"{twice}, {twice}, {{position: lid, pad: p}}")],
    )
    assert taken(listed(bench, whole=True))["washer"] == ("W", 4, "renew")


def test_shims_counted_by_quantity_thicken_the_stack() -> None:
    shims = part("T", "kind: shim, pads: {p: {mm: 1, tol: 0.02}}")
    bench = engine(
        positions=[
            position("block"),
            position("lid"),
            position("pack", "fill: several"),
        ],
        parts=[BLOCK, covered("10"), shims, *SCREWS],
        fitments=[
            fitment("block", "B"),
            fitment("lid", "C10"),
            fitment("pack", "T", "qty: 5"),
        ],
        joints=[
            joint_of("{position: lid, pad: p}, {position: pack, pad: p, count: qty}")
        ],
    )
    (joint,) = listed(bench, joints=["j"]).joints
    (group,) = joint.groups
    assert group.screw is not None
    assert [float(mm) for mm in group.screw.clamp_mm] == [15.0, 14.9, 15.1]


def test_a_stated_screw_is_the_line_even_where_it_fails() -> None:
    stated = joint_of("{position: lid, pad: p}").replace(
        "groups: [{code: g,", "groups: [{code: g, stated: [{part: S25}],"
    )
    bench = engine(
        positions=[position("block"), position("lid")],
        parts=[BLOCK, covered("20"), *SCREWS],
        fitments=[fitment("block", "B"), fitment("lid", "C20")],
        joints=[stated],
    )
    found = listed(bench, joints=["j"])
    assert taken(found)["j.g"] == ("S25", 2, "renew")
    assert [fault.code for fault in found.faults] == ["screw_stated_fails"]


def test_a_build_for_which_no_screw_is_stated_is_a_fault_with_its_line() -> None:
    stated = (
        joint_of("{position: lid, pad: p}")
        .replace(f"{WANTED}, ", "")
        .replace("[{code: g,", "[{code: g, stated: [{part: S25, when: kind = rich}],")
    )
    bench = engine(
        positions=[position("block"), position("lid")],
        parts=[BLOCK, covered("10"), *SCREWS],
        fitments=[fitment("block", "B"), fitment("lid", "C10")],
        joints=[stated],
    )
    assert taken(listed(bench, {"kind": "rich"}, joints=["j"]))["j.g"][0] == "S25"
    found = listed(bench, joints=["j"])
    (fault,) = found.faults
    assert (fault.code, fault.at) == ("screw_none_fits", "j.g")
    assert fault.when == "kind != rich"
    assert {line.wanted for line in found.lines} == {
        None,
        "a screw that the catalogue does not state",
    }


def test_a_sheet_says_until_when_a_screw_may_be_used_again() -> None:
    limited = SCREWS[0].replace(
        "kind: screw,",
        "kind: screw, reuse: {max_length_mm: 25.3, max_uses: 2, inspect: the thread},",
    )
    bench = engine(
        positions=[position("block"), position("lid")],
        parts=[BLOCK, covered("10"), limited],
        fitments=[fitment("block", "B"), fitment("lid", "C10")],
        joints=[joint_of("{position: lid, pad: p}")],
    )
    (joint,) = listed(bench, joints=["j"]).joints
    assert joint.sheet is not None
    assert joint.sheet.rows[0].reuse == (
        "May go in again if no longer than 25.3 mm, used at most 2 times, inspected "
        "the thread."
    )
    # Holes without coordinates cannot be drawn, only listed.
    assert joint.svg is None or "1" in joint.svg


@pytest.mark.parametrize(
    ("kind", "missing"),
    [("nut", "no nut with its data"), ("stud", "no stud with its data")],
)
def test_studs_and_nuts_without_their_figures_are_faults(
    kind: str, missing: str
) -> None:
    figures = {
        "nut": "nut: {standard: ISO 4032, thread: M8}",
        "stud": 'stud: {hole_thread: M8, nut_thread: M8, property_class: "8.8", '
        "length_mm: 45, set_mm: 20}",
    }
    figures[kind] = "kind: component"
    joint = (
        joint_of("{position: lid, pad: p}")
        .replace(f"{WANTED}, ", "")
        .replace("hole: h}", "hole: h, nut: nuts}")
        .replace("[{code: g,", "[{code: g, stud: {position: studs},")
    )
    bench = engine(
        positions=[position(code) for code in ("block", "lid", "nuts", "studs")],
        parts=[BLOCK, covered("10"), part("N", figures["nut"]),
               part("D", figures["stud"])],
        fitments=[fitment("block", "B"), fitment("lid", "C10"), fitment("nuts", "N"),
                  fitment("studs", "D")],
        joints=[joint],
    )  # fmt: skip
    found = listed(bench, joints=["j"])
    assert missing in found.faults[0].detail
    # Studs that do not stay are taken, as many as there are holes.
    assert taken(found)["studs"] == ("D", 2, "renew")


def test_steps_that_wait_on_one_another_are_named() -> None:
    bench = engine(
        positions=[position("a"), position("b")],
        parts=[part("A"), part("B")],
        fitments=[fitment("a", "A"), fitment("b", "B")],
        steps=[
            "{code: a_off, label: A off, frees: [a], needs: [b]}",
            "{code: b_off, label: B off, frees: [b], needs: [a]}",
        ],
        jobs=["{code: job, label: Job, renew: [a], check: [b]}"],
    )
    found = listed(bench, jobs=["job"])
    (fault,) = found.faults
    assert fault.code == "needs_cycle"
    assert "wait on one another" in fault.detail
    # Without a way in the list still has what the job itself names.
    assert taken(found) == {"a": ("A", 1, "renew"), "b": ("B", 1, "check")}


def test_a_joint_that_nothing_opens_is_a_fault_and_its_seals_are_listed() -> None:
    bench = engine(
        positions=[position("block"), position("lid"), position("seal")],
        parts=[BLOCK, covered("10"), *SCREWS, part("G", "kind: seal")],
        fitments=[fitment("block", "B"), fitment("lid", "C10"), fitment("seal", "G")],
        joints=[
            joint_of("{position: lid, pad: p}").replace("seals: []", "seals: [seal]")
        ],
        jobs=["{code: job, label: Job, reseal: [j]}"],
    )
    found = listed(bench, jobs=["job"])
    assert [fault.code for fault in found.faults] == ["joint_never_opened"]
    assert found.faults[0].detail == (
        "No step of this engine opens j; it is wanted by job."
    )
    assert taken(found) == {"seal": ("G", 1, "renew"), "j.g": ("S25", 2, "check")}


def test_a_part_that_goes_back_says_until_when_it_may() -> None:
    bench = engine(
        positions=[position("a"), position("b")],
        parts=[part("A", "reuse: {max_uses: 3}, hand: mark up"), part("B")],
        fitments=[fitment("a", "A", "when: kind = rich"), fitment("b", "B")],
        steps=["{code: lift, label: Lift, frees: [a, b]}"],
        jobs=["{code: job, label: Job, renew: [b]}"],
    )
    found = listed(bench, jobs=["job"])
    assert found.work is not None
    assert [(s.position, s.text, s.state) for s in found.work.stays] == [
        ("a", "mark up", "open"),
        ("a", "May go in again if used at most 3 times.", "open"),
    ]


def test_a_serial_number_that_decides_is_given_as_the_reason() -> None:
    bench = engine(
        positions=[position("a")],
        parts=[part("A"), part("B")],
        fitments=[
            fitment("a", "A", "when: serial < 500 and not kind = rich or kind = rich"),
            fitment("a", "B", "when: serial >= 500 and kind = plain"),
        ],
    )
    (line,) = listed(bench, {"serial": 600, "kind": "plain"}, whole=True).lines
    assert line.part == "B"
    assert set(line.why[0].given or ()) == {"kind", "serial"}
