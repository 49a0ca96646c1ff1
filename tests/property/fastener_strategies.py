"""Joints as hypothesis draws them, and the same ones for the slow second reading."""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from dataclasses import replace
from fractions import Fraction

from hypothesis import strategies as st

from bomsvc.core.fasteners.names import get_screw_standard
from bomsvc.core.fasteners.threads import get_thread
from bomsvc.core.fasteners.values import (
    BlindHole,
    GroupStack,
    Into,
    Layer,
    Material,
    NutSide,
    Screw,
    Shelf,
    TappedThrough,
    Wanted,
)
from tests.oracle import screws as oracle
from tests.oracle.screw_tables import RANGES

F = Fraction
THREADS = ("M6", "M8", "M10", "M12", "M16")
CLASSES = ("8.8", "10.9", "12.9")
STANDARDS = ("ISO 4014", "ISO 4017", "ISO 4762")
MATERIALS: tuple[Material, ...] = ("steel", "grey_iron", "ductile_iron", "aluminium")


def hundredths(low: int, high: int) -> st.SearchStrategy[Fraction]:
    return st.integers(low * 100, high * 100).map(lambda n: F(n, 100))


layers = st.lists(
    st.builds(
        Layer,
        name=st.just("layer"),
        mm=hundredths(2, 25),
        plus=hundredths(0, 1).map(lambda x: x / 4),
        minus=hundredths(0, 1).map(lambda x: x / 4),
    ),
    min_size=1,
    max_size=4,
).map(tuple)


@st.composite
def holes(draw: st.DrawFn, thread: str) -> Into:
    d = int(get_thread(thread).d_mm)
    material = draw(st.sampled_from(MATERIALS))
    entry, tol = draw(hundredths(0, 2)), draw(hundredths(0, 1)) / 2
    tol = min(tol, entry)
    kind = draw(st.sampled_from(("blind", "blind", "drilled", "through", "nut")))
    if kind == "nut":
        height = draw(hundredths(d - 2, d + 2))
        return NutSide(height, minus=F(1, 4))
    if kind == "through":
        return TappedThrough(
            thread,
            material,
            draw(hundredths(d, 4 * d)),
            F(1, 5),
            F(1, 5),
            entry_mm=entry,
            entry_plus=tol,
            entry_minus=tol,
            exit_mm=draw(hundredths(0, 1)),
        )
    depth = draw(hundredths(d, 4 * d))
    return BlindHole(
        thread,
        material,
        threaded_mm=depth if kind == "blind" else None,
        drilled_mm=depth + 10 if kind == "drilled" else None,
        entry_mm=entry,
        entry_plus=tol,
        entry_minus=tol,
    )


@st.composite
def stacks(
    draw: st.DrawFn, thread: str, wanted_class: str, shelf: Shelf | None = None
) -> GroupStack:
    standards = draw(st.permutations(STANDARDS))[: draw(st.integers(1, 3))]
    return GroupStack(
        code=draw(st.uuids()).hex,
        into=draw(holes(thread)),
        layers=draw(layers),
        wanted=Wanted(tuple(standards), thread, wanted_class),
        shelf=shelf,
        engagement_mm=draw(st.none() | hundredths(4, 20)),
        protrusion_mm=draw(st.none() | hundredths(2, 15)),
    )


@st.composite
def kinds(draw: st.DrawFn) -> tuple[str, str]:
    return draw(st.sampled_from(THREADS)), draw(st.sampled_from(CLASSES))


@st.composite
def one_group(draw: st.DrawFn) -> GroupStack:
    return draw(stacks(*draw(kinds())))


shelf_lengths = st.sets(
    st.sampled_from([16, 20, 25, 30, 35, 40, 45, 50, 55, 60, 65, 70, 75, 80]),
    min_size=1,
    max_size=7,
)


@st.composite
def joints(draw: st.DrawFn) -> list[GroupStack]:
    kind = draw(kinds())
    thread, wanted_class = kind
    shelf = Shelf(
        [
            Screw(
                f"S{number}",
                standard,
                thread,
                F(length),
                wanted_class,
                preferred=draw(st.booleans()),
            )
            for number, (standard, length) in enumerate(
                itertools.product(
                    sorted(draw(st.sets(st.sampled_from(STANDARDS), min_size=1))),
                    sorted(draw(shelf_lengths)),
                )
            )
            if F(length) in get_screw_standard(standard).series(thread)
        ]
    )
    groups = draw(st.lists(stacks(*kind, shelf), min_size=1, max_size=4))
    if draw(st.booleans()):
        stated = Screw(
            "STATED",
            draw(st.sampled_from(STANDARDS)),
            thread,
            F(draw(st.sampled_from([20, 30, 40, 50, 60]))),
            wanted_class,
        )
        groups[0] = replace(groups[0], stated=(stated,))
    return groups


def as_oracle(group: GroupStack) -> oracle.Stack:
    assert group.wanted is not None
    nominal = sum((x.mm for x in group.layers), F(0))
    into: oracle.Hole | oracle.NutSide
    if isinstance(group.into, NutSide):
        nut = group.into
        into = oracle.NutSide(nut.height_mm - nut.minus, nut.height_mm + nut.plus)
    else:
        assert isinstance(group.into, BlindHole | TappedThrough)
        hole = group.into
        blind = isinstance(hole, BlindHole)
        into = oracle.Hole(
            hole.thread,
            hole.material,
            hole.strength_mpa,
            hole.threaded_mm if isinstance(hole, BlindHole) else None,
            hole.drilled_mm if isinstance(hole, BlindHole) else None,
            hole.entry_mm,
            hole.entry_plus,
            None if blind else hole.thickness_mm,  # type: ignore[union-attr]
            F(0) if blind else hole.thickness_plus,  # type: ignore[union-attr]
            F(0) if blind else hole.exit_mm,  # type: ignore[union-attr]
        )
    stated = oracle_screw(group.stated[0]) if group.stated else None
    return oracle.Stack(
        group.code,
        nominal - sum((x.minus for x in group.layers), F(0)),
        nominal + sum((x.plus for x in group.layers), F(0)),
        into,
        group.wanted.standards,
        group.wanted.thread,
        group.wanted.property_class,
        group.engagement_mm,
        group.protrusion_mm,
        stated,
    )


def oracle_screw(screw: Screw) -> oracle.Screw:
    return oracle.Screw(
        screw.part,
        screw.standard,
        screw.thread,
        int(screw.length_mm),
        screw.property_class,
        preferred=screw.preferred,
    )


def is_common_ground(groups: Sequence[GroupStack]) -> bool:
    """Both readings cover lengths within product grade A and the standards' rows."""
    return all(
        (standard, group.wanted.thread) in RANGES
        for group in groups
        if group.wanted
        for standard in group.wanted.standards
    )
