"""Rate limits: a token bucket per caller, in this process.

Headers follow the IETF draft "RateLimit header fields for HTTP" (version 11).
A bucket holds a minute's worth and refills evenly.
"""

from __future__ import annotations

import math
import threading
from collections.abc import Callable
from dataclasses import dataclass

WINDOW_SECONDS = 60
MOST_CALLERS = 10_000


@dataclass(slots=True)
class _Bucket:
    left: float
    at: float


@dataclass(frozen=True, slots=True)
class Verdict:
    """Whether a request may pass, and what its headers say."""

    passes: bool
    left: int
    wait_seconds: int
    quota: int

    def headers(self) -> tuple[tuple[str, str], ...]:
        """Return the headers of the reply; none where there is no limit."""
        if self.quota == 0:
            return ()
        policy = f'"default";q={self.quota};w={WINDOW_SECONDS}'
        now = f'"default";r={self.left};t={self.wait_seconds}'
        return (("RateLimit-Policy", policy), ("RateLimit", now))


UNLIMITED = Verdict(passes=True, left=0, wait_seconds=0, quota=0)


class Buckets:
    """One bucket per caller, `quota` requests a minute; 0 is no limit."""

    def __init__(self, quota: int, seconds: Callable[[], float]) -> None:
        self._quota = quota
        self._seconds = seconds
        self._guard = threading.Lock()
        self._buckets: dict[str, _Bucket] = {}

    def take(self, caller: str) -> Verdict:
        """Take one request from the caller's bucket."""
        if self._quota == 0:
            return UNLIMITED
        now = self._seconds()
        with self._guard:
            bucket = self._filled(caller, now)
            passes = bucket.left >= 1
            if passes:
                bucket.left -= 1
            return self._verdict(bucket.left, passes=passes)

    def _verdict(self, left: float, *, passes: bool) -> Verdict:
        rate = self._quota / WINDOW_SECONDS
        until_one = max(0.0, (1 - left) / rate)
        return Verdict(passes, int(left), math.ceil(until_one), self._quota)

    def _filled(self, caller: str, now: float) -> _Bucket:
        bucket = self._buckets.get(caller)
        if bucket is None:
            self._make_room(now)
            bucket = self._buckets[caller] = _Bucket(float(self._quota), now)
        gained = max(0.0, now - bucket.at) * self._quota / WINDOW_SECONDS
        bucket.left = min(float(self._quota), bucket.left + gained)
        bucket.at = now
        return bucket

    def _make_room(self, now: float) -> None:
        """Forget callers whose buckets have filled up again."""
        if len(self._buckets) < MOST_CALLERS:
            return
        self._buckets = {
            caller: bucket
            for caller, bucket in self._buckets.items()
            if now - bucket.at < WINDOW_SECONDS
        }
