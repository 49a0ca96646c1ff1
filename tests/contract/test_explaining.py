"""Why, complete, convert and fits, on the demo engines: REST and the command line."""

from __future__ import annotations

import json
import shutil
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner, Result

from bomsvc.cli import main
from bomsvc.core.logic.reasoner import Reasoner
from tests.contract.faces import Face, make_face
from tests.contract.replies import (
    CHOICE,
    CLASH,
    DECIMAL,
    PLACE,
    REVISION,
    SIZED,
    STEP,
    TEXTS,
    conforms,
    many,
    maybe,
    shape,
    word,
)
from tests.contract.sample import whimbrel as sample_whimbrel

Json = dict[str, Any]
F = "/families/whimbrel"
RESEAL = {"jobs": ["reseal_sump"]}
TEXT = {"type": "string"}
GROUND = {"type": "object", "required": ["because"], "minProperties": 2}
QUESTION = shape(option=TEXT, ask=TEXT, choices=many(CHOICE))

WHY = shape(
    revision=REVISION,
    part=TEXT,
    name=TEXT,
    listed={"type": "boolean"},
    words=TEXT,
    places=many(
        shape(
            place=PLACE,
            label=TEXT,
            there=word("certain", "excluded", "open"),
            when={"type": ["string", "null"]},
            grounds=many(GROUND),
            decided_by=TEXTS,
            listed={"type": "boolean"},
            why={"type": "array"},
            absent={"type": ["string", "null"]},
            screw=maybe(SIZED),
            rejected={},
            words=TEXT,
        )
    ),
)
COMPLETED = shape(
    revision=REVISION,
    answers={"type": "object", "required": ["serial"]},
    sources={"type": "object"},
    usual=TEXTS,
    how={"type": "object"},
    builds_left=maybe(DECIMAL),
)
MOVED = shape(part={"type": ["string", "null"]}, name=TEXT, qty=DECIMAL, place=PLACE)
CONVERTED = shape(
    revision=REVISION,
    changes=many(
        shape(
            option=TEXT,
            before=TEXTS,
            after=TEXTS,
            cause=word("asked", "follows", "open"),
        )
    ),
    off=many(MOVED),
    on=many(MOVED),
    stays=many(MOVED),
    quantities={"type": "array"},
    screws={"type": "array"},
    unsettled=many(PLACE),
    may_change=shape(
        places=many(PLACE), questions=many(QUESTION), to_measure={"type": "array"}
    ),
    take=shape(lines={"type": "array"}, questions={"type": "array"}),
    work=maybe(shape(strip=many(STEP), refit=many(STEP), minutes={"minItems": 2})),
    after=shape(answers={"type": "object"}, sources={"type": "object"}, waive=TEXTS),
)
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


def run(url: str, home: Path, *words: str) -> Result:
    environment = {"BOMSVC_HOME": str(home), "BOMSVC_DATABASE_URL": url}
    return CliRunner().invoke(main, words, env=environment, catch_exceptions=False)


class Counter:
    """The demo at the counter: REST and the command line on one database."""

    def __init__(self, face: Face, home: Path) -> None:
        self.face = face
        self.home = home

    def post(self, path: str, body: Json, *, status: int = 200) -> Json:
        reply = self.face.post(f"{F}/{path}", body)
        assert reply.status_code == status, reply.text
        read: Json = reply.json
        return read

    def get(self, path: str, *, status: int = 200) -> Json:
        reply = self.face.get(path)
        assert reply.status_code == status, reply.text
        read: Json = reply.json
        return read

    def type(self, *words: str, exit_code: int = 0) -> Result:
        done = run(self.face.settings.database_url, self.home, *words)
        assert done.exit_code == exit_code, done.output
        return done

    def print(self, *words: str) -> str:
        """Return what is printed, its line breaks as blanks."""
        return " ".join(self.type(*words).stdout.split())


