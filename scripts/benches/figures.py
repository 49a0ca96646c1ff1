"""What a bench reports, and how times are taken."""

from __future__ import annotations

import statistics
import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Figure:
    """One measured figure beside its goal; `floor` is measured in the same run."""

    goal_id: str
    what: str
    measured: str
    goal: str
    floor: str = ""
    ratio: str = ""


def timed(call: Callable[[], object]) -> float:
    """Return the seconds one call took."""
    start = time.perf_counter()
    call()
    return time.perf_counter() - start


def p50_p95_ms(seconds: Sequence[float]) -> str:
    """Return "median / 95th percentile" in milliseconds."""
    ordered = sorted(seconds)
    late = ordered[min(len(ordered) - 1, int(len(ordered) * 0.95))]
    return f"{statistics.median(ordered) * 1e3:.2f} / {late * 1e3:.2f} ms"


def median(seconds: Sequence[float]) -> float:
    """Return the median, seconds."""
    return statistics.median(seconds)


def times(slow: float, fast: float) -> str:
    """Return how many times as fast `fast` is as `slow`."""
    return f"{slow / fast:.1f}x"
