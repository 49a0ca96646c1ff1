"""Use cases of access tokens: made, listed, revoked, recognised.

A secret is 32 random bytes, shown once; the database keeps its SHA-256. That needs
no salt or slow hash: nobody can guess 256 random bits.
"""

from __future__ import annotations

import hashlib
import secrets
import threading
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from bomsvc.core.terms.problems import BadInput, Problem
from bomsvc.core.terms.words import CODE, nearest
from bomsvc.service.desk import Acting, Desk, enter
from bomsvc.service.permissions import ROLES, Permission, Principal, permissions_of
from bomsvc.service.ports import UnitOfWork
from bomsvc.service.records import TokenRecord
from bomsvc.service.refusals import Missing
from bomsvc.service.times import moment_of, rfc3339

PREFIX = "bomsvc_"
SECRET_BYTES = 32
LONGEST = timedelta(days=366)
USUAL = timedelta(days=365)
KEPT_SECONDS = 2.0
"""How long another process may still honour a token revoked here."""
KEPT_TOKENS = 1_024


@dataclass(frozen=True, slots=True)
class TokenWish:
    """What a token is asked to be; `expires_at` None: in a year."""

    name: str
    roles: tuple[str, ...]
    branch: str | None = None
    scope: tuple[str, ...] | None = None
    expires_at: str | None = None


def create_token(
    desk: Desk, uow: UnitOfWork, acting: Acting, wish: TokenWish
) -> tuple[TokenRecord, str]:
    """Make a token and return it with its secret, which is never shown again.

    Raises:
        BadInput: No name, an unknown or repeated role or permission, an unknown branch
            code, or a time not ahead of us or more than a year away.
    """
    expires = _expiry(desk.clock(), wish)
    _refuse_bad(wish)
    secret = PREFIX + secrets.token_urlsafe(SECRET_BYTES)
    token = TokenRecord(
        id=0,
        name=wish.name,
        roles=wish.roles,
        scope=wish.scope,
        branch=wish.branch,
        created_at=desk.now(),
        created_by=acting.who,
        expires_at=rfc3339(expires),
    )
    kept = uow.tokens.add(token, hash_of(secret))
    detail: dict[str, object] = {
        "roles": kept.roles,
        "branch": kept.branch,
        "expires_at": kept.expires_at,
    }
    _enter(desk, uow, acting, "create", kept, detail)
    return kept, secret


def get_token(uow: UnitOfWork, token_id: int) -> TokenRecord:
    """Return a token.

    Raises:
        Missing: There is none with this id.
    """
    token = uow.tokens.get(token_id)
    if token is None:
        raise Missing(
            f"There is no token {token_id}.", remedy="See the list of tokens."
        )
    return token


def list_tokens(uow: UnitOfWork, *, after: int, limit: int) -> Sequence[TokenRecord]:
    """Return tokens in the order they were made, those after `after`."""
    return uow.tokens.listed(after=after, limit=limit)


def revoke_token(
    desk: Desk, uow: UnitOfWork, acting: Acting, token_id: int
) -> TokenRecord:
    """Revoke a token; revoking it again changes nothing.

    Raises:
        Missing: There is none with this id.
    """
    token = get_token(uow, token_id)
    if token.revoked_at is None:
        uow.tokens.revoke(token_id, at=desk.now(), who=acting.who)
        _enter(desk, uow, acting, "revoke", token, {})
    return get_token(uow, token_id)


def hash_of(secret: str) -> str:
    """Return the SHA-256 of a secret, in hex."""
    return hashlib.sha256(secret.encode()).hexdigest()


def principal_of(token: TokenRecord) -> Principal:
    """Return whom a good token stands for."""
    return Principal(
        name=f"token:{token.id} ({token.name})",
        key=f"token:{token.id}",
        roles=token.roles,
        permissions=permissions_of(token.roles, token.scope),
        branch=token.branch,
    )


