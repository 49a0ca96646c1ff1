"""Run benches and print one table: `python -m scripts.benches [part ...]`."""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterator

from rich.console import Console
from rich.table import Table

from scripts.benches import cold, fasteners, logic, prove, work
from scripts.benches.figures import Figure

PARTS: dict[str, Callable[[], Iterator[Figure]]] = {
    "logic": logic.figures,
    "fasteners": fasteners.figures,
    "prove": prove.figures,
    "work": work.figures,
    "cold": cold.figures,
}


def main(names: list[str]) -> int:
    """Run the named parts, or all."""
    unknown = [name for name in names if name not in PARTS]
    if unknown:
        print(f"no such part: {', '.join(unknown)}; there are {', '.join(PARTS)}")
        return 2
    table = Table(
        "goal", "what", "measured", "goal says", "floor, same run", "ratio", ""
    )
    for name in names or PARTS:
        for figure in PARTS[name]():
            table.add_row(
                figure.goal_id,
                figure.what,
                figure.measured,
                figure.goal,
                figure.floor,
                figure.ratio,
                figure.verdict,
            )
    Console(width=170).print(table)
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
