"""What the service keeps, as frozen values; repositories translate rows to these.

Times are RFC 3339 text (see `times`). `tag` is the strong version tag of a record,
the text between the quotes of its ETag.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal

State = Literal["draft", "proven", "published", "replaced"]
EDITABLE: tuple[State, ...] = ("draft", "proven")


@dataclass(frozen=True, slots=True)
class RevisionHead:
    """A revision without its document."""

    family: str
    number: int
    state: State
    digest: str
    name: str
    maker: str | None
    note: str | None
    version: int
    created_at: str
    created_by: str
    changed_at: str
    changed_by: str
    published_at: str | None = None
    published_by: str | None = None
    accepted_warnings: str | None = None

    @property
    def tag(self) -> str:
        """Names number, version and content: a published one never changes."""
        return f"{self.family}.{self.number}-v{self.version}-{self.digest[:16]}"


@dataclass(frozen=True, slots=True)
class FamilyHead:
    """A family: `published` is its published revision, `newest` its latest."""

    code: str
    newest: RevisionHead
    published: RevisionHead | None


@dataclass(frozen=True, slots=True)
class EngineOnFile:
    """One engine of a customer, as it is known.

    `answers` are in the forms of a request and do not repeat the serial;
    `deviations` are free items per joint and hole (inserts, oversize), printed on
    its joint sheets.
    """

    family: str
    serial: str
    serial_number: int
    answers: Mapping[str, object] = field(default_factory=dict)
    sources: Mapping[str, str] = field(default_factory=dict)
    waived: tuple[str, ...] = ()
    deviations: tuple[Mapping[str, object], ...] = ()
    plate_text: str | None = None
    unit_number: str | None = None
    notes: str | None = None
    version: int = 1
    created_at: str = ""
    created_by: str = ""
    changed_at: str = ""
    changed_by: str = ""

    @property
    def tag(self) -> str:
        """Names the engine as stamped, as letters tell engines apart, and version."""
        return f"{self.family}.{self.serial}-v{self.version}"


@dataclass(frozen=True, slots=True)
class TokenRecord:
    """An access token without its secret, which nobody keeps."""

    id: int
    name: str
    roles: tuple[str, ...]
    scope: tuple[str, ...] | None
    branch: str | None
    created_at: str
    created_by: str
    expires_at: str
    revoked_at: str | None = None
    revoked_by: str | None = None


@dataclass(frozen=True, slots=True)
class LogEntry:
    """One row of the log; order is by `seq`."""

    seq: int
    at: str
    who: str
    action: str
    kind: str
    subject: str
    detail: Mapping[str, object]
    request_id: str | None = None


@dataclass(frozen=True, slots=True)
class StoredReply:
    """A reply kept for its idempotency key."""

    status: int
    headers: tuple[tuple[str, str], ...]
    body: bytes


@dataclass(frozen=True, slots=True)
class KeptProof:
    """The last report of a proof; `report` is its JSON, as REST sends it."""

    digest: str
    report: bytes
    made_at: str
    made_by: str


@dataclass(frozen=True, slots=True)
class PublishedPart:
    """What a family's published revision says of a part; `data` as JSON text."""

    family: str
    identity: str
    search_key: str
    number: str
    name: str
    name_key: str
    kind: str
    data: str
