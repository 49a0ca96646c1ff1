"""What every request goes through: problems, limits, hosts, headers, the log."""

from __future__ import annotations

import base64
import json
import logging
import sqlite3

import pytest

from bomsvc.api.envelope import LOG_FIELDS, JsonLines
from bomsvc.api.registry import OPERATIONS
from bomsvc.core.terms.json_text import read_json
from tests.contract.faces import V1, Answer, Face, make_face
from tests.contract.sample import whimbrel

IDENTIFY = "/families/whimbrel/identify"
JSON = {"Content-Type": "application/json"}


def is_problem(reply: Answer) -> bool:
    body = reply.json
    return (
        reply.mimetype == "application/problem+json"
        and body["status"] == reply.status_code
        and body["type"].startswith("urn:bomsvc:problem:")
        and bool(body["title"])
        and bool(body["detail"])
        and body["request_id"] == reply.headers["X-Request-Id"]
    )


def test_every_refusal_is_a_problem(ready: Face) -> None:
    replies = [
        ready.get("/families", role=None),
        ready.get("/tokens", role="counter"),
        ready.get("/nowhere"),
        ready.ask("PATCH", "/families"),
        ready.get("/families/none"),
        ready.post(IDENTIFY, {"x": 1}),
        ready.post(IDENTIFY, data="{", headers=JSON),
        ready.post(IDENTIFY, data="<a/>", headers={"Content-Type": "text/xml"}),
        ready.get("/families?limit=x"),
        ready.ask("GET", "/families", json={}),
    ]
    statuses = [401, 403, 404, 405, 404, 400, 400, 415, 400, 400]
    assert [reply.status_code for reply in replies] == statuses
    assert all(map(is_problem, replies))
    assert replies[3].headers["Allow"]


def test_a_fault_of_ours_tells_nothing_but_its_request_id(
    ready: Face, monkeypatch: pytest.MonkeyPatch, caplog: pytest.LogCaptureFixture
) -> None:
    def broken(*_args: object, **_more: object) -> None:
        raise ZeroDivisionError("secret detail")

    monkeypatch.setattr("bomsvc.service.builds.read_answers", broken)
    with caplog.at_level(logging.ERROR, "bomsvc.errors"):
        reply = ready.post(IDENTIFY, {})
    assert reply.status_code == 500
    assert is_problem(reply)
    assert "secret detail" not in reply.text
    assert "secret detail" in caplog.text


BAD_JSON = {
    "twice the same key": '{"answers": {"sump": "rear", "sump": "front"}}',
    "not a number": '{"revision": NaN}',
    "nested too deep": '{"answers": ' + '{"a":' * 70 + "1" + "}" * 70 + "}",
    "a hundred thousand brackets": "[" * 100_000,
    "half a character": '{"answers": {"sump": "\\ud800"}}',
    "not UTF-8": b'{"answers": {"sump": "\xff"}}',
    "a number of 5000 digits": '{"revision": ' + "9" * 5000 + "}",
    "a list": "[]",
    "text": '"x"',
    "nothing": "",
    "a huge exponent": '{"answers": {"serial": 1e999999999}}',
}


@pytest.mark.parametrize("name", BAD_JSON)
def test_bad_json_is_refused_and_never_a_fault(ready: Face, name: str) -> None:
    reply = ready.post(IDENTIFY, data=BAD_JSON[name], headers=JSON)
    assert reply.status_code in (400, 413)
    assert is_problem(reply)


def test_a_body_over_the_limit_is_refused_before_it_is_read(sqlite_url: str) -> None:
    for face in make_face(sqlite_url, max_body_bytes=2_000, max_document_bytes=9_000):
        small = {"answers": {}, "waive": ["x" * 1_000]}
        assert face.post(IDENTIFY, small).status_code == 404
        large = {"answers": {}, "waive": ["x" * 3_000]}
        reply = face.post(IDENTIFY, large)
        assert reply.status_code == 413
        assert "2000 bytes" in reply.json["detail"]
        assert face.post("/families/whimbrel/revisions", whimbrel()).status_code == 201
        huge = whimbrel(note="x" * 9_000)
        assert face.post("/families/whimbrel/revisions", huge).status_code == 413


def test_a_body_without_a_length_is_limited_while_it_is_read(sqlite_url: str) -> None:
    class Endless:
        given = 0

        def read(self, size: int = -1) -> bytes:
            size = 65_536 if size < 0 else size
            self.given += size
            assert self.given < 200_000, "the body was read to its end"
            return b" " * size

    for face in make_face(sqlite_url, max_body_bytes=2_000):
        stream = Endless()
        reply = face.app.test_client().post(
            V1 + IDENTIFY,
            headers={"Authorization": f"Bearer {face.secret('admin')}", **JSON},
            environ_overrides={
                "wsgi.input": stream,
                "wsgi.input_terminated": True,
                "CONTENT_LENGTH": "",
            },
        )
        assert reply.status_code == 413


