"""Families and revisions: drafts, versions, publishing, formats."""

from __future__ import annotations

import contextlib
import json
import sqlite3
from typing import Any

import pytest
import yaml

from tests.contract.faces import Face, make_face
from tests.contract.sample import dunlin, whimbrel

REVISIONS = "/families/whimbrel/revisions"


def test_a_document_becomes_a_draft_then_the_published_revision(any_face: Face) -> None:
    made = any_face.post(REVISIONS, whimbrel(), role="editor")
    assert made.status_code == 201
    assert made.headers["Location"] == f"/api/v1{REVISIONS}/1"
    assert made.json["state"] == "draft"
    assert made.json["revision"].keys() == {"family", "number", "digest"}
    published = any_face.post(f"{REVISIONS}/1/publish", role="publisher")
    assert published.status_code == 200
    assert published.json["state"] == "published"
    family = any_face.get("/families/whimbrel").json
    assert family["published"] == made.json["revision"]
    assert any_face.get("/families").json["items"] == [family]


def test_a_document_changed_in_the_file_is_never_given_out(sqlite_url: str) -> None:
    editor = make_face(sqlite_url)
    next(editor).publish()
    other = json.dumps(whimbrel(note="another"), separators=(",", ":"), sort_keys=True)
    path = sqlite_url.removeprefix("sqlite:///")
    for planted in (other.encode(), b"\x00"):
        with contextlib.closing(sqlite3.connect(path)) as console:
            for name in ("revisions_frozen", "revisions_whole"):
                console.execute(f"DROP TRIGGER IF EXISTS {name}")
            console.execute("UPDATE revisions SET document = ?", (planted,))
            console.commit()
        # Another process: nothing is compiled and kept from before.
        faces = make_face(sqlite_url)
        face = next(faces)
        replies = [
            face.get(f"{REVISIONS}/1"),
            face.get(f"{REVISIONS}/1.yaml"),
            face.post("/families/whimbrel/identify", {}),
            face.post(f"{REVISIONS}/1/proof"),
            face.post("/engines", {"family": "whimbrel", "serial": "N210440"}),
        ]
        assert [reply.status_code for reply in replies] == [500] * len(replies)
        for reply in replies:
            assert reply.json["type"] == "urn:bomsvc:problem:damaged"
            assert "whimbrel.1" in reply.json["detail"]
        assert face.get("/engines").json["items"] == []
        faces.close()
    editor.close()


def test_a_damaged_draft_is_not_published(sqlite_url: str) -> None:
    faces = make_face(sqlite_url)
    face = next(faces)
    face.post(REVISIONS, whimbrel())
    path = sqlite_url.removeprefix("sqlite:///")
    with contextlib.closing(sqlite3.connect(path)) as console:
        console.execute("UPDATE revisions SET document = X'00'")
        console.commit()
    key = {"Idempotency-Key": "once"}
    refused = face.post(f"{REVISIONS}/1/publish", headers=key)
    assert refused.status_code == 500
    assert refused.json["type"] == "urn:bomsvc:problem:damaged"
    with contextlib.closing(sqlite3.connect(path)) as console:
        assert console.execute("SELECT count(*) FROM idempotency").fetchone() == (0,)
    faces.close()


def test_the_next_published_revision_replaces_the_one_before(any_face: Face) -> None:
    assert any_face.publish() == 1
    assert any_face.publish(whimbrel(note="second")) == 2
    states = [
        (item["revision"]["number"], item["state"])
        for item in any_face.get(REVISIONS).json["items"]
    ]
    assert states == [(2, "published"), (1, "replaced")]
    again = any_face.post(f"{REVISIONS}/1/publish")
    assert again.status_code == 409
    assert "replaced" in again.json["detail"]


def test_the_same_document_again_makes_nothing_new(face: Face) -> None:
    first = face.post(REVISIONS, whimbrel())
    again = face.post(REVISIONS, whimbrel())
    assert again.status_code == 201
    assert again.json == first.json
    assert again.headers["Idempotent-Replayed"] == "true"
    assert len(face.get(REVISIONS).json["items"]) == 1
    # What was replaced may be made a draft again.
    face.post(f"{REVISIONS}/1/publish")
    face.publish(whimbrel(note="second"))
    back = face.post(REVISIONS, whimbrel())
    assert back.json["revision"]["number"] == 3


def test_publishing_twice_changes_nothing(ready: Face) -> None:
    before = ready.get(REVISIONS).json
    again = ready.post(f"{REVISIONS}/1/publish")
    assert again.status_code == 200
    assert ready.get(REVISIONS).json == before


