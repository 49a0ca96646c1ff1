"""The demo family's joints: holes where they can be, and a screw for each."""

from __future__ import annotations

import math
from collections.abc import Iterator
from fractions import Fraction
from itertools import combinations, pairwise
from typing import TYPE_CHECKING, Any

import pytest

from bomsvc.core.catalogue.entities import Group, Joint
from bomsvc.core.fasteners.names import get_class, get_screw_standard
from bomsvc.core.fasteners.threads import get_thread
from bomsvc.core.fasteners.torque import TorqueAsk, estimate_torque
from bomsvc.core.fasteners.values import SizedGroup
from bomsvc.core.resolve.lines import GroupForm

if TYPE_CHECKING:
    from tests.unit.seed.conftest import Demo

Point = tuple[float, float]

# Widest of head and washer face, mm: flange screws ISO 15071 dc, hexagon and
# socket heads below it (FreeCAD_FastenersWB iso15071def.csv and iso4014head.csv;
# M20 from memory).
WIDEST_MM = {"M6": 13.6, "M8": 17.0, "M10": 20.8, "M12": 24.7, "M14": 28.6, "M16": 32.8}
HEX_MM = {"M10": 17.77, "M12": 20.03, "M14": 23.36, "M16": 26.75}


def thread_of(demo: Demo, group: Group) -> str:
    if group.screw is not None:
        return group.screw.thread
    assert group.stud is not None
    (stud,) = {
        demo.parts[f.part].stud.nut_thread  # type: ignore[union-attr]
        for f in demo.catalogue.fitments
        if f.position.code == group.stud.position.code
    }
    return stud


def head_mm(group: Group, thread: str) -> float:
    flange = group.screw is not None and "ISO 15071" in group.screw.standard
    return WIDEST_MM[thread] if flange else HEX_MM.get(thread, WIDEST_MM[thread])


def points_of(joint: Joint) -> list[Point]:
    assert joint.drawing is not None, joint.code
    return [(float(x), float(y)) for x, y in joint.drawing.outline]


def inside(outline: list[Point], x: float, y: float) -> bool:
    """Even-odd rule."""
    within = False
    for (x1, y1), (x2, y2) in pairwise([*outline, outline[0]]):
        if (y1 > y) != (y2 > y) and x < (x2 - x1) * (y - y1) / (y2 - y1) + x1:
            within = not within
    return within


def edge_mm(outline: list[Point], x: float, y: float) -> float:
    def away(a: Point, b: Point) -> float:
        dx, dy = b[0] - a[0], b[1] - a[1]
        along = ((x - a[0]) * dx + (y - a[1]) * dy) / (dx * dx + dy * dy)
        t = max(0.0, min(1.0, along))
        return math.hypot(x - a[0] - t * dx, y - a[1] - t * dy)

    return min(away(a, b) for a, b in pairwise([*outline, outline[0]]))


def placed(demo: Demo, joint: Joint) -> Iterator[tuple[int, Group, Point, float]]:
    for group in joint.groups:
        head = head_mm(group, thread_of(demo, group))
        for hole in group.holes:
            assert hole.x is not None, (joint.code, hole.hole)
            assert hole.y is not None, (joint.code, hole.hole)
            yield hole.hole, group, (float(hole.x), float(hole.y)), head


def test_every_head_lies_inside_its_outline(demo: Demo) -> None:
    for joint in demo.catalogue.joints:
        outline = points_of(joint)
        for hole, _, (x, y), head in placed(demo, joint):
            assert inside(outline, x, y), (joint.code, hole)
            assert edge_mm(outline, x, y) >= head / 2, (joint.code, hole)


def test_no_head_lies_over_an_opening(demo: Demo) -> None:
    for joint in demo.catalogue.joints:
        assert joint.drawing is not None
        for hole, _, (x, y), head in placed(demo, joint):
            for circle in joint.drawing.circles:
                away = math.hypot(x - float(circle.x), y - float(circle.y))
                assert away >= float(circle.d) / 2 + head / 2, (joint.code, hole)


