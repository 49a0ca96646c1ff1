"""Commands on catalogues: load, publish, export."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Literal

import click

from bomsvc.cli.opening import acting, as_json, opened, tells_errors, write_json
from bomsvc.core.terms.problems import BadInput, Problem

if TYPE_CHECKING:
    from bomsvc.core.catalogue import Catalogue
    from bomsvc.service.records import RevisionHead

MEDIA: dict[str, Literal["json", "yaml"]] = {
    ".json": "json",
    ".yaml": "yaml",
    ".yml": "yaml",
}


@click.command()
@click.argument("file", type=click.Path(path_type=Path))
@click.option("--publish", "and_publish", is_flag=True, help="Publish it as well.")
@click.option("--accept-warnings", metavar="REASON", help="Why warnings are accepted.")
@as_json
@tells_errors
def load(
    file: Path, *, and_publish: bool, accept_warnings: str | None, as_json: bool
) -> None:
    """Keep the document in FILE (YAML or JSON) as a draft, or publish it.

    The same document again makes nothing new.
    """
    from bomsvc.service.catalogues import create_draft
    from bomsvc.service.catalogues import publish as publish_revision
    from bomsvc.service.shapes import revision_shape

    catalogue = read_file(file)
    with opened() as desk, desk.store.write() as uow:
        who = acting()
        head, is_new = create_draft(
            desk, uow, who, family=catalogue.family.code, catalogue=catalogue
        )
        if and_publish:
            head, _before = publish_revision(
                desk,
                uow,
                who,
                family=head.family,
                number=head.number,
                accept_warnings=accept_warnings,
            )
        uow.commit()
    if as_json:
        write_json(revision_shape(head))
    else:
        click.echo(_told(head, is_new=is_new))


@click.command()
@click.argument("family")
@click.argument("number", type=int)
@click.option("--accept-warnings", metavar="REASON", help="Why warnings are accepted.")
@as_json
@tells_errors
def publish(
    family: str, number: int, *, accept_warnings: str | None, as_json: bool
) -> None:
    """Publish revision NUMBER of FAMILY; it never changes again."""
    from bomsvc.service.catalogues import publish as publish_revision
    from bomsvc.service.shapes import revision_name, revision_shape

    with opened() as desk, desk.store.write() as uow:
        head, before = publish_revision(
            desk,
            uow,
            acting(),
            family=family,
            number=number,
            accept_warnings=accept_warnings,
        )
        uow.commit()
    if as_json:
        replaces = None if before is None else revision_name(before)
        write_json(revision_shape(head, replaces=replaces))
        return
    click.echo(_told(head, is_new=True))
    if before is not None:
        click.echo(f"It replaces revision {before.number}.")


@click.command()
@click.argument("family")
@click.argument("number", type=int, required=False)
@click.option("--json", "as_json", is_flag=True, help="JSON (the usual is YAML).")
@click.option("--out", type=click.Path(path_type=Path), help="Write to this file.")
@tells_errors
def export(family: str, number: int | None, *, as_json: bool, out: Path | None) -> None:
    """Write the document of FAMILY's published revision, or of revision NUMBER."""
    from bomsvc.intake.document_text import document_yaml
    from bomsvc.service.catalogues import read_document, revision_in_force

    with opened() as desk, desk.store.read() as uow:
        head = revision_in_force(uow, family, number)
        _head, document = read_document(uow, family, head.number)
    in_json = as_json or (out is not None and out.suffix == ".json")
    text = document if in_json else document_yaml(document)
    if out is None:
        click.echo(text.decode(), nl=in_json)
    else:
        write_file(out, text)
        click.echo(f"{family} revision {head.number} is in {out}.")


def read_file(file: Path) -> Catalogue:
    """Read a document by its suffix.

    Raises:
        BadInput: The file cannot be opened, is of an unknown kind, or is wrong.
    """
    from bomsvc.core.catalogue import Limits
    from bomsvc.intake.document import read_document

    media = MEDIA.get(file.suffix.lower())
    if media is None:
        kinds = ", ".join(MEDIA)
        detail = f"'{file.name}' is of a kind that is not read."
        raise BadInput([Problem(str(file), detail, "file_kind", remedy=kinds)])
    limit = Limits().bytes
    try:
        # One byte more than the limit tells that it is over it.
        with file.open("rb") as stream:
            data = stream.read(limit + 1)
    except OSError as error:
        detail = f"It cannot be read: {error.strerror}."
        raise BadInput([Problem(str(file), detail, "file")]) from None
    return read_document(data, media)


def write_file(out: Path, content: bytes) -> None:
    """Write a file.

    Raises:
        BadInput: It cannot be written.
    """
    try:
        out.write_bytes(content)
    except OSError as error:
        detail = f"It cannot be written: {error.strerror}."
        raise BadInput([Problem(str(out), detail, "file")]) from None


def _told(head: RevisionHead, *, is_new: bool) -> str:
    again = "" if is_new else ", kept before"
    return (
        f"{head.name} ({head.family}) revision {head.number}: {head.state}{again}."
        f" Digest {head.digest[:16]}."
    )
