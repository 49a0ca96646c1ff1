"""The sample document, and how tests change one thing in it."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from bomsvc.core.catalogue import read_catalogue
from bomsvc.core.terms.problems import BadInput, Problem
from bomsvc.intake.yaml_text import read_yaml

SAMPLE_YAML = (Path(__file__).parent / "sample.yaml").read_text(encoding="utf-8")
GONE = "(gone)"


def sample() -> dict[str, Any]:
    """The sample's tree, fresh."""
    tree = read_yaml(SAMPLE_YAML)
    assert isinstance(tree, dict)
    return dict(tree)


def edited(*edits: tuple[str, str]) -> dict[str, Any]:
    """The sample with what stands at each pointer replaced by a YAML value, or gone.

    The last name of a pointer into a list may be "-": then the value is added.
    """
    tree = sample()
    for pointer, text in edits:
        _edit(tree, pointer, text)
    return tree


def _edit(tree: dict[str, Any], pointer: str, text: str) -> None:
    *way, last = pointer.split("/")[1:]
    holder: Any = tree
    for name in way:
        holder = holder[int(name)] if isinstance(holder, list) else holder[name]
    if text == GONE:
        del holder[last]
        return
    value = read_yaml(f"v: {text}")
    assert isinstance(value, dict)
    if isinstance(holder, list) and last == "-":
        holder.append(value["v"])
    else:
        holder[int(last) if isinstance(holder, list) else last] = value["v"]


def problems_of(tree: object) -> tuple[Problem, ...]:
    """What is wrong with a document; nothing where it is sound."""
    try:
        read_catalogue(tree)  # type: ignore[arg-type]
    except BadInput as refusal:
        return refusal.problems
    return ()


def told(problem: Problem) -> str:
    """A problem on one line, as the golden file has it."""
    remedy = f" | {problem.remedy}" if problem.remedy else ""
    return f"{problem.pointer or '/'} | {problem.code} | {problem.detail}{remedy}"
