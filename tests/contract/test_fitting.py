"""Story G: a loose part, where it fits and on which engines, on every face."""

from __future__ import annotations

import json

import pytest

from tests.contract.demo import QUESTION, TEXT, Counter, F
from tests.contract.faces import Face
from tests.contract.replies import (
    CLASH,
    DECIMAL,
    PLACE,
    REVISION,
    TEXTS,
    conforms,
    many,
    shape,
    word,
)
from tests.contract.sample import whimbrel as sample_whimbrel

FITS = shape(
    part=TEXT,
    name=TEXT,
    kind=TEXT,
    families=many(
        shape(
            family=TEXT,
            revision=REVISION,
            places=many(
                shape(place=PLACE, where=TEXT, qty=DECIMAL, when=TEXT, words=TEXT)
            ),
            sold_in=TEXTS,
        )
    ),
    engines=many(
        shape(serial=TEXT, family=TEXT, answer=word("yes", "ask", None), ask=TEXTS)
    ),
    engines_looked_at={"type": "integer"},
    engines_after={"type": ["integer", "null"]},
)
ENGINE_FITS = shape(
    part=TEXT,
    name=TEXT,
    engine=TEXT,
    answer=word("yes", "no", "ask"),
    places=many(shape(place=PLACE, where=TEXT, state=word("certain", "open"))),
    questions=many(QUESTION),
    to_measure={"type": "array"},
)


def test_a_loose_part_is_told_where_it_fits_and_on_which_engines(
    counter: Counter,
) -> None:
    reply = counter.get("/parts/w40.1190/fits")
    conforms(reply, FITS)
    assert (reply["part"], reply["name"]) == ("W40.1190", "Oil pickup, rear well")
    (family,) = reply["families"]
    (place,) = family["places"]
    assert place["where"] == "Oil pickup"
    assert (place["when"], place["words"]) == (
        "sump = rear",
        "Well of the sump is rear well.",
    )
    answers = {one["serial"]: one["answer"] for one in reply["engines"]}
    assert answers == {
        "N210440": "yes",
        "S209551": "yes",
        "N219960": "yes",
        "S211764": "ask",
        "N206031": "ask",
    }
    assert (reply["engines_looked_at"], reply["engines_after"]) == (10, None)


def test_each_engine_says_of_a_part_what_its_own_list_says(counter: Counter) -> None:
    # Asked the other way round: the whole engine's list has the part or not.
    for serial, answer in (("N210440", "yes"), ("N205566", "no"), ("S211764", "ask")):
        one = counter.get(f"/parts/W40.1190/fits?engine={serial}")
        conforms(one, ENGINE_FITS)
        assert (one["engine"], one["answer"]) == (serial, answer)
        body = {"engine": serial, "scope": {"positions": ["pickup"]}}
        listed = counter.post("resolve", body)
        lines = [x["part"] for x in listed["lines"] if x["state"] == "certain"]
        assert ("W40.1190" in lines) == (answer == "yes")
        assert bool(listed["open"]) == (answer == "ask")
    same = counter.get("/parts/W40.1190/fits?serial=S211764")
    assert [q["option"] for q in same["questions"]] == ["sump"]


def test_a_screw_is_told_where_its_length_is_needed_in_words(counter: Counter) -> None:
    (family,) = counter.get("/parts/W80.0830/fits")["families"]
    long_sides = family["places"][0]
    assert long_sides["role"] == "screw"
    assert long_sides["where"].startswith("Sump to block, Long sides, holes 1 to 11")
    assert long_sides["words"] == "Make of the sump is pressed steel."


def test_a_number_that_nobody_knows_is_not_found(counter: Counter) -> None:
    missing = counter.get("/parts/W40.11900/fits", status=404)
    assert missing["status"] == 404
    elsewhere = counter.get("/parts/W40.1190/fits?family=dunlin", status=404)
    assert "whimbrel" in elsewhere["remedy"]
    assert counter.get("/parts/W40.1190/fits?engine=N1", status=404)["status"] == 404
    assert counter.get("/parts/W40.1190/fits?engin=N1", status=400)["status"] == 400


def test_an_engine_can_be_looked_at_after_another(
    counter: Counter, monkeypatch: pytest.MonkeyPatch
) -> None:
    whole = counter.get("/parts/W40.1190/fits")["engines"]
    monkeypatch.setattr("bomsvc.service.fitting.MOST_ENGINES", 4)
    found, after, asked = [], 0, 0
    while after is not None:
        reply = counter.get(f"/parts/W40.1190/fits?after={after}")
        found += reply["engines"]
        after, asked = reply["engines_after"], asked + 1
    assert (found, asked) == (whole, 3)


def test_an_engine_that_a_new_revision_does_not_allow_is_told_of(ready: Face) -> None:
    for serial, answers in (
        ("N210440", {"sump": "rear", "gears": "quiet"}),
        ("N210441", {"sump": "rear", "gears": "plain"}),
        ("N210442", {"sump": "front"}),
    ):
        engine = {"family": "whimbrel", "serial": serial, "answers": answers}
        assert ready.post("/engines", engine).status_code == 201
    stricter = sample_whimbrel()
    stricter["rules"].append(
        {"code": "x1", "when": "sump = rear", "then": "not gears = quiet",
         "because": "The quiet train needs the front sump."}
    )  # fmt: skip
    made = ready.post(f"{F}/revisions", stricter)
    number = made.json["revision"]["number"]
    path = f"{F}/revisions/{number}/publish"
    done = ready.post(path, {"accept_warnings": "a test of what is then on file"})
    assert done.status_code == 200, done.text
    reply = ready.get("/parts/W40.1187/fits").json
    conforms(reply, FITS)
    assert {one["serial"]: one["answer"] for one in reply["engines"]} == {
        "N210440": None,
        "N210441": "yes",
    }
    assert "contradicts" in reply["engines"][0]["trouble"]
    alone = ready.get("/parts/W40.1187/fits?engine=N210440")
    assert alone.status_code == 409
    conforms(alone.json["clash"], CLASH)


def test_a_loose_part_is_printed_in_words(counter: Counter) -> None:
    text = counter.print("fits", "W40.1190")
    for said in (
        "W40.1190: Oil pickup, rear well",
        "Oil pickup 1 Well of the sump is rear well",
        "N210440 PUMP 07 yes Oil pickup",
        "S211764 MV CORNCRAKE ask for Well of the sump",
        "Looked at 10 engines on file.",
    ):
        assert said in text, said
    assert "sump = " not in text, "labels, no codes"
    no = counter.print("fits", "W40.1190", "--engine", "N205566")
    assert "No: N205566 does not take it." in no
    shells = counter.print("fits", "W20.6103", "--engine", "N210440")
    assert "measure Main journal size" in shells


@pytest.mark.parametrize(
    "more", [(), ("--engine", "S211764"), ("--family", "whimbrel")]
)
def test_fits_is_written_as_rest_answers_it(
    counter: Counter, more: tuple[str, ...]
) -> None:
    query = "" if not more else f"?{more[0].strip('-')}={more[1]}"
    sent = counter.face.get(f"/parts/W40.1190/fits{query}")
    typed = counter.type("fits", "W40.1190", *more, "--json")
    assert typed.stdout.encode() == sent.data + b"\n"
    assert json.loads(typed.stdout)["part"] == "W40.1190"
