"""Identify: what every choice can still be."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

from bomsvc.core.logic.clash import Clash
from bomsvc.core.logic.compiled import Compiled
from bomsvc.core.logic.domains import Domain
from bomsvc.core.logic.known import Known
from bomsvc.core.logic.reasons import Reason
from bomsvc.core.logic.standing import Key, Lit
from bomsvc.core.logic.tree import StandingOption

ChoiceState = Literal["chosen", "follows", "open", "excluded"]
Activity = Literal["yes", "no", "open"]


@dataclass(frozen=True, slots=True)
class IdentifiedChoice:
    """`state` None: the answers clash. `why`: filled where it was asked for."""

    code: str
    state: ChoiceState | None
    why: tuple[Reason, ...] = ()


@dataclass(frozen=True, slots=True)
class IdentifiedOption:
    """One option with its choices, in document order; `active` None on a clash."""

    option: StandingOption
    active: Activity | None
    choices: tuple[IdentifiedChoice, ...]


@dataclass(frozen=True, slots=True)
class Identified:
    """What the answers tell of the build; `clash` is set when they contradict."""

    consistent: bool
    options: tuple[IdentifiedOption, ...]
    builds_left: int | None
    clash: Clash | None = None


Whys = Mapping[tuple[Key, str], tuple[Reason, ...]]


def all_options(
    compiled: Compiled, domain: Domain | None, known: Known, whys: Whys
) -> tuple[IdentifiedOption, ...]:
    """Return every option with the state of its choices; None states on a clash."""
    stated = known.stated
    return tuple(
        IdentifiedOption(
            option,
            None if domain is None else _activity(domain, option.active),
            tuple(
                IdentifiedChoice(
                    code,
                    None if domain is None else choice_state(domain, stated, lit),
                    whys.get((key, code), ()),
                )
                for code, lit in option.choices.items()
            ),
        )
        for key, option in compiled.options.items()
    )


def choice_state(domain: Domain, stated: frozenset[Lit], lit: Lit) -> ChoiceState:
    """Return a choice's state; stated and possible is chosen."""
    if not domain.may(lit):
        return "excluded"
    if domain.may(-lit):
        return "open"
    return "chosen" if lit in stated else "follows"


def _activity(domain: Domain, active: Lit) -> Activity:
    if not domain.may(active):
        return "no"
    return "open" if domain.may(-active) else "yes"
