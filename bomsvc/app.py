"""The composition root: settings in, a WSGI application out."""

from __future__ import annotations

import time
from collections.abc import Callable
from dataclasses import dataclass
from datetime import UTC, datetime
from importlib.metadata import version

from flask import Flask

from bomsvc.api.blueprint import api_blueprint, undeclared_routes
from bomsvc.api.describe import add_description
from bomsvc.api.envelope import wrap
from bomsvc.api.limits import Buckets
from bomsvc.api.metrics import Metrics
from bomsvc.api.patience import patience as request_patience
from bomsvc.api.pipeline import Counter
from bomsvc.api.probes import add_probes
from bomsvc.api.routing import read_addresses
from bomsvc.config import Settings
from bomsvc.db.migrate import bring_up_to_date
from bomsvc.db.store import SqlStore
from bomsvc.service.desk import Desk
from bomsvc.service.proofs import KeptProofGate, Patience
from bomsvc.service.reasoners import Reasoners
from bomsvc.service.times import Clock
from bomsvc.service.tokens import Doorkeeper


@dataclass(frozen=True, slots=True)
class Opened:
    """The service's ports on an opened database; `close` lets go of it."""

    desk: Desk
    close: Callable[[], None]


def present_time() -> datetime:
    """Return the present time; the only place that asks the machine's clock."""
    return datetime.now(UTC)


def open_desk(
    settings: Settings,
    *,
    clock: Clock = present_time,
    patience: Patience | None = None,
) -> Opened:
    """Open the database, made or upgraded where it is behind.

    Args:
        settings: What to run with.
        clock: Gives the present time.
        patience: How long publishing waits for a proof where requests are answered;
            None where people wait by themselves.

    Raises:
        BadInput: The database cannot be used; says what would help.
    """
    bring_up_to_date(settings.database_url)
    store = SqlStore(settings.database_url)
    reasoners = Reasoners()
    desk = Desk(
        store=store,
        clock=clock,
        reasoners=reasoners,
        gate=KeptProofGate(reasoners, patience=patience),
        second_person=settings.second_person,
    )
    return Opened(desk, store.close)


def create_app(
    settings: Settings,
    *,
    clock: Clock = present_time,
    seconds: Callable[[], float] = time.monotonic,
) -> Flask:
    """Return the application.

    Args:
        settings: What to run with.
        clock: Gives the present time.
        seconds: A clock that never goes back, for rate limits.

    Raises:
        BadInput: The database cannot be used.
    """
    ports = open_desk(settings, clock=clock, patience=request_patience)
    return app_on(ports.desk, settings, seconds=seconds)


def app_on(
    desk: Desk, settings: Settings, *, seconds: Callable[[], float] = time.monotonic
) -> Flask:
    """Return the application on ports that are open already."""
    # No static folder: nothing is served that is not declared.
    app = Flask("bomsvc", static_folder=None)
    app.url_map.merge_slashes = False
    read_addresses(app)
    metrics = Metrics()
    counter = Counter(
        desk=desk,
        doorkeeper=Doorkeeper(desk),
        callers=Buckets(settings.rate_per_minute, seconds),
        strangers=Buckets(settings.refused_per_minute, seconds),
        max_body_bytes=settings.max_body_bytes,
        max_document_bytes=settings.max_document_bytes,
    )
    wrap(app, hosts=settings.hosts, metrics=metrics)
    release = version("bomsvc")
    add_probes(app, store=desk.store, metrics=metrics, version=release)
    add_description(app, version=release)
    app.register_blueprint(api_blueprint(counter))
    undeclared = undeclared_routes(app)
    assert not undeclared, f"routes without a permission: {', '.join(undeclared)}"
    return app