def test_too_many_requests_are_told_when_to_come_again(sqlite_url: str) -> None:
    for face in make_face(sqlite_url, rate_per_minute=3):
        replies = [face.get("/families") for _ in range(4)]
        assert [r.status_code for r in replies] == [200, 200, 200, 429]
        assert replies[0].headers["RateLimit-Policy"] == '"default";q=3;w=60'
        assert replies[0].headers["RateLimit"] == '"default";r=2;t=0'
        assert replies[3].headers["Retry-After"] == "20"
        assert is_problem(replies[3])
        assert face.get("/families", role="counter").status_code == 200
        face.seconds[0] += 20
        assert face.get("/families").status_code == 200
        assert face.get("/families").status_code == 429


def test_guessing_tokens_is_slowed_and_holds_up_nobody_else(sqlite_url: str) -> None:
    for face in make_face(sqlite_url, refused_per_minute=5):
        guesses = [
            face.get(
                "/families", role=None, headers={"Authorization": f"Bearer bomsvc_{n}"}
            )
            for n in range(7)
        ]
        assert [r.status_code for r in guesses] == [401] * 5 + [429] * 2
        assert face.get("/families", role="counter").status_code == 200


@pytest.mark.parametrize(
    "header", ["", "Basic YTpi", "Bearer", "Bearer ", "bearer x y", "Bearer é"]
)
def test_what_is_no_bearer_token_is_nobody(ready: Face, header: str) -> None:
    reply = ready.get("/families", role=None, headers={"Authorization": header})
    assert reply.status_code == 401


@pytest.mark.parametrize(
    ("host", "served"),
    [
        ("localhost", True),
        ("127.0.0.1:8000", True),
        ("[::1]:8000", True),
        ("LOCALHOST", True),
        ("evil.example", False),
        ("127.0.0.1.evil.example", False),
        ("", False),
    ],
)
def test_only_known_host_names_are_served(
    ready: Face, host: str, *, served: bool
) -> None:
    reply = ready.get("/families", headers={"Host": host})
    assert (reply.status_code == 200) == served
    assert served or is_problem(reply)


def test_every_reply_has_the_headers_of_safety(ready: Face) -> None:
    for reply in (ready.get("/families"), ready.get("/x"), ready.get("/api/docs")):
        assert reply.headers["X-Content-Type-Options"] == "nosniff"
        assert reply.headers["Referrer-Policy"] == "no-referrer"
        assert "default-src 'none'" in reply.headers["Content-Security-Policy"]
        assert reply.headers["Cache-Control"] in ("no-store", "private, no-cache")
        assert "Access-Control-Allow-Origin" not in reply.headers
        assert "Server" not in reply.headers


def test_a_request_id_is_taken_over_where_it_is_one(ready: Face) -> None:
    given = ready.get("/families", headers={"X-Request-Id": "till-7.2026-03-02"})
    assert given.headers["X-Request-Id"] == "till-7.2026-03-02"
    for bad in ("short", "x" * 65, "with blank 1", '{"a":1}12345'):
        reply = ready.get("/families", headers={"X-Request-Id": bad})
        assert reply.headers["X-Request-Id"] != bad
    made = ready.post(
        "/engines",
        {"family": "whimbrel", "serial": "N1"},
        headers={"X-Request-Id": "counter-0001"},
    )
    assert made.status_code == 201
    assert ready.get("/log?kind=engine").json["items"][0]["request_id"] == (
        "counter-0001"
    )


def test_the_log_is_json_lines_without_secrets(ready: Face) -> None:
    lines: list[str] = []

    class Keep(logging.Handler):
        def emit(self, record: logging.LogRecord) -> None:
            lines.append(JsonLines().format(record))

    logger, handler = logging.getLogger("bomsvc.requests"), Keep()
    logger.addHandler(handler)
    logger.setLevel(logging.INFO)
    try:
        made = ready.post("/tokens", {"name": "CANARY-name", "roles": ["counter"]})
        secret = made.json["token"]
        ready.get(
            "/parts?q=CANARY-query",
            role=None,
            headers={"Authorization": f"Bearer {secret}", "Cookie": "CANARY-cookie"},
        )
        ready.get("/families/a%0d%0aforged")
    finally:
        logger.removeHandler(handler)
    assert len(lines) == 3
    for line in lines:
        assert "\n" not in line
        assert json.loads(line).keys() <= set(LOG_FIELDS)
        assert "CANARY" not in line
        assert secret not in line
        assert ready.secret("admin") not in line
    assert json.loads(lines[0])["operation"] == "createToken"
    assert json.loads(lines[0])["who"] == "token:1"


