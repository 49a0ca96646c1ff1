"""The JSON Schema of the document, and its table of defaults, from the shape."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from bomsvc.core.catalogue.forms.records import Field, Record
from bomsvc.core.catalogue.shape import DOCUMENT, RECORDS
from bomsvc.core.catalogue.shape.common import FORMAT
from bomsvc.core.terms.numbers import decimal_text

Schema = dict[str, Any]


def document_schema() -> Schema:
    """Return the JSON Schema (2020-12) of the document.

    It says the form of every field. What it cannot say (that what is referred to
    exists, that a condition can be read) the reader checks.
    """
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": f"Catalogue of one revision of an engine family, format {FORMAT}",
        **_record(DOCUMENT),
        "$defs": {
            record.key: _record(record) for record in RECORDS if record is not DOCUMENT
        },
    }


def _record(record: Record) -> Schema:
    required = [field.name for field in record.fields if field.required]
    schema: Schema = {
        "description": record.doc,
        "type": "object",
        "properties": {field.name: _field(field) for field in record.fields},
        "additionalProperties": False,
    }
    liked = [name for name in required if name in ("code", "number")]
    if "like" not in record.names:
        return schema | ({"required": required} if required else {})
    # With `like` only the name is due; the rest may be taken over.
    return schema | {
        "required": liked,
        "if": {"not": {"required": ["like"]}},
        "then": {"required": required},
    }


def _field(field: Field) -> Schema:
    schema: Schema = field.form.schema()
    if field.required:
        return {"description": field.doc, **schema}
    says: Schema = {"description": f"{field.doc}. Default: {_default(field)}"}
    return says | {"anyOf": [schema, {"type": "null"}]}


def defaults_table() -> str:
    """Return the table of every optional field and its default, as Markdown."""
    rows = ["| record | field | form | default |", "|---|---|---|---|"]
    rows += [
        f"| {record.name} | `{field.name}` | {field.form.says} | {_default(field)} |"
        for record in RECORDS
        for field in record.fields
        if not field.required
    ]
    return "\n".join(rows) + "\n"


def _default(field: Field) -> str:
    if field.says_default:
        return field.says_default
    default = field.default
    if isinstance(default, bool):
        return f"`{str(default).lower()}`"
    if isinstance(default, Decimal):
        return f"`{decimal_text(default)}`"
    if default in ((), {}):
        return "empty"
    return f"`{default}`"
