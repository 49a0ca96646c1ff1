"""One case of a job: the steps it can reach and what each of them asks for.

A *case* is one truth of the literals the work depends on. Each step's
requirements are lists of steps of which at least one is done: before it, for
`needs`; at any time, for `owed`.
"""

from __future__ import annotations

from dataclasses import dataclass

from bomsvc.core.logic.standing import Key, StandingStep
from bomsvc.core.work.values import PositionFreed, RenewReason, StepReason


@dataclass(frozen=True, slots=True)
class Requirement:
    """At least one of `ways` (step keys) is done, for the reason given."""

    reason: StepReason
    ways: tuple[Key, ...]


@dataclass(frozen=True, slots=True)
class CaseStep:
    """A step in this case: what it disturbs and what it asks for.

    `renews`: positions renewed because this step is done, with the reason.
    """

    standing: StandingStep
    freed: tuple[PositionFreed, ...]
    opens: tuple[Key, ...]
    loosens: tuple[tuple[Key, str], ...]
    renews: tuple[tuple[Key, RenewReason], ...]
    needs: tuple[Requirement, ...]
    owed: tuple[Requirement, ...]

    def requirements(self) -> tuple[Requirement, ...]:
        """Return needs, then what is owed."""
        return self.needs + self.owed


@dataclass(frozen=True, slots=True)
class Case:
    """The jobs' requirements and every step they can lead to.

    `renews`: positions the jobs renew, in job order, with the reason; `checks`:
    (position, job); `pins_absent`: pinned steps that do not exist.
    """

    roots: tuple[Requirement, ...]
    steps: dict[Key, CaseStep]
    renews: tuple[tuple[Key, RenewReason], ...]
    checks: tuple[tuple[Key, Key], ...]
    pins_absent: tuple[Key, ...]
