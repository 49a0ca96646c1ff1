"""Engines on file, tokens, parts, screws by hand, over REST."""

from __future__ import annotations

import pytest

from tests.contract.faces import Face
from tests.contract.replies import SIZED, conforms
from tests.contract.sample import dunlin, whimbrel

ENGINE = {
    "family": "whimbrel",
    "serial": "n 210440",
    "answers": {"sump": "rear", "gears": {"not": ["quiet"]}},
    "sources": {"sump": "seen", "serial": "plate"},
    "deviations": [{"joint": "pan_rail", "hole": 2, "note": "insert", "mm": 12.5}],
    "plate_text": "TEW\nN210440",
    "unit_number": "Boat 7",
    "notes": "Kept dry.",
}


def test_an_engine_is_kept_as_it_was_told(any_face: Face) -> None:
    any_face.publish()
    made = any_face.post("/engines", ENGINE, role="counter")
    assert made.status_code == 201, made.text
    assert made.headers["Location"] == "/api/v1/engines/N210440"
    shown = any_face.get("/engines/N210440")
    assert shown.json == made.json
    assert shown.headers["ETag"] == made.headers["ETag"]
    assert shown.json["serial"] == "N210440"
    assert shown.json["deviations"][0]["mm"] == 12.5
    assert shown.json["answers"] == ENGINE["answers"]
    assert any_face.get("/engines?family=dunlin").json["items"] == []
    assert any_face.get("/engines?family=whimbrel").json["items"] == [made.json]


@pytest.mark.parametrize(
    "serial", ["", "N", "N0", "ÄÖ12", "N2104401234", "12N", "N 1 2"]
)
def test_what_is_no_serial_is_refused(ready: Face, serial: str) -> None:
    reply = ready.post("/engines", {**ENGINE, "serial": serial})
    assert reply.status_code == 400
    assert reply.json["errors"][0]["pointer"] == "/serial"


def test_an_engine_with_answers_nobody_could_have_is_refused(ready: Face) -> None:
    unknown = ready.post("/engines", {**ENGINE, "answers": {"sump": "reer"}})
    assert unknown.status_code == 400
    assert unknown.json["errors"][0]["pointer"] == "/answers/sump"
    clash = {"sump": "front", "gears": "wide"}
    refused = ready.post("/engines", {**ENGINE, "answers": clash})
    assert refused.status_code == 409
    assert refused.json["clash"]["rules"] == ["r7"]
    waived = ready.post("/engines", {**ENGINE, "answers": clash, "waive": ["r7"]})
    assert waived.status_code == 201
    other = ready.post(
        "/engines", {**ENGINE, "serial": "N5", "answers": {"serial": "N6"}}
    )
    assert other.json["errors"][0]["pointer"] == "/answers/serial"
    old = ready.post("/engines", {**ENGINE, "serial": "N199", "answers": clash})
    assert old.status_code == 409, "the serial itself rules the front sump out"


def test_figures_of_deviations_come_back_or_are_refused(ready: Face) -> None:
    text = (
        '{"family": "whimbrel", "serial": "N1", "deviations":'
        ' [{"hole": {"deep": [12.500001, 1e999999999]}}]}'
    )
    headers = {"Content-Type": "application/json"}
    reply = ready.post("/engines", data=text, headers=headers)
    assert reply.status_code == 400
    (error,) = reply.json["errors"]
    assert error["pointer"] == "/deviations/0/hole/deep/1"
    ready.post("/engines", data=text.replace("1e999999999", "0.1"), headers=headers)
    shown = ready.get("/engines/N1").text
    assert "[12.500001,0.1]" in shown


def test_an_engine_is_edited_by_version(any_face: Face) -> None:
    any_face.publish()
    made = any_face.post("/engines", ENGINE)
    url, tag = "/engines/N210440", made.headers["ETag"]
    change = {"answers": {"sump": "front"}}
    assert any_face.ask("PUT", url, json=change).status_code == 428
    done = any_face.ask("PUT", url, json=change, headers={"If-Match": tag})
    assert done.status_code == 200
    assert done.json["version"] == 2
    assert done.json["notes"] is None, "PUT writes down the whole"
    stale = any_face.ask("PUT", url, json=change, headers={"If-Match": tag})
    assert stale.status_code == 412
    absent = any_face.ask("PUT", "/engines/N9", json=change, headers={"If-Match": "*"})
    assert absent.status_code == 404


def test_a_serial_that_several_engines_share_must_be_told_apart(ready: Face) -> None:
    ready.publish(dunlin())
    ready.post("/engines", ENGINE)
    ready.post("/engines", {**ENGINE, "family": "dunlin"})
    twice = ready.get("/engines/N210440")
    assert twice.status_code == 409
    assert "N210440 (whimbrel), N210440 (dunlin)" in twice.json["detail"]
    assert ready.get("/engines/N210440?family=dunlin").json["family"] == "dunlin"
    ready.post("/engines", {**ENGINE, "serial": "S210440"})
    bare = ready.get("/engines/210440?family=whimbrel")
    assert bare.status_code == 409
    again = ready.post("/engines", {**ENGINE, "serial": "N-210440"})
    assert again.status_code == 409
    assert "on file already" in again.json["detail"]


