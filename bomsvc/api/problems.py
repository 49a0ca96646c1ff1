"""Refusals and bad input as RFC 9457 problems; the only place that knows statuses."""

from __future__ import annotations

from collections.abc import Iterable

from werkzeug.exceptions import HTTPException

from bomsvc.api.operation import Reply
from bomsvc.core.terms.problems import BadInput, Problem, TooLarge
from bomsvc.service.refusals import (
    Clashing,
    Conflict,
    Damaged,
    Full,
    Held,
    KeyReused,
    Missing,
    MustNameVersion,
    NotSettled,
    Refusal,
    Stale,
    StillRunning,
    Unavailable,
)

PROBLEM_JSON = "application/problem+json"
TYPE_PREFIX = "urn:bomsvc:problem:"
RETRY_SECONDS = "2"

STATUSES: dict[type[Refusal], tuple[int, str]] = {
    Missing: (404, "Not found"),
    Conflict: (409, "The state does not allow this"),
    Clashing: (409, "The answers contradict one another"),
    Held: (409, "The proof holds the revision back"),
    StillRunning: (409, "The first request is still running"),
    Stale: (412, "Changed since it was read"),
    KeyReused: (422, "The idempotency key was used before"),
    NotSettled: (422, "Not settled within the budget"),
    MustNameVersion: (428, "The version must be named"),
    Damaged: (500, "What is kept is damaged"),
    Unavailable: (503, "Not available now"),
    Full: (507, "No room left"),
}

HTTP_CODES = {
    400: "bad_request",
    401: "unauthorised",
    403: "forbidden",
    404: "not_found",
    405: "method_not_allowed",
    406: "not_acceptable",
    411: "length_required",
    413: "too_large",
    415: "unsupported_media",
    429: "too_many_requests",
    500: "internal",
}


def problem(
    status: int,
    code: str,
    title: str,
    detail: str,
    *,
    headers: tuple[tuple[str, str], ...] = (),
    **more: object,
) -> Reply:
    """Return a problem as a reply; `more` are further members."""
    body: dict[str, object] = {
        "type": TYPE_PREFIX + code.replace("_", "-"),
        "title": title,
        "status": status,
        "detail": detail,
        **more,
    }
    return Reply(status, body, PROBLEM_JSON, headers)


def from_refusal(refusal: Refusal) -> Reply:
    """Return a use case's refusal as a problem."""
    status, title = STATUSES[type(refusal)]
    more: dict[str, object] = dict(refusal.extra)
    if refusal.remedy:
        more["remedy"] = refusal.remedy
    if refusal.problems:
        more["errors"] = errors_of(refusal.problems)
    headers = (
        (("Retry-After", RETRY_SECONDS),)
        if isinstance(refusal, Unavailable | StillRunning)
        else ()
    )
    return problem(status, refusal.code, title, refusal.detail, headers=headers, **more)


def from_bad_input(error: BadInput) -> Reply:
    """Return bad input as a problem, every place at once."""
    errors = errors_of(error.problems)
    detail = error.problems[0].detail if error.problems else "The input is not usable."
    if isinstance(error, TooLarge):
        return problem(413, "too_large", "Too large", detail, errors=errors)
    count = len(errors)
    if count > 1:
        detail = f"{count} problems; the first: {detail}"
    return problem(400, "bad_input", "Bad input", detail, errors=errors)


def from_http(error: HTTPException) -> Reply:
    """Return what the web framework refuses as a problem."""
    status = error.code or 500
    code = HTTP_CODES.get(status, "refused")
    headers = tuple(
        (name, value)
        for name, value in error.get_headers()
        if name in ("Allow", "Retry-After", "WWW-Authenticate")
    )
    detail = error.description or error.name
    return problem(status, code, error.name, detail, headers=headers)


def errors_of(problems: Iterable[Problem]) -> list[dict[str, object]]:
    """Return problems as the members of `errors`."""
    return [_error(item) for item in problems]


def _error(item: Problem) -> dict[str, object]:
    error: dict[str, object] = {
        "pointer": item.pointer,
        "detail": item.detail,
        "code": item.code,
    }
    for name in ("line", "column", "remedy"):
        value = getattr(item, name)
        if value is not None:
            error[name] = value
    return error
