"""What each core variable can still be, exactly: the backbone under assumptions.

Known builds show most of what is possible; unit propagation shows most of what is
not; the rest is settled by asking for "any value not yet seen" until there is none.
Every proven impossibility comes from the solver's verdict. (Backbones by chunking:
M. Janota, I. Lynce, J. Marques-Silva, "Algorithms for computing backbones of
propositional formulae", AI Communications 28, 2015.)
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from bomsvc.core.logic.engine import Engine
from bomsvc.core.logic.residual import Residual
from bomsvc.core.logic.standing import TRUE

Flags = NDArray[np.bool_]


@dataclass(frozen=True, slots=True)
class Domain:
    """Per core variable: whether some remaining build has it true, has it false."""

    can_hold: Flags
    can_fail: Flags

    def may(self, lit: int) -> bool:
        """Return whether some remaining build has this core literal."""
        return bool(self.can_hold[lit] if lit > 0 else self.can_fail[-lit])


def domain_of(
    engine: Engine,
    residual: Residual,
    assumptions: Sequence[int],
    wider: Domain | None = None,
) -> Domain | None:
    """Return the exact domain of every core variable; None without any build.

    Args:
        engine: The rules in force.
        residual: The same rules, to be cut by what is settled.
        assumptions: Core literals that are known.
        wider: The domain under some of these assumptions; it only saves work.
    """
    if not engine.solve([TRUE, *assumptions]):
        return None
    engine.found()
    cannot_hold, cannot_fail = _refuted(engine, assumptions, wider)
    settled = cannot_fail.astype(np.int8) - cannot_hold.astype(np.int8)
    can_hold, can_fail = residual.seen(engine.pool, settled)
    while rest := _unsettled(can_hold | cannot_hold, can_fail | cannot_fail):
        build = _one_more(engine, assumptions, rest)
        if build is None:
            break
        can_hold |= build
        can_fail |= ~build
    return Domain(can_hold, can_fail)


def _refuted(
    engine: Engine, assumptions: Sequence[int], wider: Domain | None
) -> tuple[Flags, Flags]:
    """Return what cannot hold, cannot fail; index 0 stands for both."""
    forced = np.array([TRUE, *engine.implied(assumptions)], dtype=np.intp)
    cannot_hold, cannot_fail = engine.pool.blank(), engine.pool.blank()
    cannot_fail[forced[forced > 0]] = True
    cannot_hold[-forced[forced < 0]] = True
    cannot_hold[0] = cannot_fail[0] = True
    if wider is not None:
        cannot_hold |= ~wider.can_hold
        cannot_fail |= ~wider.can_fail
    return cannot_hold, cannot_fail


def _unsettled(holds: Flags, fails: Flags) -> list[int]:
    return [*np.flatnonzero(~holds).tolist(), *(-np.flatnonzero(~fails)).tolist()]


def _one_more(
    engine: Engine, assumptions: Sequence[int], rest: list[int]
) -> Flags | None:
    """Return a build that has one of the literals not seen yet, or None."""
    with engine.guarded() as guard:
        engine.add([-guard, *rest])
        engine.prefer(rest)
        return engine.found() if engine.solve([*assumptions, guard]) else None
