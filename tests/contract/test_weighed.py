"""Questions weighed by the engines on file, over REST and on the command line."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from click.testing import CliRunner, Result

from bomsvc.cli import main
from tests.contract.faces import Face
from tests.contract.sample import whimbrel

F = "/families/whimbrel"


def forked() -> dict[str, Any]:
    """The sample family, with a plate that only a rear sump on plain gears has."""
    document = whimbrel()
    where = "sump = rear and gears = plain"
    plate = {"code": "plate", "label": "Plate", "section": "bottom", "exists": where}
    document["positions"].append(plate)
    document["parts"].append({"number": "W40.3001", "name": "Plate"})
    document["fitments"].append({"position": "plate", "part": "W40.3001"})
    return document


BODY = {"scope": {"positions": ["plate"]}}


def file_engines(face: Face, count: int, answers: dict[str, object]) -> None:
    for number in range(210440, 210440 + count):
        body = {"family": "whimbrel", "serial": f"N{number}", "answers": answers}
        assert face.post("/engines", body).status_code == 201


def asked(face: Face, **more: object) -> list[tuple[str, float]]:
    reply = face.post(f"{F}/resolve", {**BODY, **more})
    assert reply.status_code == 200, reply.text
    return [(q["option"], q["expected_after"]) for q in reply.json["questions"]]


def test_engines_on_file_change_what_is_asked_first(ready: Face) -> None:
    ready.publish(forked())
    # Five cases, as a front sump never has wide gears. "plain" (2 of 5) leaves the
    # sump; "rear" (3 of 5) leaves the gears.
    uniform = asked(ready)
    assert uniform == [("gears", 0.4), ("sump", 0.6)]
    file_engines(ready, 5, {"sump": "front", "gears": "plain"})
    # The case front-plain now weighs 6 of 10: "plain" is 7 of 10, "rear" 3 of 10.
    weighed = asked(ready, weigh="engines_on_file")
    assert weighed == [("sump", 0.3), ("gears", 0.7)]
    assert asked(ready) == asked(ready, weigh="uniform") == uniform


def test_an_engine_put_on_file_is_heard_at_once(ready: Face) -> None:
    ready.publish(forked())
    assert asked(ready, weigh="engines_on_file")[0] == ("gears", 0.4)
    file_engines(ready, 5, {"sump": "front", "gears": "plain"})
    assert asked(ready, weigh="engines_on_file")[0] == ("sump", 0.3)


def test_an_engine_that_the_revision_cannot_read_is_left_out(ready: Face) -> None:
    ready.publish(forked())
    file_engines(ready, 5, {"sump": "front", "gears": "plain", "extras": ["block"]})
    renamed = forked()
    renamed["options"][3]["choices"][1]["code"] = "warmer"
    ready.publish(renamed)
    assert asked(ready, weigh="engines_on_file") == asked(ready)


def test_the_engine_asked_about_has_no_say(ready: Face) -> None:
    ready.publish(forked())
    file_engines(ready, 1, {"sump": "front", "gears": "plain"})
    doubted = {"sump": {"fitted": True}, "gears": {"not": ["wide"]}}
    plain = asked(ready, engine="N210440", answers=doubted)
    assert plain == [("sump", 0.5), ("gears", 0.5)]
    weighed = asked(ready, engine="N210440", answers=doubted, weigh="engines_on_file")
    assert weighed == plain
    # To any other engine it is one of five: front-plain weighs 2, three others 1.
    other = asked(ready, answers=doubted, weigh="engines_on_file")
    assert other == [("sump", 0.4), ("gears", 0.6)]


def test_an_unknown_weighing_is_refused_with_the_nearest(ready: Face) -> None:
    reply = ready.post(f"{F}/resolve", {**BODY, "weigh": "engines_on_fle"})
    assert reply.status_code == 400
    problems = {e["pointer"]: e for e in reply.json["errors"]}
    assert problems["/weigh"]["remedy"] == "engines_on_file"
    wrong = ready.post(f"{F}/resolve", {**BODY, "weigh": 3})
    assert [e["pointer"] for e in wrong.json["errors"]] == ["/weigh"]


def test_the_command_line_weighs_as_rest_does(ready: Face, tmp_path: Path) -> None:
    ready.publish(forked())
    file_engines(ready, 5, {"sump": "front", "gears": "plain"})

    def run(*words: str) -> Result:
        environment = {
            "BOMSVC_HOME": str(tmp_path),
            "BOMSVC_DATABASE_URL": ready.settings.database_url,
        }
        command = ("resolve", "whimbrel", "--position", "plate", *words)
        return CliRunner().invoke(main, command, env=environment)

    sent = ready.post(f"{F}/resolve", {**BODY, "weigh": "engines_on_file"})
    done = run("--weigh", "engines_on_file", "--json")
    assert done.stdout.encode() == sent.data + b"\n"
    bad = run("--weigh", "unifrom")
    assert bad.exit_code == 2
    assert "'uniform'" in bad.stderr
