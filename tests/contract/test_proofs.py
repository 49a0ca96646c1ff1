"""Proofs over REST and on the command line: reports, publishing, tasks, changes."""

from __future__ import annotations

import time
from pathlib import Path
from typing import Any

import pytest

from bomsvc.api import patience
from bomsvc.app import app_on, open_desk
from bomsvc.config import Settings
from bomsvc.service import proofs
from bomsvc.service.compared import Comparisons
from scripts.benches import made_documents
from tests.contract.faces import Face, SteppingClock
from tests.contract.sample import whimbrel
from tests.hard_family import hard_family

REVISIONS = "/families/whimbrel/revisions"


def draft(face: Face, document: dict[str, Any]) -> str:
    made = face.post(REVISIONS, document, role="editor")
    assert made.status_code == 201, made.json
    return f"{REVISIONS}/{made.json['revision']['number']}"


def with_a_gap() -> dict[str, Any]:
    document = whimbrel()
    del document["fitments"][0]
    return document


def with_a_warning() -> dict[str, Any]:
    document = whimbrel()
    document["parts"].append({"number": "W40.9999", "name": "Left over"})
    return document


def test_a_proof_is_answered_and_kept(any_face: Face) -> None:
    one = draft(any_face, whimbrel())
    assert any_face.get(f"{one}/proof").status_code == 404
    proven = any_face.post(f"{one}/proof", role="editor")
    assert proven.status_code == 200
    report = proven.json
    assert report["proven"] is True
    assert report["clean"] is True
    assert report["figures"]["positions"] > 0
    assert any_face.get(f"{one}/proof").json == report
    assert any_face.get(REVISIONS).json["items"][0]["state"] == "proven"
    again = any_face.post(f"{one}/proof", role="editor")
    assert again.json == report


def test_a_changed_draft_has_to_be_proven_again(face: Face) -> None:
    one = draft(face, whimbrel())
    face.post(f"{one}/proof")
    changed = draft(face, whimbrel(note="second"))
    assert face.get(f"{changed}/proof").status_code == 404


def test_faults_hold_publishing_back_and_show_a_build(any_face: Face) -> None:
    one = draft(any_face, with_a_gap())
    report = any_face.post(f"{one}/proof").json
    faults = [f for f in report["findings"] if f["severity"] == "fault"]
    assert "position_gap" in {fault["code"] for fault in faults}
    gap = next(f for f in faults if f["code"] == "position_gap")
    assert gap["shown"].startswith("The usual build")
    assert gap["build"]["serial"] >= 1
    assert any_face.get(REVISIONS).json["items"][0]["state"] == "draft"
    held = any_face.post(f"{one}/publish", {"accept_warnings": "because"})
    assert held.status_code == 409
    assert gap in held.json["findings"]


def test_publishing_without_a_proof_makes_it_on_the_spot(face: Face) -> None:
    one = draft(face, with_a_gap())
    assert face.post(f"{one}/publish").status_code == 409


def test_warnings_need_a_reason(face: Face) -> None:
    one = draft(face, with_a_warning())
    held = face.post(f"{one}/publish")
    assert held.status_code == 409
    warnings = [f for f in held.json["findings"] if f["severity"] == "warning"]
    assert [f["code"] for f in warnings] == ["part_unused"]
    done = face.post(f"{one}/publish", {"accept_warnings": "It comes next spring."})
    assert done.status_code == 200
    assert done.json["accepted_warnings"] == "It comes next spring."


def ended(face: Face, location: str) -> dict[str, Any]:
    deadline = time.monotonic() + 60
    while time.monotonic() < deadline:
        task: dict[str, Any] = face.get(location, role="editor").json
        if task["state"] not in ("waiting", "running"):
            return task
        time.sleep(0.05)
    pytest.fail("the task did not end")


