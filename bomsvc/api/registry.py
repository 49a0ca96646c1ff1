"""Every operation of the REST face. A route that is not listed here does not exist."""

from __future__ import annotations

from bomsvc.api.operation import Operation
from bomsvc.api.routes import (
    builds,
    catalogue,
    engines,
    explaining,
    fasteners,
    log,
    parts,
    proofs,
    tokens,
)

OPERATIONS: tuple[Operation, ...] = (
    *catalogue.OPERATIONS,
    *proofs.OPERATIONS,
    *builds.OPERATIONS,
    *explaining.OPERATIONS,
    *parts.OPERATIONS,
    *fasteners.OPERATIONS,
    *engines.OPERATIONS,
    *tokens.OPERATIONS,
    *log.OPERATIONS,
)

PREFIX = "/api/v1"
