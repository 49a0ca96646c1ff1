"""The command that loads the invented demo, as often as one likes."""

from __future__ import annotations

import csv
import json
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import TYPE_CHECKING

import click

from bomsvc.cli.opening import acting, as_json, opened, tells_errors, write_json
from bomsvc.core.terms.problems import BadInput, Problem

if TYPE_CHECKING:
    from bomsvc.service.desk import Desk
    from bomsvc.service.engines import EngineEntry

SEED = Path(__file__).resolve().parents[2] / "seed"
LONGEST_CELL = 1_000_000


@click.command()
@click.option(
    "--seed",
    type=click.Path(path_type=Path),
    default=SEED,
    help="Folder with catalogues/ and engines.csv.",
)
@as_json
@tells_errors
def demo(*, seed: Path, as_json: bool) -> None:
    """Load the invented demo: catalogues, published, and engines on file.

    Run again it changes nothing. Nothing of it may be used to work on an engine.
    """
    catalogues = sorted((seed / "catalogues").glob("*.yaml"))
    if not catalogues:
        detail = "There are no catalogues in this folder."
        raise BadInput([Problem(str(seed), detail, remedy="Name it with --seed.")])
    with opened() as desk:
        loaded = [_load(desk, path) for path in catalogues]
        made = _load_engines(desk, seed / "engines.csv")
    if as_json:
        write_json({"families": loaded, "engines": made})
        return
    for family in loaded:
        click.echo(
            f"{family['family']} revision {family['number']}: {family['state']}."
        )
    click.echo(f"Engines on file: {made['new']} new, {made['kept']} kept before.")


def _load(desk: Desk, path: Path) -> dict[str, object]:
    from bomsvc.cli.catalogue import read_file
    from bomsvc.service.catalogues import create_draft, publish

    catalogue = read_file(path)
    code = catalogue.family.code
    with desk.store.write() as uow:
        head, _new = create_draft(desk, uow, acting(), family=code, catalogue=catalogue)
        head, _before = publish(
            desk,
            uow,
            acting(),
            family=code,
            number=head.number,
            accept_warnings="the invented demo",
        )
        uow.commit()
    return {"family": code, "number": head.number, "state": head.state}


def _load_engines(desk: Desk, path: Path) -> dict[str, int]:
    from bomsvc.service.engines import create_engine, find_engines

    made = {"new": 0, "kept": 0}
    with desk.store.write() as uow:
        for row in _rows(path):
            serial, family = row["serial"], row["family"]
            if find_engines(uow, serial, family):
                made["kept"] += 1
                continue
            create_engine(
                desk, uow, acting(), family=family, serial=serial, entry=_entry(row)
            )
            made["new"] += 1
        uow.commit()
    return made


def _rows(path: Path) -> Iterator[Mapping[str, str]]:
    if not path.exists():
        return
    csv.field_size_limit(LONGEST_CELL)
    with path.open(encoding="utf-8-sig", newline="") as stream:
        yield from csv.DictReader(stream)


def _entry(row: Mapping[str, str]) -> EngineEntry:
    from bomsvc.service.engines import EngineEntry

    return EngineEntry(
        answers=json.loads(row["answers"]),
        sources=json.loads(row["sources"] or "{}"),
        plate_text=row["plate"] or None,
        unit_number=row["unit"] or None,
        notes=row["notes"] or None,
    )
