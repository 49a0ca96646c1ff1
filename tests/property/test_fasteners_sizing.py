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
    Layer,
    NutSide,
    Screw,
    Shelf,
    Wanted,
)
from bomsvc.service.replies.size import size_reply
from bomsvc.service.sizing import size
from tests.oracle import screws as oracle
from tests.property.fastener_strategies import (
    CLASSES,
    THREADS,
    F,
    as_oracle,
    hundredths,
    is_common_ground,
    joints,
    one_group,
    oracle_screw,
)


@settings(max_examples=300, deadline=None)
@given(joints())
def test_a_joint_gets_the_same_screws_as_by_trying_everything(
    groups: list[GroupStack],
) -> None:
    assume(is_common_ground(groups))
    assert groups[0].shelf is not None
    offered = [oracle_screw(s) for s in groups[0].shelf.screws]
    expected = oracle.size_joint([as_oracle(g) for g in groups], offered)
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
