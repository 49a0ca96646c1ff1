"""What tasks run in tests: functions of a module, as processes of their own need."""

from __future__ import annotations

import os
import signal
import time
from multiprocessing.connection import Connection


def answers(told: bytes, tell: Connection) -> None:
    """Tell progress and a result."""
    tell.send(("progress", 1, 2))
    tell.send(("result", told))


def never_ends(tell: Connection) -> None:
    """Tell that it began, then work for ever, deaf to a polite request to end."""
    signal.signal(signal.SIGTERM, signal.SIG_IGN)
    tell.send(("progress", 1, 100))
    while True:
        time.sleep(60)


def is_killed(tell: Connection) -> None:
    """Die as where the machine runs out of memory."""
    tell.send(("progress", 1, 2))
    os.kill(os.getpid(), signal.SIGKILL)


def leaves(tell: Connection) -> None:
    """End without a word."""
    tell.close()
    os._exit(7)


def says_why_not(tell: Connection) -> None:
    """Tell that it failed."""
    tell.send(("failed", "It needed more memory than there is."))
