"""Which bound a length fails, and why nothing fits a group."""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Sequence
from fractions import Fraction

from bomsvc.core.fasteners.bounds import Bounds
from bomsvc.core.fasteners.candidates import Candidate, Offer
from bomsvc.core.fasteners.values import (
    ZERO,
    Failure,
    Margins,
    Miss,
    Reason,
    Rejected,
)


def accepts(bounds: Bounds, candidate: Candidate) -> bool:
    """Tell whether a candidate meets every bound; on a bound is inside it."""
    return (
        candidate.least >= bounds.lower
        and (bounds.upper is None or candidate.greatest <= bounds.upper)
        and candidate.first_thread <= bounds.grip
    )


def margins_of(bounds: Bounds, candidate: Candidate) -> Margins:
    """Return the room a candidate leaves at each bound, mm."""
    return Margins(
        short=candidate.least - bounds.lower,
        over=None if bounds.upper is None else bounds.upper - candidate.greatest,
        shank=bounds.grip - candidate.first_thread,
    )


def over_reason(bounds: Bounds) -> Reason:
    """What it is called when a screw is too long for this joint."""
    return "bottoms_out" if bounds.form == "blind" else "protrudes_too_far"


def misses_of(bounds: Bounds, margins: Margins) -> tuple[Miss, ...]:
    """The bounds that a candidate fails, in the order they are looked at."""
    misses: list[Miss] = []
    if margins.short < 0:
        misses.append(Miss("too_little_engagement", -margins.short))
    if margins.over is not None and margins.over < 0:
        misses.append(Miss(over_reason(bounds), -margins.over))
    if margins.shank is not None and margins.shank < 0:
        misses.append(Miss("shank_too_long", -margins.shank))
    return tuple(misses)


def hopeless(bounds: Bounds) -> Failure | None:
    """The failure of a hole that has too little thread for any screw."""
    if not bounds.is_hopeless():
        return None
    assert bounds.required is not None, "only a tapped hole is hopeless"
    assert bounds.best is not None, "only a tapped hole is hopeless"
    return Failure(
        reason="too_little_engagement",
        by_mm=bounds.required - bounds.best,
        form=bounds.form,
        have_mm=bounds.best,
        need_mm=bounds.required,
        parts=bounds.parts,
    )


def stated_failure(bounds: Bounds, candidate: Candidate) -> Failure | None:
    """Why one given screw does not do, or None where it does."""
    dead_end = hopeless(bounds)
    if dead_end is not None:
        return dead_end
    misses = misses_of(bounds, margins_of(bounds, candidate))
    if not misses:
        return None
    first = misses[0]
    return Failure(
        reason=first.reason,
        by_mm=first.by_mm,
        form=bounds.form,
        length_mm=candidate.length,
        have_mm=candidate.first_thread if first.reason == "shank_too_long" else None,
        need_mm=bounds.grip if first.reason == "shank_too_long" else None,
        twin=candidate.twin,
        standard=candidate.chosen.standard,
    )


def diagnose(bounds: Bounds, tried: Offer) -> Failure:
    """Why none of the candidates fits: the standard that came nearest speaks.

    A standard whose length fits but for the shank is nearer than one without a
    length in the window, and that one nearer than one whose window is empty.
    """
    dead_end = hopeless(bounds)
    if dead_end is not None:
        return dead_end
    if not tried.candidates:
        return Failure("no_length_in_window", None, bounds.form)
    verdicts = [_verdict(bounds, same) for _, same in tried.by_standard]
    return min(verdicts, key=lambda failure: (_STAGES[failure.reason], _by(failure)))


_STAGES: dict[Reason, int] = {
    "shank_too_long": 0,
    "no_length_in_window": 1,
    "bottoms_out": 2,
    "protrudes_too_far": 2,
}


def _by(failure: Failure) -> Fraction:
    return ZERO if failure.by_mm is None else failure.by_mm


def _verdict(bounds: Bounds, same: Sequence[Candidate]) -> Failure:
    but_for_shank = [c for c in same if _between(bounds, c)]
    if but_for_shank:
        return _shank_failure(bounds, but_for_shank)
    low, high = bounds.window(same[0].bands)
    if high is not None and low > high:
        return Failure(
            over_reason(bounds),
            low - high,
            bounds.form,
            window_mm=(low, high),
            standard=same[0].chosen.standard,
        )
    return _gap_failure(bounds, same, window=(low, high))


