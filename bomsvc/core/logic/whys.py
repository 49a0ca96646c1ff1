"""Why something is certain or excluded: an irreducible reason, and as sentences."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from bomsvc.core.logic.blame import Blame
from bomsvc.core.logic.in_force import InForce, State
from bomsvc.core.logic.known import Entry, Known
from bomsvc.core.logic.quickxplain import irreducible
from bomsvc.core.logic.reasons import Reason, reasons_of
from bomsvc.core.logic.standing import Key, Lit


@dataclass(frozen=True, slots=True)
class Why:
    """What decides a condition.

    Attributes:
        state: Whether it holds in all, none or some of the remaining builds.
        reasons: When decided: statements, rules and places in the option tree that
            together force it, none of them to spare.
        decided_by: When open: an irreducible set of options that decides it.
    """

    state: State
    reasons: tuple[Reason, ...]
    decided_by: tuple[Key, ...] = ()


def find_reasons(
    rules: InForce, blame: Blame, known: Known, lit: Lit
) -> tuple[Reason, ...]:
    """Return why every remaining build has the literal; it must be certain.

    The most trusted statements are named first of all that would do.
    """
    against = Lit(-lit)
    engine = rules.engine_for([against])
    opposite = engine.local(against)

    def fails(entries: Sequence[Entry]) -> bool:
        return not engine.solve([*_literals(entries), opposite])

    entries = irreducible(sorted(known.entries, key=lambda e: e.distrust), fails)
    keys, places = blame.reason(known.waived, [*_literals(entries), against])
    named = [entry for entry in known.entries if entry in entries]
    return reasons_of(rules.compiled, named, keys, places)


def _literals(entries: Sequence[Entry]) -> list[Lit]:
    return [lit for entry in entries for lit in entry.lits]
