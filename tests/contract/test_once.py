"""Once and together: idempotency keys, and what is committed with what.

The harness is held against itself: a face that commits the reply apart from its
effect is planted, and the same check must find it.
"""

from __future__ import annotations

import threading
from dataclasses import replace

import pytest

from bomsvc.api import pipeline
from bomsvc.api.operation import Call, Operation, Reply
from bomsvc.service.ports import UnitOfWork
from bomsvc.service.refusals import Unavailable
from tests.contract.faces import Answer, Face

ENGINE = {"family": "whimbrel", "serial": "N210440", "answers": {"sump": "rear"}}
KEY = {"Idempotency-Key": "7d0a8f3e-one"}


def engines(face: Face) -> list[str]:
    return [item["serial"] for item in face.get("/engines").json["items"]]


def entries(face: Face, kind: str) -> int:
    return len(face.get(f"/log?kind={kind}&limit=200").json["items"])


def test_the_same_key_and_body_have_one_effect_and_the_same_reply(
    any_face: Face,
) -> None:
    any_face.publish()
    first = any_face.post("/engines", ENGINE, headers=KEY)
    again = any_face.post("/engines", ENGINE, headers=KEY)
    assert (first.status_code, again.status_code) == (201, 201)
    assert again.data == first.data
    for name in ("ETag", "Location", "Content-Type"):
        assert again.headers[name] == first.headers[name]
    assert "Idempotent-Replayed" not in first.headers
    assert again.headers["Idempotent-Replayed"] == "true"
    assert engines(any_face) == ["N210440"]
    assert entries(any_face, "engine") == 1


def test_a_key_may_be_quoted_as_the_draft_standard_writes_it(ready: Face) -> None:
    ready.post("/engines", ENGINE, headers={"Idempotency-Key": '"k-1"'})
    again = ready.post("/engines", ENGINE, headers={"Idempotency-Key": "k-1"})
    assert again.headers["Idempotent-Replayed"] == "true"


def test_another_body_with_the_same_key_is_refused(ready: Face) -> None:
    ready.post("/engines", ENGINE, headers=KEY)
    other = ready.post("/engines", {**ENGINE, "serial": "N210441"}, headers=KEY)
    assert other.status_code == 422
    assert other.json["type"].endswith("key-reused")
    assert engines(ready) == ["N210440"]


def test_keys_belong_to_whoever_sent_them_and_to_the_operation(ready: Face) -> None:
    ready.post("/engines", ENGINE, headers=KEY)
    other = ready.post("/engines", ENGINE, headers=KEY, role="counter")
    assert other.status_code == 409, "another person's key is another key"
    token = ready.post("/tokens", {"name": "x", "roles": ["buyer"]}, headers=KEY)
    assert token.status_code == 201


def test_a_refusal_is_the_reply_of_its_key_too(any_face: Face) -> None:
    any_face.publish()
    any_face.post("/engines", ENGINE)
    first = any_face.post("/engines", ENGINE, headers=KEY)
    assert first.status_code == 409
    again = any_face.post("/engines", ENGINE, headers=KEY)
    assert again.status_code == 409
    assert again.headers["Idempotent-Replayed"] == "true"
    assert again.json["detail"] == first.json["detail"]
    assert entries(any_face, "engine") == 1


def test_a_key_is_kept_thirty_days(ready: Face) -> None:
    ready.post("/engines", ENGINE, headers=KEY)
    ready.clock.forward(days=29, hours=23)
    kept = ready.post("/engines", ENGINE, headers=KEY)
    assert kept.headers.get("Idempotent-Replayed") == "true"
    ready.clock.forward(hours=2)
    fresh = ready.post("/engines", ENGINE, headers=KEY)
    assert fresh.status_code == 409, "the serial is on file; the key is new"


@pytest.mark.parametrize("key", ["", "with blank", "ü", "x" * 256])
def test_a_key_that_is_none_is_refused(ready: Face, key: str) -> None:
    reply = ready.post("/engines", ENGINE, headers={"Idempotency-Key": key})
    assert reply.status_code == 400
    assert engines(ready) == []


def test_a_secret_is_not_kept_for_a_repeated_request(ready: Face) -> None:
    body = {"name": "till", "roles": ["counter"]}
    first = ready.post("/tokens", body, headers=KEY)
    again = ready.post("/tokens", body, headers=KEY)
    assert first.json["token"].startswith("bomsvc_")
    assert again.json == {**first.json, "token": None}
    assert len(ready.get("/tokens?limit=200").json["items"]) == 2


