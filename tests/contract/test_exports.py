"""Files over REST: what can be had in which format is declared once and kept."""

from __future__ import annotations

import io
import pkgutil
from typing import Any

import pytest
from openpyxl import load_workbook

import bomsvc.exports
from bomsvc.api.openapi import openapi_document, template
from bomsvc.api.operation import Operation
from bomsvc.api.registry import OPERATIONS
from bomsvc.exports.changes import CHANGES_FORMATS
from bomsvc.exports.formats import XLSX, Format
from bomsvc.exports.lists import LIST_FORMATS
from bomsvc.exports.proofs import PROOF_FORMATS
from tests.contract.faces import Face
from tests.contract.sample import whimbrel

EXPORTS: dict[str, tuple[Format[Any], ...]] = {
    "resolveBuild": LIST_FORMATS,
    "getProof": PROOF_FORMATS,
    "getChanges": CHANGES_FORMATS,
}
"""Operation -> formats: an export that is not here is not served."""
KIT = {"formats", "styles", "workbook"}
WRITERS = {"changes": "changed", "lists": "picklist", "proofs": "proof"}
"""Registry module -> the package that writes its files."""

BY_ID = {operation.operation_id: operation for operation in OPERATIONS}
PROOF = "/families/whimbrel/revisions/1/proof"


def test_every_export_is_in_a_registry() -> None:
    modules = {module.name for module in pkgutil.iter_modules(bomsvc.exports.__path__)}
    assert modules == KIT | set(WRITERS) | set(WRITERS.values())


@pytest.mark.parametrize("name", EXPORTS)
def test_an_export_is_routed_and_described(name: str) -> None:
    operation, formats = BY_ID[name], EXPORTS[name]
    assert operation.suffixes == tuple(one.suffix for one in formats)
    assert operation.media == tuple(one.media for one in formats)
    assert 406 in operation.replies
    said = openapi_document("0")["paths"][template(operation.path)]
    content = said[operation.method.lower()]["responses"]["200"]["content"]
    assert list(content) == ["application/json", *operation.media]


def _described(operation: Operation) -> bool:
    return len(operation.media) == len(operation.suffixes)


def test_no_operation_has_a_suffix_without_a_media_type() -> None:
    with_suffix = [o for o in OPERATIONS if o.suffixes and o.operation_id in EXPORTS]
    assert {o.operation_id for o in with_suffix} == set(EXPORTS)
    assert all(map(_described, with_suffix))


@pytest.fixture
def proven(face: Face) -> Face:
    document = whimbrel()
    del document["fitments"][0]
    document["parts"].append({"number": "W40.9999", "name": "=1+1"})
    made = face.post("/families/whimbrel/revisions", document)
    assert made.status_code == 201
    assert face.post(PROOF).status_code == 200
    return face


def test_the_report_comes_as_a_workbook_by_suffix_and_by_accept(proven: Face) -> None:
    by_suffix = proven.get(f"{PROOF}.xlsx")
    assert by_suffix.status_code == 200
    assert by_suffix.mimetype == XLSX
    assert by_suffix.headers["Content-Disposition"] == (
        "attachment; filename=proof-whimbrel-1.xlsx"
    )
    sheet = load_workbook(io.BytesIO(by_suffix.data))["Findings"]
    report = proven.get(PROOF).json
    details = {cell.value for cell in sheet["E"]}
    assert {finding["detail"] for finding in report["findings"]} <= details
    by_accept = proven.get(PROOF, headers={"Accept": XLSX})
    assert by_accept.data == by_suffix.data
    assert by_accept.headers["Vary"] == "Accept"


def test_a_workbook_had_before_is_not_sent_again(proven: Face) -> None:
    first = proven.get(f"{PROOF}.xlsx")
    tag = first.headers["ETag"]
    again = proven.get(f"{PROOF}.xlsx", headers={"If-None-Match": tag})
    assert again.status_code == 304
    assert again.data == b""
    as_json = proven.get(PROOF)
    assert as_json.headers["ETag"] != tag


def test_a_report_that_is_not_there_or_not_had_so_is_said(proven: Face) -> None:
    assert proven.get("/families/whimbrel/revisions/9/proof.xlsx").status_code == 404
    second = proven.post("/families/whimbrel/revisions", whimbrel())
    number = second.json["revision"]["number"]
    missing = proven.get(f"/families/whimbrel/revisions/{number}/proof.xlsx")
    assert missing.status_code == 404
    assert missing.json["remedy"] == "Prove it first."
    refused = proven.get(PROOF, headers={"Accept": "image/png"})
    assert refused.status_code == 406
    assert XLSX in refused.json["detail"]
    assert proven.get(f"{PROOF}.csv").status_code == 404


def test_the_report_says_what_it_covers_and_its_usual_build(proven: Face) -> None:
    report = proven.get(PROOF).json
    assert report["usual"]["serial"] >= 1
    assert any("not by a trace" in text for text in report["not_covered"])
    assert report["covered"]
    shown = [f for f in report["findings"] if f["shown"] == "The usual build."]
    assert all(finding["build"] == report["usual"] for finding in shown)


def test_changes_come_as_a_workbook_by_suffix_and_by_accept(proven: Face) -> None:
    second = whimbrel(note="second")
    second["fitments"][0]["qty"] = "2"
    made = proven.post("/families/whimbrel/revisions", second)
    assert made.status_code == 201, made.text
    one = "/families/whimbrel/revisions/2/changes"
    by_suffix = proven.get(f"{one}.xlsx?since=1")
    assert by_suffix.status_code == 200, by_suffix.text
    assert by_suffix.headers["Content-Disposition"] == (
        "attachment; filename=changes-whimbrel-2.xlsx"
    )
    book = load_workbook(io.BytesIO(by_suffix.data))
    assert book["Changes"]["A2"].value == "Whimbrel, from revision 1 to revision 2"
    places = proven.get(f"{one}?since=1").json["places"]
    assert {cell.value for cell in book["Lists and work"]["C"]} >= {
        place["label"] for place in places
    }
    by_accept = proven.get(f"{one}?since=1", headers={"Accept": XLSX})
    assert by_accept.data == by_suffix.data
    tag = {"If-None-Match": by_suffix.headers["ETag"]}
    assert proven.get(f"{one}.xlsx?since=1", headers=tag).status_code == 304
    assert proven.get(f"{one}.xlsx?since=9").status_code == 404
    assert proven.get(f"{one}.xlsx").status_code == 400
    refused = proven.get(f"{one}?since=1", headers={"Accept": "text/html"})
    assert refused.status_code == 406