def test_engines_that_share_a_number_are_read_and_edited_apart(any_face: Face) -> None:
    any_face.publish()
    serials = ("N210440", "S210440", "210440")
    made = {s: any_face.post("/engines", {**ENGINE, "serial": s}) for s in serials}
    tags = {serial: reply.headers["ETag"] for serial, reply in made.items()}
    assert len(set(tags.values())) == len(serials)
    seen = any_face.get("/engines/S210440", headers={"If-None-Match": tags["N210440"]})
    assert (seen.status_code, seen.json["serial"]) == (200, "S210440")
    change = {"answers": {"sump": "front"}}
    foreign = {"If-Match": tags["N210440"]}
    for serial in ("S210440", "210440"):
        wrong = any_face.ask("PUT", f"/engines/{serial}", json=change, headers=foreign)
        assert wrong.status_code == 412
    for serial in ("210440", "N210440"):
        own = {"If-Match": tags[serial]}
        done = any_face.ask("PUT", f"/engines/{serial}", json=change, headers=own)
        assert (done.status_code, done.json["serial"]) == (200, serial)
    versions = {s: any_face.get(f"/engines/{s}").json["version"] for s in serials}
    assert versions == {"N210440": 2, "S210440": 1, "210440": 2}


def test_a_token_is_shown_once_and_works_until_it_is_revoked(any_face: Face) -> None:
    made = any_face.post(
        "/tokens",
        {"name": "till", "roles": ["counter", "workshop"], "branch": "harbour_road"},
    )
    assert made.status_code == 201
    token = {"Authorization": f"Bearer {made.json['token']}"}
    assert any_face.get("/families", role=None, headers=token).status_code == 200
    listed = any_face.get("/tokens").json["items"]
    assert all("token" not in item for item in listed)
    assert made.json["token"] not in str(listed)
    gone = any_face.ask("DELETE", f"/tokens/{made.json['id']}")
    assert gone.json["revoked_at"]
    assert any_face.get("/families", role=None, headers=token).status_code == 401
    again = any_face.ask("DELETE", f"/tokens/{made.json['id']}")
    assert again.json == gone.json
    assert any_face.ask("DELETE", "/tokens/999").status_code == 404


def test_a_token_ends_at_its_time(face: Face) -> None:
    made = face.post(
        "/tokens",
        {"name": "t", "roles": ["counter"], "expires_at": "2026-03-02T09:15:00+00:00"},
    )
    token = {"Authorization": f"Bearer {made.json['token']}"}
    face.clock.forward(minutes=59)
    assert face.get("/families", role=None, headers=token).status_code == 200
    face.clock.forward(minutes=1)
    assert face.get("/families", role=None, headers=token).status_code == 401


def test_a_scope_narrows_what_the_roles_allow(face: Face) -> None:
    made = face.post(
        "/tokens", {"name": "t", "roles": ["admin"], "scope": ["part.read"]}
    )
    token = {"Authorization": f"Bearer {made.json['token']}"}
    assert face.get("/parts", role=None, headers=token).status_code == 200
    assert face.get("/tokens", role=None, headers=token).status_code == 403


@pytest.mark.parametrize(
    ("change", "pointer"),
    [
        ({"roles": ["countr"]}, "/roles/0"),
        ({"roles": []}, "/roles"),
        ({"scope": ["parts"]}, "/scope/0"),
        ({"branch": "Harbour Road"}, "/branch"),
        ({"expires_at": "2026-03-02T08:15:00Z"}, "/expires_at"),
        ({"expires_at": "2027-03-04T08:15:00Z"}, "/expires_at"),
        ({"expires_at": "2026-03-03"}, "/expires_at"),
        ({"expires_at": "soon"}, "/expires_at"),
        ({"name": "two\nlines"}, "/name"),
        ({"name": ""}, "/name"),
        ({"name": "  "}, "/name"),
        ({"roles": ["counter", "writer", "counter"]}, "/roles/2"),
        ({"scope": ["part.read", "part.read"]}, "/scope/1"),
        ({"id": 7}, "/id"),
    ],
)
def test_a_token_that_cannot_be_made_is_pointed_at(
    face: Face, change: dict[str, object], pointer: str
) -> None:
    reply = face.post("/tokens", {"name": "t", "roles": ["counter"], **change})
    assert reply.status_code == 400
    assert reply.json["errors"][0]["pointer"] == pointer
    assert len(face.get("/tokens").json["items"]) == 1


