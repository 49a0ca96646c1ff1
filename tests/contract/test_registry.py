"""Every route is declared, described and permissioned, or nothing starts."""

from __future__ import annotations

import pytest

from bomsvc.api.blueprint import undeclared_routes
from bomsvc.api.fields import LONGEST_TEXT
from bomsvc.api.openapi import openapi_document, statuses, template
from bomsvc.api.operation import Operation
from bomsvc.api.problems import STATUSES
from bomsvc.api.registry import OPERATIONS
from bomsvc.service.permissions import ROLES, Permission
from bomsvc.service.refusals import Refusal
from tests.contract.faces import ROLE_NAMES, Face
from tests.contract.replies import conforms, is_schema

BY_ID = {operation.operation_id: operation for operation in OPERATIONS}

CONTRACT = {
    "listFamilies": ("GET", "/families"),
    "getFamily": ("GET", "/families/{family}"),
    "listRevisions": ("GET", "/families/{family}/revisions"),
    "createRevision": ("POST", "/families/{family}/revisions"),
    "getRevision": ("GET", "/families/{family}/revisions/{number}"),
    "replaceRevision": ("PUT", "/families/{family}/revisions/{number}"),
    "deleteRevision": ("DELETE", "/families/{family}/revisions/{number}"),
    "publishRevision": ("POST", "/families/{family}/revisions/{number}/publish"),
    "proveRevision": ("POST", "/families/{family}/revisions/{number}/proof"),
    "getProof": ("GET", "/families/{family}/revisions/{number}/proof"),
    "getTask": ("GET", "/tasks/{task_id}"),
    "identifyBuild": ("POST", "/families/{family}/identify"),
    "resolveBuild": ("POST", "/families/{family}/resolve"),
    "countBuilds": ("POST", "/families/{family}/count"),
    "explainLine": ("POST", "/families/{family}/why"),
    "completeBuild": ("POST", "/families/{family}/complete"),
    "convertBuild": ("POST", "/families/{family}/convert"),
    "searchParts": ("GET", "/parts"),
    "getPart": ("GET", "/parts/{key}"),
    "getPartFits": ("GET", "/parts/{key}/fits"),
    "sizeScrew": ("POST", "/fasteners/size"),
    "estimateTorque": ("POST", "/fasteners/torque"),
    "getThread": ("GET", "/fasteners/threads/{designation}"),
    "listEngines": ("GET", "/engines"),
    "createEngine": ("POST", "/engines"),
    "getEngine": ("GET", "/engines/{serial}"),
    "replaceEngine": ("PUT", "/engines/{serial}"),
    "listTokens": ("GET", "/tokens"),
    "createToken": ("POST", "/tokens"),
    "listLog": ("GET", "/log"),
}
"""Names and addresses others rely on; additions are free, changes are not."""


def test_names_and_addresses_stay_as_they_were_promised() -> None:
    found = {name: (o.method, template(o.path)) for name, o in BY_ID.items()}
    assert CONTRACT.items() <= found.items()
    assert len(BY_ID) == len(OPERATIONS)


def test_an_operation_cannot_be_made_without_a_permission() -> None:
    with pytest.raises(TypeError, match="permission"):
        Operation("x", "GET", "/x", summary="x", handle=lambda call: None)  # type: ignore[call-arg, arg-type, return-value]


def test_a_route_beside_the_registry_is_found(face: Face) -> None:
    assert undeclared_routes(face.app) == []
    face.app._got_first_request = False
    face.app.add_url_rule("/api/v1/secret", "secret", lambda: "everything")
    assert undeclared_routes(face.app) == ["/api/v1/secret (secret)"]


@pytest.mark.parametrize("operation", OPERATIONS, ids=list(BY_ID))
def test_every_operation_is_described(operation: Operation) -> None:
    assert operation.summary.endswith(".")
    assert operation.handle.__doc__
    assert (operation.body == "json") == (operation.example is not None) or (
        operation.body == "none"
    )
    if operation.method in ("PUT", "DELETE") and operation.operation_id not in (
        "revokeToken",
        "cancelTask",
    ):
        assert operation.needs_version, "what can be edited is edited by version"
    assert operation.writes or operation.method == "GET" or operation.body == "json"


