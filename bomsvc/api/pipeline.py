"""From a request to its answer: one way for every operation.

Limits first, then who asks and whether they may, then the input, then the work.
What a write does, its log entry and the record of its idempotency key are committed
together; the reply is sent after.
"""

from __future__ import annotations

import hashlib
from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import timedelta
from typing import Any

from flask import Request, Response, g, request
from werkzeug.exceptions import HTTPException, NotAcceptable
from werkzeug.http import dump_options_header

from bomsvc.api.conditions import none_match, quoted, read_if_match, tag_of
from bomsvc.api.limits import Buckets, Verdict
from bomsvc.api.operation import JSON, Call, Operation, Reply
from bomsvc.api.problems import from_bad_input, from_http, from_refusal, problem
from bomsvc.api.reading import (
    bearer_of,
    body_media,
    checked_body,
    checked_query,
    idempotency_key,
    read_body,
)
from bomsvc.core.terms.problems import BadInput
from bomsvc.service.desk import Acting, Desk, Expected
from bomsvc.service.json_bytes import encode_json
from bomsvc.service.permissions import Principal
from bomsvc.service.ports import UnitOfWork
from bomsvc.service.records import StoredReply
from bomsvc.service.refusals import (
    Damaged,
    Full,
    MustNameVersion,
    Refusal,
    Unavailable,
)
from bomsvc.service.times import rfc3339
from bomsvc.service.tokens import Doorkeeper

KEPT = timedelta(days=30)
"""How long a reply is kept for its idempotency key."""
NOT_MODIFIED = 304
SERVER_ERROR = 500
CHALLENGE = 'Bearer realm="bomsvc"'


@dataclass(frozen=True, slots=True)
class Counter:
    """What every operation is answered with.

    Sizes in bytes. `callers` are buckets of recognised tokens, `strangers` of
    addresses that showed no good one.
    """

    desk: Desk
    doorkeeper: Doorkeeper
    callers: Buckets
    strangers: Buckets
    max_body_bytes: int
    max_document_bytes: int


View = Callable[..., Response]


def view_of(counter: Counter, operation: Operation) -> View:
    """Return the view function of an operation."""

    def view(**path: str | int) -> Response:
        g.operation = operation.operation_id
        return to_response(_answer(counter, operation, path))

    view.__name__ = operation.operation_id
    view.__doc__ = operation.summary
    return view


def _answer(counter: Counter, operation: Operation, path: dict[str, Any]) -> Reply:
    refused, principal, verdict = _admit(counter, operation)
    if refused is not None:
        return _with_headers(refused, verdict.headers())
    assert principal is not None, "whoever is not refused is known"
    g.who = principal.key
    reply = answered(lambda: _work(counter, operation, path, principal))
    if reply.forget_tokens:
        counter.doorkeeper.forget()
    return _with_headers(reply, verdict.headers())


def answered(work: Callable[[], Reply]) -> Reply:
    """Return what `work` answers, its refusals as problems."""
    try:
        return work()
    except Refusal as refusal:
        return from_refusal(refusal)
    except BadInput as bad:
        return from_bad_input(bad)
    except HTTPException as error:
        return from_http(error)


def _admit(
    counter: Counter, operation: Operation
) -> tuple[Reply | None, Principal | None, Verdict]:
    """Say who asks, or what they are refused with."""
    address = request.remote_addr or "unknown"
    secret = bearer_of(request)
    # Whoever shows a good token is not held up by strangers at the same address.
    principal = counter.doorkeeper.recognise(secret) if secret else None
    if principal is None:
        return _stranger(counter, address)
    verdict = counter.callers.take(principal.key)
    if not verdict.passes:
        return _too_many(verdict), None, verdict
    if not principal.may(operation.permission):
        return _forbidden(operation), None, verdict
    return None, principal, verdict


def _stranger(counter: Counter, address: str) -> tuple[Reply, None, Verdict]:
    verdict = counter.strangers.take(address)
    if not verdict.passes:
        return _too_many(verdict), None, verdict
    refused = problem(
        401,
        "unauthorised",
        "Who are you?",
        "A good token is needed: Authorization: Bearer TOKEN.",
        headers=(("WWW-Authenticate", CHALLENGE),),
    )
    return refused, None, verdict


def _forbidden(operation: Operation) -> Reply:
    challenge = f'{CHALLENGE}, error="insufficient_scope"'
    return problem(
        403,
        "forbidden",
        "Not with this token",
        f"This token does not hold the right {operation.permission.value}.",
        headers=(("WWW-Authenticate", challenge),),
        permission=operation.permission.value,
    )


def _too_many(verdict: Verdict) -> Reply:
    return problem(
        429,
        "too_many_requests",
        "Too many requests",
        f"The limit is {verdict.quota} requests a minute.",
        headers=(("Retry-After", str(max(1, verdict.wait_seconds))),),
    )


def _work(
    counter: Counter, operation: Operation, path: dict[str, Any], principal: Principal
) -> Reply:
    limit = _body_limit(counter, operation)
    data = read_body(request, operation, limit)
    media = body_media(request, operation, data)
    key = idempotency_key(request) if operation.idempotent_key else None
    call = Call(
        desk=counter.desk,
        acting=Acting(principal, g.request_id),
        suffix=path.get("suffix"),
        path=path,
        query=checked_query(request, operation),
        body=checked_body(operation, data),
        raw=data,
        media=media,
        accepts=_accepts(request),
        expected=_expected(operation),
        url=request.full_path.rstrip("?"),
    )
    if not operation.writes:
        return _conditional(operation.handle(call))
    if key is None:
        return _write(operation, call)
    return _write_once(operation, call, key=key, fingerprint=_fingerprint(data))