def test_requests_at_once_with_one_key_have_one_effect(any_face: Face) -> None:
    any_face.publish()
    any_face.secret("admin")
    replies: list[Answer] = []

    def send() -> None:
        replies.append(any_face.post("/engines", ENGINE, headers=KEY))

    threads = [threading.Thread(target=send) for _ in range(8)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join(30)
    assert {reply.status_code for reply in replies} == {201}
    assert len({reply.data for reply in replies}) == 1
    assert engines(any_face) == ["N210440"]
    assert entries(any_face, "engine") == 1


class Killed(BaseException):
    """The process ends here: nothing below may catch it."""


def killed_at(
    face: Face, monkeypatch: pytest.MonkeyPatch, target: str
) -> Answer | None:
    """Send a request that is killed at `target`, then send it again."""

    def die(*_args: object, **_more: object) -> None:
        raise Killed

    with monkeypatch.context() as patched:
        patched.setattr(target, die)
        with pytest.raises(Killed):
            face.post("/engines", ENGINE, headers=KEY)
    return face.post("/engines", ENGINE, headers=KEY)


PLACES = (
    "bomsvc.service.engines.enter",
    "bomsvc.db.repositories.replies.SqlReplies.keep",
    "bomsvc.db.store.SqlUnit.commit",
)


def all_or_nothing(face: Face, monkeypatch: pytest.MonkeyPatch, target: str) -> bool:
    """Tell whether a kill at `target` left nothing, and the retry did it once."""
    again = killed_at(face, monkeypatch, target)
    assert again is not None
    return (
        again.status_code == 201
        and "Idempotent-Replayed" not in again.headers
        and engines(face) == ["N210440"]
        and entries(face, "engine") == 1
    )


@pytest.mark.parametrize("target", PLACES)
def test_a_kill_leaves_all_or_nothing(
    any_face: Face, monkeypatch: pytest.MonkeyPatch, target: str
) -> None:
    any_face.publish()
    assert all_or_nothing(any_face, monkeypatch, target)


def test_a_reply_committed_apart_from_its_effect_is_caught(
    ready: Face, monkeypatch: pytest.MonkeyPatch
) -> None:
    def split(operation: Operation, call: Call, *, key: str, fingerprint: str) -> Reply:
        with call.desk.store.write() as uow:
            reply = operation.handle(replace(call, uow=uow))
            uow.commit()
        names = {
            "principal": call.acting.principal.key,
            "operation": operation.operation_id,
            "key": key,
        }
        with call.desk.store.write() as uow:
            uow.replies.claim(**names, fingerprint=fingerprint, at=call.desk.now())
            uow.replies.keep(**names, reply=pipeline._to_keep(reply))
            uow.commit()
        return reply

    monkeypatch.setattr(pipeline, "_write_once", split)
    assert not all_or_nothing(ready, monkeypatch, PLACES[1])


def test_a_log_entry_written_apart_from_its_effect_is_caught(
    ready: Face, monkeypatch: pytest.MonkeyPatch
) -> None:
    from bomsvc.service import engines as engine_cases

    def early(
        desk: object, uow: UnitOfWork, acting: object, *rest: object, **more: object
    ) -> None:
        del desk, acting, rest, more
        uow.commit()

    monkeypatch.setattr(engine_cases, "_enter", early)
    ready.post("/engines", ENGINE, headers=KEY)
    assert entries(ready, "engine") != len(engines(ready))


def test_trouble_with_the_database_is_not_kept_as_a_reply(
    ready: Face, monkeypatch: pytest.MonkeyPatch
) -> None:
    def away(*_args: object, **_more: object) -> None:
        raise Unavailable("The database cannot serve this now.")

    with monkeypatch.context() as patched:
        patched.setattr("bomsvc.service.engines.enter", away)
        reply = ready.post("/engines", ENGINE, headers=KEY)
    assert reply.status_code == 503
    assert reply.headers["Retry-After"] == "2"
    assert ready.post("/engines", ENGINE, headers=KEY).status_code == 201


def test_every_change_has_its_log_entry(any_face: Face) -> None:
    any_face.publish()
    made = any_face.post("/engines", ENGINE)
    any_face.ask(
        "PUT",
        "/engines/N210440",
        json={"answers": {"sump": "front"}},
        headers={"If-Match": made.headers["ETag"]},
    )
    any_face.post("/families/whimbrel/revisions", _draft())
    any_face.ask("DELETE", "/families/whimbrel/revisions/2", headers={"If-Match": "*"})
    said = [
        (item["kind"], item["action"], item["subject"])
        for item in reversed(any_face.get("/log?limit=200").json["items"])
        if item["kind"] != "token"
    ]
    assert said == [
        ("revision", "create", "whimbrel.1"),
        ("revision", "publish", "whimbrel.1"),
        ("engine", "create", "whimbrel.N210440"),
        ("engine", "replace", "whimbrel.N210440"),
        ("revision", "create", "whimbrel.2"),
        ("revision", "delete", "whimbrel.2"),
    ]


def _draft() -> dict[str, object]:
    from tests.contract.sample import whimbrel

    return whimbrel(note="draft")
