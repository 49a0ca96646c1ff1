"""How likely a case is, told by engines on file.

A case weighs 1 and the number of engines on file that agree with it (Laplace's rule
of succession): no case that is possible weighs nothing, however many engines of
another kind are on file.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from bomsvc.core.logic.domains import Domain, Flags
from bomsvc.core.logic.gates import Clause, negated
from bomsvc.core.logic.known import Entry, Known
from bomsvc.core.logic.standing import Lit
from bomsvc.core.logic.tree import StandingOption

Filed = Sequence[tuple[Clause, ...]]
"""Per engine on file that counts, what it says of the options asked about."""


def filed_of(
    engines: Sequence[Known], asked: Sequence[StandingOption], domain: Domain
) -> Filed:
    """Return what engines say of options, as clauses over the options' choices.

    An engine counts where all that is known of it is also possible for the engine
    asked about, and where it says something of the options: what is silent would
    agree with every case alike and only blur the others.

    Args:
        engines: What is known of each engine on file.
        asked: The options asked about.
        domain: What is possible for the engine asked about; exact.
    """
    return tuple(
        said
        for engine in engines
        if all(_possible(lit, domain) for lit in engine.assumptions)
        and (said := tuple(_said(engine, asked)))
    )


def weight_of(filed: Filed, core: Flags) -> int:
    """Return 1 and how many of the engines agree with a build's core values."""
    return 1 + sum(
        all(any(bool(core[abs(x)]) == (x > 0) for x in clause) for clause in said)
        for said in filed
    )


def _said(engine: Known, asked: Sequence[StandingOption]) -> Iterator[Clause]:
    """Yield what is said of the options' choices, by whatever answer.

    A serial's prefix says where the engine was built, and that an option is fitted
    says which choice it hangs from.
    """
    variables = {abs(lit) for option in asked for lit in option.choices.values()}
    options = {option.key: option for option in asked}
    for entry in engine.entries:
        yield from ((lit,) for lit in entry.lits if abs(lit) in variables)
        if entry.tells_activity and entry.key in options:
            yield from _activity(entry, options[entry.key])


def _activity(entry: Entry, option: StandingOption) -> Iterator[Clause]:
    """Yield (not) being there as the option's choices tell it."""
    choices = tuple(option.choices.values())
    if option.active not in entry.lits:
        yield from ((negated(lit),) for lit in choices if entry.lits)
    elif option.option.choose == "one":
        # Of an `any` option that is there, any choices or none may be.
        yield choices


def _possible(lit: Lit, domain: Domain) -> bool:
    """Return whether a choice is possible; conditions have no place in a case."""
    return abs(lit) >= len(domain.can_hold) or domain.may(lit)
