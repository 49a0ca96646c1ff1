"""A small invented engine that has one of everything the list must deal with.

Sump front or rear on one rail joint; an adapter plate that is only sometimes in
the stack; three main bearings whose size is measured; a filter with an
alternate; lifters sold as a set; a pump that includes its seal; washers by the
hole; a nut on a stud that stays; coolant that two steps use.
"""

from __future__ import annotations

from functools import cache
from pathlib import Path
from typing import Any

from bomsvc.core.catalogue import Catalogue
from bomsvc.core.logic.answers import read_answers
from bomsvc.core.logic.compiled import Compiled, compile_catalogue
from bomsvc.core.logic.known import Known
from bomsvc.core.logic.reasoner import Reasoner
from bomsvc.core.resolve import Clashing, Resolved, read_scope, resolve
from bomsvc.intake.document import read_document

TEXT = Path(__file__).with_name("compact.yaml").read_text(encoding="utf-8")


@cache
def catalogue() -> Catalogue:
    return read_document(TEXT, "yaml")


@cache
def compiled() -> Compiled:
    return compile_catalogue(catalogue())


@cache
def reasoner() -> Reasoner:
    return Reasoner(compiled())


def changed(*edits: tuple[str, str]) -> Reasoner:
    """A draft of the same engine with some of its text changed, each once."""
    text = TEXT
    for old, new in edits:
        assert text.count(old) == 1, old
        text = text.replace(old, new)
    return Reasoner(compile_catalogue(read_document(text, "yaml")))


def known(**answers: Any) -> Known:
    """What is known; `main_size_1` stands for `main_size[1]`."""
    named = {
        f"{k[:-2]}[{k[-1]}]" if k.startswith("main_size_") else k: v
        for k, v in answers.items()
    }
    return read_answers(compiled(), named)


def full(**answers: Any) -> Known:
    """A whole build, the given answers over the plainest."""
    usual = {
        "plant": "south",
        "sump": "rear",
        "plate": "none",
        "filter": "one",
        "main_size_1": "std",
        "main_size_2": "std",
        "main_size_3": "std",
        "pump_kind": "plain",
    }
    return known(**{**usual, **answers})


def listed(
    known_: Known,
    *,
    by_way_of: tuple[str, ...] = (),
    draft: Reasoner | None = None,
    **scope: Any,
) -> Resolved:
    """The list; `draft`: on a changed catalogue with the same options."""
    asked = draft or reasoner()
    raw = read_scope(asked.compiled, scope)
    found = resolve(asked, known_, raw, by_way_of=by_way_of)
    assert not isinstance(found, Clashing)
    return found
