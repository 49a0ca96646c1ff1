"""Why a part is listed or not, and full builds, on every face."""

from __future__ import annotations

import pytest

from bomsvc.core.logic.reasoner import Reasoner
from tests.contract.demo import RESEAL, TEXT, Counter, F, Json
from tests.contract.replies import (
    CLASH,
    DECIMAL,
    PLACE,
    REVISION,
    SIZED,
    TEXTS,
    conforms,
    many,
    maybe,
    shape,
    word,
)

GROUND = {"type": "object", "required": ["because"], "minProperties": 2}
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
    wells = [words for words in others if "well of the sump is rear well" in words]
    assert len(wells) == 2
    assert all(words.startswith("Not in this quantity") for words in wells)
    # What a new filter or the cooler takes is of other work.
    rest = {words.partition(". ")[0] for words in others if words not in wells}
    assert rest == {
        "On this engine, but nothing that was asked for touches it",
        "Not in this quantity on this engine",
    }
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
