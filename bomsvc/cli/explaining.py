"""Commands that explain and change a build: why, complete, convert, fits."""

from __future__ import annotations

import click

from bomsvc.cli.builds import asked_of, asks, kinds_of, scoped
from bomsvc.cli.opening import as_json, opened, tells_errors, write_json


@click.command()
@asks
@click.option("--part", required=True, metavar="PART", help="The part asked about.")
@scoped
@as_json
@tells_errors
def why(
    engine: str,
    answers: tuple[str, ...],
    *,
    sources: tuple[str, ...],
    waive: tuple[str, ...],
    revision: int | None,
    part: str,
    jobs: tuple[str, ...],
    positions: tuple[str, ...],
    sections: tuple[str, ...],
    joints: tuple[str, ...],
    whole: bool,
    by_way_of: tuple[str, ...],
    as_json: bool,
) -> None:
    """Say why a part is on a list, or why it is not.

    The list is that of the jobs, positions, sections and joints named; where none
    is named, of everything on the engine.
    """
    from bomsvc.service.explaining import explain_line

    asked_for = {
        "jobs": jobs,
        "positions": positions,
        "sections": sections,
        "joints": joints,
    }
    scope: dict[str, object] = {k: list(v) for k, v in asked_for.items() if v}
    if whole:
        scope["whole"] = True
    with opened() as desk:
        family, asked = asked_of(desk, engine, answers, sources, waive, revision)
        found = explain_line(
            desk,
            family,
            asked,
            part=part,
            scope=scope or None,
            by_way_of=by_way_of,
        )
    if as_json:
        write_json(found.reply())
        return
    from bomsvc.cli.explained import print_why
    from bomsvc.cli.paper import console

    print_why(console(), found)


@click.command()
@asks
@as_json
@tells_errors
def complete(
    engine: str,
    answers: tuple[str, ...],
    *,
    sources: tuple[str, ...],
    waive: tuple[str, ...],
    revision: int | None,
    as_json: bool,
) -> None:
    """Make a full build of what is known, keeping the most usual choices.

    What was taken because it is usual is marked: it is not known of this engine.
    """
    from bomsvc.service.completing import complete_build

    with opened() as desk:
        family, asked = asked_of(desk, engine, answers, sources, waive, revision)
        made = complete_build(desk, family, asked)
    if as_json:
        write_json(made.reply())
        return
    from bomsvc.cli.explained import print_build
    from bomsvc.cli.paper import console

    print_build(console(), made)


@click.command()
@asks
@click.option(
    "--to",
    "changes",
    multiple=True,
    required=True,
    metavar="OPTION=CHOICE",
    help="What is to hold afterwards, typed as an answer; may be repeated.",
)
@as_json
@tells_errors
def convert(
    engine: str,
    answers: tuple[str, ...],
    *,
    sources: tuple[str, ...],
    waive: tuple[str, ...],
    revision: int | None,
    changes: tuple[str, ...],
    as_json: bool,
) -> None:
    """Say what turns an engine into a changed one: off, on, stays, screws, work.

    Options that are not mentioned stay as they are where the rules allow.
    """
    from bomsvc.cli.answers import read_answers
    from bomsvc.service.converting import convert_build

    with opened() as desk:
        family, asked = asked_of(desk, engine, answers, sources, waive, revision)
        kinds = kinds_of(desk, family, revision)
        wanted = read_answers(changes, kinds.get)
        made = convert_build(desk, family, asked, wanted)
    if as_json:
        write_json(made.reply())
        return
    from bomsvc.cli.converted import print_conversion
    from bomsvc.cli.paper import console

    print_conversion(console(), made)


@click.command()
@click.argument("part")
@click.option("--engine", metavar="SERIAL", help="An engine on file: does it take it?")
@click.option("--family", metavar="FAMILY", help="Only this family.")
@click.option(
    "--after", type=click.IntRange(0), default=0, help="Look on in the engines on file."
)
@as_json
@tells_errors
def fits(
    part: str, *, engine: str | None, family: str | None, after: int, as_json: bool
) -> None:
    """Say what a part is, where it fits, and which engines on file take it."""
    from bomsvc.service.fitting import engine_fits, part_fits

    with opened() as desk:
        if engine is not None:
            one = engine_fits(desk, part, serial=engine, family=family)
        else:
            found = part_fits(desk, part, family=family, after=after)
    if as_json:
        write_json(one.reply() if engine is not None else found.reply())
        return
    from bomsvc.cli.explained import print_engine_fits, print_fits
    from bomsvc.cli.paper import console

    if engine is not None:
        print_engine_fits(console(), one)
    else:
        print_fits(console(), found)
