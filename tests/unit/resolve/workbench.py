"""Tiny invented engines, written where a test needs one."""

from __future__ import annotations

from typing import Any

from bomsvc.core.logic.answers import read_answers
from bomsvc.core.logic.compiled import compile_catalogue
from bomsvc.core.logic.reasoner import Reasoner
from bomsvc.core.resolve import Clashing, Resolved, read_scope, resolve
from bomsvc.intake.document import read_document

HEAD = """
format: 1
family: {code: dipper, name: Dipper, note: invented, series: {main: 3}}
sections: [{code: engine, label: Engine}]
"""
LISTS = (
    "options",
    "rules",
    "positions",
    "parts",
    "fitments",
    "joints",
    "steps",
    "jobs",
)
OPTION = (
    "{code: kind, label: Kind, ask: Which kind?, "
    "choices: [{code: plain, label: Plain}, {code: rich, label: Rich}]}"
)


def engine(**lists: list[str]) -> Reasoner:
    """An engine of these items, each a line of YAML; `options` defaults to one."""
    lists.setdefault("options", [OPTION])
    text = HEAD
    for name in LISTS:
        items = lists.get(name, [])
        text += f"{name}:\n" if items else f"{name}: []\n"
        text += "".join(f"  - {item}\n" for item in items)
    return Reasoner(compile_catalogue(read_document(text, "yaml")))


def position(code: str, more: str = "") -> str:
    tail = f", {more}" if more else ""
    return f"{{code: {code}, label: {code}, section: engine{tail}}}"


def part(number: str, more: str = "") -> str:
    tail = f", {more}" if more else ""
    return f"{{number: {number}, name: part {number}{tail}}}"


def fitment(place: str, number: str, more: str = "") -> str:
    tail = f", {more}" if more else ""
    return f"{{position: {place}, part: {number}{tail}}}"


def listed(
    reasoner: Reasoner, answers: dict[str, Any] | None = None, **scope: Any
) -> Resolved:
    known = read_answers(reasoner.compiled, answers or {})
    found = resolve(reasoner, known, read_scope(reasoner.compiled, scope))
    assert not isinstance(found, Clashing)
    return found


def taken(found: Resolved) -> dict[str, tuple[str | None, int, str]]:
    """Place to part, quantity and need; of certain lines in one place each."""
    return {
        str(place): (line.part, int(line.qty), line.need)
        for line in found.lines
        for place in line.places
    }
