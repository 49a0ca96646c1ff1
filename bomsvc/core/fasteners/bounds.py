"""From a clamped stack and a hole to the bounds on a screw's length, worst case.

Symbols follow the usual ones: the clamped thickness is summed at its least and at
its greatest; the point of the screw engages nothing; a result on a bound is
inside it.
"""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction
from functools import lru_cache
from typing import Literal, NamedTuple

from bomsvc.core.fasteners.kinds import Band
from bomsvc.core.fasteners.standards import din_76_1
from bomsvc.core.fasteners.threads import Thread
from bomsvc.core.fasteners.values import (
    ZERO,
    BlindHole,
    Layer,
    NutSide,
    TappedThrough,
)

Clamp = tuple[Fraction, Fraction, Fraction]
"""Clamped thickness, mm: nominal, least, greatest."""


class Bounds(NamedTuple):
    """What the length of one screw has to meet, mm.

    Attributes:
        clamp: Nominal, least and greatest clamped thickness.
        lower: The shortest the screw may come out.
        upper: The longest the screw may come out; None: no limit.
        grip: The farthest from the head that full thread may begin.
        start: As `lower`, but to start one pitch with the gasket still free.
        required: Engagement that decides; None with a nut.
        best: The most engagement any screw could have; None: no such limit.
        entry: Least and greatest entry countersink (nil with a nut).
        far: Least and greatest thickness beyond the stack: nut or tapped part.
        full: Least and greatest full thread of a tapped through hole.
        parts: The terms of `best`, by name, for a sentence.
    """

    form: Literal["blind", "through", "nut"]
    point: Fraction
    clamp: Clamp
    lower: Fraction
    upper: Fraction | None
    grip: Fraction
    start: Fraction
    required: Fraction | None
    best: Fraction | None
    entry: tuple[Fraction, Fraction]
    far: tuple[Fraction, Fraction] | None = None
    full: tuple[Fraction, Fraction] | None = None
    parts: tuple[tuple[str, Fraction], ...] = ()

    def engagement(
        self, least: Fraction, greatest: Fraction
    ) -> tuple[Fraction, Fraction] | None:
        """Full thread engaged by a screw between two lengths, mm; None with a nut."""
        if self.form == "nut":
            return None
        low = least - self.point - self.clamp[2] - self.entry[1]
        high = greatest - self.clamp[1] - self.entry[0]
        if self.full is not None:
            low, high = min(low, self.full[0]), min(high, self.full[1])
        return low, high

    def tip(
        self, least: Fraction, greatest: Fraction
    ) -> tuple[Fraction, Fraction] | None:
        """Projection beyond nut or far face, mm; None in a blind hole."""
        if self.far is None:
            return None
        return (
            least - self.clamp[2] - self.far[1],
            greatest - self.clamp[1] - self.far[0],
        )

    def window(self, bands: tuple[Band, ...]) -> tuple[Fraction, Fraction | None]:
        """Nominal lengths that would do by both ends; empty when upside down."""
        high = None if self.upper is None else _longest(self.upper, bands)
        return _shortest(self.lower, bands), high

    def is_hopeless(self) -> bool:
        """The hole itself has too little thread for any screw."""
        return (
            self.best is not None
            and self.required is not None
            and self.best < self.required
        )


def clamp_of(layers: Sequence[Layer]) -> Clamp:
    """Nominal, least and greatest thickness of a stack, mm; nil when it is empty."""
    nominal = sum((layer.mm for layer in layers), ZERO)
    least = nominal - sum((layer.minus for layer in layers), ZERO)
    return nominal, least, nominal + sum((layer.plus for layer in layers), ZERO)


def free_swell(layers: Sequence[Layer]) -> Fraction:
    """How much thicker than its set maximum the stack is before it is squeezed."""
    return sum(
        (
            max(ZERO, layer.free_mm - layer.mm - layer.plus)
            for layer in layers
            if layer.free_mm is not None
        ),
        ZERO,
    )


def bounds_for(
    layers: Sequence[Layer],
    into: BlindHole | TappedThrough | NutSide,
    thread: Thread,
    *,
    required: Fraction | None = None,
    protrusion: Fraction | None = None,
) -> Bounds:
    """Return the bounds on a screw of `thread` through `layers`.

    Args:
        layers: From the head to the thread.
        into: What the thread goes into.
        thread: The screw's thread.
        required: Engagement of full thread needed, mm; ignored with a nut.
        protrusion: Limit beyond the nut or the far face, mm; None: no limit.
    """
    if isinstance(into, NutSide):
        return _into_nut(layers, into, thread, protrusion)
    need = ZERO if required is None else required
    if isinstance(into, TappedThrough):
        return _into_through(layers, into, thread, need=need, protrusion=protrusion)
    return _into_blind(layers, into, thread, need)


