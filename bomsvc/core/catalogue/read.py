"""From a document's tree to the catalogue it says, or to everything wrong with it."""

from __future__ import annotations

import json
import re
from dataclasses import replace
from hashlib import sha256
from types import NoneType
from typing import Any

import rfc8785

from bomsvc.core.catalogue.build.joints import build_joint
from bomsvc.core.catalogue.build.parts import build_parts
from bomsvc.core.catalogue.build.places import (
    build_fitment,
    build_position,
    build_sections,
)
from bomsvc.core.catalogue.build.tree import build_family, build_options, build_rule
from bomsvc.core.catalogue.build.work import build_job, build_step
from bomsvc.core.catalogue.entities import Catalogue
from bomsvc.core.catalogue.finder import Finder
from bomsvc.core.catalogue.forms.base import plain_text
from bomsvc.core.catalogue.forms.records import Values
from bomsvc.core.catalogue.likeness import expand_likes
from bomsvc.core.catalogue.limits import Limits
from bomsvc.core.catalogue.names import names_of
from bomsvc.core.catalogue.reading import WHOLE, Reading
from bomsvc.core.catalogue.shape import DOCUMENT, LIKENED
from bomsvc.core.terms.json_text import read_json
from bomsvc.core.terms.numbers import Number, Tree
from bomsvc.core.terms.problems import BadInput, Problem, TooLarge

_USUAL_LIMITS = Limits()
_NAMED = LIKENED | {"sections": "code", "positions": "code"}
"""Lists that other items refer to, and the field that names an item of each."""
_DOUBTFUL = re.compile("[\U00010000-\U0010ffff]|[0-9]e-[0-9]")


def read_catalogue(tree: Tree, *, limits: Limits = _USUAL_LIMITS) -> Catalogue:
    """Return the catalogue that a document says.

    Args:
        tree: The document as a JSON or YAML reader gave it, numbers as `Number`.
        limits: How large it may be.

    Raises:
        TooLarge: The document is over a limit.
        BadInput: Something is wrong with it; carries every problem found, each
            with the JSON pointer of its place. Nothing of it is usable then.
    """
    document = _object(tree)
    _check_counts(document, limits)
    reading = Reading(series=_series_named(document))
    values = DOCUMENT.read(expand_likes(document, reading, limits), WHOLE, reading)
    names = names_of(values, reading, _unreadable(document))
    finder = Finder(names, reading)
    catalogue = _built(values, finder)
    reading.close()
    canonical = _bytes_of(DOCUMENT.write(values))
    identity = sha256(canonical).hexdigest()
    return replace(catalogue, digest=identity, canonical=canonical)


def canonical_bytes(document: Tree | Catalogue) -> bytes:
    """Return the canonical form: RFC 8785 JSON, `like` expanded, defaults left out.

    Raises:
        BadInput: As `read_catalogue`.
    """
    if isinstance(document, Catalogue):
        return document.canonical
    return read_catalogue(document).canonical


def canonical_tree(document: Tree | Catalogue) -> Tree:
    """Return the canonical form as a tree, fields in the order of the shape's table.

    Raises:
        BadInput: As `read_catalogue`.
    """
    tree = read_json(canonical_bytes(document))
    return DOCUMENT.write(DOCUMENT.read(tree, WHOLE, Reading()))


def digest(document: Tree | Catalogue) -> str:
    """Return the document's identity: SHA-256 of its canonical form, hexadecimal.

    Raises:
        BadInput: As `read_catalogue`.
    """
    return sha256(canonical_bytes(document)).hexdigest()


def _object(tree: Tree) -> dict[str, Tree]:
    if isinstance(tree, dict):
        return tree
    says = "the document is an object of named lists, beginning with format and family"
    raise BadInput([Problem("", says, "wrong_type")])


def _check_counts(document: dict[str, Tree], limits: Limits) -> None:
    problems = []
    for name, most in (("options", limits.options), ("fitments", limits.fitments)):
        items = document.get(name)
        if isinstance(items, list) and len(items) > most:
            says = f"the list has {len(items):,} {name}; at most {most:,} are read"
            problems.append(Problem(f"/{name}", says, "too_many"))
    if problems:
        raise TooLarge(problems)


def _series_named(document: dict[str, Tree]) -> frozenset[str]:
    series = _series(document)
    return frozenset(series) if isinstance(series, dict) else frozenset()


def _series(document: dict[str, Tree]) -> Tree:
    """The object of series as written; null where the family names none."""
    family = document.get("family")
    return family.get("series") if isinstance(family, dict) else "unreadable"


def _unreadable(document: dict[str, Tree]) -> frozenset[str]:
    """Names of the lists that lack a name, so that nobody can tell what they lack."""
    lists = {
        name for name, key in _NAMED.items() if not _is_named(document.get(name), key)
    }
    if not isinstance(_series(document), dict | NoneType):
        lists.add("series")
    return frozenset(lists)


def _is_named(items: Tree, key: str) -> bool:
    """Tell whether it is a list, or nothing, and every item in it has a name."""
    if not isinstance(items, list):
        return items is None
    return all(
        isinstance(item, dict) and plain_text(item.get(key)) is not None
        for item in items
    )


def _built(values: Values, finder: Finder) -> Catalogue:
    """The entities; the digest is due once it is known that nothing is wrong."""
    return Catalogue(
        family=build_family(values["family"], finder),
        options=build_options(values["options"], finder),
        rules=tuple(build_rule(each, finder) for each in values["rules"]),
        sections=build_sections(values["sections"], finder),
        positions=tuple(build_position(v, finder) for v in values["positions"]),
        parts=build_parts(values["parts"], finder),
        fitments=tuple(build_fitment(v, finder) for v in values["fitments"]),
        joints=tuple(build_joint(each, finder) for each in values["joints"]),
        steps=tuple(build_step(each, finder) for each in values["steps"]),
        jobs=tuple(build_job(each, finder) for each in values["jobs"]),
        digest="",
    )


def _bytes_of(tree: Tree) -> bytes:
    """RFC 8785. Its own library is exact but slow on large documents.

    The standard library writes the same bytes, except that it sorts names with
    characters beyond U+FFFF otherwise, and writes an exponent for small figures;
    where the text shows a trace of either, the exact library writes it again.
    """
    plain = _plain(tree)
    text = json.dumps(plain, sort_keys=True, separators=(",", ":"), ensure_ascii=False)
    if _DOUBTFUL.search(text) is None:
        return text.encode()
    exact: bytes = rfc8785.dumps(plain)
    return exact


def _plain(tree: Tree) -> Any:  # noqa: ANN401
    """The tree with numbers as the JSON library writes them.

    Figures have at most twelve digits, so the nearest binary number is written as
    the very same digits (IEEE 754 keeps fifteen).
    """
    if isinstance(tree, dict):
        return {name: _plain(value) for name, value in tree.items()}
    if isinstance(tree, list):
        return [_plain(value) for value in tree]
    if isinstance(tree, Number):
        return float(tree.text) if "." in tree.text else int(tree.text)
    return tree