def test_secrets_are_kept_as_hashes_only(face: Face) -> None:
    from sqlalchemy import create_engine, text

    secret = face.secret("counter")
    engine = create_engine(face.settings.database_url)
    with engine.connect() as connection:
        rows = [
            str(row)
            for table in ("tokens", "log", "idempotency")
            for row in connection.execute(text(f"SELECT * FROM {table}"))  # noqa: S608
        ]
    engine.dispose()
    assert rows
    assert not any(secret in row or secret[7:] in row for row in rows)


def test_parts_are_found_however_the_number_is_spelt(ready: Face) -> None:
    for typed in ("W40.2001", "w402001", "w40-2001", "W40 2001", "oil PAN gask"):
        found = ready.get("/parts", query_string={"q": typed}).json["items"]
        assert [part["number"] for part in found] == ["W40.2001"], typed
    assert len(ready.get("/parts").json["items"]) == 6
    assert ready.get("/parts?q=%25").json["items"] == []


def test_a_part_is_shown_by_its_number_only(ready: Face) -> None:
    part = ready.get("/parts/w40.2001").json
    assert part["number"] == "W40.2001"
    assert part["data"]["reuse"] == "single"
    loose = ready.get("/parts/W402001")
    assert loose.status_code == 404
    assert "W40.2001" in loose.json["remedy"]


NUMBERED = {
    "/parts/A%2F1": "A/1",
    "/parts/A/1": "A/1",
    "/parts/A%2Ffits": "A/fits",
    "/parts/a%2f%66its": "A/fits",
    "/parts/A%2Ffits?family=/fits": None,
    "/parts/A%2Ffits/fits": "A/fits fits",
    "/parts/A%2Ffits/%66its": "A/fits fits",
    "/parts/A/fits": "A fits",
    "/parts/A/fits?after=0": "A fits",
    "/parts/A%2F1/fits": "A/1 fits",
}


@pytest.mark.parametrize("path", NUMBERED)
def test_only_a_slash_sent_as_one_parts_a_number_from_its_fits(
    face: Face, path: str
) -> None:
    document = whimbrel()
    numbers = ("A", "A/1", "A/fits")
    document["parts"] += [{"number": n, "name": "Odd piece"} for n in numbers]
    face.post("/families/whimbrel/revisions", document)
    reason = {"accept_warnings": "The odd pieces stand alone."}
    done = face.post("/families/whimbrel/revisions/1/publish", reason)
    assert done.status_code == 200, done.text
    reply = face.get(path)
    said = NUMBERED[path]
    if said is None:
        assert reply.status_code == 400, "a part takes no query"
        return
    shown = reply.json.get("number") or f"{reply.json['part']} fits"
    assert shown == said


def test_parts_of_several_families_are_paged_without_loss(ready: Face) -> None:
    ready.publish(dunlin())
    seen, url = [], "/parts?limit=3"
    while url:
        page = ready.get(url)
        seen += [(p["number"], tuple(p["families"])) for p in page.json["items"]]
        link = page.headers.get("Link")
        url = link.partition(">")[0].strip("<") if link else ""
    numbers = [number for number, _families in seen]
    assert numbers == sorted(set(numbers))
    assert len(numbers) == 6
    assert {families for _number, families in seen} == {("dunlin", "whimbrel")}


def test_a_screw_is_sized_by_hand(ready: Face) -> None:
    from bomsvc.api.routes.fasteners import _SIZE_EXAMPLE

    reply = ready.post("/fasteners/size", _SIZE_EXAMPLE, role="workshop")
    assert reply.status_code == 200, reply.text
    conforms(reply.json, SIZED)
    assert reply.json["chosen"]["designation"] == "ISO 4762 - M10 x 55 - 10.9"
    assert reply.json["margin_mm"] == {"short": 2.55, "over": 1.4, "shank": 12.25}
    short = {**_SIZE_EXAMPLE, "into": {**_SIZE_EXAMPLE["into"], "threaded_mm": 18}}  # type: ignore[dict-item]
    fails = ready.post("/fasteners/size", short).json
    assert fails["chosen"] is None
    assert fails["failure"]["by_mm"] == 0.25


def test_wrong_figures_are_pointed_at(ready: Face) -> None:
    reply = ready.post("/fasteners/size", {"standard": "ISO 4763", "colour": "red"})
    assert reply.status_code == 400
    pointers = {error["pointer"] for error in reply.json["errors"]}
    assert {"/standard", "/colour", "/thread"} <= pointers
    assert ready.post("/fasteners/size", []).status_code == 400


def test_a_thread_is_shown_or_not_known(ready: Face) -> None:
    assert ready.get("/fasteners/threads/M10").json["designation"] == "M10x1.5"
    missing = ready.get("/fasteners/threads/M10.5")
    assert missing.status_code == 404


def test_a_torque_is_estimated_with_its_cautions(ready: Face) -> None:
    body = {"standard": "ISO 4762", "thread": "M10", "property_class": "10.9"}
    reply = ready.post("/fasteners/torque", {**body, "friction": 0.12})
    assert reply.json["torque_nm"] == 72
    assert reply.json["cautions"]
