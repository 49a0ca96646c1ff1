"""What stands above a list: which engine, which jobs, what is known of it."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from bomsvc.exports.workbook import EPOCH


@dataclass(frozen=True, slots=True)
class Heading:
    """The facts a printed list is traced by.

    Attributes:
        family: The family's name and maker, as people write them.
        revision: Number of the revision.
        digest: Its SHA-256.
        serial: The engine's serial as typed or on file, or None.
        jobs: Labels of the jobs, or of what else was asked for.
        known: What is known of the build, one sentence each.
        waived: Factory rules set aside for this engine, one sentence each.
        made: When the list was made, UTC; `EPOCH` leaves the time out.
    """

    family: str
    revision: int
    digest: str
    serial: str | None = None
    jobs: tuple[str, ...] = ()
    known: tuple[str, ...] = ()
    waived: tuple[str, ...] = ()
    made: datetime = EPOCH

    @property
    def title(self) -> str:
        """The document's title."""
        engine = self.serial or self.family
        return f"Pick list {engine}"

    @property
    def engine(self) -> str:
        """The engine in one line."""
        return f"{self.family}, serial {self.serial}" if self.serial else self.family
