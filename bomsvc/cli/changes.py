"""Command: what changed between two revisions."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any, cast

import click

from bomsvc.cli.opening import as_json, opened, tells_errors, write_json
from bomsvc.cli.progress import progress


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
    from bomsvc.service.comparisons import ask_for_changes, compare_now

    # The format is looked at before anything is compared.
    chosen = None
    if out is not None:
        chosen = format_of(out, CHANGES_FORMATS, what="A list of changes")
    with opened() as desk:
        with desk.store.read() as uow:
            asked = ask_for_changes(uow, family=family, number=number, since=since)
        with progress("Comparing") as watch:
            shape = compare_now(asked, desk.reasoners, watch=watch)
    if chosen is not None and out is not None:
        write_file(out, chosen.render(ChangesPaper(asked.revision.name, shape)))
        click.echo(f"The changes are in {out}.", err=True)
    if as_json:
        write_json(shape)
        return
    for line in _lines(cast("dict[str, Any]", shape)):
        click.echo(line)


def _lines(shape: dict[str, Any]) -> list[str]:
    lines = [
        *_document(shape["document"]),
        *(() if shape["comparable"] else ("No build is valid in both revisions.",)),
        *(line for place in shape["places"] for line in _place(place)),
    ]
    for one in shape["builds"]:
        word = "this" if one["valid_in"] == "after" else "the earlier"
        lines.append(f"Builds valid in {word} revision only: {one['when']}")
    lines += [_engine(engine) for engine in shape["engines"]]
    return lines or ["Nothing changed."]


def _document(document: dict[str, Any]) -> Iterator[str]:
    for name, change in document.items():
        yield from (f"{name}: added {at}" for at in change["added"])
        yield from (f"{name}: removed {at}" for at in change["removed"])
        for edited in change["edited"]:
            yield f"{name}: edited {edited['at']}: {', '.join(edited['fields'])}"


def _place(place: dict[str, Any]) -> Iterator[str]:
    kind = next(k for k in ("position", "joint", "job") if k in place)
    what = _DIFFERS[kind, place["differs"]]
    yield f"{kind} {place[kind]} ({place['label']}), {what}: {place['when']}"
    if place["build"] is not None:
        yield f"    For example: {place['shown']}"
        yield f"    {place['detail']}"


_DIFFERS = {
    ("position", "list"): "what sits there differs",
    ("position", "alternates"): "what may be taken instead differs",
    ("joint", "list"): "its screws, seals or washers differ",
    ("joint", "work"): "it is tightened otherwise",
    ("job", "list"): "its list differs",
    ("job", "work"): "its work differs",
}


def _engine(engine: dict[str, Any]) -> str:
    told = engine["detail"]
    if told is None:
        sure = any(place["certain"] for place in engine["places"])
        names = dict.fromkeys(place["label"] for place in engine["places"])
        verb = "changes" if sure else "may change"
        told = f"it {verb} at {', '.join(names)}"
    return f"Engine {engine['serial']} on file: {told}"
