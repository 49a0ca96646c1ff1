"""P4: proving a catalogue over every valid build, beside a solver asked one by one."""

from __future__ import annotations

import time
from collections.abc import Iterator
from itertools import combinations

from pysat.solvers import Glucose4

from bomsvc.core.logic.compiled import Compiled
from bomsvc.core.prove import Report, prove
from scripts.benches.figures import Figure, met, times
from scripts.benches.logic import clauses
from scripts.benches.made_documents import OPTIONS, compiled, document

SMALL, LARGE = 5_000, 50_000
SAMPLE = 1_000
"""Positions that the plain solver is asked about: it takes too long for all."""
GROUPS, GROUPS_OF_A_JOINT = 5_000, 5
LARGE_S, JOINTS_S = 6, 5
FLAT = 1.25
"""How much more a position may cost at 50,000 than at 5,000 to be called flat."""


def figures() -> Iterator[Figure]:
    """Yield the proof of 5,000 and 50,000 positions, then that of 5,000 hole groups."""
    plain = _plain_per_position()
    small, _ = _proven(compiled(document(SMALL)))
    large, report = _proven(compiled(document(LARGE)))
    fitments = report.figures.fitments
    yield Figure(
        "P4",
        f"{LARGE:,} positions, {fitments:,} fitments proven, {OPTIONS} options",
        f"{large:.1f} s",
        f"<= {LARGE_S} s",
        f"plain SAT {plain * LARGE:.0f} s (from {SAMPLE:,} positions)",
        times(plain * LARGE, large),
        met(large <= LARGE_S),
    )
    each = small / SMALL, large / LARGE
    yield Figure(
        "P4",
        f"cost of a position at {LARGE:,} over that at {SMALL:,}",
        f"{each[1] / each[0]:.2f}x",
        f"flat (<= {FLAT}x)",
        f"{each[0] * 1e6:.0f} us, {each[1] * 1e6:.0f} us",
        verdict=met(each[1] / each[0] <= FLAT),
    )
    yield _joints()


def _joints() -> Figure:
    """What hole groups add to the proof of the same positions."""
    joints = GROUPS // GROUPS_OF_A_JOINT
    alone, _ = _proven(compiled(document(2 * joints)))
    both, report = _proven(compiled(document(2 * joints, joints=joints)))
    figures = report.figures
    more = both - alone
    return Figure(
        "P4",
        f"{figures.hole_groups:,} hole groups in {figures.combinations:,} combinations",
        f"{more:.1f} s more",
        f"<= {JOINTS_S} s more",
        f"the same without joints {alone:.1f} s",
        verdict=met(more <= JOINTS_S),
    )


def _proven(one: Compiled) -> tuple[float, Report]:
    """Prove; return the processor seconds, so that neighbours matter less."""
    start = time.process_time()
    report = prove(one)
    return time.process_time() - start, report


def _plain_per_position() -> float:
    """Ask a solver about gaps, overlaps and fitments never used, one by one; seconds.

    The same questions as the proof's, by far the most of them.
    """
    one = compiled(document(SAMPLE))
    with Glucose4(bootstrap_with=clauses(one)) as solver:
        start = time.process_time()
        for position in one.standing.positions.values():
            lits = [int(fitment.applies) for fitment in position.fitments]
            exists = int(position.exists)
            solver.solve(assumptions=[exists, *(-lit for lit in lits)])
            for pair in combinations(lits, 2):
                solver.solve(assumptions=[exists, *pair])
            for lit in lits:
                solver.solve(assumptions=[exists, lit])
        return (time.process_time() - start) / SAMPLE