def test_a_long_proof_is_a_task(face: Face, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(proofs, "LONG_FROM", 1)
    one = draft(face, whimbrel())
    # A proof that takes long is not made while publishing.
    held = face.post(f"{one}/publish")
    assert [f["code"] for f in held.json["findings"]] == ["not_proven"]
    started = face.post(f"{one}/proof", role="editor")
    assert started.status_code == 202
    location = started.headers["Location"].removeprefix("/api/v1")
    task = ended(face, location)
    assert task["state"] == "done", task
    assert task["progress"]["done"] == task["progress"]["total"] > 0
    report = face.get(task["result"].removeprefix("/api/v1")).json
    assert report["clean"] is True
    assert face.post(f"{one}/publish").status_code == 200


def test_a_small_revision_that_is_hard_is_a_task_too(face: Face) -> None:
    document = hard_family(holes=9, positions=1)
    made = face.post("/families/pigeons/revisions", document, role="editor")
    assert made.status_code == 201, made.json
    one = "/families/pigeons/revisions/1"
    started = face.post(f"{one}/proof", role="editor")
    assert started.status_code == 202
    assert started.json["state"] in ("waiting", "running")
    location = started.headers["Location"].removeprefix("/api/v1")
    assert face.ask("DELETE", location, role="editor").status_code == 204


def test_a_request_that_has_waited_long_enough_hands_the_proof_to_a_task(
    face: Face, monkeypatch: pytest.MonkeyPatch
) -> None:
    one = draft(face, whimbrel())
    monkeypatch.setattr(patience, "WALL_S", -1)
    started = face.post(f"{one}/proof", role="editor")
    assert started.status_code == 202
    task = ended(face, started.headers["Location"].removeprefix("/api/v1"))
    late = face.get(task["result"].removeprefix("/api/v1")).json
    monkeypatch.setattr(patience, "WALL_S", 600)
    at_once = face.post(f"{one}/proof", role="editor")
    assert at_once.status_code == 200
    assert at_once.json == late, "the report is the same either way"
    monkeypatch.setattr(patience, "WORK_S", -1)
    assert face.post(f"{one}/proof", role="editor").status_code == 202


def test_publishing_does_not_keep_a_request_waiting_for_a_proof(
    sqlite_url: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    settings = Settings(home=Path(), database_url=sqlite_url)
    ports = open_desk(settings, patience=patience.patience)
    face = Face(app_on(ports.desk, settings), ports.desk, SteppingClock(), settings, [])
    one = draft(face, whimbrel())
    monkeypatch.setattr(patience, "WORK_S", -1)
    held = face.post(f"{one}/publish")
    assert held.status_code == 409
    (finding,) = held.json["findings"]
    assert finding["code"] == "not_proven"
    assert "prove it, then publish it" in finding["detail"]
    monkeypatch.setattr(patience, "WORK_S", 600)
    assert face.post(f"{one}/publish").status_code == 200
    ports.close()


def test_a_budget_that_runs_out_in_a_task_is_not_proven(
    face: Face, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(proofs, "LONG_FROM", 1)
    document = hard_family(holes=6, positions=1)
    face.post("/families/pigeons/revisions", document)
    one = "/families/pigeons/revisions/1"
    started = face.post(f"{one}/proof", {"conflicts": 2})
    task = ended(face, started.headers["Location"].removeprefix("/api/v1"))
    assert task["state"] == "done", "a task that settled nothing has still ended well"
    report = face.get(f"{one}/proof").json
    assert report["proven"] is report["clean"] is False
    unsettled = [f for f in report["findings"] if f["code"] == "not_proven"]
    assert unsettled
    assert all(f["severity"] == "fault" for f in unsettled)
    assert "Not settled within the budget" in unsettled[0]["detail"]
    held = face.post(f"{one}/publish", {"accept_warnings": "in a hurry"})
    assert held.status_code == 409
    # With the usual budget it is settled, and a later small one takes nothing back.
    again = face.post(f"{one}/proof")
    ended(face, again.headers["Location"].removeprefix("/api/v1"))
    proven = face.get(f"{one}/proof").json
    assert proven["proven"] is True
    less = face.post(f"{one}/proof", {"conflicts": 2})
    ended(face, less.headers["Location"].removeprefix("/api/v1"))
    assert face.get(f"{one}/proof").json == proven


def test_a_task_can_be_cancelled(face: Face, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(proofs, "LONG_FROM", 1)
    one = draft(face, whimbrel())
    started = face.post(f"{one}/proof", role="editor")
    location = started.headers["Location"].removeprefix("/api/v1")
    assert face.ask("DELETE", location, role="editor").status_code == 204
    assert ended(face, location)["state"] == "cancelled"
    assert face.get(f"{one}/proof").status_code == 404


def test_a_proof_under_way_of_the_older_text_is_not_taken_for_the_new_one(
    face: Face, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(proofs, "LONG_FROM", 1)
    one = draft(face, whimbrel())
    old = face.post(f"{one}/proof", role="editor").json["task"]
    waiting = face.get(f"{one}/proof")
    assert waiting.status_code == 404
    assert f"/api/v1/tasks/{old}" in waiting.json["remedy"]
    headers = {"If-Match": "*"}
    edited = face.ask("PUT", one, role="editor", headers=headers, json=with_a_gap())
    assert edited.status_code == 200, edited.json
    assert face.get(f"{one}/proof").json["remedy"] == "Prove it first."
    new = face.post(f"{one}/proof", role="editor").json["task"]
    assert new != old
    assert ended(face, f"/tasks/{old}")["state"] == "done"
    assert ended(face, f"/tasks/{new}")["state"] == "done"
    found = face.get(f"{one}/proof").json["findings"]
    assert "position_gap" in {finding["code"] for finding in found}


def test_an_unknown_task_is_a_clear_404(face: Face) -> None:
    for method in ("GET", "DELETE"):
        missing = face.ask(method, "/tasks/5f3a", role="editor")
        assert missing.status_code == 404
        assert missing.json["detail"] == "There is no task '5f3a'."
        assert "when the service starts anew" in missing.json["remedy"]


def test_a_large_revision_is_a_task_that_shows_progress_and_is_cancelled(
    face: Face,
) -> None:
    document = made_documents.document(2_000)
    assert len(document["fitments"]) > proofs.LONG_FROM
    made = face.post("/families/bench/revisions", document, role="editor")
    assert made.status_code == 201, made.text
    started = face.post("/families/bench/revisions/1/proof", role="editor")
    assert started.status_code == 202
    location = started.headers["Location"].removeprefix("/api/v1")
    deadline = time.monotonic() + 60
    while (task := face.get(location, role="editor").json)["progress"]["total"] == 0:
        assert time.monotonic() < deadline
        assert task["state"] in ("waiting", "running"), task
        time.sleep(0.05)
    assert task["state"] == "running"
    start = time.monotonic()
    assert face.ask("DELETE", location, role="editor").status_code == 204
    assert face.get(location, role="editor").json["state"] == "cancelled"
    assert time.monotonic() - start < 2
    assert face.get("/families/bench/revisions/1/proof").status_code == 404


def test_changes_name_lists_builds_and_engines(face: Face) -> None:
    first = draft(face, whimbrel())
    assert face.post(f"{first}/publish").status_code == 200
    document = whimbrel()
    document["parts"].append({"number": "W40.8888", "name": "Pan, later"})
    fitment = document["fitments"][0]
    later = {**fitment, "part": "W40.8888"}
    when = fitment.get("when")
    both = f"({when}) and " if when else ""
    fitment["when"] = f"{both}serial < 300000"
    later["when"] = f"{both}serial >= 300000"
    document["fitments"].append(later)
    second = draft(face, document)
    body = {"family": "whimbrel", "serial": "N400000"}
    assert face.post("/engines", body).status_code == 201
    found = face.get(f"{second}/changes?since=1").json
    assert found["document"]["parts"]["added"] == ["W40.8888"]
    places = {p.get("position"): p for p in found["places"]}
    assert fitment["position"] in places
    place = places[fitment["position"]]
    assert place["complete"] is True
    assert "serial number from 300000" in place["when"].lower()
    assert place["build"]["serial"] == 300000
    assert found["builds"] == []
    (engine,) = found["engines"]
    assert engine["serial"] == "N400000"
    assert engine["state"] == "changed"
    nothing = face.get(f"{second}/changes?since=2").json
    assert nothing["places"] == nothing["engines"] == []
    assert nothing["document"] == {}
    assert face.get(f"{second}/changes").status_code == 400
    assert face.get(f"{second}/changes?since=9").status_code == 404


def with_a_later_pan() -> dict[str, Any]:
    """The sample with another part at the first position."""
    document = whimbrel()
    document["parts"].append({"number": "W40.8888", "name": "Pan, later"})
    document["fitments"][0]["part"] = "W40.8888"
    return document


def test_a_long_comparison_is_a_task_and_its_result_is_kept(
    any_face: Face, monkeypatch: pytest.MonkeyPatch
) -> None:
    face = any_face
    assert face.post(f"{draft(face, whimbrel())}/publish").status_code == 200
    second = draft(face, with_a_later_pan())
    engine = {"family": "whimbrel", "serial": "N400000"}
    assert face.post("/engines", engine).status_code == 201
    asked = f"{second}/changes?since=1"
    monkeypatch.setattr(patience, "WALL_S", -1)
    started = face.get(asked)
    assert started.status_code == 202
    assert (started.json["kind"], started.json["subject"]) == (
        "compare",
        "whimbrel.1-2",
    )
    location = started.headers["Location"].removeprefix("/api/v1")
    again = face.get(asked)
    if again.status_code == 202:
        assert again.headers["Location"].endswith(location), "the same task goes on"
    task = ended(face, location)
    assert task["state"] == "done", task
    assert task["progress"]["done"] == task["progress"]["total"] > 0
    assert task["result"] == f"/api/v1{asked}"
    late = face.get(asked)
    assert late.status_code == 200, "it is kept, and nobody waits for it again"
    assert face.get(f"{second}/changes.xlsx?since=1").status_code == 200
    assert [engine["serial"] for engine in late.json["engines"]] == ["N400000"]
    monkeypatch.setattr(patience, "WALL_S", 600)
    monkeypatch.setattr(Comparisons, "get", lambda *_: None)
    assert face.get(asked).json == late.json, "the same reply either way"


def test_an_engine_that_changes_is_looked_at_again(
    face: Face, monkeypatch: pytest.MonkeyPatch
) -> None:
    assert face.post(f"{draft(face, whimbrel())}/publish").status_code == 200
    second = draft(face, with_a_later_pan())
    asked = f"{second}/changes?since=1"
    assert face.get(asked).json["engines"] == []
    body = {"family": "whimbrel", "serial": "N400000"}
    assert face.post("/engines", body).status_code == 201
    monkeypatch.setattr(patience, "WORK_S", -1)
    started = face.get(asked)
    assert started.status_code == 202, "what is kept knows nothing of this engine"
    ended(face, started.headers["Location"].removeprefix("/api/v1"))
    (engine,) = face.get(asked).json["engines"]
    assert engine["serial"] == "N400000"


def test_a_comparison_that_is_hard_is_given_up_in_time(face: Face) -> None:
    """A small document whose one question would take many minutes."""
    document = hard_family(holes=9, positions=1)
    for when in ("guard = away or p0 != h0", "guard = away"):
        document["fitments"][0]["when"] = when
        made = face.post("/families/pigeons/revisions", document, role="editor")
        assert made.status_code == 201, made.json
    began = time.monotonic()
    started = face.get("/families/pigeons/revisions/2/changes?since=1")
    assert time.monotonic() - began < 30
    assert started.status_code == 202
    location = started.headers["Location"].removeprefix("/api/v1")
    assert face.ask("DELETE", location, role="editor").status_code == 204
    assert ended(face, location)["state"] == "cancelled"


def test_who_may_read_changes_may_see_how_far_they_are(
    face: Face, monkeypatch: pytest.MonkeyPatch
) -> None:
    draft(face, whimbrel())
    second = draft(face, with_a_later_pan())
    monkeypatch.setattr(patience, "WALL_S", -1)
    started = face.get(f"{second}/changes?since=1", role="counter")
    location = started.headers["Location"].removeprefix("/api/v1")
    assert face.get(location, role="counter").status_code == 200
    assert face.ask("DELETE", location, role="counter").status_code == 403
