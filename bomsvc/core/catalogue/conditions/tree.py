"""What a condition says, as values. See the package for the language."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

Comparison = Literal["<", "<=", ">", ">=", "=", "!="]
Member = int | Literal["all", "any"] | None
"""A member of a series; None: no series, or the owner's own member."""


@dataclass(frozen=True, slots=True)
class Always:
    """Holds in every build."""


@dataclass(frozen=True, slots=True)
class Never:
    """Holds in no build."""


@dataclass(frozen=True, slots=True)
class Among:
    """The option has one of these choices: `o = c` (one), `o in (c, d)` (many).

    For a choose-any option: at least one of them is among the chosen.
    `o != c` is `Not(Among(o, (c,)))`; over a series see `unlike`.
    """

    option: str
    choices: tuple[str, ...]
    member: Member = None


@dataclass(frozen=True, slots=True)
class SerialIs:
    """The engine's serial number compares so with `number`."""

    comparison: Comparison
    number: int


@dataclass(frozen=True, slots=True)
class MemberIs:
    """The member of the owner's series compares so with `number`."""

    series: str
    comparison: Comparison
    number: int


@dataclass(frozen=True, slots=True)
class Not:
    """The term does not hold."""

    term: Condition


@dataclass(frozen=True, slots=True)
class And:
    """Two or more terms, in written order."""

    terms: tuple[Condition, ...]


@dataclass(frozen=True, slots=True)
class Or:
    """Two or more terms, in written order."""

    terms: tuple[Condition, ...]


Condition = Always | Never | Among | SerialIs | MemberIs | Not | And | Or

ALWAYS = Always()
NEVER = Never()


_OPPOSITE: dict[Member, Member] = {"any": "all", "all": "any"}


def unlike(option: str, choice: str, member: Member) -> Not:
    """Return `option[member] != choice`.

    The quantifier stays outermost, as an editor means it: some member is not
    `choice` exactly when not all are.
    """
    return Not(Among(option, (choice,), _OPPOSITE.get(member, member)))


def unlike_member(among: Among) -> Member:
    """Return the member that `unlike` was given for the term it negates."""
    return _OPPOSITE.get(among.member, among.member)