@pytest.fixture(scope="module")
def demo(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A database with the demo in it."""
    path = tmp_path_factory.mktemp("demo") / "demo.db"
    done = run(f"sqlite:///{path}", path.parent, "demo")
    assert done.exit_code == 0, done.output
    return path


@pytest.fixture(scope="module")
def counter(demo: Path, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Counter]:
    """The demo; these statements read it and change nothing."""
    path = shutil.copy(demo, tmp_path_factory.mktemp("counter") / "bomsvc.db")
    for face in make_face(f"sqlite:///{path}"):
        yield Counter(face, demo.parent)


# Story F: from front well to rear well.


@pytest.fixture(scope="module")
def to_rear(counter: Counter) -> Json:
    return counter.post("convert", {"engine": "N205566", "changes": {"sump": "rear"}})


def test_a_conversion_answers_in_its_shape(to_rear: Json) -> None:
    conforms(to_rear, CONVERTED)


def test_the_sump_and_what_reaches_into_its_well_are_exchanged(to_rear: Json) -> None:
    moved = {
        way: {one["place"]["position"]: one["part"] for one in to_rear[way]}
        for way in ("off", "on")
    }
    assert moved["off"] == {
        "pan": "W40.1181",
        "pickup": "W40.1192",
        "dipstick": "W40.1203",
        "dipstick_tube": "W40.1207",
    }
    assert moved["on"] == {
        "pan": "W40.1183",
        "pickup": "W40.1190",
        "dipstick": "W40.1201",
        "dipstick_tube": "W40.1205",
    }


def test_screws_of_the_same_length_stay_and_go_back(to_rear: Json) -> None:
    # Both wells of the pressed sump have the same rail, so no length changes.
    assert to_rear["screws"] == []
    back = {
        (one["place"].get("joint"), one["place"].get("group")): one["part"]
        for one in to_rear["stays"]
        if one["disturbed"] and "joint" in one["place"]
    }
    assert {part for (joint, _), part in back.items() if joint == "pan_rail"} == {
        "W80.0830"
    }


def test_a_conversion_takes_the_seals_that_its_work_opens(to_rear: Json) -> None:
    renewed = {x["part"] for x in to_rear["take"]["lines"] if x["need"] == "renew"}
    assert {one["part"] for one in to_rear["on"]} < renewed
    assert {"W40.1160", "W40.1171", "W40.1195", "W40.1209", "W90.0001"} < renewed


def test_the_minutes_of_a_conversion_are_those_of_its_steps(to_rear: Json) -> None:
    work = to_rear["work"]
    steps = [*work["strip"], *work["refit"]]
    # Off 25 + 50 + 1 + 10 + 10, on 15 + 15 + 1 + 70 + 5, then fill 15 and run up 20.
    assert work["minutes"] == [237, 237]
    assert sum(step["minutes"] for step in steps) == 237
    assert work["basis"] == "exact"


def test_what_is_known_afterwards_can_be_put_on_file(
    counter: Counter, to_rear: Json
) -> None:
    after = to_rear["after"]
    assert to_rear["changes"] == [
        {"option": "sump", "before": ["front"], "after": ["rear"], "cause": "asked"}
    ]
    identified = counter.post("identify", after)
    assert identified["consistent"] is True
    pickup = {"engine": None, **after, "scope": {"positions": ["pickup"]}}
    (line,) = counter.post("resolve", pickup)["lines"]
    assert line["part"] == "W40.1190"


def test_a_conversion_of_a_half_known_engine_asks_what_would_change(
    counter: Counter,
) -> None:
    body = {"engine": "S211764", "changes": {"sump": "rear"}}
    reply = counter.post("convert", body)
    conforms(reply, CONVERTED)
    assert reply["off"] == reply["on"] == []
    places = [one["position"] for one in reply["may_change"]["places"]]
    assert places == ["pan", "pickup", "dipstick", "dipstick_tube"]
    asked = [one["option"] for one in reply["may_change"]["questions"]]
    assert asked == ["sump", "pan"]
    told = {**body, "from": {"sump": "centre", "pan": "cast"}}
    settled = counter.post("convert", told)
    assert settled["may_change"]["places"] == []
    assert [one["place"]["position"] for one in settled["off"]] == places


def test_screws_that_change_length_say_from_which_to_which(counter: Counter) -> None:
    body = {"engine": "N219960", "changes": {"gears": "quiet"}}
    reply = counter.post("convert", body)
    lengths = {
        one["place"]["joint"]: tuple(
            one[side]["chosen"]["length_mm"] for side in ("before_screw", "after_screw")
        )
        for one in reply["screws"]
    }
    assert set(lengths.values()) == {(40, 35), (30, 25)}
    causes = {one["option"]: one["cause"] for one in reply["changes"]}
    assert causes == {"gears": "asked", "idler": "follows"}
    text = counter.print("convert", "N219960", "--to", "gears=quiet")
    assert "Roller bearing not fitted follows from the rest" in text
    assert "W80.2340 (ISO 4762 - M10" in text


def test_a_change_that_the_serial_does_not_allow_is_a_clash(counter: Counter) -> None:
    body = {"engine": "N205566", "changes": {"gears": "heavy"}}
    reply = counter.post("convert", body, status=409)
    assert reply["detail"] == "This engine cannot be changed so."
    conforms(reply["clash"], CLASH)
    assert reply["clash"]["waivers"] == [["heavy_began"]]
    waived = counter.post("convert", {**body, "waive": ["heavy_began"]})
    assert waived["changes"][0]["option"] == "gears"


def test_what_is_wrong_with_a_conversion_is_pointed_at_all_at_once(
    counter: Counter,
) -> None:
    body = {"from": {"smup": "rear"}, "changes": {"pan": "casst"}}
    reply = counter.post("convert", body, status=400)
    assert {e["pointer"]: e.get("remedy") for e in reply["errors"]} == {
        "/from/smup": "sump",
        "/changes/pan": "cast",
    }
    none = counter.post("convert", {"changes": {}}, status=400)
    assert [e["pointer"] for e in none["errors"]] == ["/changes"]
    odd = counter.post("convert", {"changes": {}, "form": {}}, status=400)
    assert odd["errors"][0]["remedy"] == "from"


def test_the_conversion_is_printed_in_words(counter: Counter) -> None:
    text = counter.print("convert", "N205566", "--to", "sump=rear")
    for said in (
        "Conversion: Well of the sump, Front well to Rear well",
        "W40.1192 Oil pickup, front well Oil pickup",
        "Screws that change None.",
        "15 W80.0830 Flange screw M8x30 Sump to block, Long sides",
        "Work: 237 minutes",
        "Close up after: Take the oil pickup off",
        "current manual prevails",
        "Never mix lengths or property classes",
    ):
        assert said in text, said
    cautions = text.partition("Cautions ")[2]
    assert cautions.count("Hot oil scalds") == 1, "each caution is told once"


def test_nothing_is_told_as_work_while_nothing_is_settled(counter: Counter) -> None:
    text = counter.print("convert", "S211764", "--to", "sump=rear")
    assert "These may change too: Sump; Oil pickup; Dipstick; Dipstick tube." in text
    assert "1. Where is the deep end of the sump?" in text
    assert "Work: not known before that is settled" in text
    same = counter.print("convert", "N205566", "--to", "sump=front")
    assert "The engine has all of this already." in same


# Story G: a loose part.


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


# Why and why not.

SENTENCES: dict[tuple[str, str], tuple[str, str]] = {
    ("N205566", "W40.1162"): (
        "W40.1162 (Sump gasket for cast sump) is not on the list for: Reseal the sump.",
        "Not on this engine. It goes here where make of the sump is cast aluminium."
        " Seen on the engine: make of the sump is pressed steel.",
    ),
    ("N210440", "W40.1162"): (
        "W40.1162 (Sump gasket for cast sump) is on the list for: Reseal the sump.",
        "On the list. It goes here where make of the sump is cast aluminium."
        " It is on record: make of the sump is cast aluminium."
        " Sump to block is opened by “Take the sump off from below”."
        " It is used once only.",
    ),
    ("S211764", "W40.1162"): (
        "W40.1162 (Sump gasket for cast sump) may be on the list for:"
        " Reseal the sump; that is still open.",
        "Perhaps on the list: still open."
        " It goes here where make of the sump is cast aluminium."
        " Sump to block is opened by “Take the sump off under the raised engine”."
        " It is used once only. What decides it: Make of the sump.",
    ),
    ("N205566", "W10.1002"): (
        "W10.1002 (Cylinder block, north casting) is not on the list for:"
        " Reseal the sump.",
        "On this engine, but nothing that was asked for touches it."
        " It goes here where plant is north works."
        " The plate says so: plant is north works.",
    ),
    ("N210440", "W80.0830"): (
        "W80.0830 (Flange screw M8x30) is not on the list for: Reseal the sump.",
        "This screw does not do here. Too little engagement by 2.97 mm."
        " It is 30 mm long; here 33.05 mm to 42.6 mm will do."
        " Chosen: W80.0840 (ISO 15071 - M8 x 40 - 8.8).",
    ),
}
"""Engine and part -> what is said of the list, and of the first place."""


@pytest.mark.parametrize(("serial", "part"), SENTENCES)
def test_why_and_why_not_are_told_in_sentences_without_codes(
    counter: Counter, serial: str, part: str
) -> None:
    body = {"engine": serial, "part": part.lower(), "scope": RESEAL}
    reply = counter.post("why", body)
    conforms(reply, WHY)
    said = reply["words"], reply["places"][0]["words"]
    assert said == SENTENCES[serial, part]
    assert reply["listed"] == ("not on" not in said[0])
    text = counter.print("why", serial, "--part", part, "--job", "reseal_sump")
    assert said[0] in text
    assert said[1] in text.replace(" - ", " ").replace(
        "15071 M8", "15071 - M8"
    ).replace("40 8.8", "40 - 8.8")


def test_an_oil_fill_is_told_for_this_engine_and_not_for_the_others(
    counter: Counter,
) -> None:
    body = {"engine": "N210440", "part": "W90.0001", "scope": RESEAL}
    places = counter.post("why", body)["places"]
    listed = [place for place in places if place["listed"]]
    assert [place["when"] for place in listed] == ["sump = rear"]
    others = [place["words"] for place in places if not place["listed"]]
    assert others
    assert all(words.startswith("Not in this quantity") for words in others)
    text = counter.print("why", "N210440", "--part", "W90.0001", "--job", "reseal_sump")
    assert "Not in this quantity" not in text


def test_why_without_a_scope_asks_of_the_whole_engine(counter: Counter) -> None:
    whole = counter.post("why", {"engine": "N210440", "part": "W40.1190"})
    assert whole["words"] == (
        "W40.1190 (Oil pickup, rear well) is on the list for: the whole engine."
    )


def test_a_screw_is_told_at_each_joint_that_takes_its_length(counter: Counter) -> None:
    reply = counter.post("why", {"engine": "N205566", "part": "W80.0830"})
    assert reply["listed"] is True
    clip = next(one for one in reply["places"] if one["place"].get("group") == "clip")
    assert clip["words"] == (
        "On the list. It is 30 mm long; here 25.67 mm to 34.7 mm will do."
    )
    text = counter.print("why", "N205566", "--part", "W80.0830")
    assert "is on the list for: the whole engine." in text
    left = sum(not one["listed"] for one in reply["places"])
    assert f"{left} other places take another screw." in text


def test_a_part_of_no_such_family_and_a_job_misspelt_are_told_at_once(
    counter: Counter,
) -> None:
    body = {"part": "W40.119O", "scope": {"jobs": ["reseal_smp"]}}
    reply = counter.post("why", body, status=400)
    assert {e["pointer"]: e.get("remedy") for e in reply["errors"]} == {
        "/part": "W40.1190",
        "/scope/jobs/0": "reseal_sump",
    }
    words = ("why", "whimbrel", "--part", "W40.119O")
    done = counter.type(*words, exit_code=2)
    assert "Whimbrel has no part 'W40.119O'. Try: W40.1190" in done.stderr


def test_answers_that_clash_explain_and_complete_nothing(counter: Counter) -> None:
    answers = {"serial": 200001, "gears": "heavy"}
    for operation, more in (("why", {"part": "W40.1190"}), ("complete", {})):
        reply = counter.post(operation, {"answers": answers, **more}, status=409)
        conforms(reply["clash"], CLASH)


# A full build by the usual choices.


def test_a_completed_build_is_valid_and_keeps_what_was_said(
    counter: Counter, whimbrel_reasoner: Reasoner
) -> None:
    body = {"answers": {"sump": "front", "gears": {"not": ["plain"]}}}
    body["sources"] = {"sump": "seen"}
    reply = counter.post("complete", body)
    conforms(reply, COMPLETED)
    build = whimbrel_reasoner.full(reply["answers"])
    assert whimbrel_reasoner.broken_rules(build) == ()
    assert reply["answers"]["sump"] == "front"
    assert reply["answers"]["gears"] != "plain"
    assert reply["sources"]["sump"] == "seen"
    left = counter.post("count", {"answers": body["answers"]})
    assert reply["builds_left"] == left["builds_left"]


def test_a_completed_build_keeps_as_many_usual_choices_as_can_be(
    counter: Counter, whimbrel_reasoner: Reasoner
) -> None:
    reply = counter.post("complete", {"answers": {"sump": "front"}})
    options = whimbrel_reasoner.compiled.options
    chosen = reply["answers"]
    # The number only stands in for one that nobody said: it is marked as usual.
    assert reply["how"]["serial"] == "usual"
    for key in set(reply["usual"]) - {"serial"}:
        assert set(_as_list(chosen[key])) == set(options[key].usual)
    # Nobody can do better: each of the unusual ones follows or was said.
    assert "other" not in reply["how"].values()
    assert {key for key, how in reply["how"].items() if how == "answered"} == {"sump"}
    sources = dict.fromkeys(reply["usual"], "usual")
    assert reply["sources"] == sources, "nobody said how the sump is known"


def _as_list(answer: object) -> list[object]:
    return answer if isinstance(answer, list) else [answer]


def test_a_completed_build_can_be_sent_back_as_it_is(counter: Counter) -> None:
    made = counter.post("complete", {"answers": {"sump": "front"}})
    sent = {"answers": made["answers"], "sources": made["sources"]}
    again = counter.post("complete", sent)
    assert again["answers"] == made["answers"]
    assert again["builds_left"] == "1"
    listed = counter.post("resolve", {**sent, "scope": RESEAL})
    assert listed["certain"] is True


def test_what_was_only_taken_as_usual_is_marked_on_paper(counter: Counter) -> None:
    text = counter.print("complete", "whimbrel", "sump=front")
    assert "Well of the sump Front well known" in text
    assert "Make of the sump Cast aluminium usual, not known" in text
    assert "stands in for the number, which is not known" in text
    assert "look before parts are handed over" in text


# The same answers on every face.

SAME: dict[tuple[str, ...], tuple[str, Json]] = {
    ("why", "S211764", "pan=cast", "--part", "W40.1187", "--whole",
     "--position", "pan", "--by-way-of", "pan_off_raised"): (
        "why",
        {"engine": "S211764", "answers": {"pan": "cast"}, "part": "W40.1187",
         "scope": {"positions": ["pan"], "whole": True},
         "by_way_of": ["pan_off_raised"]},
    ),
    ("complete", "N206031", "sump=rear", "--source", "sump=seen"): (
        "complete",
        {"engine": "N206031", "answers": {"sump": "rear"},
         "sources": {"sump": "seen"}},
    ),
    ("convert", "whimbrel", "sump=front", "--to", "sump=rear",
     "--to", "extras.block=no"): (
        "convert",
        {"from": {"sump": "front"},
         "changes": {"sump": "rear", "extras": {"block": False}}},
    ),
}  # fmt: skip


@pytest.mark.parametrize("words", SAME, ids=lambda words: words[0])
def test_the_command_line_writes_what_rest_answers(
    counter: Counter, words: tuple[str, ...]
) -> None:
    path, body = SAME[words]
    sent = counter.face.post(f"{F}/{path}", body)
    assert sent.status_code == 200, sent.text
    typed = counter.type(*words, "--json")
    assert typed.stdout.encode() == sent.data + b"\n"


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
