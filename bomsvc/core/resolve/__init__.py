"""Resolve: from a reasoner, what is known and a scope to the exact list."""

from __future__ import annotations

from bomsvc.core.resolve.lines import Clashing, Resolved
from bomsvc.core.resolve.resolving import resolve
from bomsvc.core.resolve.scope import Scope, read_by_way_of, read_scope

__all__ = [
    "Clashing",
    "Resolved",
    "Scope",
    "read_by_way_of",
    "read_scope",
    "resolve",
]
