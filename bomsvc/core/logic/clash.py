"""Why answers cannot hold together, and what would put it right."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from bomsvc.core.logic.blame import Blame
from bomsvc.core.logic.budget import Budget
from bomsvc.core.logic.in_force import InForce
from bomsvc.core.logic.known import Entry, Known
from bomsvc.core.logic.quickxplain import irreducible
from bomsvc.core.logic.reasons import Reason, reasons_of
from bomsvc.core.logic.repairs import least_repairs
from bomsvc.core.logic.standing import Key, Lit

_REPAIRS_MOST = 10


@dataclass(frozen=True, slots=True)
class Clash:
    """A contradiction.

    Attributes:
        answers: Names of the statements of one irreducible contradiction, in
            document order.
        rules: Keys of its rules, in document order.
        structure: Keys of options whose place in the tree it rests on.
        repairs: All least sets of statements to drop, at most ten, the least
            trusted first; each was verified.
        waivers: All least sets of factory rules to waive, at most ten; empty when
            no waiver helps.
        because: The contradiction's items as sentences: answers, rules, structure.
    """

    answers: tuple[str, ...]
    rules: tuple[Key, ...]
    structure: tuple[Key, ...]
    repairs: tuple[tuple[str, ...], ...]
    waivers: tuple[tuple[Key, ...], ...]
    because: tuple[Reason, ...] = ()


def least_trusted_first(entries: Sequence[Entry]) -> list[Entry]:
    """Return statements, the one to give up most readily first."""
    return sorted(entries, key=lambda entry: -entry.distrust)


def find_clash(rules: InForce, blame: Blame, known: Known, budget: Budget) -> Clash:
    """Explain a contradiction; `known` must have no remaining build."""
    entries = _blamed(rules, known)
    assumed = _literals(entries)
    keys, units = blame.reason(known.waived, assumed)
    named = [entry for entry in known.entries if entry in entries]
    return Clash(
        answers=tuple(entry.name for entry in named),
        rules=keys,
        structure=units,
        repairs=_repairs(rules, known, budget),
        waivers=_waivers(blame, known, budget),
        because=reasons_of(rules.compiled, named, keys, units),
    )


def _literals(entries: Sequence[Entry]) -> list[Lit]:
    return [lit for entry in entries for lit in entry.lits]


def _blamed(rules: InForce, known: Known) -> tuple[Entry, ...]:
    """Return an irreducible contradiction of statements; trusted ones are spared."""
    return irreducible(
        least_trusted_first(known.entries),
        lambda entries: not rules.options.solve(_literals(entries)),
    )


def _repairs(
    rules: InForce, known: Known, budget: Budget
) -> tuple[tuple[str, ...], ...]:
    entries = least_trusted_first(known.entries)
    place = {entry.name: index for index, entry in enumerate(known.entries)}

    def holds(kept: Sequence[int]) -> bool:
        return rules.options.solve(_literals([entries[index] for index in kept]))

    found = least_repairs(len(entries), holds, most=_REPAIRS_MOST, nodes=budget.nodes)
    return tuple(
        tuple(sorted((entries[i].name for i in drop), key=place.__getitem__))
        for drop in found
    )


def _waivers(blame: Blame, known: Known, budget: Budget) -> tuple[tuple[Key, ...], ...]:
    assumed = list(known.assumptions)
    factory = blame.waivable(known.waived)

    def holds(kept: Sequence[int]) -> bool:
        return blame.holds([factory[i] for i in kept], known.waived, assumed)

    found = least_repairs(len(factory), holds, most=_REPAIRS_MOST, nodes=budget.nodes)
    return tuple(tuple(factory[i] for i in drop) for drop in found)
