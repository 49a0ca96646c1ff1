"""The catalogue document: reading it, its canonical form, its schema."""

from __future__ import annotations

from bomsvc.core.catalogue.entities import Catalogue
from bomsvc.core.catalogue.keys import keys_of
from bomsvc.core.catalogue.limits import Limits
from bomsvc.core.catalogue.read import (
    canonical_bytes,
    canonical_tree,
    digest,
    read_catalogue,
)
from bomsvc.core.catalogue.schema import defaults_table, document_schema

__all__ = [
    "Catalogue",
    "Limits",
    "canonical_bytes",
    "canonical_tree",
    "defaults_table",
    "digest",
    "document_schema",
    "keys_of",
    "read_catalogue",
]