def _body_limit(counter: Counter, operation: Operation) -> int:
    if operation.body == "document":
        return counter.max_document_bytes
    return counter.max_body_bytes


def _expected(operation: Operation) -> Expected | None:
    expected = read_if_match(request.headers.get("If-Match"))
    if operation.needs_version and expected is None:
        raise MustNameVersion(
            "This change must say which version it was made from.",
            remedy="Send If-Match with the ETag of the reply it was read from.",
        )
    return expected


def _accepts(asked: Request) -> Callable[[tuple[str, ...]], str | None]:
    def best(offered: tuple[str, ...]) -> str | None:
        if not asked.headers.get("Accept"):
            return offered[0]
        return asked.accept_mimetypes.best_match(offered)

    return best


def negotiated(call: Call, offered: tuple[str, ...]) -> str:
    """Return the media type the caller likes best of those offered.

    Raises:
        NotAcceptable: None of them.
    """
    best = call.accepts(offered)
    if best is None:
        raise NotAcceptable(f"This can be had as {', '.join(offered)}.")
    return best


def _fingerprint(data: bytes) -> str:
    """Name a request for its idempotency key: method, path, query, type and body."""
    target = f"{request.method} {request.full_path} {request.mimetype}\n"
    return hashlib.sha256(target.encode() + data).hexdigest()


def _write(operation: Operation, call: Call) -> Reply:
    with call.desk.store.write() as uow:
        reply = operation.handle(replace(call, uow=uow))
        uow.commit()
    return reply


def _write_once(
    operation: Operation, call: Call, *, key: str, fingerprint: str
) -> Reply:
    """Do it once per key: what it does and its reply are committed together."""
    now = call.desk.clock()
    names = {
        "principal": call.acting.principal.key,
        "operation": operation.operation_id,
        "key": key,
    }
    with call.desk.store.write() as uow:
        uow.replies.forget_before(rfc3339(now - KEPT))
        earlier = uow.replies.claim(**names, fingerprint=fingerprint, at=rfc3339(now))
        if earlier is not None:
            return _replayed(earlier)
        reply = _done_or_refused(operation, replace(call, uow=uow), uow)
        uow.replies.keep(**names, reply=_to_keep(reply))
        uow.commit()
    return reply


def _done_or_refused(operation: Operation, call: Call, uow: UnitOfWork) -> Reply:
    """Handle the call; a refusal undoes its effects and is itself the reply.

    Trouble with the database is no reply to keep: the same request may work soon.
    """
    try:
        with uow.savepoint():
            return operation.handle(call)
    except (Unavailable, Full, Damaged):
        raise
    except Refusal as refusal:
        return from_refusal(refusal)
    except BadInput as bad:
        return from_bad_input(bad)


def _to_keep(reply: Reply) -> StoredReply:
    body = reply.body if reply.kept_body is None else reply.kept_body
    headers = [("Content-Type", reply.media), *reply.headers]
    if reply.tag is not None:
        headers.append(("ETag", quoted(reply.tag)))
    return StoredReply(reply.status, tuple(headers), encoded(body))


def _replayed(kept: StoredReply) -> Reply:
    headers = dict(kept.headers)
    media = headers.pop("Content-Type", JSON)
    headers["Idempotent-Replayed"] = "true"
    return Reply(kept.status, kept.body, media, tuple(headers.items()))


def _conditional(reply: Reply) -> Reply:
    """Give a GET its tag, and nothing but that where the caller has it already."""
    if request.method not in ("GET", "HEAD") or reply.status >= NOT_MODIFIED:
        return reply
    body = encoded(reply.body)
    tag = reply.tag or tag_of(body)
    if none_match(request.headers.get("If-None-Match"), tag):
        return replace(reply, body=body, tag=tag)
    return Reply(NOT_MODIFIED, headers=reply.headers, tag=tag)


def _with_headers(reply: Reply, headers: tuple[tuple[str, str], ...]) -> Reply:
    return replace(reply, headers=reply.headers + headers)


def encoded(body: object) -> bytes:
    """Return a reply's body as bytes."""
    if body is None:
        return b""
    return body if isinstance(body, bytes) else encode_json(body)


def to_response(reply: Reply) -> Response:
    """Return a reply as Flask sends it."""
    body = reply.body
    if isinstance(body, dict) and reply.status >= 400:  # noqa: PLR2004
        body = {**body, "request_id": g.get("request_id")}
    response = Response(encoded(body), status=reply.status)
    if body is None:
        response.headers.pop("Content-Type", None)
    else:
        response.headers["Content-Type"] = reply.media
    for name, value in reply.headers:
        response.headers[name] = value
    if reply.tag is not None:
        response.headers["ETag"] = quoted(reply.tag)
    if reply.filename is not None:
        disposition = dump_options_header("attachment", {"filename": reply.filename})
        response.headers["Content-Disposition"] = disposition
    return response
