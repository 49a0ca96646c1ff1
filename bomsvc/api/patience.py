"""How long a request may work on one thing before it is handed to a task.

Any request ends within 30 seconds. Work is counted for this thread, so that busy
neighbours do not shorten it; the clock on the wall bounds it all the same.
"""

from __future__ import annotations

import time

from bomsvc.core.prove.allowance import IsSpent

WORK_S = 10
WALL_S = 20


def patience() -> IsSpent:
    """Return what tells whether the time for waiting, from now on, is over."""
    work, wall = time.thread_time() + WORK_S, time.monotonic() + WALL_S

    def is_spent() -> bool:
        return time.thread_time() > work or time.monotonic() > wall

    return is_spent
