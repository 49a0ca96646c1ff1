"""Traces of a proof in a file: kept, read back, replayed by the separate checker."""

from __future__ import annotations

import gzip
import zlib
from pathlib import Path
from typing import TYPE_CHECKING

from bomsvc.cli.catalogue import write_file
from bomsvc.core.prove.kept_trace import read_kept, replay, written
from bomsvc.core.prove.rup import Refused
from bomsvc.core.prove.trace import shared_clauses, traces_of
from bomsvc.core.terms.problems import BadInput, Problem
from bomsvc.service.refusals import Held

if TYPE_CHECKING:
    from bomsvc.core.logic.budget import Budget
    from bomsvc.core.logic.compiled import Compiled

Told = dict[str, object]


def keep(compiled: Compiled, place: Path, *, budget: Budget) -> Told:
    """Keep the traces of every clean verdict, and replay what was kept.

    The same document gives the same file.

    Raises:
        BadInput: The file cannot be written or read.
        Held: A verdict's trace does not hold.
    """
    lines = (f"{line}\n" for line in written(traces_of(compiled, budget=budget)))
    # No time in the archive, so that the same traces are the same file.
    write_file(place, gzip.compress("".join(lines).encode(), mtime=0))
    return check(compiled, place)


def check(compiled: Compiled, place: Path) -> Told:
    """Replay kept traces against a document, and return how many verdicts hold.

    Raises:
        BadInput: The file cannot be read, or is none of traces.
        Held: It was changed, is of another document, or shows less than it claims.
    """
    data, lines = _read(place)
    shared, _ = shared_clauses(compiled.model)
    try:
        count = replay(read_kept(lines), digest=compiled.digest, shared=shared)
    except Refused as refused:
        raise Held(
            f"The traces in {place} are refused: {refused}.",
            remedy="Prove again with --keep-trace.",
        ) from None
    return {"file": str(place), "replayed": count, "bytes": len(data)}


def _read(place: Path) -> tuple[bytes, list[str]]:
    try:
        data = place.read_bytes()
        return data, gzip.decompress(data).decode("ascii").splitlines()
    except (OSError, EOFError, zlib.error, UnicodeDecodeError) as error:
        why = getattr(error, "strerror", None)
        detail = f"It cannot be read: {why or 'it is no file of traces, or damaged'}."
        raise BadInput([Problem(str(place), detail, "file")]) from None
