"""Figures of this process as Prometheus text (exposition format 0.0.4)."""

from __future__ import annotations

import threading
from collections import Counter, defaultdict
from collections.abc import Iterator

MEDIA = "text/plain; version=0.0.4; charset=utf-8"
BOUNDS_SECONDS = (0.001, 0.005, 0.01, 0.025, 0.05, 0.1, 0.25, 1.0, 5.0, 30.0)


class Metrics:
    """Counts requests by operation and status, and how long they took."""

    def __init__(self) -> None:
        self._guard = threading.Lock()
        self._requests: Counter[tuple[str, int]] = Counter()
        self._within: Counter[tuple[str, float]] = Counter()
        self._seconds: defaultdict[str, float] = defaultdict(float)
        self._in_flight = 0

    def begin(self) -> None:
        """Count a request that has come in."""
        with self._guard:
            self._in_flight += 1

    def end(self, operation: str, status: int, seconds: float) -> None:
        """Count a request that was answered."""
        with self._guard:
            self._in_flight -= 1
            self._requests[operation, status] += 1
            self._seconds[operation] += seconds
            for bound in BOUNDS_SECONDS:
                if seconds <= bound:
                    self._within[operation, bound] += 1

    def text(self) -> str:
        """Return every figure."""
        with self._guard:
            return "\n".join((*self._counts(), *self._times())) + "\n"

    def _counts(self) -> Iterator[str]:
        yield "# HELP bomsvc_requests_total Requests answered."
        yield "# TYPE bomsvc_requests_total counter"
        for (operation, status), count in sorted(self._requests.items()):
            labels = f'operation="{operation}",status="{status}"'
            yield f"bomsvc_requests_total{{{labels}}} {count}"
        yield "# HELP bomsvc_requests_in_flight Requests being answered."
        yield "# TYPE bomsvc_requests_in_flight gauge"
        yield f"bomsvc_requests_in_flight {self._in_flight}"

    def _times(self) -> Iterator[str]:
        yield "# HELP bomsvc_request_seconds How long requests took."
        yield "# TYPE bomsvc_request_seconds histogram"
        for operation in sorted(self._seconds):
            total = sum(n for (o, _s), n in self._requests.items() if o == operation)
            for bound in BOUNDS_SECONDS:
                count = self._within[operation, bound]
                yield _bucket(operation, str(bound), count)
            yield _bucket(operation, "+Inf", total)
            label = f'{{operation="{operation}"}}'
            yield f"bomsvc_request_seconds_sum{label} {self._seconds[operation]:.6f}"
            yield f"bomsvc_request_seconds_count{label} {total}"


def _bucket(operation: str, bound: str, count: int) -> str:
    labels = f'operation="{operation}",le="{bound}"'
    return f"bomsvc_request_seconds_bucket{{{labels}}} {count}"
