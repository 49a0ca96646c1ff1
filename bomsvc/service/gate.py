"""The gate before publishing: findings about a revision, by severity.

Faults hold a revision back; warnings need a reason given. `StructuralGate` asks
what can be asked without a proof: that a valid build exists at all. The proof over
every build takes its place behind the same port and answers from its kept report.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import asdict, dataclass
from typing import Literal, Protocol

from bomsvc.core.catalogue import Catalogue
from bomsvc.core.logic.known import NOTHING
from bomsvc.service.ports import UnitOfWork
from bomsvc.service.reasoners import Reasoners
from bomsvc.service.records import RevisionHead


@dataclass(frozen=True, slots=True)
class Finding:
    """One thing the proof says; `build` is a build that shows it."""

    code: str
    severity: Literal["fault", "warning", "note"]
    at: str
    pointer: str
    detail: str
    build: Mapping[str, object] | None = None
    shown: str | None = None

    def as_dict(self) -> dict[str, object]:
        """Return the finding in the shape of the proof report."""
        return asdict(self)


class ProofGate(Protocol):
    """Says what stands against publishing a revision."""

    def findings(
        self, uow: UnitOfWork, head: RevisionHead, catalogue: Catalogue
    ) -> Sequence[Finding]:
        """Return the findings, in document order; a revision not proven is a fault."""


class StructuralGate:
    """Lets pass every readable document that at least one build satisfies."""

    def __init__(self, reasoners: Reasoners) -> None:
        self._reasoners = reasoners

    def findings(
        self, uow: UnitOfWork, head: RevisionHead, catalogue: Catalogue
    ) -> Sequence[Finding]:
        """Return a fault where no build satisfies the options and rules."""
        del uow
        reasoner = self._reasoners.compiled_for(head.digest, lambda: catalogue)
        if reasoner.consistent(NOTHING):
            return ()
        detail = "No build satisfies the options and rules of this revision together."
        return (Finding("no_valid_build", "fault", head.family, "/rules", detail),)
