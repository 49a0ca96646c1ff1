"""Conditional requests (RFC 9110): ETag, If-None-Match, If-Match."""

from __future__ import annotations

import hashlib
import re

from bomsvc.core.terms.problems import BadInput, Problem
from bomsvc.service.desk import ANY_VERSION, Expected

_TAG = re.compile(r'\s*(W/)?"([\x21\x23-\x7e\x80-\xff]*)"\s*(?:,|\Z)')
FORMATS = re.compile(r"\.(json|yaml|xlsx)\Z")
"""Representations of one version differ; their tags end with the format."""


def tag_of(body: bytes) -> str:
    """Return a strong tag of a body that has no version of its own."""
    return "b-" + hashlib.sha256(body).hexdigest()[:32]


def quoted(tag: str) -> str:
    """Return a tag as the ETag header writes it."""
    return f'"{tag}"'


def read_if_match(header: str | None) -> Expected | None:
    """Return the versions of If-Match, None where it is absent.

    Weak tags never match a change (RFC 9110, 13.1.1).

    Raises:
        BadInput: The header is no list of tags.
    """
    if header is None:
        return None
    if header.strip() == "*":
        return ANY_VERSION
    pairs = _tags(header, "If-Match")
    strong = (FORMATS.sub("", tag) for weak, tag in pairs if not weak)
    return Expected(frozenset(strong))


def none_match(header: str | None, tag: str) -> bool:
    """Tell whether If-None-Match lets a reply with this tag be sent.

    Raises:
        BadInput: The header is no list of tags.
    """
    if header is None:
        return True
    if header.strip() == "*":
        return False
    return all(other != tag for _weak, other in _tags(header, "If-None-Match"))


def _tags(header: str, name: str) -> list[tuple[bool, str]]:
    found: list[tuple[bool, str]] = []
    place = 0
    while place < len(header):
        match = _TAG.match(header, place)
        if match is None:
            detail = f"{name} is no list of entity tags."
            remedy = 'Send the ETag of the reply as it was, "..." with its quotes.'
            raise BadInput([Problem(f"/header/{name}", detail, remedy=remedy)])
        found.append((match[1] is not None, match[2]))
        place = match.end()
    return found
