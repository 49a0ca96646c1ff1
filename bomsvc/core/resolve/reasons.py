"""Why a part is where it is: conditions in canonical text, and the answers read."""

from __future__ import annotations

from collections.abc import Iterator

from bomsvc.core.catalogue.conditions import (
    Among,
    And,
    Condition,
    Not,
    Or,
    SerialIs,
    print_condition,
)
from bomsvc.core.catalogue.entities import Ref
from bomsvc.core.logic.compiled import Compiled
from bomsvc.core.logic.known import Known
from bomsvc.core.logic.naming import Owner
from bomsvc.core.logic.standing import Key, StandingFitment, StandingPosition
from bomsvc.core.resolve.lines import Reason

SERIAL: Key = "serial"


def condition_of(position: StandingPosition, fitment: StandingFitment) -> Condition:
    """What puts the part there: its own condition, else the position's."""
    own = fitment.fitment.when
    return position.position.exists if own is None else own


def fitted_reason(compiled: Compiled, known: Known, fitment: StandingFitment) -> Reason:
    """The reason a fitment gives: its condition, and the given answers it reads."""
    position = compiled.standing.positions[fitment.position]
    condition = condition_of(position, fitment)
    owner = Owner(position.position.each, position.member)
    read = set(options_read(compiled, condition, owner))
    given = dict.fromkeys(e.key for e in known.entries if e.key in read)
    return Reason(
        position=position.key, when=print_condition(condition), given=tuple(given)
    )


def options_read(
    compiled: Compiled, condition: Condition, owner: Owner
) -> Iterator[Key]:
    """The options a condition reads, as keys seen from its owner."""
    match condition:
        case Among(option, _, member):
            ref = Ref(option, member if isinstance(member, int) else None)
            seen_from = owner if member is None else Owner()
            yield from compiled.names.options.keys(ref, seen_from)
        case SerialIs():
            yield SERIAL
        case Not(term):
            yield from options_read(compiled, term, owner)
        case And(terms) | Or(terms):
            for term in terms:
                yield from options_read(compiled, term, owner)
        case _:
            return
