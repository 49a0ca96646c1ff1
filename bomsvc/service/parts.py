"""Use cases of parts, as published revisions know them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import groupby

from bomsvc.core.terms.words import part_identity, part_search_key
from bomsvc.service.agreement import name_key
from bomsvc.service.ports import UnitOfWork
from bomsvc.service.records import PublishedPart
from bomsvc.service.refusals import no_such

FIRST = ("", "")


@dataclass(frozen=True, slots=True)
class KnownPart:
    """One part and the families whose published revisions have it, in order."""

    entries: tuple[PublishedPart, ...]

    @property
    def first(self) -> PublishedPart:
        """The part as the first family writes it; the others agree."""
        return self.entries[0]

    @property
    def families(self) -> tuple[str, ...]:
        """Codes of the families that have it."""
        return tuple(entry.family for entry in self.entries)


def search_parts(
    uow: UnitOfWork, text: str, *, after: tuple[str, str] = FIRST, limit: int
) -> Sequence[KnownPart]:
    """Find parts by the beginning of the number, spelt loosely, or words of the name.

    Args:
        uow: The unit of work to look in.
        text: What was typed; empty finds every part.
        after: Identity and family of the last entry seen.
        limit: Most entries (part and family) to read.
    """
    found = uow.parts.search(
        key=part_search_key(text), name=name_key(text), after=after, limit=limit
    )
    groups = groupby(found, key=lambda part: part.identity)
    return [KnownPart(tuple(group)) for _identity, group in groups]


def get_part(uow: UnitOfWork, number: str) -> KnownPart:
    """Return a part by its number, in any spelling of the same identity.

    Raises:
        Missing: No published revision has it; offers one spelt nearly so.
    """
    entries = tuple(uow.parts.get(part_identity(number)))
    if entries:
        return KnownPart(entries)
    near = uow.parts.search(
        key=part_search_key(number), name=None, after=FIRST, limit=1
    )
    known = tuple(part.number for part in near)
    remedy = f"Did you mean {known[0]!r}?" if known else "Search with GET /parts?q=."
    raise no_such("part in a published revision", number, remedy=remedy)
