"""What holds for every joint: bounds, fewest lengths, thicker stacks, inch and mm.

The slow second reading of `tests.oracle.screws` stands beside the sizing.
"""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from dataclasses import replace
from fractions import Fraction

from hypothesis import assume, given, settings
from hypothesis import strategies as st

from bomsvc.core.fasteners import size_joint
from bomsvc.core.fasteners.cover import fewest_lengths
from bomsvc.core.fasteners.kinds import INCH
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
from bomsvc.service.replies.size import size_reply
from bomsvc.service.sizing import size
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


def _as_oracle(group: GroupStack) -> oracle.Stack:
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
    stated = _oracle_screw(group.stated[0]) if group.stated else None
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


def _oracle_screw(screw: Screw) -> oracle.Screw:
    return oracle.Screw(
        screw.part,
        screw.standard,
        screw.thread,
        int(screw.length_mm),
        screw.property_class,
        preferred=screw.preferred,
    )


def _is_common_ground(groups: Sequence[GroupStack]) -> bool:
    """Both readings cover lengths within product grade A and the standards' rows."""
    return all(
        (standard, group.wanted.thread) in RANGES
        for group in groups
        if group.wanted
        for standard in group.wanted.standards
    )


@settings(max_examples=300, deadline=None)
@given(joints())
def test_a_joint_gets_the_same_screws_as_by_trying_everything(
    groups: list[GroupStack],
) -> None:
    assume(_is_common_ground(groups))
    assert groups[0].shelf is not None
    offered = [_oracle_screw(s) for s in groups[0].shelf.screws]
    expected = oracle.size_joint([_as_oracle(g) for g in groups], offered)
    for sized in size_joint(groups):
        slow = expected[sized.code]
        if slow.screw is None:
            assert sized.chosen is None
            continue
        assert sized.chosen is not None
        assert sized.chosen.length_mm == slow.screw.length
        assert sized.chosen.standard == slow.screw.standard
        assert sized.chosen.part == slow.screw.part
        if not slow.fixed:
            assert sized.margins is not None
            assert slow.margins is not None
            assert sized.margins.short == slow.margins.short or isinstance(
                _group(groups, sized.code).into, NutSide
            )
            assert sized.margins.over == slow.margins.over


def _group(groups: Sequence[GroupStack], code: str) -> GroupStack:
    return next(g for g in groups if g.code == code)


@settings(max_examples=200, deadline=None)
@given(one_group())
def test_the_chosen_screw_meets_every_bound_and_the_next_shorter_fails_one(
    group: GroupStack,
) -> None:
    sized = size_joint([group])[0]
    if sized.chosen is None:
        assert sized.failure is not None
        return
    margins = sized.margins
    assert margins is not None
    assert margins.least() >= 0
    shorter = [r for r in sized.rejected if r.length_mm < sized.chosen.length_mm]
    series = get_screw_standard(sized.chosen.standard).series(group.wanted.thread)  # type: ignore[union-attr]
    if sized.chosen.length_mm > series[0]:
        assert shorter[-1].length_mm == series[series.index(sized.chosen.length_mm) - 1]
        assert shorter[-1].misses


@settings(max_examples=200, deadline=None)
@given(one_group(), hundredths(0, 6))
def test_a_thicker_stack_never_gets_a_shorter_screw(
    group: GroupStack, more: Fraction
) -> None:
    thicker = replace(group, layers=(*group.layers, Layer("more", more)))
    before, after = size_joint([group])[0], size_joint([thicker])[0]
    if before.chosen is not None and after.chosen is not None:
        assert after.chosen.length_mm >= before.chosen.length_mm


@settings(max_examples=100, deadline=None)
@given(one_group(), hundredths(0, 3))
def test_a_wider_tolerance_never_leaves_more_room(
    group: GroupStack, more: Fraction
) -> None:
    first, *rest = group.layers
    looser = replace(first, plus=first.plus + more, minus=first.minus)
    wide = replace(group, layers=(looser, *rest))
    before, after = size_joint([group])[0], size_joint([wide])[0]
    if before.chosen is None:
        return
    if after.chosen is not None and after.chosen == before.chosen:
        assert after.margins is not None
        assert before.margins is not None
        assert after.margins.short <= before.margins.short


