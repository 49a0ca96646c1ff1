"""The description of the service at /api/openapi.json, and its page at /api/docs."""

from __future__ import annotations

from functools import lru_cache
from html import escape

from flask import Flask, Response, g

from bomsvc.api.openapi import MEANINGS, openapi_document, statuses, template
from bomsvc.api.operation import Operation, Reply
from bomsvc.api.pipeline import to_response
from bomsvc.api.registry import OPERATIONS, PREFIX
from bomsvc.service.json_bytes import encode_text

STYLE = """
body { font: 1rem/1.5 system-ui, sans-serif; margin: 0 auto; max-width: 60rem;
  padding: 1rem; color: #1d2528; background: #fbfaf7; }
h2 { margin: 2rem 0 .25rem; font-size: 1.1rem; border-top: 1px solid #c9c4b8;
  padding-top: 1rem; }
code, pre { font-family: ui-monospace, monospace; }
pre { overflow-x: auto; padding: .75rem; background: #efece4; }
dt { float: left; width: 4rem; clear: left; }
dd { margin: 0 0 0 4rem; }
@media (prefers-color-scheme: dark) {
  body { color: #e6e3da; background: #1c2022; } pre { background: #2a3033; }
}
"""
PAGE_POLICY = (
    "default-src 'none'; style-src 'self'; base-uri 'none'; form-action 'none';"
    " frame-ancestors 'none'"
)


def add_description(app: Flask, *, version: str) -> None:
    """Add /api/openapi.json, /api/docs and the style of that page."""

    @lru_cache(maxsize=1)
    def document() -> bytes:
        return encode_text(openapi_document(version)).encode()

    def openapi() -> Response:
        g.operation = "openapi"
        return to_response(Reply(body=document()))

    def docs() -> Response:
        g.operation = "docs"
        response = to_response(Reply(body=page().encode(), media="text/html"))
        response.headers["Content-Security-Policy"] = PAGE_POLICY
        return response

    def docs_style() -> Response:
        g.operation = "docs"
        return to_response(Reply(body=STYLE.encode(), media="text/css"))

    app.add_url_rule("/api/openapi.json", "openapi", openapi)
    app.add_url_rule("/api/docs", "docs", docs)
    app.add_url_rule("/api/docs.css", "docs_style", docs_style)


def page() -> str:
    """Return the page: every operation with its rights, example and answers."""
    sections = "\n".join(_section(operation) for operation in OPERATIONS)
    return f"""<!doctype html>
<html lang="en"><head><meta charset="utf-8"><title>bomsvc: REST</title>
<meta name="viewport" content="width=device-width">
<link rel="stylesheet" href="docs.css"></head>
<body><h1>REST, under {PREFIX}</h1>
<p>The same as a document for programs: <a href="openapi.json">openapi.json</a>.
Every call needs <code>Authorization: Bearer TOKEN</code>.</p>
{sections}
</body></html>
"""


def _section(operation: Operation) -> str:
    heading = f"{operation.method} {template(operation.path)}"
    example = ""
    if operation.example is not None:
        example = f"<pre>{escape(encode_text(operation.example))}</pre>"
    answers = "".join(
        f"<dt>{status}</dt><dd>{escape(MEANINGS[status])}</dd>"
        for status in statuses(operation)
    )
    return (
        f'<h2 id="{operation.operation_id}"><code>{escape(heading)}</code></h2>'
        f"<p>{escape(operation.summary)} <code>{operation.operation_id}</code>, needs"
        f" the right <code>{operation.permission.value}</code>.</p>"
        f"{example}<dl>{answers}</dl>"
    )
