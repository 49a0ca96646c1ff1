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
        yield "Take back one of:"
        for repair in clash["repairs"]:
            yield f"  - {', '.join(repair['drop'])}"
    if clash["waivers"]:
        yield "Or, for an engine modified so, set a factory rule aside:"
        for keys in clash["waivers"]:
            yield f"  - {' '.join(f'--waive {key}' for key in keys)}"


def _named(reason: Mapping[str, Any]) -> str:
    kind = next(name for name in reason if name != "because")
    said = str(reason["because"])
    return f"{said} (rule {reason[kind]})" if kind == "rule" else said