@settings(max_examples=100, deadline=None)
@given(joints(), st.randoms(use_true_random=False))
def test_the_same_joint_gives_the_same_answer_every_time(
    groups: list[GroupStack], random: object
) -> None:
    again = [replace(g, shelf=Shelf(g.shelf.screws[::-1]) if g.shelf else None)
             for g in groups]  # fmt: skip
    assert size_joint(groups) == size_joint(groups)
    assert size_joint(again) == size_joint(groups)


lengths = st.sets(st.integers(1, 9), min_size=1, max_size=5)


@settings(max_examples=400, deadline=None)
@given(
    st.lists(lengths, min_size=1, max_size=5), st.sets(st.integers(1, 9), max_size=2)
)
def test_no_smaller_set_of_lengths_serves_the_joint(
    options: list[set[int]], fixed: set[int]
) -> None:
    found = fewest_lengths(
        [frozenset(map(F, accepts)) for accepts in options], frozenset(map(F, fixed))
    )
    best = min(
        itertools.product(*map(sorted, options)),
        key=lambda picked: (len({*picked, *fixed}), sum(picked), picked),
    )
    assert found == best


sixteenths = st.integers(8, 40).map(lambda n: F(n, 16))


@settings(max_examples=60, deadline=None)
@given(
    st.lists(sixteenths, min_size=1, max_size=3),
    st.sampled_from(("1/4-20 UNC", "3/8-16 UNC", "1/2-20 UNF", "3/4-10 UNC")),
    sixteenths,
    st.sampled_from(("grade 5", "grade 8")),
)
def test_millimetres_and_inches_give_the_same_screw(
    stack: list[Fraction], thread: str, depth: Fraction, wanted_class: str
) -> None:
    depth += 2 * get_thread(thread).d_mm / INCH
    head = {
        "standard": "ASME B18.2.1",
        "thread": thread,
        "property_class": wanted_class,
    }
    tol = F(1, 64)
    in_inches = size_reply(
        size(
            {
                **head,
                "units": "inch",
                "layers": [{"in": x, "tol": tol} for x in stack],
                "into": {
                    "form": "blind",
                    "threaded_in": depth,
                    "entry_in": F(1, 16),
                    "material": "grey_iron",
                },
            }
        )
    )
    in_mm = size_reply(
        size(
            {
                **head,
                "layers": [{"mm": x * INCH, "tol": tol * INCH} for x in stack],
                "into": {
                    "form": "blind",
                    "threaded_mm": depth * INCH,
                    "entry_mm": F(1, 16) * INCH,
                    "material": "grey_iron",
                },
            }
        )
    )
    assert in_inches.pop("inch")
    assert in_inches == in_mm


@settings(max_examples=100, deadline=None)
@given(
    st.sampled_from(THREADS),
    st.sampled_from(CLASSES),
    st.sampled_from([20, 25, 30, 35, 40, 45, 50, 55, 60]),
    st.integers(0, 1),
)
def test_a_result_on_the_bound_is_inside_it_and_a_hair_beyond_is_not(
    thread: str, wanted_class: str, length: int, side: int
) -> None:
    """A stack is built so that one length just fits at one end."""
    known = get_thread(thread)
    standard = get_screw_standard("ISO 4017")
    assume(F(length) in standard.series(known.short))
    need, entry = F(5), F(1)
    tolerance = next(
        b.plus for b in standard.bands(known.d_mm) if b.upto_mm and length <= b.upto_mm
    )
    clamp = length - tolerance - known.point_mm - need - entry
    assume(clamp > 3 * known.pitch_mm)
    least_depth = length + tolerance - clamp + known.bottom_mm
    hair = F(1, 10**9)

    def fits(clamp_mm: Fraction, depth_mm: Fraction) -> bool:
        only = Shelf([Screw(None, "ISO 4017", thread, F(length), wanted_class)])
        group = GroupStack(
            "a",
            BlindHole(thread, "steel", threaded_mm=depth_mm, entry_mm=entry),
            (Layer("plate", clamp_mm),),
            Wanted(("ISO 4017",), thread, wanted_class),
            shelf=only,
            own_series=False,
            engagement_mm=need,
        )
        return size_joint([group])[0].chosen is not None

    assert fits(clamp, least_depth)
    if side == 0:
        assert not fits(clamp + hair, least_depth + 1)
    else:
        assert not fits(clamp, least_depth - hair)
