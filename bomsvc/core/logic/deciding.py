"""Which options an outcome depends on: an irreducible set, by verdicts alone.

Two copies of the model agree on the options of a set; when the outcomes cannot
differ, the set decides them (A. Padoa, 1901, for definability in general; J. Lang
and P. Marquis, "On propositional definability", Artificial Intelligence 172, 2008).
"""

from __future__ import annotations

from collections.abc import Hashable, Iterable, Mapping, Sequence
from dataclasses import dataclass

from bomsvc.core.logic.budget import Budget
from bomsvc.core.logic.compiled import Compiled, StandingRule
from bomsvc.core.logic.domains import Domain
from bomsvc.core.logic.known import Known
from bomsvc.core.logic.quickxplain import irreducible
from bomsvc.core.logic.standing import TRUE, Key, Lit
from bomsvc.core.logic.support import Support
from bomsvc.core.logic.tree import StandingOption
from bomsvc.core.logic.twins import Twins


@dataclass(frozen=True)
class Outcomes:
    """What can come out at one place.

    Attributes:
        lits: The conditions on which the outcome depends.
        classes: Truth vector of `lits` -> outcome; vectors with the same number
            come out the same. Every vector of the remaining builds must be there.
            None: every vector is an outcome of its own.
    """

    lits: tuple[Lit, ...]
    classes: Mapping[tuple[bool, ...], int] | None = None

    def outcome(self, vector: tuple[bool, ...]) -> Hashable:
        """Return what comes out for a truth vector."""
        return vector if self.classes is None else self.classes[vector]

    def __hash__(self) -> int:
        rows = None if self.classes is None else frozenset(self.classes.items())
        return hash((self.lits, rows))


def can_be_asked(option: StandingOption, known: Known) -> bool:
    """Return whether a person at the counter can be asked about the option."""
    return (
        option.option.known == "build"
        and option.option.ask is not None
        and option.key not in known.unseen
    )


class Decider:
    """Finds deciding options under one set of rules."""

    def __init__(
        self,
        compiled: Compiled,
        rules: Sequence[StandingRule],
        *,
        solver: str,
        budget: Budget,
    ) -> None:
        self._compiled = compiled
        self.support = Support(compiled)
        self._twins = Twins(compiled, rules, solver=solver, budget=budget)

    def deciding(
        self, known: Known, domain: Domain, places: Sequence[Outcomes]
    ) -> tuple[Key, ...]:
        """Return an irreducible set of open options that decides all outcomes.

        Options that can be asked are preferred, then measured ones, then those
        that cannot be told; within each kind, document order.
        """
        lits = [lit for place in places for lit in place.lits]
        candidates = self._candidates(known, domain, lits)
        with self._twins.differing(known.assumptions, places) as differ:
            chosen = set(irreducible(candidates, lambda keys: not differ(keys)))
        return tuple(key for key in self._compiled.options if key in chosen)

    def _candidates(
        self, known: Known, domain: Domain, lits: Iterable[Lit]
    ) -> list[Key]:
        """Return options enough to decide the literals, preferred ones first.

        The options the conditions name always suffice. Others are looked at only
        where one of those cannot be asked, and another might tell.
        """
        options = self._compiled.options
        named = [k for k in self.support.of(lits) if is_open(options[k], domain)]
        if all(can_be_asked(options[key], known) for key in named):
            return named
        asked = [
            key
            for key, option in options.items()
            if can_be_asked(option, known) and is_open(option, domain)
        ]
        rest = [key for key in named if key not in asked]
        rest.sort(key=lambda key: options[key].option.known != "measured")
        return [*asked, *rest]


def is_open(option: StandingOption, domain: Domain) -> bool:
    """Return whether some choice of the option is still undecided."""
    return any(
        lit != TRUE and domain.may(lit) and domain.may(-lit)
        for lit in option.choices.values()
    )
