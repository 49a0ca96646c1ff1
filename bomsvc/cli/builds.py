"""Commands on builds: identify, resolve, count."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, ParamSpec

import click

from bomsvc.cli.answers import Kind, read_answers, read_pairs
from bomsvc.cli.opening import as_json, opened, tells_errors, write_json

if TYPE_CHECKING:
    from bomsvc.core.catalogue.entities import Option
    from bomsvc.service.builds import Asked
    from bomsvc.service.desk import Desk

P = ParamSpec("P")


def asks(command: Callable[P, None]) -> Callable[P, None]:
    """Add what every question about a build takes."""
    for decorate in reversed(
        (
            click.argument("engine", metavar="FAMILY|SERIAL"),
            click.argument("answers", nargs=-1, metavar="[OPTION=CHOICE ...]"),
            click.option(
                "--source",
                "sources",
                multiple=True,
                metavar="OPTION=SOURCE",
                help="How an answer is known: plate, records, our_work, seen,"
                " measured, usual, guess.",
            ),
            click.option(
                "--waive",
                multiple=True,
                metavar="RULE",
                help="Set a factory rule aside for this engine.",
            ),
            click.option(
                "--revision", type=int, help="Not the published one, but this."
            ),
        )
    ):
        command = decorate(command)
    return command


def scoped(command: Callable[P, None]) -> Callable[P, None]:
    """Add what a list may be for."""
    for decorate in reversed(
        (
            click.option("--job", "jobs", multiple=True, help="A job to do."),
            click.option("--position", "positions", multiple=True, help="A position."),
            click.option("--section", "sections", multiple=True, help="A section."),
            click.option("--joint", "joints", multiple=True, help="A joint."),
            click.option("--whole", is_flag=True, help="Everything on the engine."),
            click.option(
                "--by-way-of",
                multiple=True,
                metavar="STEP",
                help="A step to get in by.",
            ),
        )
    ):
        command = decorate(command)
    return command


@click.command()
@asks
@click.option(
    "--explain",
    multiple=True,
    metavar="OPTION.CHOICE",
    help="Say why this choice is forced or ruled out.",
)
@as_json
@tells_errors
def identify(
    engine: str,
    answers: tuple[str, ...],
    *,
    sources: tuple[str, ...],
    waive: tuple[str, ...],
    revision: int | None,
    explain: tuple[str, ...],
    as_json: bool,
) -> None:
    """Say what follows from what is known of an engine.

    Answers: sump=rear, gears!=quiet, extras=heater,block, extras.heater=yes,
    brake=? (cannot be told), brake=- (not on this engine), serial=N210440.
    """
    from bomsvc.service.builds import identify as identify_build

    with opened() as desk:
        family, asked = asked_of(desk, engine, answers, sources, waive, revision)
        reply = identify_build(desk, family, replace(asked, explain=explain))
    if as_json:
        write_json(reply)
        return
    from bomsvc.cli.identified import print_identified
    from bomsvc.cli.paper import console

    print_identified(console(), reply)


@click.command()
@asks
@as_json
@tells_errors
def count(
    engine: str,
    answers: tuple[str, ...],
    *,
    sources: tuple[str, ...],
    waive: tuple[str, ...],
    revision: int | None,
    as_json: bool,
) -> None:
    """Count the builds that agree with what is known, exactly."""
    from bomsvc.service.builds import count_builds

    with opened() as desk:
        family, asked = asked_of(desk, engine, answers, sources, waive, revision)
        reply = count_builds(desk, family, asked)
    if as_json:
        write_json(reply)
    else:
        left = reply["builds_left"]
        click.echo(left if left is not None else "not settled within the budget")


@click.command()
@asks
@scoped
@click.option(
    "--weigh",
    default="uniform",
    metavar="HOW",
    help="Choose the next question with all cases alike (uniform), or as frequent as"
    " among the family's engines on file (engines_on_file).",
)
@click.option(
    "--out", type=click.Path(path_type=Path), help="Write the list here, as .xlsx."
)
@as_json
@tells_errors
def resolve(
    engine: str,
    answers: tuple[str, ...],
    *,
    sources: tuple[str, ...],
    waive: tuple[str, ...],
    revision: int | None,
    jobs: tuple[str, ...],
    positions: tuple[str, ...],
    sections: tuple[str, ...],
    joints: tuple[str, ...],
    whole: bool,
    by_way_of: tuple[str, ...],
    weigh: str,
    out: Path | None,
    as_json: bool,
) -> None:
    """List the parts, seals, screws and work that jobs take on an engine.

    FAMILY|SERIAL is a family's code, or the serial of an engine on file; answers
    are typed as for `identify` and win over those on file.
    """
    from bomsvc.service.builds import resolve_build

    asked_for = {
        "jobs": jobs,
        "positions": positions,
        "sections": sections,
        "joints": joints,
    }
    scope: dict[str, object] = {k: list(v) for k, v in asked_for.items() if v}
    if whole:
        scope["whole"] = True
    render = _renderer(out)
    with opened() as desk:
        family, asked = asked_of(desk, engine, answers, sources, waive, revision)
        listed = resolve_build(
            desk, family, asked, scope=scope, by_way_of=by_way_of, weigh=weigh
        )
    if as_json:
        write_json(listed.reply())
    else:
        from bomsvc.cli.listing import print_list
        from bomsvc.cli.paper import console

        print_list(console(), listed)
    if out is not None and render is not None:
        from bomsvc.cli.catalogue import write_file

        write_file(out, render(listed))
        click.echo(f"The list is in {out}.", err=True)


def _renderer(out: Path | None) -> Callable[..., bytes] | None:
    """Find the format of `--out` before anything is computed."""
    if out is None:
        return None
    from bomsvc.cli.files import format_of
    from bomsvc.exports.lists import LIST_FORMATS

    return format_of(out, LIST_FORMATS, what="A list").render


def asked_of(
    desk: Desk,
    engine: str,
    words: tuple[str, ...],
    sources: tuple[str, ...],
    waive: tuple[str, ...],
    revision: int | None,
) -> tuple[str, Asked]:
    """Return the family and the request, engine on file included."""
    from bomsvc.service.builds import Asked
    from bomsvc.service.engines import find_engines, get_engine
    from bomsvc.service.refusals import no_such

    with desk.store.read() as uow:
        families = uow.revisions.family_codes()
        if engine in families:
            filed = None
            family = engine
        elif find_engines(uow, engine):
            filed = get_engine(uow, engine)
            family = filed.family
        else:
            known = f"Families: {', '.join(families)}."
            remedy = known if families else "Load a catalogue: bomsvc load, or demo."
            raise no_such(
                "family or engine on file", engine, known=families, remedy=remedy
            )
    kinds = kinds_of(desk, family, revision)
    asked = Asked(
        revision=revision,
        answers=read_answers(words, kinds.get),
        sources=read_pairs("--source", sources),
        waive=waive,
        engine=filed,
    )
    return family, asked


def kinds_of(desk: Desk, family: str, revision: int | None) -> dict[str, Kind]:
    """Return what the revision says of each option, by code and by key."""
    from bomsvc.service.builds import reach

    with desk.store.read() as uow:
        _head, reasoner = reach(desk, uow, family, revision)
    options = reasoner.compiled.options
    return {key: _kind(standing.option) for key, standing in options.items()}


def _kind(option: Option) -> Kind:
    return Kind(option.choose == "any", tuple(choice.code for choice in option.choices))
