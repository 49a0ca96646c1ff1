"""References to items of the document, and words that several entities share."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

Material = Literal["steel", "grey_iron", "ductile_iron", "aluminium"]
ThreadState = Literal["dry", "oiled", "sealant", "locking", "patch"]


@dataclass(frozen=True, slots=True)
class Ref:
    """A reference to an item that may stand once per member of a series.

    `member` is the member written in brackets, or None: then it means the same
    member when owner and item share `each`, else all members.
    """

    code: str
    member: int | None = None

    def __str__(self) -> str:
        return self.code if self.member is None else f"{self.code}[{self.member}]"


@dataclass(frozen=True, slots=True)
class GroupRef:
    """`joint.group` or `joint[3].group`, as `loosens` names it."""

    joint: Ref
    group: str
