"""Refusals of a use case, as coded errors that each face renders its own way.

A refusal says what stands in the way and what would help; nothing was changed.
"""

from __future__ import annotations

from collections.abc import Mapping

from bomsvc.core.terms.problems import Problem
from bomsvc.core.terms.words import nearest


class Refusal(Exception):  # noqa: N818 - a refusal is an answer, not a failure
    """A request that is understood and not carried out.

    Attributes:
        code: Stable snake_case word for programs.
        detail: A full sentence.
        remedy: What would help, a full sentence, or None.
        problems: Places in the input this is about.
        extra: Further members of the reply, plain JSON values.
    """

    code = "refused"

    def __init__(
        self,
        detail: str,
        *,
        remedy: str | None = None,
        problems: tuple[Problem, ...] = (),
        extra: Mapping[str, object] | None = None,
    ) -> None:
        self.detail = detail
        self.remedy = remedy
        self.problems = problems
        self.extra = dict(extra or {})
        super().__init__(detail)


class Missing(Refusal):
    """There is no such thing (or it belongs to a branch that is not yours)."""

    code = "not_found"


class Conflict(Refusal):
    """The state of the thing does not allow this."""

    code = "conflict"


class Clashing(Refusal):
    """The answers contradict one another; `extra["clash"]` says how."""

    code = "answers_clash"


class Held(Refusal):
    """The proof holds the revision back; `extra["findings"]` says why."""

    code = "publishing_held"


class Stale(Refusal):
    """Someone else changed the thing since it was read."""

    code = "stale"


class MustNameVersion(Refusal):
    """The change must name the version it was made from."""

    code = "version_required"


class KeyReused(Refusal):
    """An idempotency key was used before with another body."""

    code = "key_reused"


class StillRunning(Refusal):
    """The first request with this idempotency key has not ended yet."""

    code = "still_running"


class NotSettled(Refusal):
    """The question was not settled within the budget."""

    code = "not_settled"


class Unavailable(Refusal):
    """The database cannot be reached or is busy; the same request may work soon."""

    code = "unavailable"


class Damaged(Refusal):
    """What is kept is not what was kept once: a fault of the database, not the caller.

    Nothing is answered from it.
    """

    code = "damaged"


class Full(Refusal):
    """There is no room left on the disk; nothing was changed."""

    code = "disk_full"


def no_such(
    what: str, word: str, *, known: tuple[str, ...] = (), remedy: str | None = None
) -> Missing:
    """Return a `Missing` that offers the nearest known word."""
    near = nearest(word, known)
    if near is not None:
        remedy = f"Did you mean {near!r}?"
    return Missing(f"There is no {what} {word!r}.", remedy=remedy)
