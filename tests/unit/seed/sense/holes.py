"""Holes of the joints: where metal is, apart, named once, and all tightened."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterator
from itertools import combinations, pairwise

from bomsvc.core.catalogue.entities import Group, Joint
from bomsvc.core.fasteners.threads import get_thread
from bomsvc.core.logic.known import NOTHING
from bomsvc.core.logic.standing import StandingJoint
from tests.unit.seed.sense.engine import Engine

EDGE_D = 1.0
"""Least distance from hole centre to the edge, in diameters: common practice, no
source; with less the casting breaks out."""
APART_D = 2.0
"""Least distance between hole centres, in diameters: common practice, no source;
with less no socket goes over the heads."""

Point = tuple[float, float]
Diameters = dict[tuple[str, str], float]


def holes_outside_the_metal(engine: Engine) -> list[str]:
    d_mm = diameters_mm(engine)
    joints = engine.catalogue.joints
    return [text for joint in joints for text in _outside(joint, d_mm)]


def _outside(joint: Joint, d_mm: Diameters) -> Iterator[str]:
    drawn = joint.drawing.outline if joint.drawing else ()
    outline = [(float(x), float(y)) for x, y in drawn]
    for group, hole, spot in spots(joint):
        place = f"{joint.code}: hole {hole}"
        if spot is None:
            yield f"{place} has no coordinates"
            continue
        d = d_mm[joint.code, group.code]
        if not outline or not inside(outline, spot):
            yield f"{place} lies outside the outline"
        elif to_edge_mm(outline, spot) < EDGE_D * d:
            yield f"{place} is nearer than {EDGE_D} d to the edge"
        for circle in joint.drawing.circles if joint.drawing else ():
            away = math.dist(spot, (float(circle.x), float(circle.y)))
            if away - float(circle.d) / 2 < EDGE_D * d:
                yield f"{place} breaks into the opening of {circle.d} mm"


def spots(joint: Joint) -> Iterator[tuple[Group, int, Point | None]]:
    for group in joint.groups:
        for hole in group.holes:
            there = hole.x is not None and hole.y is not None
            spot = (float(hole.x or 0), float(hole.y or 0)) if there else None
            yield group, hole.hole, spot


def diameters_mm(engine: Engine) -> Diameters:
    """The diameter of what goes into each group's holes."""
    return {
        (case.joint.code, case.group.code): float(get_thread(chosen.thread).d_mm)
        for case in engine.cases
        if (chosen := case.sized.chosen) is not None
    }


def inside(outline: list[Point], spot: Point) -> bool:
    """Even-odd rule."""
    x, y = spot
    within = False
    for (x1, y1), (x2, y2) in pairwise([*outline, outline[0]]):
        if (y1 > y) != (y2 > y) and x < (x2 - x1) * (y - y1) / (y2 - y1) + x1:
            within = not within
    return within


def to_edge_mm(outline: list[Point], spot: Point) -> float:
    return min(_away(a, b, spot) for a, b in pairwise([*outline, outline[0]]))


def _away(a: Point, b: Point, spot: Point) -> float:
    dx, dy = b[0] - a[0], b[1] - a[1]
    along = (spot[0] - a[0]) * dx + (spot[1] - a[1]) * dy
    t = max(0.0, min(1.0, along / (dx * dx + dy * dy)))
    return math.hypot(spot[0] - a[0] - t * dx, spot[1] - a[1] - t * dy)


def holes_too_near_one_another(engine: Engine) -> list[str]:
    d_mm = diameters_mm(engine)
    joints = engine.compiled.standing.joints.values()
    return [text for joint in joints for text in _too_near(engine, joint, d_mm)]


def _too_near(
    engine: Engine, standing: StandingJoint, d_mm: Diameters
) -> Iterator[str]:
    joint = standing.joint
    exists = {group.code: group.exists for group in standing.groups}
    for (one, a, p), (two, b, q) in combinations(spots(joint), 2):
        if p is None or q is None:
            continue
        widest = max(d_mm[joint.code, one.code], d_mm[joint.code, two.code])
        least = APART_D * widest
        if math.dist(p, q) >= least:
            continue
        both = [exists[one.code], exists[two.code]]
        if engine.reasoner.possible(NOTHING, both):
            yield f"{standing.key}: holes {a} and {b} are nearer than {APART_D} d"


def holes_of_one_name(engine: Engine) -> list[str]:
    return [
        f"{joint.code}: {count} holes are named {hole}"
        for joint in engine.catalogue.joints
        for hole, count in Counter(hole for _, hole, _ in spots(joint)).items()
        if count > 1
    ]


def holes_left_out_of_an_order(engine: Engine) -> list[str]:
    return [text for joint in engine.catalogue.joints for text in _orders(joint)]


def _orders(joint: Joint) -> Iterator[str]:
    every = sorted(hole for _, hole, _ in spots(joint))
    if joint.tighten is None or not joint.tighten.passes:
        yield f"{joint.code}: no tightening is stated"
        return
    turned: set[int] = set()
    for number, one in enumerate(joint.tighten.passes, start=1):
        asked = one.groups or tuple(group.code for group in joint.groups)
        due = sorted(hole for g, hole, _ in spots(joint) if g.code in asked)
        if sorted(one.order) != due:
            yield f"{joint.code}: pass {number} does not name each of its holes once"
        turned |= set(one.order)
    if turned != set(every):
        yield f"{joint.code}: holes {sorted(set(every) - turned)} are never tightened"
    loosened = joint.tighten.loosen_order
    if loosened and sorted(loosened) != every:
        yield f"{joint.code}: the loosening order does not name each hole once"
