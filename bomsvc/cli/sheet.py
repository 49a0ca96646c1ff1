"""The joint sheet: the map of a joint's screws and each stack, as files and words."""

from __future__ import annotations

from pathlib import Path

import click

from bomsvc.cli.builds import asked_of, asks
from bomsvc.cli.opening import as_json, opened, tells_errors, write_json


@click.command()
@asks
@click.option("--joint", "joints", multiple=True, required=True, help="A joint.")
@click.option(
    "--out",
    type=click.Path(path_type=Path, file_okay=False),
    help="Write the drawings into this folder, as .svg.",
)
@as_json
@tells_errors
def sheet(
    engine: str,
    answers: tuple[str, ...],
    *,
    sources: tuple[str, ...],
    waive: tuple[str, ...],
    revision: int | None,
    joints: tuple[str, ...],
    out: Path | None,
    as_json: bool,
) -> None:
    """Print the joint sheet: which screw in which hole, and how it is tightened."""
    from bomsvc.service.builds import resolve_build

    with opened() as desk:
        family, asked = asked_of(desk, engine, answers, sources, waive, revision)
        result = resolve_build(desk, family, asked, scope={"joints": [*joints]})
    written = _write(result.reply(), out) if out else []
    if as_json:
        write_json({"joints": result.reply()["joints"]})
        return
    from bomsvc.cli.listing import print_list
    from bomsvc.cli.paper import console

    print_list(console(), result)
    for path in written:
        click.echo(f"Drawn: {path}")


def _write(reply: dict[str, object], out: Path) -> list[Path]:
    """Write each settled joint's map and stacks; return the files."""
    out.mkdir(parents=True, exist_ok=True)
    written = []
    for name, svg in _drawings(reply):
        path = out / f"{name}.svg"
        path.write_text(svg, encoding="utf-8")
        written.append(path)
    return written


def _drawings(reply: dict[str, object]) -> list[tuple[str, str]]:
    found = []
    joints = reply["joints"]
    assert isinstance(joints, list)
    for joint in joints:
        name = joint["joint"].replace("[", "-").replace("]", "")
        drawn = joint["sheet"]
        if drawn is None:
            continue
        if drawn["svg"]:
            found.append((name, drawn["svg"]))
        found += [
            (f"{name}-stack-{number}", stack["svg"])
            for number, stack in enumerate(drawn["stacks"], start=1)
        ]
    return found
