"""What commands share: the opened desk, who acts, errors as exit codes."""

from __future__ import annotations

import functools
import getpass
import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, NoReturn, ParamSpec

import click

from bomsvc.core.terms.problems import BadInput, Problem
from bomsvc.service.refusals import Held, Refusal

if TYPE_CHECKING:
    from bomsvc.config import Settings
    from bomsvc.service.desk import Acting, Desk

FAULTS, BAD_INPUT = 1, 2
P = ParamSpec("P")

as_json = click.option(
    "--json", "as_json", is_flag=True, help="Write the JSON that REST answers with."
)


def settings() -> Settings:
    """Return the settings of the environment."""
    from bomsvc.config import current_settings

    return current_settings()


def home(folder: str) -> Path:
    """Return a folder of the service's data folder, made where it is not there.

    Raises:
        BadInput: It cannot be made.
    """
    place = settings().home / folder
    try:
        place.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        detail = f"It cannot be made: {error.strerror}."
        raise BadInput([Problem(str(place), detail, "file")]) from None
    return place


@contextmanager
def opened() -> Iterator[Desk]:
    """Open the database, made or upgraded where it is behind."""
    from bomsvc.app import open_desk

    ports = open_desk(settings())
    try:
        yield ports.desk
    finally:
        ports.close()


def acting() -> Acting:
    """Return the person at this machine."""
    from bomsvc.service.desk import Acting
    from bomsvc.service.permissions import local_principal

    return Acting(local_principal(user_name()))


def user_name() -> str:
    """Return the name of the person at this machine, for the log."""
    try:
        return getpass.getuser()
    except (KeyError, OSError):
        # An account without a name, as in a container.
        return "unknown"


def tells_errors(command: Callable[P, None]) -> Callable[P, None]:
    """Turn bad input and refusals into a message and an exit code."""

    @functools.wraps(command)
    def told(*args: P.args, **kwargs: P.kwargs) -> None:
        in_json = bool(kwargs.get("as_json"))
        try:
            command(*args, **kwargs)
        except BadInput as bad:
            fail(bad, in_json=in_json)
        except Refusal as refusal:
            fail(refusal, in_json=in_json)

    return told


def fail(error: BadInput | Refusal, *, in_json: bool) -> NoReturn:
    """Say what is wrong on standard error and end with its exit code."""
    if in_json:
        click.echo(_problem_json(error), err=True)
    elif isinstance(error, BadInput):
        for problem in error.problems:
            click.echo(sentence(problem), err=True)
    else:
        _tell_refusal(error)
    sys.exit(FAULTS if isinstance(error, Held) else BAD_INPUT)


def sentence(problem: Problem) -> str:
    """Return a problem as a line: where, what is wrong, what would be right."""
    place = problem.pointer
    if problem.line is not None:
        place = f"line {problem.line}, column {problem.column}: {place}".rstrip(": ")
    said = f"{place}: {problem.detail}" if place else problem.detail
    remedy = problem.remedy
    if remedy and remedy not in problem.detail:
        said += f" Try: {remedy}"
    return said


def _tell_refusal(refusal: Refusal) -> None:
    click.echo(refusal.detail, err=True)
    for problem in refusal.problems:
        click.echo(f"  {sentence(problem)}", err=True)
    findings = refusal.extra.get("findings")
    for finding in findings if isinstance(findings, list) else ():
        click.echo(
            f"  {finding['severity']} at {finding['at']}: {finding['detail']}", err=True
        )
    clash = refusal.extra.get("clash")
    if isinstance(clash, dict):
        from bomsvc.cli.clash import clash_lines

        for line in clash_lines(clash):
            click.echo(line, err=True)
    elif refusal.remedy:
        click.echo(refusal.remedy, err=True)


def _problem_json(error: BadInput | Refusal) -> str:
    from bomsvc.api.problems import from_bad_input, from_refusal
    from bomsvc.service.json_bytes import encode_text

    known = (
        from_bad_input(error) if isinstance(error, BadInput) else from_refusal(error)
    )
    return encode_text(known.body)


def write_json(body: object) -> None:
    """Write a reply as JSON on standard output, exactly as REST sends it."""
    from bomsvc.service.json_bytes import encode_text

    click.echo(encode_text(body))