def test_a_document_comes_back_with_its_digest_in_both_formats(ready: Face) -> None:
    import hashlib

    as_json = ready.get(f"{REVISIONS}/1.json")
    digest = ready.get("/families/whimbrel").json["published"]["digest"]
    assert hashlib.sha256(as_json.data).hexdigest() == digest
    as_yaml = ready.get(f"{REVISIONS}/1.yaml")
    assert as_yaml.mimetype == "application/yaml"
    assert yaml.safe_load(as_yaml.data)["family"]["name"] == "Whimbrel"
    # Read again as YAML it is the same document, so nothing new is made.
    again = ready.post(
        REVISIONS, data=as_yaml.data, headers={"Content-Type": "application/yaml"}
    )
    assert again.json["revision"] == {
        "family": "whimbrel",
        "number": 1,
        "digest": digest,
    }


@pytest.mark.parametrize(
    ("accept", "media"),
    [
        (None, "application/json"),
        ("*/*", "application/json"),
        ("application/yaml", "application/yaml"),
        ("application/yaml;q=0.5, application/json", "application/json"),
    ],
)
def test_the_format_is_chosen_by_accept(
    ready: Face, accept: str | None, media: str
) -> None:
    headers = {} if accept is None else {"Accept": accept}
    reply = ready.get(f"{REVISIONS}/1", headers=headers)
    assert reply.mimetype == media
    assert reply.headers["Vary"] == "Accept"


def test_a_format_that_does_not_exist_is_refused_with_those_that_do(
    ready: Face,
) -> None:
    reply = ready.get(f"{REVISIONS}/1", headers={"Accept": "image/png"})
    assert reply.status_code == 406
    assert "application/yaml" in reply.json["detail"]
    assert ready.get(f"{REVISIONS}/1.docx").status_code == 404


def test_a_draft_is_edited_by_version_and_no_edit_is_lost(any_face: Face) -> None:
    made = any_face.post(REVISIONS, whimbrel())
    tag = made.headers["ETag"]
    url = f"{REVISIONS}/1"
    absent = any_face.ask("PUT", url, json=whimbrel(note="a"))
    assert absent.status_code == 428
    first = any_face.ask("PUT", url, json=whimbrel(note="a"), headers={"If-Match": tag})
    assert first.status_code == 200
    assert first.headers["ETag"] != tag
    stale = any_face.ask("PUT", url, json=whimbrel(note="b"), headers={"If-Match": tag})
    assert stale.status_code == 412
    assert any_face.get(url).json["family"]["note"] == "a"
    gone = any_face.ask("DELETE", url, headers={"If-Match": tag})
    assert gone.status_code == 412
    weak = any_face.ask(
        "DELETE", url, headers={"If-Match": "W/" + first.headers["ETag"]}
    )
    assert weak.status_code == 412, "a weak tag never matches a change"
    gone = any_face.ask("DELETE", url, headers={"If-Match": first.headers["ETag"]})
    assert gone.status_code == 204
    assert any_face.get(url).status_code == 404


def test_the_tag_of_a_read_document_serves_to_edit_it(face: Face) -> None:
    face.post(REVISIONS, whimbrel())
    for suffix in ("", ".yaml"):
        tag = face.get(f"{REVISIONS}/1{suffix}").headers["ETag"]
        done = face.ask(
            "PUT",
            f"{REVISIONS}/1",
            json=whimbrel(note=f"by {suffix}"),
            headers={"If-Match": f'"other", {tag}'},
        )
        assert done.status_code == 200, done.text


def test_the_number_of_a_deleted_draft_is_not_used_again(face: Face) -> None:
    face.publish()
    face.post(REVISIONS, whimbrel(note="draft"))
    face.ask("DELETE", f"{REVISIONS}/2", headers={"If-Match": "*"})
    made = face.post(REVISIONS, whimbrel(note="draft"))
    assert made.json["revision"]["number"] == 3


@pytest.mark.parametrize("method", ["PUT", "DELETE"])
def test_a_published_revision_can_be_neither_edited_nor_deleted(
    ready: Face, method: str
) -> None:
    more: dict[str, Any] = {"json": whimbrel(note="x")} if method == "PUT" else {}
    reply = ready.ask(method, f"{REVISIONS}/1", headers={"If-Match": "*"}, **more)
    assert reply.status_code == 409
    assert "never changes" in reply.json["detail"]


def test_what_has_not_changed_is_not_sent_again(ready: Face) -> None:
    for path in (f"{REVISIONS}/1", "/families", "/parts?q=w40", "/log"):
        first = ready.get(path)
        tag = first.headers["ETag"]
        again = ready.get(path, headers={"If-None-Match": tag})
        assert again.status_code == 304, path
        assert again.data == b""
        assert again.headers["ETag"] == tag
        other = ready.get(path, headers={"If-None-Match": '"other"'})
        assert other.status_code == 200


