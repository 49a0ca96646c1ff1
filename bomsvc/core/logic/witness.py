"""The least build: document order, usual choices first, by verdicts only."""

from __future__ import annotations

from collections.abc import Sequence

from bomsvc.core.logic.builds import Build, serial_in
from bomsvc.core.logic.compiled import Compiled
from bomsvc.core.logic.engine import Engine
from bomsvc.core.logic.gates import negated
from bomsvc.core.logic.standing import Lit
from bomsvc.core.logic.tree import StandingOption


def preferred(option: StandingOption) -> tuple[Lit, ...]:
    """Return what a least build would like of an option, dearest first.

    For `one` the usual choice, then the others; the first possible one is taken.
    For `any` each choice as usual; every one is decided in turn.
    """
    usual = [option.choices[code] for code in option.usual]
    if option.option.choose == "one":
        return (*usual, *(x for x in option.choices.values() if x not in usual))
    lits = option.choices.values()
    return tuple(lit if lit in usual else negated(lit) for lit in lits)


def least_build(
    compiled: Compiled,
    engine: Engine,
    lits: Sequence[Lit],
    serial: tuple[int, int] | None,
    also: Sequence[int] = (),
) -> Build | None:
    """Return the least build with all literals, or None.

    Least: options in order, parents first, the serial number last; of each the
    dearest choice that the earlier ones allow. The serial number is the least of
    its interval that `serial` means. `also`: literals of the engine's own.
    """
    engine.prefer(_wishes(compiled))
    fixed = [*engine.locals(lits), *also]
    if not engine.solve(fixed):
        return None
    search = _Search(engine, fixed)
    for key in compiled.option_order:
        search.settle(compiled.options[key])
    core = search.values
    return Build(compiled, core, serial_in(compiled, core, serial))


def _wishes(compiled: Compiled) -> list[int]:
    """Return phases: usual choices on, all other choices off."""
    wishes: list[int] = []
    for option in compiled.options.values():
        usual = {option.choices[code] for code in option.usual}
        wishes.extend(x if x in usual else -x for x in option.choices.values())
    return wishes


class _Search:
    def __init__(self, engine: Engine, fixed: list[int]) -> None:
        self._engine = engine
        self._fixed = fixed
        self.values = engine.values()

    def settle(self, option: StandingOption) -> None:
        if not self._holds(option.active):
            return
        if option.option.choose == "one":
            self._take(next(filter(self._can, preferred(option))))
            return
        for lit in preferred(option):
            self._take(lit if self._can(lit) else negated(lit))

    def _take(self, lit: Lit) -> None:
        self._fixed.append(lit)

    def _holds(self, lit: Lit) -> bool:
        return bool(self.values[abs(lit)]) == (lit > 0)

    def _can(self, lit: Lit) -> bool:
        """Return whether the literal is possible; the build in hand shows it if so."""
        if self._holds(lit):
            return True
        if not self._engine.solve([*self._fixed, lit]):
            return False
        self.values = self._engine.values()
        return True