def test_the_description_is_valid_and_says_every_status(face: Face) -> None:
    document = face.get("/api/openapi.json", role=None).json
    assert document == openapi_document("0.1.0")
    assert document["openapi"] == "3.1.0"
    for path, item in document["paths"].items():
        for said in item.values():
            names = {p["name"] for p in said["parameters"] if p["in"] == "path"}
            assert names == {p.strip("{}") for p in path.split("/") if p[:1] == "{"}
            expected = [str(s) for s in statuses(BY_ID[said["operationId"]])]
            assert list(said["responses"]) == expected
    for schema in document["components"]["schemas"].values():
        is_schema(schema)


def test_examples_of_the_description_satisfy_its_schemas() -> None:
    document = openapi_document("0")
    schemas = document["components"]["schemas"]
    checked = 0
    for operation in OPERATIONS:
        if operation.example is not None and operation.schema is not None:
            schema = schemas[operation.schema.__name__]
            conforms(operation.example, schema)
            checked += 1
    assert checked >= 7


def test_the_page_shows_every_operation_and_loads_nothing_foreign(face: Face) -> None:
    page = face.get("/api/docs", role=None)
    assert page.status_code == 200
    for operation in OPERATIONS:
        assert f'id="{operation.operation_id}"' in page.text
    assert "http://" not in page.text
    assert "https://" not in page.text
    assert "<script" not in page.text
    assert face.get("/api/docs.css", role=None).mimetype == "text/css"


def test_every_refusal_has_a_status() -> None:
    def below(kind: type[Refusal]) -> set[type[Refusal]]:
        return {k for one in kind.__subclasses__() for k in {one} | below(one)}

    assert below(Refusal) == set(STATUSES)


MATRIX = {
    "counter": {
        "catalogue.read",
        "build.resolve",
        "part.read",
        "fastener.size",
        "engine.read",
        "engine.write",
    },
    "writer": {
        "catalogue.read",
        "build.resolve",
        "part.read",
        "fastener.size",
        "engine.read",
        "engine.write",
    },
    "buyer": {
        "catalogue.read",
        "build.resolve",
        "part.read",
        "fastener.size",
        "engine.read",
    },
    "workshop": {
        "catalogue.read",
        "build.resolve",
        "part.read",
        "fastener.size",
        "engine.read",
    },
    "editor": {
        "catalogue.read",
        "build.resolve",
        "part.read",
        "fastener.size",
        "engine.read",
        "catalogue.draft",
    },
    "publisher": {
        "catalogue.read",
        "build.resolve",
        "part.read",
        "fastener.size",
        "engine.read",
        "catalogue.publish",
    },
    "admin": {str(permission) for permission in Permission},
}
"""Written out a second time: a change of rights is made in two places, on purpose."""


def test_roles_hold_what_the_matrix_says() -> None:
    assert {r: {str(p) for p in held} for r, held in ROLES.items()} == MATRIX


def _concrete(operation: Operation) -> str:
    path = template(operation.path)
    for name, value in {
        "family": "none",
        "number": "1",
        "key": "X",
        "designation": "M10",
        "serial": "N1",
        "token_id": "999",
        "task_id": "999",
    }.items():
        path = path.replace("{" + name + "}", value)
    return path


@pytest.mark.parametrize("role", ROLE_NAMES)
def test_each_role_reaches_its_operations_and_no_others(face: Face, role: str) -> None:
    for operation in OPERATIONS:
        reply = face.ask(operation.method, _concrete(operation), role=role)
        allowed = operation.permission.value in MATRIX[role]
        assert (reply.status_code != 403) == allowed, operation.operation_id
        assert reply.status_code < 500, operation.operation_id


@pytest.mark.parametrize("operation", OPERATIONS, ids=list(BY_ID))
def test_nobody_is_answered_without_a_token(face: Face, operation: Operation) -> None:
    reply = face.ask(operation.method, _concrete(operation), role=None)
    assert reply.status_code == 401
    assert reply.headers["WWW-Authenticate"].startswith("Bearer")


def test_the_limits_of_texts_are_documented() -> None:
    schemas = openapi_document("0")["components"]["schemas"]
    notes = schemas["EngineBody"]["properties"]["notes"]
    assert notes == {"type": ["string", "null"], "maxLength": LONGEST_TEXT}
