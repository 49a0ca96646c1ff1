"""A contradiction as lines for the terminal."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any


def clash_lines(clash: Mapping[str, Any]) -> Iterator[str]:
    """Yield what clashes and every way out."""
    yield "These cannot hold together:"
    for reason in clash["because"]:
        yield f"  - {_named(reason)}"
    if clash["repairs"]:
        yield from _repairs(clash)
    if clash["waivers"]:
        yield "Or, for an engine modified so, set a factory rule aside:"
        for keys in clash["waivers"]:
            yield f"  - {' '.join(f'--waive {key}' for key in keys)}"


def _repairs(clash: Mapping[str, Any]) -> Iterator[str]:
    """Yield the ways out by taking answers back, each of which settles everything."""
    drops = [repair["drop"] for repair in clash["repairs"]]
    if {answer for drop in drops for answer in drop} - {*clash["answers"]}:
        yield "Other answers clash as well; each way out below settles all of it."
    single = all(len(drop) == 1 for drop in drops)
    yield "Take back one of:" if single else "Take back all of one line:"
    for drop in drops:
        yield f"  - {' and '.join(drop)}"


def _named(reason: Mapping[str, Any]) -> str:
    kind = next(name for name in reason if name != "because")
    said = str(reason["because"])
    return f"{said} (rule {reason[kind]})" if kind == "rule" else said
