"""P8: how long a command takes from nothing, beside a bare interpreter."""

from __future__ import annotations

import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

from scripts.benches.figures import Figure, median, met, timed, times

RUNS = 11


def figures() -> Iterator[Figure]:
    """Yield the cold start of help and of sizing by hand."""
    command = Path(sys.executable).with_name("bomsvc")
    bare = _median([sys.executable, "-c", "pass"])
    size = [
        str(command), "size", "--standard", "ISO 4762", "--thread", "M10",
        "--class", "10.9", "--layer", "34+-0.2",
        "--into", "blind,threaded=24,material=grey_iron",
    ]  # fmt: skip
    for name, words, most_ms in (
        ("bomsvc --help", [str(command), "--help"], 90),
        ("bomsvc size", size, 150),
    ):
        took = _median(words)
        yield Figure(
            "P8",
            name,
            f"{took * 1e3:.0f} ms",
            f"<= {most_ms} ms",
            f"bare interpreter {bare * 1e3:.0f} ms",
            times(took, bare),
            met(took * 1e3 <= most_ms),
        )


def _median(words: list[str]) -> float:
    return median([timed(lambda: _run(words)) for _ in range(RUNS)])


def _run(words: list[str]) -> None:
    subprocess.run(words, check=True, capture_output=True)