def test_a_wrong_document_changes_nothing_and_names_every_place(face: Face) -> None:
    document = whimbrel()
    document["fitments"][0]["part"] = "W10.0002"
    document["rules"][0]["when"] = "sump = frunt"
    document["jobs"][0]["colour"] = "red"
    reply = face.post(REVISIONS, document)
    assert reply.status_code == 400
    assert reply.mimetype == "application/problem+json"
    pointers = {error["pointer"] for error in reply.json["errors"]}
    assert {"/fitments/0/part", "/rules/0/when"} <= pointers
    assert any(p.startswith("/jobs/0") for p in pointers)
    remedies = {error.get("remedy") for error in reply.json["errors"]}
    assert "front" in " ".join(str(remedy) for remedy in remedies)
    assert face.get("/families").json["items"] == []


def test_a_wrong_place_in_yaml_has_its_line(face: Face) -> None:
    text = "format: 1\nfamily: {code: whimbrel, name: W}\noptions: 7\n"
    reply = face.post(
        REVISIONS, data=text, headers={"Content-Type": "application/yaml"}
    )
    assert reply.status_code == 400
    assert {"line": 3} in [{"line": e.get("line")} for e in reply.json["errors"]]


def test_a_document_of_another_family_is_refused(face: Face) -> None:
    reply = face.post("/families/dunlin/revisions", whimbrel())
    assert reply.status_code == 400
    assert reply.json["errors"][0]["pointer"] == "/family/code"


def test_two_families_may_share_a_part_that_agrees(ready: Face) -> None:
    ready.publish(dunlin())
    part = ready.get("/parts/w40.2001").json
    assert part["families"] == ["dunlin", "whimbrel"]


def test_a_shared_part_that_differs_is_refused_with_the_field(ready: Face) -> None:
    reply = ready.post("/families/dunlin/revisions", dunlin(reuse="freely"))
    assert reply.status_code == 400
    (error,) = reply.json["errors"]
    assert error["pointer"] == "/parts/3/reuse"
    assert "whimbrel" in error["detail"]
    assert '"single"' in error["detail"]


def test_drafts_made_before_the_other_family_was_published_are_held(
    face: Face,
) -> None:
    drafted = face.post("/families/dunlin/revisions", dunlin(mass_kg=1))
    assert drafted.status_code == 201
    face.publish()
    held = face.post("/families/dunlin/revisions/1/publish")
    assert held.status_code == 409
    assert held.json["errors"][0]["pointer"] == "/parts/3/mass_kg"


def test_a_revision_without_any_valid_build_is_held_back(face: Face) -> None:
    document = whimbrel()
    document["rules"].append({"code": "x", "then": "never", "because": "nothing"})
    face.post(REVISIONS, document)
    held = face.post(f"{REVISIONS}/1/publish", {"accept_warnings": "please"})
    assert held.status_code == 409
    assert [f["code"] for f in held.json["findings"]] == ["no_valid_build"]
    assert face.get("/families/whimbrel").json["published"] is None


def test_a_second_person_publishes_where_that_is_demanded(sqlite_url: str) -> None:
    for face in make_face(sqlite_url, second_person=True):
        face.post(REVISIONS, whimbrel())
        alone = face.post(f"{REVISIONS}/1/publish")
        assert alone.status_code == 409
        assert "second person" in alone.json["remedy"]
        other = face.post(f"{REVISIONS}/1/publish", role="publisher")
        assert other.status_code == 200


def test_an_unknown_family_is_told_with_the_nearest(ready: Face) -> None:
    reply = ready.get("/families/wimbrel")
    assert reply.status_code == 404
    assert reply.json["remedy"] == "Did you mean 'whimbrel'?"
    missing = ready.get(f"{REVISIONS}/9")
    assert missing.status_code == 404
    assert missing.json["remedy"] == "The newest is 1."


def test_lists_are_paged_by_a_cursor(face: Face) -> None:
    for number in range(1, 6):
        face.post(REVISIONS, whimbrel(note=f"draft {number}"))
    seen, url = [], f"{REVISIONS}?limit=2"
    while url:
        page = face.get(url)
        seen += [item["revision"]["number"] for item in page.json["items"]]
        link = page.headers.get("Link")
        assert (link is None) == (page.json["next"] is None)
        url = link.partition(">")[0].strip("<") if link else ""
    assert seen == [5, 4, 3, 2, 1]
    for bad in ("cursor=zzz", "cursor=WzFd", "limit=0", "limit=201", "limit=٣", "x=1"):
        reply = face.get(f"{REVISIONS}?{bad}")
        assert reply.status_code == 400, bad
        assert reply.json["errors"][0]["pointer"].startswith("/query/")


def test_the_published_document_is_read_the_same_from_both_databases(
    any_face: Face,
) -> None:
    any_face.publish()
    reply = any_face.get(f"{REVISIONS}/1.json")
    assert json.loads(reply.data)["family"]["code"] == "whimbrel"
    assert reply.headers["ETag"].startswith('"whimbrel.1-v2-')
    assert reply.headers["Bomsvc-Revision-State"] == "published"