def usable_depth(hole: BlindHole, thread: Thread) -> Fraction:
    """Depth of full thread from the mating face, entry included, mm."""
    if hole.threaded_mm is not None:
        return hole.threaded_mm
    assert hole.drilled_mm is not None, "a blind hole has a depth"
    return hole.drilled_mm - runout_mm(thread.pitch_mm)


@lru_cache(maxsize=64)
def runout_mm(pitch_mm: Fraction) -> Fraction:
    """Run-out of a blind hole by DIN 76-1, mm; between two rows, the longer."""
    return next(
        Fraction(runout)
        for pitch, runout in din_76_1.ROWS
        if Fraction(pitch) >= pitch_mm
    )


def entry_of(hole: BlindHole | TappedThrough) -> tuple[Fraction, Fraction]:
    """Least and greatest entry countersink, mm."""
    return max(ZERO, hole.entry_mm - hole.entry_minus), hole.entry_mm + hole.entry_plus


def _into_nut(
    layers: Sequence[Layer], nut: NutSide, thread: Thread, protrusion: Fraction | None
) -> Bounds:
    clamp = clamp_of(layers)
    low, high = nut.height_mm - nut.minus, nut.height_mm + nut.plus
    reach = clamp[2] + free_swell(layers) + thread.point_mm
    return Bounds(
        form="nut",
        point=thread.point_mm,
        clamp=clamp,
        lower=clamp[2] + high + thread.point_mm,
        upper=None if protrusion is None else clamp[1] + low + protrusion,
        grip=clamp[1],
        start=reach + thread.pitch_mm,
        required=None,
        best=None,
        entry=(ZERO, ZERO),
        far=(low, high),
    )


def _into_blind(
    layers: Sequence[Layer], hole: BlindHole, thread: Thread, need: Fraction
) -> Bounds:
    clamp, entry, point = clamp_of(layers), entry_of(hole), thread.point_mm
    depth = usable_depth(hole, thread)
    reach = clamp[2] + entry[1] + point
    return Bounds(
        form="blind",
        point=point,
        clamp=clamp,
        lower=reach + need,
        upper=clamp[1] + depth - thread.bottom_mm,
        grip=clamp[1] + entry[0],
        start=reach + free_swell(layers) + thread.pitch_mm,
        required=need,
        best=depth - thread.bottom_mm - entry[1] - point,
        entry=entry,
        parts=(
            ("depth of full thread", depth),
            ("clearance", thread.bottom_mm),
            ("entry", entry[1]),
            ("point", point),
        ),
    )


def _into_through(
    layers: Sequence[Layer],
    hole: TappedThrough,
    thread: Thread,
    *,
    need: Fraction,
    protrusion: Fraction | None,
) -> Bounds:
    clamp, entry, point = clamp_of(layers), entry_of(hole), thread.point_mm
    thin = hole.thickness_mm - hole.thickness_minus
    thick = hole.thickness_mm + hole.thickness_plus
    full = thin - entry[1] - hole.exit_mm, thick - entry[0] - hole.exit_mm
    reach = clamp[2] + entry[1] + point
    return Bounds(
        form="through",
        point=point,
        clamp=clamp,
        lower=reach + need,
        upper=None if protrusion is None else clamp[1] + thin + protrusion,
        grip=clamp[1] + entry[0],
        start=reach + free_swell(layers) + thread.pitch_mm,
        required=need,
        best=full[0],
        entry=entry,
        far=(thin, thick),
        full=full,
        parts=(("thickness", thin), ("entry", entry[1]), ("exit", hole.exit_mm)),
    )


def _shortest(lower: Fraction, bands: tuple[Band, ...]) -> Fraction:
    # The tolerance steps up with the length, so the first band that holds its own
    # answer has the shortest nominal length; the last band has no end.
    return next(
        lower + band.minus
        for band in bands[_band_of(lower, bands) :]
        if band.upto_mm is None or lower + band.minus <= band.upto_mm
    )


def _longest(upper: Fraction, bands: tuple[Band, ...]) -> Fraction:
    for index in range(_band_of(upper, bands), 0, -1):
        floor = bands[index - 1].upto_mm
        if floor is not None and upper - bands[index].plus > floor:
            return _within(upper, bands[index])
    return _within(upper, bands[0])


def _within(upper: Fraction, band: Band) -> Fraction:
    longest = upper - band.plus
    return longest if band.upto_mm is None else min(longest, band.upto_mm)


def _band_of(length: Fraction, bands: tuple[Band, ...]) -> int:
    return next(
        i for i, b in enumerate(bands) if b.upto_mm is None or length <= b.upto_mm
    )
