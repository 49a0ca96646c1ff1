"""What every use case has at hand: the store, the clock, the reasoners, the gate.

`Desk` is made once by the composition root. `Acting` says who does it and in which
request, for the log.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from bomsvc.service.answered import Answered
from bomsvc.service.compared import Comparisons
from bomsvc.service.gate import ProofGate
from bomsvc.service.permissions import Principal
from bomsvc.service.ports import Store, UnitOfWork
from bomsvc.service.reasoners import Reasoners
from bomsvc.service.tasks import Tasks
from bomsvc.service.times import Clock, rfc3339


@dataclass(frozen=True, slots=True)
class Acting:
    """Who acts, and the id of the request they act in."""

    principal: Principal
    request_id: str | None = None

    @property
    def who(self) -> str:
        """The name the log records."""
        return self.principal.name


@dataclass(frozen=True, slots=True)
class Desk:
    """The ports of the use cases.

    `second_person`: whoever changed a draft last may not publish it.
    """

    store: Store
    clock: Clock
    reasoners: Reasoners
    gate: ProofGate
    answered: Answered = field(default_factory=Answered)
    second_person: bool = False
    tasks: Tasks = field(default_factory=Tasks)
    comparisons: Comparisons = field(default_factory=Comparisons)

    def now(self) -> str:
        """Return the present time as kept text."""
        return rfc3339(self.clock())


@dataclass(frozen=True, slots=True)
class Expected:
    """The versions a change may be made from: `tags`, or any where `any_version`."""

    tags: frozenset[str] = field(default_factory=frozenset)
    any_version: bool = False

    def admits(self, tag: str) -> bool:
        """Tell whether a record with this tag is one of those expected."""
        return self.any_version or tag in self.tags


ANY_VERSION = Expected(any_version=True)


def enter(
    desk: Desk,
    uow: UnitOfWork,
    acting: Acting,
    *,
    action: str,
    kind: str,
    subject: str,
    detail: Mapping[str, object] | None = None,
) -> None:
    """Write the log entry of what is done in this unit of work."""
    uow.log.add(
        at=desk.now(),
        who=acting.who,
        action=action,
        kind=kind,
        subject=subject,
        detail=detail or {},
        request_id=acting.request_id,
    )
