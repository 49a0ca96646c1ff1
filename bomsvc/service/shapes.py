"""Records in the shapes of replies; every face and `--json` use the same ones."""

from __future__ import annotations

from collections.abc import Mapping

from bomsvc.service.json_bytes import decode_stored
from bomsvc.service.parts import KnownPart
from bomsvc.service.records import (
    EngineOnFile,
    FamilyHead,
    LogEntry,
    RevisionHead,
    TokenRecord,
)

Shape = dict[str, object]


def revision_name(head: RevisionHead) -> Shape:
    """Return how every reply names a revision."""
    return {"family": head.family, "number": head.number, "digest": head.digest}


def revision_shape(head: RevisionHead, **more: object) -> Shape:
    """Return a revision without its document."""
    return {
        "revision": revision_name(head),
        "state": head.state,
        "name": head.name,
        "maker": head.maker,
        "note": head.note,
        "created_at": head.created_at,
        "created_by": head.created_by,
        "changed_at": head.changed_at,
        "changed_by": head.changed_by,
        "published_at": head.published_at,
        "published_by": head.published_by,
        "accepted_warnings": head.accepted_warnings,
        **more,
    }


def family_shape(family: FamilyHead) -> Shape:
    """Return a family with its published and its newest revision."""
    said = family.published or family.newest
    published = family.published and revision_name(family.published)
    return {
        "family": family.code,
        "name": said.name,
        "maker": said.maker,
        "note": said.note,
        "published": published,
        "newest": revision_name(family.newest),
    }


def engine_shape(engine: EngineOnFile) -> Shape:
    """Return an engine on file."""
    return {
        "serial": engine.serial,
        "family": engine.family,
        "answers": engine.answers,
        "sources": engine.sources,
        "waive": engine.waived,
        "plate_text": engine.plate_text,
        "unit_number": engine.unit_number,
        "notes": engine.notes,
        "deviations": engine.deviations,
        "version": engine.version,
        "created_at": engine.created_at,
        "created_by": engine.created_by,
        "changed_at": engine.changed_at,
        "changed_by": engine.changed_by,
    }


def token_shape(record: TokenRecord, **more: object) -> Shape:
    """Return a token without its secret."""
    return {
        "id": record.id,
        "name": record.name,
        "roles": record.roles,
        "scope": record.scope,
        "branch": record.branch,
        "created_at": record.created_at,
        "created_by": record.created_by,
        "expires_at": record.expires_at,
        "revoked_at": record.revoked_at,
        "revoked_by": record.revoked_by,
        **more,
    }


def log_shape(entry: LogEntry) -> Shape:
    """Return a row of the log."""
    return {
        "seq": entry.seq,
        "at": entry.at,
        "who": entry.who,
        "action": entry.action,
        "kind": entry.kind,
        "subject": entry.subject,
        "detail": entry.detail,
        "request_id": entry.request_id,
    }


def part_shape(part: KnownPart) -> Shape:
    """Return a part as a search shows it."""
    first = part.first
    return {
        "number": first.number,
        "name": first.name,
        "kind": first.kind,
        "families": part.families,
    }


def part_data_shape(part: KnownPart) -> Shape:
    """Return a part with its engineering data, and what each family adds to it."""
    data = {entry.family: _data(entry.data) for entry in part.entries}
    first = data[part.families[0]]
    own = ("number", "name", "kind", "includes", "renew_with")
    return {
        **part_shape(part),
        "data": {name: value for name, value in first.items() if name not in own},
        "in_families": [
            {
                "family": family,
                "includes": said.get("includes", []),
                "renew_with": said.get("renew_with", []),
            }
            for family, said in data.items()
        ],
    }


def _data(text: str) -> Mapping[str, object]:
    stored = decode_stored(text)
    assert isinstance(stored, dict)
    return stored