def test_the_probes_stand_at_the_root_and_need_no_token(
    ready: Face, monkeypatch: pytest.MonkeyPatch
) -> None:
    assert ready.root("/health").json["status"] == "alive"
    assert ready.root("/ready").json == {"status": "ready"}
    ready.get("/families")
    figures = ready.root("/metrics")
    assert figures.mimetype == "text/plain"
    assert (
        'bomsvc_requests_total{operation="listFamilies",status="200"} 1'
        in figures.text.splitlines()
    )
    monkeypatch.setattr(ready.desk.store, "ready", lambda: "The database is away.")
    away = ready.root("/ready")
    assert away.status_code == 503
    assert away.headers["Retry-After"]
    assert ready.root("/health").status_code == 200


def test_a_full_disk_is_told_and_changes_nothing(
    ready: Face, monkeypatch: pytest.MonkeyPatch
) -> None:
    import sqlalchemy.exc

    from bomsvc.db.store import SqlUnit

    def full(_unit: SqlUnit) -> None:
        raise sqlalchemy.exc.OperationalError(
            "COMMIT", {}, sqlite3.OperationalError("database or disk is full")
        )

    body = {"family": "whimbrel", "serial": "N1"}
    with monkeypatch.context() as patched:
        patched.setattr(SqlUnit, "commit", full)
        reply = ready.post("/engines", body)
    assert reply.status_code == 507
    assert is_problem(reply)
    assert ready.post("/engines", body).status_code == 201


def test_numbers_on_the_wire_have_the_digits_they_were_written_with(
    ready: Face,
) -> None:
    reply = ready.get("/parts/W40.2001")
    tree = read_json(reply.data)
    assert '"mm":0.8,' in reply.text.replace(" ", "")
    assert isinstance(tree, dict)


def test_paths_are_taken_as_they_are(ready: Face) -> None:
    assert ready.get("//families").status_code == 404
    assert ready.get("/families/").status_code == 404
    assert ready.get("/fasteners/threads/3%2F8-16%20UNC").json["pitch_mm"] == 1.5875


@pytest.mark.parametrize("digits", ["9" * 18, "9" * 19, "9" * 23, "9" * 2_000, "٣"])
def test_a_number_nobody_counts_to_leads_nowhere(any_face: Face, digits: str) -> None:
    any_face.publish()
    one = f"/families/whimbrel/revisions/{digits}"
    any_tag = {"If-Match": "*"}
    replies = [
        any_face.get(one),
        any_face.get(f"{one}.yaml"),
        any_face.get(f"{one}/proof"),
        any_face.get(f"{one}/changes?since=1"),
        any_face.ask("PUT", one, json=whimbrel(), headers=any_tag),
        any_face.ask("DELETE", one, headers=any_tag),
        any_face.post(f"{one}/publish"),
        any_face.ask("DELETE", f"/tokens/{digits}"),
    ]
    assert [reply.status_code for reply in replies] == [404] * len(replies)
    assert all(map(is_problem, replies))


@pytest.mark.parametrize(
    "place", ["9223372036854775808", "4611686018427387905", "-1", "9" * 40, "true"]
)
@pytest.mark.parametrize(
    "listed", ["/log", "/tokens", "/engines", "/families/whimbrel/revisions"]
)
def test_a_cursor_beyond_every_number_is_no_cursor(
    any_face: Face, listed: str, place: str
) -> None:
    any_face.publish()
    cursor = base64.urlsafe_b64encode(place.encode()).decode().rstrip("=")
    reply = any_face.get(f"{listed}?cursor={cursor}")
    assert reply.status_code == 400
    assert reply.json["errors"][0]["pointer"] == "/query/cursor"


def test_no_operation_answers_nonsense_with_a_fault(any_face: Face) -> None:
    any_face.publish()
    nonsense = ["\0", "%00", "'; DROP TABLE log; --", "x" * 3_000, "../../etc", "٣"]
    for operation in OPERATIONS:
        path = operation.path.split("<")[0]
        for word in nonsense:
            url = path + word if "<" in operation.path else f"{path}?q={word}"
            body = {"answers": {word: word}, "scope": {"whole": True}}
            reply = any_face.ask(operation.method, url, json=body)
            assert reply.status_code < 500, (operation.operation_id, word)
