"""The three routes at the root: alive, ready, figures."""

from __future__ import annotations

from flask import Flask, Response, g

from bomsvc.api.metrics import MEDIA, Metrics
from bomsvc.api.operation import Reply
from bomsvc.api.pipeline import to_response
from bomsvc.api.problems import RETRY_SECONDS, problem
from bomsvc.service.ports import Store


def add_probes(app: Flask, *, store: Store, metrics: Metrics, version: str) -> None:
    """Add /health, /ready and /metrics."""

    def health() -> Response:
        g.operation = "health"
        return to_response(Reply(body={"status": "alive", "version": version}))

    def ready() -> Response:
        g.operation = "ready"
        wrong = store.ready()
        if wrong is None:
            return to_response(Reply(body={"status": "ready"}))
        headers = (("Retry-After", RETRY_SECONDS),)
        return to_response(
            problem(503, "unavailable", "Not ready", wrong, headers=headers)
        )

    def figures() -> Response:
        g.operation = "metrics"
        return to_response(Reply(body=metrics.text().encode(), media=MEDIA))

    app.add_url_rule("/health", "health", health)
    app.add_url_rule("/ready", "ready", ready)
    app.add_url_rule("/metrics", "metrics", figures)
