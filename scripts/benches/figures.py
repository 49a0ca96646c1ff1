"""What a bench reports, and how times are taken."""

from __future__ import annotations

import statistics
import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Figure:
    """One measured figure beside its goal; `floor` is measured in the same run.

    `verdict` says "met" or "missed" of the goal, nothing where there is none.
    """

    goal_id: str
    what: str
    measured: str
    goal: str
    floor: str = ""
    ratio: str = ""
    verdict: str = ""


def timed(call: Callable[[], object]) -> float:
    """Return the seconds one call took."""
    start = time.perf_counter()
    call()
    return time.perf_counter() - start


def met(*goals: bool) -> str:
    """Return whether every part of a goal is met."""
    return "met" if all(goals) else "missed"


def p50_p95_ms(seconds: Sequence[float]) -> str:
    """Return "median / 95th percentile" in milliseconds."""
    return f"{median(seconds) * 1e3:.2f} / {late(seconds) * 1e3:.2f} ms"


def within_ms(seconds: Sequence[float], p50: float, p95: float) -> bool:
    """Return whether median and 95th percentile are within these milliseconds."""
    return median(seconds) * 1e3 <= p50 and late(seconds) * 1e3 <= p95


def late(seconds: Sequence[float]) -> float:
    """Return the 95th percentile, seconds."""
    ordered = sorted(seconds)
    return ordered[min(len(ordered) - 1, int(len(ordered) * 0.95))]


def median(seconds: Sequence[float]) -> float:
    """Return the median, seconds."""
    return statistics.median(seconds)


def times(slow: float, fast: float) -> str:
    """Return how many times as fast `fast` is as `slow`."""
    return f"{slow / fast:.1f}x"