def _between(bounds: Bounds, candidate: Candidate) -> bool:
    return candidate.least >= bounds.lower and (
        bounds.upper is None or candidate.greatest <= bounds.upper
    )


def _shank_failure(bounds: Bounds, fitting: list[Candidate]) -> Failure:
    nearest = min(fitting, key=lambda c: (c.first_thread, c.length, c.rank))
    return Failure(
        reason="shank_too_long",
        by_mm=nearest.first_thread - bounds.grip,
        form=bounds.form,
        length_mm=nearest.length,
        have_mm=nearest.first_thread,
        need_mm=bounds.grip,
        standard=nearest.chosen.standard,
        twin=nearest.twin,
    )


def _gap_failure(
    bounds: Bounds,
    same: Sequence[Candidate],
    *,
    window: tuple[Fraction, Fraction | None],
) -> Failure:
    shorter = max(
        (c for c in same if c.least < bounds.lower),
        key=lambda c: c.length,
        default=None,
    )
    longer = min(
        (c for c in same if bounds.upper is not None and c.greatest > bounds.upper),
        key=lambda c: c.length,
        default=None,
    )
    by = [] if shorter is None else [bounds.lower - shorter.least]
    if longer is not None and bounds.upper is not None:
        by.append(longer.greatest - bounds.upper)
    return Failure(
        reason="no_length_in_window",
        by_mm=min(by),
        form=bounds.form,
        window_mm=window,
        shorter_mm=shorter.length if shorter else None,
        longer_mm=longer.length if longer else None,
        standard=same[0].chosen.standard,
    )


def fitting(bounds: Bounds, tried: Offer) -> tuple[Candidate, ...]:
    """The candidates that meet every bound, in the order of the offer."""
    if bounds.is_hopeless():
        return ()
    # No screw comes out longer than it is called without a tolerance, so only
    # nominal lengths between the bounds need a closer look.
    start = bisect_left(tried.lengths, bounds.lower)
    stop = len(tried.lengths)
    if bounds.upper is not None:
        stop = bisect_right(tried.lengths, bounds.upper, start)
    return tuple(c for c in tried.candidates[start:stop] if accepts(bounds, c))


def rejected(
    bounds: Bounds,
    tried: Offer,
    fit: Sequence[Candidate],
    around: Candidate | None,
) -> tuple[Rejected, ...]:
    """The lengths that do not do, from the nearest shorter to the nearest longer.

    Args:
        bounds: What each had to meet.
        tried: The candidates on offer.
        fit: Those of them that meet every bound.
        around: The screw on the line; None: nothing fits, and every length from
            the last that is too short to the first that is too long is told.
    """
    if not tried.candidates:
        return ()
    lead = tried.candidates[0] if around is None else around
    same = tried.of_standard(lead.chosen.standard)
    # Two numbers of one length may differ in their thread; the length fails only
    # when all of them do.
    good = {c.length for c in fit if c.chosen.standard == lead.chosen.standard}
    told = (
        _too_near(bounds, same) if around is None else _neighbours(same, around, good)
    )
    return tuple(
        Rejected(c.length, c.chosen.standard, misses_of(bounds, margins_of(bounds, c)))
        for c in told
    )


def _neighbours(
    same: Sequence[Candidate], around: Candidate, good: set[Fraction]
) -> list[Candidate]:
    before = bisect_left(same, around.length, key=lambda c: c.length)
    after = bisect_right(same, around.length, key=lambda c: c.length)
    shorter = (c for c in reversed(same[:before]) if c.length not in good)
    longer = (c for c in same[after:] if c.length not in good)
    return [c for c in (next(shorter, None), next(longer, None)) if c is not None]


def _too_near(bounds: Bounds, same: Sequence[Candidate]) -> list[Candidate]:
    by_length = list({c.length: c for c in reversed(same)}.values())[::-1]
    start = max(
        (i for i, c in enumerate(by_length) if c.least < bounds.lower), default=0
    )
    stop = next(
        (
            i
            for i, c in enumerate(by_length)
            if i >= start and bounds.upper is not None and c.greatest > bounds.upper
        ),
        len(by_length),
    )
    return by_length[start : stop + 1]
