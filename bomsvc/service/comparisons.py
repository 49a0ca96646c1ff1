"""Use cases of comparing revisions: at once, kept, or handed to a task.

What differs depends on the two documents alone, and what becomes of an engine on
them and on what is on file of it. So a finished comparison is kept by the digests,
with each engine by a digest of its own; it answers until an engine changes.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from functools import partial
from typing import Any, cast

from bomsvc.core.logic.budget import Budget
from bomsvc.core.logic.reasoner import Reasoner
from bomsvc.core.prove.allowance import made_at_once
from bomsvc.core.prove.ground import PROOF_BUDGET, Watch, unwatched
from bomsvc.service.catalogues import catalogue_of, read_document
from bomsvc.service.changes import Compared, compare, engines_of
from bomsvc.service.compared import Comparisons, Digests
from bomsvc.service.json_bytes import encode_json
from bomsvc.service.ports import UnitOfWork
from bomsvc.service.proofs import LONG_FROM, Patience, size_of
from bomsvc.service.reasoners import Reasoners
from bomsvc.service.records import EngineOnFile, RevisionHead
from bomsvc.service.replies.changes import Shape, changes_shape, engine_shape
from bomsvc.service.shapes import revision_name


@dataclass(frozen=True, slots=True)
class AskedChanges:
    """Two revisions to be compared, and the engines on file of their family."""

    since: RevisionHead
    revision: RevisionHead
    documents: tuple[bytes, bytes]
    engines: tuple[EngineOnFile, ...]

    @property
    def digests(self) -> Digests:
        """The digests of the earlier and the later revision."""
        return self.since.digest, self.revision.digest

    @property
    def subject(self) -> str:
        """Both revisions as a task names them."""
        head = self.revision
        return f"{head.family}.{self.since.number}-{head.number}"

    @property
    def is_large(self) -> bool:
        """Whether comparing is worth a process of its own, whatever it shows."""
        return any(size_of(document) >= LONG_FROM for document in self.documents)


def ask_for_changes(
    uow: UnitOfWork, *, family: str, number: int, since: int
) -> AskedChanges:
    """Return what is to be compared.

    Raises:
        Missing: There is no such family or revision.
    """
    before, old = read_document(uow, family, since)
    after, new = read_document(uow, family, number)
    return AskedChanges(before, after, (old, new), tuple(engines_of(uow, family)))


def kept_changes(comparisons: Comparisons, asked: AskedChanges) -> Shape | None:
    """Return the reply where it is kept and no engine changed since; else None."""
    kept = comparisons.get(asked.digests)
    return None if kept is None else _reply(asked, kept)


def compare_at_once(
    asked: AskedChanges, reasoners: Reasoners, *, patience: Patience
) -> bytes | None:
    """Return a comparison to keep; None where that takes longer than people wait."""
    if asked.is_large:
        return None
    is_spent = patience()
    sides = _reasoners(asked, reasoners)

    def make(budget: Budget, watch: Watch) -> Compared:
        return compare(*sides, asked.engines, budget=budget, watch=watch)

    made = made_at_once(make, budget=PROOF_BUDGET, is_spent=is_spent)
    return None if made is None else compared_bytes(asked.engines, made)


def compare_now(
    asked: AskedChanges, reasoners: Reasoners, *, watch: Watch = unwatched
) -> Shape:
    """Compare, however long it takes, and return the reply.

    Raises:
        Unsettled: The budget of a question ran out.
    """
    sides = _reasoners(asked, reasoners)
    made = compare(*sides, asked.engines, watch=watch)
    return reply_of(asked, compared_bytes(asked.engines, made))


def _reasoners(asked: AskedChanges, reasoners: Reasoners) -> tuple[Reasoner, Reasoner]:
    before, after = (
        reasoners.compiled_for(head.digest, partial(catalogue_of, head, document))
        for head, document in zip(
            (asked.since, asked.revision), asked.documents, strict=True
        )
    )
    return before, after


def compared_bytes(engines: tuple[EngineOnFile, ...], made: Compared) -> bytes:
    """Return a comparison in the form it is kept in."""
    told = {
        _named(engine): None if touched is None else engine_shape(touched)
        for engine, touched in zip(engines, made.engines, strict=True)
    }
    return encode_json({"changes": changes_shape(made.changes), "engines": told})


def reply_of(asked: AskedChanges, kept: bytes) -> Shape:
    """Return the reply from a comparison just made."""
    found = _reply(asked, kept)
    assert found is not None, "every engine asked about was judged"
    return found


def _reply(asked: AskedChanges, kept: bytes) -> Shape | None:
    tree = cast("dict[str, Any]", json.loads(kept, parse_float=Decimal))
    names = [_named(engine) for engine in asked.engines]
    told: Mapping[str, Shape | None] = tree["engines"]
    if not all(name in told for name in names):
        return None
    return {
        "since": revision_name(asked.since),
        "revision": revision_name(asked.revision),
        **tree["changes"],
        "engines": [told[name] for name in names if told[name] is not None],
    }


def _named(engine: EngineOnFile) -> str:
    """Return a digest of everything that a comparison reads of an engine."""
    read = [
        engine.family,
        engine.serial,
        engine.answers,
        engine.sources,
        list(engine.waived),
    ]
    return hashlib.sha256(encode_json(read)).hexdigest()
