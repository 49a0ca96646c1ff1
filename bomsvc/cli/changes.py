"""Command: what changed between two revisions."""

from __future__ import annotations

from pathlib import Path
from typing import Any, cast

import click

from bomsvc.cli.opening import as_json, opened, tells_errors, write_json


@click.command()
@click.argument("family")
@click.argument("number", type=int)
@click.option("--since", type=int, required=True, help="The revision to compare with.")
@click.option(
    "--out",
    metavar="FILE.xlsx",
    type=click.Path(path_type=Path, dir_okay=False),
    help="Write the changes as a workbook to work down.",
)
@as_json
@tells_errors
def changes(
    family: str, number: int, *, since: int, out: Path | None, as_json: bool
) -> None:
    """Say what changed in FAMILY from revision --since to revision NUMBER."""
    from bomsvc.cli.catalogue import write_file
    from bomsvc.cli.files import format_of
    from bomsvc.exports.changes import CHANGES_FORMATS, ChangesPaper
    from bomsvc.service.changes import changes_between
    from bomsvc.service.replies.changes import changes_shape

    # The format is looked at before anything is compared.
    chosen = None
    if out is not None:
        chosen = format_of(out, CHANGES_FORMATS, what="A list of changes")
    with opened() as desk, desk.store.read() as uow:
        found = changes_between(desk, uow, family=family, number=number, since=since)
    shape = changes_shape(found)
    if chosen is not None and out is not None:
        write_file(out, chosen.render(ChangesPaper(found.revision.name, shape)))
        click.echo(f"The changes are in {out}.", err=True)
    if as_json:
        write_json(shape)
        return
    for line in _lines(cast("dict[str, Any]", shape)):
        click.echo(line)


def _lines(shape: dict[str, Any]) -> list[str]:
    lines = []
    for name, change in shape["document"].items():
        lines += [f"{name}: added {at}" for at in change["added"]]
        lines += [f"{name}: removed {at}" for at in change["removed"]]
        for edited in change["edited"]:
            lines.append(
                f"{name}: edited {edited['at']}: {', '.join(edited['fields'])}"
            )
    if not shape["comparable"]:
        lines.append("No build is valid in both revisions.")
    for place in shape["places"]:
        kind = next(k for k in ("position", "joint", "job") if k in place)
        lines.append(
            f"{kind} {place[kind]} ({place['label']}) differs: {place['when']}"
        )
    for one in shape["builds"]:
        word = "this" if one["valid_in"] == "after" else "the earlier"
        lines.append(f"Builds valid in {word} revision only: {one['when']}")
    for engine in shape["engines"]:
        touched = [next(iter(place.values())) for place in engine["places"]]
        told = engine["detail"] or f"its lists may change at {', '.join(touched)}"
        lines.append(f"Engine {engine['serial']} on file: {told}")
    return lines or ["Nothing changed."]
