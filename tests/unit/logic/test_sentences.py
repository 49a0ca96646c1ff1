"""Golden texts: explanations read like a colleague's, without codes."""

from __future__ import annotations

from typing import Any

import pytest

from bomsvc.core.catalogue.conditions import Among, And, Not, Or, SerialIs
from bomsvc.core.logic.answers import read_answers
from bomsvc.core.logic.compiled import compile_catalogue
from bomsvc.core.logic.cover_words import cover_condition, cover_sentence
from bomsvc.core.logic.known import NOTHING
from bomsvc.core.logic.reasoner import Reasoner
from bomsvc.core.logic.sentences import (
    answer_sentence,
    cannot_be,
    choice_fact,
    must_be,
)
from bomsvc.service.replies.identify import clash_reply, identify_reply
from tests.unit.logic.whimbrel import small_whimbrel

COMPILED = compile_catalogue(small_whimbrel())
REASONER = Reasoner(COMPILED)


def why(answers: dict[str, Any], key: str, code: str, **more: Any) -> list[str]:
    known = read_answers(COMPILED, answers, **more)
    lit = COMPILED.options[key].choices[code]
    return [reason.because for reason in REASONER.why(known, lit).reasons]


def test_an_excluded_choice_is_explained_by_answer_and_rule() -> None:
    assert why({"pto": "gear"}, "sump", "front", sources={"pto": "seen"}) == [
        "Seen on the engine: front take-off is gear driven.",
        "The gear driven take-off stands where a front sump would be.",
    ]


def test_a_chain_of_rules_is_told_in_document_order() -> None:
    answers = {"pto": "gear", "sump": "deep"}
    sources = {"pto": "plate", "sump": "guess"}
    assert why(answers, "gears", "quiet", sources=sources) == [
        "A guess: oil sump is deep.",
        "The plate says so: front take-off is gear driven.",
        "With a deep sump only quiet gears were made.",
    ]


def test_a_reason_does_without_the_answers_it_can_spare() -> None:
    answers = {"pto": "gear", "sump": "deep"}
    assert why(answers, "gears", "plain") == [
        "We were told: oil sump is deep.",
        "With a deep sump only quiet gears were made.",
        "Take-off gears only come where front take-off is gear driven.",
    ]


def test_what_hangs_in_the_tree_says_where() -> None:
    assert why({"gears": "plain"}, "pto", "gear") == [
        "We were told: take-off gears are plain.",
        "Take-off gears only come where front take-off is gear driven.",
    ]


def test_a_serial_and_a_bearing_are_told_with_their_numbers() -> None:
    assert why({"serial": "N30500"}, "main_size[2]", "us25") == [
        "We were told: serial number is N30500.",
        "New crankshafts are standard (main 2).",
    ]


@pytest.mark.parametrize(
    ("answers", "sentence"),
    [
        ({"sump": {"not": ["front"]}}, "We were told: oil sump is not front."),
        (
            {"sump": {"not": ["front", "rear"]}},
            "We were told: oil sump is neither front nor rear.",
        ),
        ({"gears": {"fitted": False}}, "We were told: take-off gears are not fitted."),
        (
            {"extras": {"tilt": True}},
            "We were told: tilt sensor (extras) is fitted.",
        ),
        (
            {"extras": {"heater": False}},
            "We were told: block heater (extras) is not fitted.",
        ),
        (
            {"serial": {"from": 20000, "to": 21500}},
            "We were told: serial number is from 20000 up to 21500.",
        ),
        (
            {"main_size[2]": "us25"},
            "We were told: main bearing size (main 2) is 0.25 mm under.",
        ),
    ],
)
def test_every_form_of_answer_is_a_sentence(
    answers: dict[str, Any], sentence: str
) -> None:
    known = read_answers(COMPILED, answers)
    assert [answer_sentence(COMPILED, e) for e in known.entries] == [sentence]


def test_conclusions_are_sentences() -> None:
    assert choice_fact(COMPILED, "sump", "rear") == "Oil sump is rear"
    assert must_be(COMPILED, "sump", "rear") == "Oil sump must be rear"
    assert cannot_be(COMPILED, "extras", "tilt") == (
        "Tilt sensor (extras) cannot be fitted"
    )


