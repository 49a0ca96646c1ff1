"""The OpenAPI 3.1 description, made from the registry; nothing is written twice."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from typing import Any

from marshmallow import Schema, fields

from bomsvc.api.fields import Listing, Text, Tree, Whole
from bomsvc.api.operation import JSON, Operation
from bomsvc.api.problems import PROBLEM_JSON
from bomsvc.api.registry import OPERATIONS, PREFIX

Json = dict[str, Any]
YAML = "application/yaml"
_PATH_PART = re.compile(r"<(?:(\w+):)?(\w+)>")

MEANINGS = {
    200: "Done.",
    201: "Made.",
    202: "Under way as a task; see Location.",
    204: "Done; nothing to say.",
    304: "Not changed since the tag that was sent.",
    400: "The input is wrong; every place is in `errors`.",
    401: "No good token was sent.",
    403: "The token does not hold the right this needs.",
    404: "There is no such thing.",
    406: "It cannot be had in the format asked for.",
    409: "Its state does not allow this.",
    412: "It changed since it was read.",
    413: "The body is over the limit.",
    415: "The body is of a kind that is not taken.",
    422: "The idempotency key had another body, or the budget ran out.",
    428: "If-Match is missing.",
    429: "Too many requests; see Retry-After.",
    503: "Not available now; see Retry-After.",
    507: "The disk is full; nothing was changed.",
}


def openapi_document(
    version: str, operations: Sequence[Operation] = OPERATIONS
) -> Json:
    """Return the whole description.

    Args:
        version: The release.
        operations: The operations to describe.
    """
    paths: Json = {}
    for operation in operations:
        item = paths.setdefault(template(operation.path), {})
        item[operation.method.lower()] = _operation(operation)
    return {
        "openapi": "3.1.0",
        "info": {
            "title": "bomsvc",
            "version": version,
            "description": "From an engine's build and a job to the exact parts,"
            " gaskets and screws. Errors are RFC 9457 problems.",
        },
        "servers": [{"url": PREFIX}],
        "security": [{"token": []}],
        "paths": paths,
        "components": {
            "securitySchemes": {"token": {"type": "http", "scheme": "bearer"}},
            "schemas": {"Problem": _problem_schema(), **_schemas(operations)},
        },
    }


def statuses(operation: Operation) -> list[int]:
    """Return every status an operation may answer with, in order."""
    found = {*operation.replies, 400, 401, 403, 429, 503}
    if operation.method == "GET":
        found.add(304)
    if operation.body != "none":
        found |= {413, 415}
    if operation.needs_version:
        found |= {412, 428}
    if operation.writes:
        found.add(507)
    if operation.idempotent_key:
        found |= {409, 412, 422}
    return sorted(found)


def template(path: str) -> str:
    """Return a route's path as OpenAPI writes it: /engines/{serial}."""
    return _PATH_PART.sub(lambda match: "{" + match[2] + "}", path)


def _operation(operation: Operation) -> Json:
    said: Json = {
        "operationId": operation.operation_id,
        "summary": operation.summary,
        "description": _description(operation),
        "tags": [template(operation.path).split("/")[1]],
        "x-permission": operation.permission.value,
        "parameters": list(_parameters(operation)),
        "responses": {str(s): _response(operation, s) for s in statuses(operation)},
    }
    if operation.body != "none":
        said["requestBody"] = _request_body(operation)
    return said


def _description(operation: Operation) -> str:
    told = (operation.handle.__doc__ or operation.summary).strip()
    text = " ".join(told.split())
    if operation.suffixes:
        text += f" Formats by suffix: {', '.join(operation.suffixes)}."
    return f"{text} Needs the right `{operation.permission.value}`."


