"""Who may do what: permissions, the roles that hold them, and a principal.

A person may hold several roles. Publishing is its own right: an editor drafts,
a publisher publishes. The admin of a small shop holds every right; whoever wants
two pairs of eyes sets BOMSVC_SECOND_PERSON.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from enum import StrEnum
from types import MappingProxyType


class Permission(StrEnum):
    """One thing a route may require. Values are stored in tokens: never reuse one."""

    CATALOGUE_READ = "catalogue.read"
    CATALOGUE_DRAFT = "catalogue.draft"
    CATALOGUE_PUBLISH = "catalogue.publish"
    BUILD_RESOLVE = "build.resolve"
    PART_READ = "part.read"
    FASTENER_SIZE = "fastener.size"
    ENGINE_READ = "engine.read"
    ENGINE_WRITE = "engine.write"
    TOKEN_READ = "token.read"  # noqa: S105
    TOKEN_WRITE = "token.write"  # noqa: S105
    LOG_READ = "log.read"


_LOOK = frozenset(
    {
        Permission.CATALOGUE_READ,
        Permission.BUILD_RESOLVE,
        Permission.PART_READ,
        Permission.FASTENER_SIZE,
        Permission.ENGINE_READ,
    }
)

ROLES = MappingProxyType(
    {
        "counter": _LOOK | {Permission.ENGINE_WRITE},
        "writer": _LOOK | {Permission.ENGINE_WRITE},
        "buyer": _LOOK,
        "workshop": _LOOK,
        "editor": _LOOK | {Permission.CATALOGUE_DRAFT},
        "publisher": _LOOK | {Permission.CATALOGUE_PUBLISH},
        "admin": frozenset(Permission),
    }
)
"""Role names with their permissions, in the order they are offered."""


@dataclass(frozen=True, slots=True)
class Principal:
    """Who acts: a token's holder, or the person at this machine's command line.

    Attributes:
        name: As the log records it, e.g. "token:3 (Harbour Road counter)".
        key: Stable identity for idempotency and rate limits.
        roles: Role names.
        permissions: What the roles allow, narrowed by the token's scope.
        branch: The branch acted for; None: all.
    """

    name: str
    key: str
    roles: tuple[str, ...]
    permissions: frozenset[Permission]
    branch: str | None = None

    def may(self, permission: Permission) -> bool:
        """Tell whether this principal holds `permission`."""
        return permission in self.permissions


def permissions_of(
    roles: Iterable[str], scope: Iterable[str] | None = None
) -> frozenset[Permission]:
    """Return what `roles` allow together, narrowed to `scope` where it is given."""
    allowed: frozenset[Permission] = frozenset()
    for role in roles:
        allowed |= ROLES.get(role, frozenset())
    return allowed if scope is None else allowed & frozenset(scope)


def local_principal(user: str) -> Principal:
    """Return the person at this machine: whoever can read the files may do all."""
    name = f"local:{user}"
    return Principal(
        name=name, key=name, roles=("admin",), permissions=frozenset(Permission)
    )