def test_a_clash_names_answers_rules_repairs_and_waivers() -> None:
    known = read_answers(
        COMPILED,
        {"pto": "gear", "sump": "front", "extras": ["tilt"]},
        sources={"sump": "guess", "pto": "plate"},
    )
    reply = clash_reply(REASONER.clash(known))
    assert reply == {
        "answers": ["sump", "pto"],
        "rules": ["r_room"],
        "repairs": [{"drop": ["pto"]}],
        "waivers": [["r_room"]],
        "because": [
            {"answer": "sump", "because": "A guess: oil sump is front."},
            {
                "answer": "pto",
                "because": "The plate says so: front take-off is gear driven.",
            },
            {
                "rule": "r_room",
                "because": (
                    "The gear driven take-off stands where a front sump would be."
                ),
            },
        ],
    }


def test_the_identify_reply_has_the_shape_of_the_contract() -> None:
    known = read_answers(COMPILED, {"pto": "gear"})
    found = REASONER.identify(known, [("sump", "front"), ("sump", "rear")])
    revision = {"family": "whimbrel", "number": 3, "digest": "0" * 64}
    reply = identify_reply(found, revision=revision)
    assert list(reply) == ["revision", "consistent", "builds_left", "options", "clash"]
    assert reply["revision"] == revision
    assert reply["consistent"] is True
    assert reply["builds_left"] == str(REASONER.count(known))
    assert reply["clash"] is None
    options = reply["options"]
    assert isinstance(options, list)
    assert [o["code"] for o in options] == list(COMPILED.options)
    sump = options[0]
    assert (sump["active"], sump["known"]) == ("yes", "build")
    assert [(c["code"], c["state"]) for c in sump["choices"]] == [
        ("rear", "open"),
        ("front", "excluded"),
        ("deep", "open"),
    ]
    assert sump["choices"][0]["why"] == []
    assert [next(iter(reason)) for reason in sump["choices"][1]["why"]] == [
        "answer",
        "rule",
    ]


def test_on_a_clash_every_state_is_null_and_no_build_is_left() -> None:
    known = read_answers(COMPILED, {"pto": "gear", "sump": "front"})
    reply = identify_reply(REASONER.identify(known), revision={})
    assert reply["consistent"] is False
    assert reply["builds_left"] == "0"
    assert reply["clash"] is not None
    options = reply["options"]
    assert isinstance(options, list)
    assert {c["state"] for o in options for c in o["choices"]} == {None}


def test_which_builds_a_part_fits_is_told_in_the_shortest_true_words() -> None:
    pan = COMPILED.standing.positions["pan"].fitments
    pickup = COMPILED.standing.positions["pickup"].fitments[0]
    texts = [
        cover_sentence(COMPILED, REASONER.cover(NOTHING, f.applies))
        for f in (*pan, pickup)
    ]
    assert texts == [
        "Oil sump is rear.",
        "Oil sump is front or deep.",
        "Take-off gears are plain.",
    ]
    sump = read_answers(COMPILED, {"sump": "deep"})
    never = REASONER.cover(sump, pan[0].applies)
    assert cover_sentence(COMPILED, never) == "Never."
    always = REASONER.cover(sump, pan[1].applies)
    assert cover_sentence(COMPILED, always) == "Always."


def test_absence_and_serials_are_told_in_words() -> None:
    lits = COMPILED.options["gears"].choices
    without = REASONER.cover(NOTHING, type(lits["plain"])(-lits["plain"]))
    assert cover_sentence(COMPILED, without) == "No take-off gears, or quiet."
    assert cover_condition(COMPILED, without) == Not(Among("gears", ("plain",)))
    serial = COMPILED.options["serial"].choices["21000..29999"]
    outside = REASONER.cover(NOTHING, type(serial)(-serial))
    assert cover_sentence(COMPILED, outside) == (
        "Serial number up to 20999 or from 30000."
    )
    assert cover_condition(COMPILED, outside) == Or(
        (SerialIs("<=", 20999), SerialIs(">=", 30000))
    )
    inside = REASONER.cover(NOTHING, serial)
    assert cover_condition(COMPILED, inside) == And(
        (SerialIs(">=", 21000), SerialIs("<=", 29999))
    )
