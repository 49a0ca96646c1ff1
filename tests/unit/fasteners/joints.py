"""Joints that the tests of the joint sheet share."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from typing import Any
from xml.etree.ElementTree import Element

from defusedxml.ElementTree import fromstring

from bomsvc.core.fasteners import size_joint
from bomsvc.core.fasteners.sheet import (
    HoleSpot,
    JointSheet,
    SheetAsk,
    SheetGroup,
    TighteningPass,
    joint_sheet,
)
from bomsvc.core.fasteners.values import (
    BlindHole,
    GroupStack,
    Layer,
    NutSide,
    Screw,
    Shelf,
    Stud,
    StudInto,
    TappedThrough,
    Wanted,
)

F = Fraction
SVG = "{http://www.w3.org/2000/svg}"
HOLE = BlindHole("M10", "grey_iron", threaded_mm=F(26), entry_mm=F(1))
PAN = Layer("pan flange", F(14), F("0.2"), F("0.2"))
GASKET = Layer("gasket", F("0.8"), F("0.1"), F("0.1"), soft=True)
ADAPTER = Layer("adapter plate", F(20), F("0.1"), F("0.1"))
FLANGE = Wanted(("ISO 15071",), "M10", "10.9")
SHELF = Shelf(
    [Screw(f"W40.2{mm:03d}", "ISO 15071", "M10", F(mm), "10.9")
     for mm in (35, 40, 45, 50, 55, 60)]
)  # fmt: skip
NUT = NutSide(F("8.4"), minus=F("0.36"), thread="M10x1.25")
RAIL = GroupStack("a", HOLE, (PAN, GASKET), FLANGE, hole_count=3, shelf=SHELF)
REAR = GroupStack(
    "b", replace(HOLE, breaks_into="oil"), (PAN, GASKET, ADAPTER), FLANGE, shelf=SHELF
)
STUDS = GroupStack(
    "c",
    StudInto(
        HOLE, NUT, Stud("T1", "M10", "M10x1.25", "10.9", F(70), set_mm=F(22))
    ),
    (PAN,),
)  # fmt: skip
THROUGH = GroupStack(
    "d",
    TappedThrough("M8", "steel", F(14), exit_mm=F(1)),
    (PAN,),
    Wanted(("ISO 4762",), "M8", "8.8"),
    hole_count=2,
)
BOLT = GroupStack("e", NUT, (PAN,), Wanted(("ISO 8676",), "M10x1.25", "10.9"))
NOTHING = GroupStack(
    "f", replace(HOLE, threaded_mm=F(9)), (PAN,), Wanted(("ISO 4017",), "M10", "8.8")
)


def spots(*points: tuple[int, int], first: int = 1) -> tuple[HoleSpot, ...]:
    return tuple(
        HoleSpot(number, (F(x), F(y))) for number, (x, y) in enumerate(points, first)
    )


def ask_for(*stacks: GroupStack, **rest: Any) -> SheetAsk:
    sized = size_joint(stacks)
    groups, number = [], 1
    for row, (stack, one) in enumerate(zip(stacks, sized, strict=True)):
        points = [(60 * k, 40 * row) for k in range(stack.hole_count)]
        groups.append(SheetGroup(stack, one, spots(*points, first=number)))
        number += stack.hole_count
    return SheetAsk("rail", "Pan rail", tuple(groups), **rest)


def sheet_of(*stacks: GroupStack, **rest: Any) -> JointSheet:
    return joint_sheet(ask_for(*stacks, **rest))


def parsed(svg: str | None) -> Element:
    assert svg is not None
    return fromstring(svg)  # type: ignore[no-any-return]


def said_in(svg: str | None) -> list[str]:
    return [element.text or "" for element in parsed(svg).iter(f"{SVG}text")]


def every_svg(sheet: JointSheet) -> list[str]:
    return [*([sheet.map_svg] if sheet.map_svg else []), *sheet.stack_svgs]


ALL = RAIL, REAR, STUDS, THROUGH, BOLT, NOTHING


PASSES = (
    TighteningPass(("a", "b"), (2, 3, 1, 4), F(20)),
    TighteningPass(("a",), torque_nm=F(90)),
    TighteningPass((), angle_deg=F(90)),
    TighteningPass(("a",), loosen_deg=F(180)),
    TighteningPass(("zz",), stretch_mm=F("0.15")),
    TighteningPass(("b",)),
)


OUTLINE = ((F(-10), F(-10)), (F(130), F(-10)), (F(130), F(50)), (F(-10), F(50)))
