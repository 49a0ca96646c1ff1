"""The registry as routes, and the check that there are no others."""

from __future__ import annotations

from collections.abc import Sequence

from flask import Blueprint, Flask

from bomsvc.api.operation import Operation
from bomsvc.api.pipeline import Counter, view_of
from bomsvc.api.registry import OPERATIONS, PREFIX

OPEN_ENDPOINTS = frozenset(
    {"health", "ready", "metrics", "openapi", "docs", "docs_style", "static"}
)
"""Routes anyone may call: probes, and the description of the service."""


def api_blueprint(
    counter: Counter, operations: Sequence[Operation] = OPERATIONS
) -> Blueprint:
    """Return the routes of `operations`."""
    blueprint = Blueprint("api", __name__, url_prefix=PREFIX)
    for operation in operations:
        view = view_of(counter, operation)
        for suffix in (None, *operation.suffixes):
            blueprint.add_url_rule(
                operation.path + (suffix or ""),
                endpoint=_endpoint(operation, suffix),
                view_func=view,
                methods=[operation.method],
                defaults={} if suffix is None else {"suffix": suffix},
            )
    return blueprint


def _endpoint(operation: Operation, suffix: str | None) -> str:
    return operation.operation_id + (suffix or "").replace(".", "_")


def undeclared_routes(app: Flask) -> list[str]:
    """Return every route that is neither declared with a permission nor open."""
    declared = {
        f"api.{_endpoint(operation, suffix)}"
        for operation in OPERATIONS
        for suffix in (None, *operation.suffixes)
    }
    return [
        f"{rule.rule} ({rule.endpoint})"
        for rule in app.url_map.iter_rules()
        if rule.endpoint not in declared and rule.endpoint not in OPEN_ENDPOINTS
    ]
