"""What can be asked of a family: its jobs, by what they are called."""

from __future__ import annotations

import click

from bomsvc.cli.opening import as_json, opened, tells_errors, write_json


@click.command()
@click.argument("family")
@click.argument("words", nargs=-1)
@as_json
@tells_errors
def jobs(family: str, words: tuple[str, ...], *, as_json: bool) -> None:
    """List the jobs of a family; with WORDS only those that have all of them."""
    from bomsvc.service.builds import reach
    from bomsvc.service.wording import Labels

    with opened() as desk, desk.store.read() as uow:
        _, reasoner = reach(desk, uow, family, None)
    labels = Labels(reasoner.compiled)
    wanted = [word.casefold() for word in words]
    found = [
        (key, labels.job(key))
        for key in reasoner.compiled.standing.jobs
        if all(word in f"{key} {labels.job(key)}".casefold() for word in wanted)
    ]
    if as_json:
        write_json({"jobs": [{"code": key, "label": label} for key, label in found]})
        return
    from bomsvc.cli.paper import console, table

    table(console(), ("Job", "--job"), [(label, key) for key, label in found])
