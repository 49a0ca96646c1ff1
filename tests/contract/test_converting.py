"""Story F: what turns an engine into another, on every face."""

from __future__ import annotations

import pytest

from tests.contract.demo import QUESTION, TEXT, Counter, Json
from tests.contract.replies import (
    CLASH,
    DECIMAL,
    PLACE,
    REVISION,
    STEP,
    TEXTS,
    conforms,
    many,
    maybe,
    shape,
    word,
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
    assert work["minutes"] == [239, 239]
    assert sum(step["minutes"] for step in steps) == 239
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
    # Idler pin, camshaft gear, and the plate that was thicker for the roller.
    assert set(lengths.values()) == {(40, 35), (30, 25), (25, 20)}
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
        "Work: 239 minutes",
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
