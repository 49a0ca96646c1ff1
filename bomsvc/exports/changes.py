"""Files the changes between two revisions can be had as: one line per format."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any, cast

from bomsvc.exports.formats import XLSX, Format

Record = Mapping[str, Any]


@dataclass(frozen=True, slots=True)
class ChangesPaper:
    """The changes as the reply has them, and the family's name.

    Attributes:
        name: The family's name, as people write it.
        shape: The reply.
    """

    name: str
    shape: Mapping[str, object]

    @property
    def title(self) -> str:
        """Which family, from which revision to which."""
        since, revision = self._named("since"), self._named("revision")
        return f"{self.name}, from revision {since} to revision {revision}"

    @property
    def digests(self) -> tuple[str, str]:
        """The digests of the earlier and the later revision."""
        before = cast("Record", self.shape["since"])
        after = cast("Record", self.shape["revision"])
        return before["digest"], after["digest"]

    def records(self, name: str) -> list[Record]:
        """Return a list of the reply: places, builds, engines."""
        return cast("list[Record]", self.shape[name])

    def document(self) -> Iterator[tuple[str, str, str, str]]:
        """Yield (list, what happened, to what, which fields) of the document."""
        for name, change in cast("Record", self.shape["document"]).items():
            for what in ("added", "removed"):
                for at in change[what]:
                    yield name, what, at, ""
            for edited in change["edited"]:
                yield name, "edited", edited["at"], ", ".join(edited["fields"])

    def _named(self, which: str) -> int:
        return int(cast("Record", self.shape[which])["number"])


def changes_workbook(paper: ChangesPaper) -> bytes:
    """Return the changes as a workbook; the same changes, the same bytes."""
    from bomsvc.exports.changed import render_changes

    return render_changes(paper)


CHANGES_FORMATS = (Format(".xlsx", XLSX, changes_workbook),)