def _parameters(operation: Operation) -> Iterable[Json]:
    for kind, name in _PATH_PART.findall(operation.path):
        schema: Json = {"type": "integer"} if kind == "int" else {"type": "string"}
        yield {"name": name, "in": "path", "required": True, "schema": schema}
    if operation.query is not None:
        for name, one in operation.query().fields.items():
            yield {
                "name": name,
                "in": "query",
                "required": one.required,
                "schema": field_schema(one),
            }
    if operation.needs_version or operation.operation_id == "publishRevision":
        yield _header("If-Match", required=operation.needs_version)
    if operation.idempotent_key:
        yield _header("Idempotency-Key", required=False)


def _header(name: str, *, required: bool) -> Json:
    schema = {"type": "string", "minLength": 1, "maxLength": 255}
    return {"name": name, "in": "header", "required": required, "schema": schema}


def _request_body(operation: Operation) -> Json:
    if operation.body == "document":
        schema = {"type": "object", "description": "A catalogue document."}
        media = {JSON: {"schema": schema}, YAML: {"schema": {"type": "string"}}}
        return {"required": True, "content": media}
    content: Json = {"schema": {"type": "object"}}
    if operation.schema is not None:
        name = operation.schema.__name__
        content["schema"] = {"$ref": f"#/components/schemas/{name}"}
    if operation.example is not None:
        content["example"] = operation.example
    return {"required": not operation.body_optional, "content": {JSON: content}}


def _response(operation: Operation, status: int) -> Json:
    said: Json = {"description": MEANINGS[status]}
    if status in (204, 304):
        return said
    if status >= 400:  # noqa: PLR2004
        ref = {"$ref": "#/components/schemas/Problem"}
        return {**said, "content": {PROBLEM_JSON: {"schema": ref}}}
    content: Json = {JSON: {"schema": {"type": "object"}}}
    for media in operation.media:
        content[media] = {"schema": {"type": "string"}} if media == YAML else {}
    return {**said, "content": content}


def _schemas(operations: Sequence[Operation]) -> Json:
    used = {o.schema for o in operations if o.schema is not None}
    return {one.__name__: body_schema(one) for one in sorted(used, key=_name)}


def _name(schema: type[Schema]) -> str:
    return schema.__name__


def body_schema(schema: type[Schema]) -> Json:
    """Return a request schema as JSON Schema."""
    made = schema().fields
    said: Json = {
        "type": "object",
        "additionalProperties": False,
        "properties": {name: field_schema(one) for name, one in made.items()},
    }
    required = [name for name, one in made.items() if one.required]
    if required:
        said["required"] = required
    return said


def field_schema(field: fields.Field[Any]) -> Json:
    """Return a field as JSON Schema."""
    said = _kind(field)
    if field.allow_none:
        said["type"] = [said["type"], "null"]
    return said


def _kind(field: fields.Field[Any]) -> Json:
    if isinstance(field, Text):
        return {"type": "string", "maxLength": field.longest}
    if isinstance(field, Whole):
        return {"type": "integer", "minimum": field.least, "maximum": field.most}
    if isinstance(field, Listing):
        inner = "object" if field.objects else "string"
        return {"type": "array", "items": {"type": inner}}
    assert isinstance(field, Tree), f"{type(field).__name__} has no JSON Schema here"
    if field.of_texts:
        return {"type": "object", "additionalProperties": {"type": "string"}}
    return {"type": "object"}


def _problem_schema() -> Json:
    error = {
        "type": "object",
        "required": ["pointer", "detail"],
        "properties": {
            "pointer": {"type": "string", "description": "RFC 6901 JSON pointer."},
            "detail": {"type": "string"},
            "code": {"type": "string"},
            "remedy": {"type": "string"},
            "line": {"type": "integer"},
            "column": {"type": "integer"},
        },
    }
    return {
        "type": "object",
        "required": ["type", "title", "status", "detail"],
        "properties": {
            "type": {"type": "string", "format": "uri"},
            "title": {"type": "string"},
            "status": {"type": "integer"},
            "detail": {"type": "string"},
            "remedy": {"type": "string"},
            "request_id": {"type": ["string", "null"]},
            "errors": {"type": "array", "items": error},
            "clash": {"type": "object"},
            "findings": {"type": "array", "items": {"type": "object"}},
        },
    }