def test_no_two_heads_of_one_engine_overlap(demo: Demo) -> None:
    nothing = demo.known({})
    for key, standing in demo.compiled.standing.joints.items():
        exists = {group.code: group.exists for group in standing.groups}
        holes = list(placed(demo, standing.joint))
        assert len({hole for hole, *_ in holes}) == len(holes), key
        for (a, one, p, d1), (b, two, q, d2) in combinations(holes, 2):
            if math.dist(p, q) >= (d1 + d2) / 2:
                continue
            together = [exists[one.code], exists[two.code]]
            assert not demo.reasoner.possible(nothing, together), (key, a, b)


def test_every_pass_turns_every_hole_of_its_groups(demo: Demo) -> None:
    for joint in demo.catalogue.joints:
        assert joint.tighten is not None, joint.code
        for step in joint.tighten.passes:
            groups = [g for g in joint.groups if g.code in step.groups]
            assert len(groups) == len(joint.groups), joint.code
            holes = sorted(hole.hole for group in groups for hole in group.holes)
            assert sorted(step.order) == holes, joint.code


def test_stated_torques_lie_between_a_quarter_of_the_estimate_and_all_of_it(
    demo: Demo,
) -> None:
    for joint in demo.catalogue.joints:
        assert joint.tighten is not None
        for step in joint.tighten.passes:
            if step.torque_nm is None:
                continue
            for group in joint.groups:
                for limit in estimates(group):
                    assert limit / 4 <= step.torque_nm <= limit, joint.code


def estimates(group: Group) -> Iterator[Any]:
    """The estimate for each standard the group may take, soft layers aside."""
    if group.screw is None:
        return
    for name in group.screw.standard:
        ask = TorqueAsk(
            get_screw_standard(name),
            get_thread(group.screw.thread),
            get_class(group.screw.property_class),
        )
        found = estimate_torque(ask).torque_nm
        assert found is not None
        yield found


def sized_of(group: GroupForm) -> list[SizedGroup]:
    """The figures of every case of the group that is still possible."""
    figures = [group.screw, *(case.figures for case in group.cases)]
    figures += [candidate.screw for candidate in group.candidates]
    return [one for one in figures if one is not None]


@pytest.fixture(scope="session")
def joint_lists(demo: Demo, some_builds: list[Any]) -> list[Any]:
    """All joints of forty builds, sized."""
    every = list(demo.compiled.standing.joints)
    return [
        demo.lists(
            build.answers,
            joints=[
                key
                for key in every
                if build.truth(demo.compiled.standing.joints[key].exists)
            ],
        )
        for build in some_builds[:40]
    ]


def test_every_joint_finds_its_screws(joint_lists: list[Any]) -> None:
    for found in joint_lists:
        assert found.faults == ()


def test_no_joint_needs_a_warning(joint_lists: list[Any]) -> None:
    for found in joint_lists:
        for joint in found.joints:
            for group in joint.groups:
                for sized in sized_of(group):
                    assert sized.findings == (), (joint.joint, sized.findings)


def test_the_front_cover_takes_three_lengths_or_more(joint_lists: list[Any]) -> None:
    for found in joint_lists:
        (cover,) = (j for j in found.joints if j.joint == "front_cover_rim")
        chosen = [one.chosen for group in cover.groups for one in sized_of(group)]
        lengths = {screw.length_mm for screw in chosen if screw is not None}
        assert len(lengths) >= 3


def test_an_adapter_in_the_stack_makes_two_screws_longer(demo: Demo) -> None:
    def steady(drive: str) -> Fraction:
        answers = {"plant": "north", "drive": drive, "pto": "none"}
        found = demo.lists(answers, joints=["front_cover_rim"])
        (group,) = (g for g in found.joints[0].groups if g.group == "steady")
        (sized,) = sized_of(group)
        assert sized.chosen is not None
        return sized.chosen.length_mm

    assert steady("plate") - steady("none") == 20


def test_a_hole_into_coolant_or_oil_is_sealed(demo: Demo) -> None:
    """A clean dry thread there would weep."""
    for joint in demo.catalogue.joints:
        for group in joint.groups:
            if group.into.position is None or group.into.hole is None:
                continue
            for fitment in demo.catalogue.fitments:
                if fitment.position.code != group.into.position.code:
                    continue
                hole = demo.parts[fitment.part].holes.get(group.into.hole)
                if hole is not None and hole.breaks_into in {"coolant", "oil"}:
                    assert group.threads == "sealant", (joint.code, group.code)
