"""What every request and reply goes through: id, host, headers, log, figures."""

from __future__ import annotations

import json
import logging
import re
import secrets
import time
from collections.abc import Mapping
from datetime import UTC, datetime
from typing import Any

from flask import Flask, Response, g, request
from werkzeug.exceptions import HTTPException

from bomsvc.api.metrics import Metrics
from bomsvc.api.pipeline import to_response
from bomsvc.api.problems import from_http, from_refusal, problem
from bomsvc.service.refusals import Refusal

LOG = logging.getLogger("bomsvc.requests")
ERRORS = logging.getLogger("bomsvc.errors")
_REQUEST_ID = re.compile(r"[A-Za-z0-9._-]{8,64}\Z")

SECURITY_HEADERS = (
    ("X-Content-Type-Options", "nosniff"),
    ("Referrer-Policy", "no-referrer"),
    ("Cross-Origin-Opener-Policy", "same-origin"),
    ("Cross-Origin-Resource-Policy", "same-origin"),
    (
        "Content-Security-Policy",
        "default-src 'none'; base-uri 'none'; form-action 'none';"
        " frame-ancestors 'none'",
    ),
)
LOG_FIELDS = (
    "time",
    "level",
    "event",
    "request_id",
    "who",
    "operation",
    "method",
    "path",
    "status",
    "ms",
    "bytes",
    "error",
)
"""Nothing else is ever logged: no headers, no bodies, no queries."""


class JsonLines(logging.Formatter):
    """One JSON object a line, of the allowed fields only."""

    def format(self, record: logging.LogRecord) -> str:
        """Return the record as JSON; line breaks inside are escaped."""
        said: Mapping[str, Any] = getattr(record, "fields", {})
        fields = {
            "time": datetime.fromtimestamp(record.created, UTC).isoformat(),
            "level": record.levelname.lower(),
            "event": record.getMessage(),
            **said,
        }
        if record.exc_info:
            fields["error"] = self.formatException(record.exc_info)
        allowed = {name: fields[name] for name in LOG_FIELDS if name in fields}
        return json.dumps(allowed, ensure_ascii=True)


def log_to_stderr() -> None:
    """Send this service's log to standard error as JSON lines."""
    handler = logging.StreamHandler()
    handler.setFormatter(JsonLines())
    for logger in (LOG, ERRORS):
        logger.handlers = [handler]
        logger.propagate = False
        logger.setLevel(logging.INFO)


def wrap(app: Flask, *, hosts: tuple[str, ...], metrics: Metrics) -> None:
    """Give `app` its envelope.

    Args:
        app: The application.
        hosts: Host names a request may ask for, without ports.
        metrics: Where requests are counted.
    """
    allowed = frozenset(host.lower().strip("[]") for host in hosts)

    def open_request() -> Response | None:
        g.began = time.perf_counter()
        g.request_id = _request_id()
        metrics.begin()
        return None if _host() in allowed else _wrong_host()

    def close_request(response: Response) -> Response:
        _add_headers(response)
        seconds = time.perf_counter() - g.get("began", time.perf_counter())
        operation = g.get("operation", request.endpoint or "none")
        metrics.end(operation, response.status_code, seconds)
        _log(response, operation, seconds)
        return response

    app.before_request(open_request)
    app.after_request(close_request)
    app.register_error_handler(HTTPException, _http_error)
    app.register_error_handler(Refusal, _refused)
    app.register_error_handler(Exception, _internal)


def _request_id() -> str:
    given = request.headers.get("X-Request-Id", "")
    return given if _REQUEST_ID.match(given) else secrets.token_hex(12)


def _host() -> str:
    # Only a request of HTTP/1.0 may leave the header out.
    host = request.environ.get("HTTP_HOST", request.environ.get("SERVER_NAME", ""))
    name = str(host).lower()
    if name.startswith("["):
        return name[1:].partition("]")[0]
    # "::1" without brackets has several colons and no port.
    return name if name.count(":") > 1 else name.partition(":")[0]


def _wrong_host() -> Response:
    detail = "This host name is not served here; see BOMSVC_HOSTS."
    return to_response(problem(400, "host_not_served", "Wrong host", detail))


def _add_headers(response: Response) -> None:
    response.headers["X-Request-Id"] = g.get("request_id", "")
    for name, value in SECURITY_HEADERS:
        response.headers.setdefault(name, value)
    # What has a tag may be kept, but asked about each time; the rest is not kept.
    keep = "private, no-cache" if "ETag" in response.headers else "no-store"
    response.headers.setdefault("Cache-Control", keep)


def _log(response: Response, operation: str, seconds: float) -> None:
    fields = {
        "request_id": g.get("request_id"),
        "who": g.get("who"),
        "operation": operation,
        "method": request.method,
        "path": request.path,
        "status": response.status_code,
        "ms": round(seconds * 1000, 2),
        "bytes": response.content_length,
    }
    LOG.info("request", extra={"fields": fields})


def _http_error(error: HTTPException) -> Response:
    return to_response(from_http(error))


def _refused(refusal: Refusal) -> Response:
    return to_response(from_refusal(refusal))


def _internal(error: Exception) -> Response:
    fields = {"request_id": g.get("request_id"), "path": request.path}
    ERRORS.error("internal", exc_info=error, extra={"fields": fields})
    detail = "The service failed; the log has the request id."
    return to_response(problem(500, "internal", "Internal error", detail))