class Doorkeeper:
    """Recognises secrets; keeps what it recognised for `KEPT_SECONDS`.

    A token revoked through this process is forgotten at once.
    """

    def __init__(self, desk: Desk) -> None:
        self._desk = desk
        self._guard = threading.Lock()
        self._seen: dict[str, tuple[TokenRecord, datetime]] = {}

    def recognise(self, secret: str) -> Principal | None:
        """Return whom `secret` stands for; None where it is not, or no longer, good."""
        now = self._desk.clock()
        token = self._recent(hash_of(secret), now)
        if token is None or token.revoked_at is not None:
            return None
        if token.expires_at <= rfc3339(now):
            return None
        return principal_of(token)

    def forget(self) -> None:
        """Forget everything recognised, after a token was revoked."""
        with self._guard:
            self._seen.clear()

    def _recent(self, hashed: str, now: datetime) -> TokenRecord | None:
        with self._guard:
            kept = self._seen.get(hashed)
        # A clock that jumps back makes the entry look young; the bounds are both ways.
        if kept and abs((now - kept[1]).total_seconds()) <= KEPT_SECONDS:
            return kept[0]
        return self._look_up(hashed, now)

    def _look_up(self, hashed: str, now: datetime) -> TokenRecord | None:
        with self._desk.store.read() as uow:
            token = uow.tokens.by_secret(hashed)
        if token is not None:
            with self._guard:
                if len(self._seen) >= KEPT_TOKENS:
                    self._seen.clear()
                self._seen[hashed] = (token, now)
        return token


def _refuse_bad(wish: TokenWish) -> None:
    problems = [
        *_unknown("/roles", wish.roles, tuple(ROLES), "role"),
        *_unknown("/scope", wish.scope or (), tuple(Permission), "permission"),
    ]
    problems += [*_twice("/roles", wish.roles), *_twice("/scope", wish.scope or ())]
    if not wish.name.strip():
        detail = "A token needs a name; the log tells by it who did what."
        remedy = "Name the place or person it is for."
        problems.append(Problem("/name", detail, "required", remedy=remedy))
    if not wish.roles:
        detail = "A token needs at least one role."
        problems.append(Problem("/roles", detail, "required", remedy=", ".join(ROLES)))
    if wish.branch is not None and not CODE.match(wish.branch):
        detail = f"'{wish.branch}' is not a branch code."
        remedy = "Write it as harbour_road: small letters, digits, underscores."
        problems.append(Problem("/branch", detail, "code", remedy=remedy))
    if problems:
        raise BadInput(problems)


def _unknown(
    pointer: str, words: Sequence[str], known: Sequence[str], what: str
) -> list[Problem]:
    return [
        Problem(
            f"{pointer}/{index}",
            f"There is no {what} {word!r}; there are {', '.join(known)}.",
            "unknown_word",
            remedy=nearest(word, known),
        )
        for index, word in enumerate(words)
        if word not in known
    ]


def _twice(pointer: str, words: Sequence[str]) -> list[Problem]:
    first: dict[str, int] = {}
    return [
        Problem(f"{pointer}/{index}", f"{word!r} is named twice.", "twice")
        for index, word in enumerate(words)
        if first.setdefault(word, index) != index
    ]


def _expiry(now: datetime, wish: TokenWish) -> datetime:
    if wish.expires_at is None:
        return now + USUAL
    moment = moment_of(wish.expires_at, pointer="/expires_at")
    if now < moment <= now + LONGEST:
        return moment
    detail = "A token expires at a time ahead, within a year."
    remedy = f"At the latest {rfc3339(now + LONGEST)}."
    raise BadInput([Problem("/expires_at", detail, "range", remedy=remedy)])


def _enter(
    desk: Desk,
    uow: UnitOfWork,
    acting: Acting,
    action: str,
    token: TokenRecord,
    detail: dict[str, object],
) -> None:
    detail = {"name": token.name, **detail}
    subject = str(token.id)
    enter(
        desk, uow, acting, action=action, kind="token", subject=subject, detail=detail
    )
