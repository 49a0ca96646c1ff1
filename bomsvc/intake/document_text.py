"""A revision's document for people and git: YAML, fields in their usual order."""

from __future__ import annotations

from bomsvc.core.catalogue import canonical_tree, read_catalogue
from bomsvc.core.terms.json_text import read_json
from bomsvc.intake.yaml_text import write_yaml


def document_yaml(document: bytes) -> bytes:
    """Return a canonical document as YAML; reading it gives the same digest."""
    catalogue = read_catalogue(read_json(document))
    return write_yaml(canonical_tree(catalogue)).encode()
