"""What the service needs from outside, as Protocols; `bomsvc.db` implements them.

A unit of work is one transaction: it is undone unless `commit` was called. What a
use case does, its log entry and the record of its idempotency key are written
through the same unit, so that they exist together or not at all.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from contextlib import AbstractContextManager
from typing import Protocol

from bomsvc.service.records import (
    EngineOnFile,
    FamilyHead,
    KeptProof,
    LogEntry,
    PublishedPart,
    RevisionHead,
    StoredReply,
    TokenRecord,
)


class Revisions(Protocol):
    """Families and their revisions."""

    def families(self, *, after: str, limit: int) -> Sequence[FamilyHead]:
        """Return families in code order, those after `after`."""

    def family(self, code: str) -> FamilyHead | None:
        """Return one family, or None."""

    def family_codes(self) -> tuple[str, ...]:
        """Return every family's code, in order."""

    def lock_family(self, code: str, at: str) -> None:
        """Make the family where it is new, and hold it until the transaction ends."""

    def next_number(self, family: str) -> int:
        """Give out the family's next revision number, never given before."""

    def listed(self, family: str, *, after: int, limit: int) -> Sequence[RevisionHead]:
        """Return revisions newest first, those with numbers below `after`."""

    def get(self, family: str, number: int) -> RevisionHead | None:
        """Return one revision, or None."""

    def published(self, family: str) -> RevisionHead | None:
        """Return the family's published revision, or None."""

    def with_digest(self, family: str, digest: str) -> RevisionHead | None:
        """Return the newest revision of this content that is not replaced."""

    def document(self, family: str, number: int) -> bytes:
        """Return the canonical document of a revision that exists."""

    def add(self, head: RevisionHead, document: bytes) -> None:
        """Keep a new draft."""

    def replace(self, head: RevisionHead, document: bytes) -> None:
        """Keep a draft's new document and version."""

    def mark(self, head: RevisionHead) -> None:
        """Keep the state, version and who and when of `head`."""

    def delete(self, family: str, number: int) -> None:
        """Delete a draft."""


class Parts(Protocol):
    """What published revisions say of parts."""

    def replace(self, family: str, parts: Iterable[PublishedPart]) -> None:
        """Keep these as the family's parts, instead of those before."""

    def elsewhere(
        self, family: str, identities: Sequence[str]
    ) -> Sequence[PublishedPart]:
        """Return these parts as other families' published revisions know them."""

    def get(self, identity: str) -> Sequence[PublishedPart]:
        """Return one part as each family knows it, in family order."""

    def search(
        self, *, key: str, name: str | None, after: tuple[str, str], limit: int
    ) -> Sequence[PublishedPart]:
        """Return parts whose search key starts with `key` or whose name has `name`.

        An empty `key` finds none by number, `name` None none by name. In order of
        (identity, family), those after `after`.
        """


class Engines(Protocol):
    """Engines on file."""

    def listed(
        self, *, family: str | None, after: int, limit: int
    ) -> Sequence[tuple[int, EngineOnFile]]:
        """Return engines with their keys of order, those after `after`."""

    def find(self, serial: str, family: str | None) -> Sequence[EngineOnFile]:
        """Return engines with this serial as stamped, or with this number."""

    def add(self, engine: EngineOnFile) -> bool:
        """Keep a new engine; False where the family has that serial already."""

    def replace(self, engine: EngineOnFile) -> None:
        """Keep what is now known of an engine."""


class Tokens(Protocol):
    """Access tokens; only the hash of a secret is kept."""

    def add(self, token: TokenRecord, secret_sha256: str) -> TokenRecord:
        """Keep a new token and return it with its id."""

    def by_secret(self, secret_sha256: str) -> TokenRecord | None:
        """Return the token with this secret's hash, or None."""

    def get(self, token_id: int) -> TokenRecord | None:
        """Return one token, or None."""

    def listed(self, *, after: int, limit: int) -> Sequence[TokenRecord]:
        """Return tokens in the order they were made, those after `after`."""

    def revoke(self, token_id: int, *, at: str, who: str) -> None:
        """Keep that the token is no longer good."""


class Replies(Protocol):
    """Replies kept for their idempotency keys."""

    def claim(
        self, *, principal: str, operation: str, key: str, fingerprint: str, at: str
    ) -> StoredReply | None:
        """Take the key for this request, or return the reply it had before.

        Waits while another request with this key is under way.

        Raises:
            KeyReused: The key was used with another body.
            StillRunning: The other request did not end in time.
        """

    def keep(
        self, *, principal: str, operation: str, key: str, reply: StoredReply
    ) -> None:
        """Keep the reply of a claimed key."""

    def forget_before(self, at: str) -> None:
        """Drop records older than `at`."""


class Proofs(Protocol):
    """Reports of proofs, by the digest of what was proven."""

    def get(self, digest: str) -> KeptProof | None:
        """Return the last report, or None."""

    def keep(self, proof: KeptProof) -> None:
        """Keep a report in place of the one before."""


class Log(Protocol):
    """The log of who did what, written with what it tells of."""

    def add(
        self,
        *,
        at: str,
        who: str,
        action: str,
        kind: str,
        subject: str,
        detail: object,
        request_id: str | None,
    ) -> None:
        """Write one entry."""

    def listed(
        self,
        *,
        after: int,
        limit: int,
        kind: str | None = None,
        subject: str | None = None,
    ) -> Sequence[LogEntry]:
        """Return entries newest first, those with `seq` below `after`."""


class UnitOfWork(Protocol):
    """One transaction and what can be reached in it."""

    @property
    def revisions(self) -> Revisions:
        """Families and their revisions."""

    @property
    def parts(self) -> Parts:
        """What published revisions say of parts."""

    @property
    def engines(self) -> Engines:
        """Engines on file."""

    @property
    def tokens(self) -> Tokens:
        """Access tokens."""

    @property
    def proofs(self) -> Proofs:
        """Reports of proofs."""

    @property
    def replies(self) -> Replies:
        """Replies kept for their idempotency keys."""

    @property
    def log(self) -> Log:
        """The log."""

    def hold(self, what: str) -> None:
        """Let no other transaction pass the same `hold` until this one ends."""

    def savepoint(self) -> AbstractContextManager[None]:
        """Undo what was done inside when it raises, and only that."""

    def commit(self) -> None:
        """Make everything done in this unit lasting."""


class Store(Protocol):
    """Opens units of work.

    Raises (both): `Unavailable` or `Full` where the database cannot serve.
    """

    def read(self) -> AbstractContextManager[UnitOfWork]:
        """Open a unit that sees one unchanging state and writes nothing."""

    def write(self) -> AbstractContextManager[UnitOfWork]:
        """Open a unit that may write."""

    def ready(self) -> str | None:
        """Return what is wrong with the database in a sentence, or None."""
