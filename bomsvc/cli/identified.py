"""What follows from the answers, on the terminal."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from rich.console import Console

from bomsvc.cli.clash import clash_lines
from bomsvc.cli.paper import bullets, heading, table

ACTIVE = {"yes": "", "no": "not on this engine", "open": "perhaps"}


def print_identified(page: Console, reply: Mapping[str, Any]) -> None:
    """Print the reply of `identify`."""
    revision = reply["revision"]
    heading(page, f"{revision['family']}, revision {revision['number']}")
    if reply["clash"] is not None:
        for line in clash_lines(reply["clash"]):
            page.print(line)
        return
    left = reply["builds_left"]
    page.print(f"Builds left: {left if left is not None else 'not settled'}")
    table(page, ("Option", "", "Is", "May be", "Ruled out"), _rows(reply))
    whys = list(_whys(reply))
    if whys:
        heading(page, "Why")
        bullets(page, whys)


def _rows(reply: Mapping[str, Any]) -> list[tuple[str, ...]]:
    rows: list[tuple[str, ...]] = []
    for option in reply["options"]:
        by_state: dict[str, list[str]] = {}
        for choice in option["choices"]:
            by_state.setdefault(choice["state"], []).append(_named(choice))
        known = by_state.get("chosen", [])
        follows = [f"{code} (follows)" for code in by_state.get("follows", [])]
        rows.append(
            (
                _named(option),
                ACTIVE[option["active"]],
                ", ".join(known + follows),
                ", ".join(by_state.get("open", [])),
                ", ".join(by_state.get("excluded", [])),
            )
        )
    return rows


def _named(item: Mapping[str, Any]) -> str:
    """Return the label people read, with the code they type."""
    label, code = item["label"], item["code"]
    return code if label == code else f"{label} ({code})"


def _whys(reply: Mapping[str, Any]) -> list[str]:
    return [
        f"{option['code']}.{choice['code']}, {choice['state']}: "
        + " ".join(str(reason["because"]) for reason in choice["why"])
        for option in reply["options"]
        for choice in option["choices"]
        if choice["why"]
    ]
