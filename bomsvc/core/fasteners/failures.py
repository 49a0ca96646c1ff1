"""Which bound a length fails, and why nothing fits a group."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from fractions import Fraction

from bomsvc.core.fasteners.bounds import Bounds
from bomsvc.core.fasteners.candidates import Candidate
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


def diagnose(bounds: Bounds, tried: Sequence[Candidate]) -> Failure:
    """Why none of the candidates fits: the standard that came nearest speaks.

    A standard whose length fits but for the shank is nearer than one without a
    length in the window, and that one nearer than one whose window is empty.
    """
    dead_end = hopeless(bounds)
    if dead_end is not None:
        return dead_end
    if not tried:
        return Failure("no_length_in_window", None, bounds.form)
    verdicts = [_verdict(bounds, list(same)) for same in _by_standard(tried)]
    return min(verdicts, key=lambda failure: (_STAGES[failure.reason], _by(failure)))


_STAGES: dict[Reason, int] = {
    "shank_too_long": 0,
    "no_length_in_window": 1,
    "bottoms_out": 2,
    "protrudes_too_far": 2,
}


def _by(failure: Failure) -> Fraction:
    return ZERO if failure.by_mm is None else failure.by_mm


def _by_standard(tried: Sequence[Candidate]) -> Iterator[list[Candidate]]:
    for standard in dict.fromkeys(c.chosen.standard for c in tried):
        yield [c for c in tried if c.chosen.standard == standard]


def _verdict(bounds: Bounds, same: list[Candidate]) -> Failure:
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
    same: list[Candidate],
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


def rejected(
    bounds: Bounds, tried: Sequence[Candidate], around: Candidate | None
) -> tuple[Rejected, ...]:
    """The lengths that do not do, from the nearest shorter to the nearest longer.

    Args:
        bounds: What each had to meet.
        tried: The candidates, ascending.
        around: The screw on the line; None: nothing fits, and every length from
            the last that is too short to the first that is too long is told.
    """
    failing = _failing(bounds, _one_standard(tried, around))
    if around is not None:
        shorter = [f for f in failing if f[0].length < around.length][-1:]
        longer = [f for f in failing if f[0].length > around.length][:1]
        told = shorter + longer
    else:
        told = _nearest_failing(failing)
    return tuple(Rejected(c.length, c.chosen.standard, misses) for c, misses in told)


def _one_standard(
    tried: Sequence[Candidate], around: Candidate | None
) -> list[Candidate]:
    if not tried:
        return []
    lead = tried[0] if around is None else around
    return [c for c in tried if c.chosen.standard == lead.chosen.standard]


def _failing(
    bounds: Bounds, same: Sequence[Candidate]
) -> list[tuple[Candidate, tuple[Miss, ...]]]:
    # Two numbers of one length may differ in their thread; the length fails only
    # when all of them do.
    fit = {c.length for c in same if accepts(bounds, c)}
    first = {c.length: c for c in reversed(same) if c.length not in fit}
    return [
        (c, misses_of(bounds, margins_of(bounds, c)))
        for c in sorted(first.values(), key=lambda c: c.length)
    ]


def _nearest_failing(
    failing: list[tuple[Candidate, tuple[Miss, ...]]],
) -> list[tuple[Candidate, tuple[Miss, ...]]]:
    short = [i for i, f in enumerate(failing) if _is(f[1], "too_little_engagement")]
    start = short[-1] if short else 0
    for stop in range(start, len(failing)):
        if any(
            m.reason in ("bottoms_out", "protrudes_too_far") for m in failing[stop][1]
        ):
            return failing[start : stop + 1]
    return failing[start:]


def _is(misses: tuple[Miss, ...], reason: Reason) -> bool:
    return any(miss.reason == reason for miss in misses)
