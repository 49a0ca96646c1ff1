from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import pytest

from bomsvc.core.logic.answers import read_answers
from bomsvc.core.logic.compiled import compile_catalogue
from bomsvc.core.logic.known import Known
from bomsvc.core.logic.reasoner import Reasoner
from bomsvc.core.terms.numbers import Number
from bomsvc.core.terms.problems import BadInput, Problem
from tests.unit.logic.whimbrel import small_whimbrel

COMPILED = compile_catalogue(small_whimbrel())
REASONER = Reasoner(COMPILED)


def read(answers: Mapping[str, Any], **more: Any) -> Known:
    return read_answers(COMPILED, answers, **more)


def states(known: Known, key: str) -> dict[str, str | None]:
    (option,) = [o for o in REASONER.identify(known).options if o.option.key == key]
    return {c.code: c.state for c in option.choices}


def problems(answers: Mapping[str, Any], **more: Any) -> tuple[Problem, ...]:
    with pytest.raises(BadInput) as raised:
        read(answers, **more)
    return raised.value.problems


def test_a_choice_is_chosen_and_its_siblings_excluded() -> None:
    assert states(read({"sump": "rear"}), "sump") == {
        "rear": "chosen",
        "front": "excluded",
        "deep": "excluded",
    }


def test_not_these_leaves_the_others_open() -> None:
    assert states(read({"sump": {"not": ["rear"]}}), "sump") == {
        "rear": "excluded",
        "front": "open",
        "deep": "open",
    }


def test_what_remains_when_all_others_are_denied_follows() -> None:
    known = read({"sump": {"not": ["rear", "deep"]}})
    assert states(known, "sump")["front"] == "follows"


def test_not_fitted_rules_out_the_choice_it_hangs_from() -> None:
    known = read({"gears": {"fitted": False}})
    assert states(known, "pto") == {"none": "follows", "gear": "excluded"}


def test_fitted_makes_the_choice_it_hangs_from_follow_not_chosen() -> None:
    known = read({"gears": {"fitted": True}})
    assert states(known, "pto") == {"none": "excluded", "gear": "follows"}


def test_a_list_means_exactly_these_extras() -> None:
    known = read({"extras": ["heater"]})
    assert states(known, "extras") == {"heater": "chosen", "tilt": "excluded"}
    assert [e.name for e in known.entries] == ["extras.heater", "extras.tilt"]


def test_truth_values_leave_the_other_extras_open() -> None:
    known = read({"extras": {"heater": False}})
    assert states(known, "extras") == {"heater": "excluded", "tilt": "open"}


@pytest.mark.parametrize(
    "serial", [21044, "21044", "  021044 ", Number("21044"), "21044..21044"]
)
def test_a_serial_is_read_from_number_digits_and_document_numbers(serial: Any) -> None:
    known = read({"serial": serial})
    assert known.serial == (21044, 21044)
    assert states(known, "serial")["21000..29999"] == "chosen"


@pytest.mark.parametrize(
    ("serial", "meant", "open_ones"),
    [
        ("20000..31000", (20000, 31000), {"1..20999", "21000..29999", "30000.."}),
        ({"from": 21000}, (21000, 999_999_999), {"21000..29999", "30000.."}),
        ({"to": "29999"}, (1, 29999), {"1..20999", "21000..29999"}),
        ("..29999", (1, 29999), {"1..20999", "21000..29999"}),
    ],
)
def test_an_interval_of_serials_leaves_what_it_meets(
    serial: Any, meant: tuple[int, int], open_ones: set[str]
) -> None:
    known = read({"serial": serial})
    assert known.serial == meant
    found = states(known, "serial")
    assert {code for code, state in found.items() if state == "open"} == open_ones


@pytest.mark.parametrize("text", ["S210440", "s 210440", "S-0210440"])
def test_a_prefixed_serial_also_answers_the_plant(text: str) -> None:
    known = read({"serial": text})
    assert known.serial == (210440, 210440)
    assert states(known, "plant") == {"north": "excluded", "south": "chosen"}
    assert [e.name for e in known.entries] == ["serial"]


def test_what_cannot_be_told_says_nothing_but_is_remembered() -> None:
    known = read({"sump": {"unseen": True}, "serial": {"unseen": True}})
    assert known.entries == ()
    assert known.unseen == {"sump", "serial"}


def test_one_main_bearing_is_answered_by_its_number() -> None:
    known = read({"main_size[2]": "us25"})
    assert states(known, "main_size[2]")["us25"] == "chosen"
    assert states(known, "main_size[1]")["us25"] == "open"


def test_the_order_of_answers_does_not_matter() -> None:
    one = read({"sump": "rear", "pto": "none"}, sources={"pto": "plate"})
    two = read({"pto": "none", "sump": "rear"}, sources={"pto": "plate"})
    assert one == two
    assert hash(one) == hash(two)


def test_sources_may_be_given_for_one_extra() -> None:
    known = read(
        {"extras": {"heater": True, "tilt": False}},
        sources={"extras": "seen", "extras.tilt": "guess"},
    )
    assert [e.source for e in known.entries] == ["seen", "guess"]


def test_a_rule_of_a_series_is_waived_for_all_or_for_one_member() -> None:
    assert read({}, waive=["r_main"]).waived == ("r_main[1]", "r_main[2]")
    assert read({}, waive=["r_main[2]", "r_room"]).waived == ("r_room", "r_main[2]")


def test_a_waived_rule_no_longer_counts() -> None:
    answers = {"sump": "front", "pto": "gear"}
    assert not REASONER.consistent(read(answers))
    assert REASONER.consistent(read(answers, waive=["r_room"]))


BAD = [
    ({"smup": "rear"}, "/answers/smup", "option_unknown", "sump"),
    ({"sump": "raer"}, "/answers/sump", "choice_unknown", "rear"),
    (
        {"sump": {"not": ["rear", "fornt"]}},
        "/answers/sump/not/1",
        "choice_unknown",
        "front",
    ),
    ({"sump": ["rear"]}, "/answers/sump", "answer_form", None),
    ({"sump": {"not": "rear"}}, "/answers/sump", "answer_form", None),
    ({"sump": {"fitted": "no"}}, "/answers/sump", "answer_form", None),
    ({"sump": None}, "/answers/sump", "answer_form", None),
    ({"sump": True}, "/answers/sump", "answer_form", None),
    ({"extras": "heater"}, "/answers/extras", "answer_form", None),
    ({"extras": {}}, "/answers/extras", "answer_form", None),
    ({"extras": ["heater", "tillt"]}, "/answers/extras/1", "choice_unknown", "tilt"),
    ({"extras": {"heater": "yes"}}, "/answers/extras/heater", "answer_form", None),
    (
        {"extras": {"haeter": True}},
        "/answers/extras/haeter",
        "choice_unknown",
        "heater",
    ),
    ({"main_size": "std"}, "/answers/main_size", "member_missing", "main_size[1]"),
    (
        {"main_size[3]": "std"},
        "/answers/main_size[3]",
        "option_unknown",
        "main_size[1]",
    ),
    ({"sump[1]": "rear"}, "/answers/sump[1]", "option_unknown", None),
    ({"serial": 0}, "/answers/serial", "serial_form", None),
    ({"serial": 10**9}, "/answers/serial", "serial_form", None),
    ({"serial": "9" * 5000}, "/answers/serial", "serial_form", None),
    ({"serial": Number("1e999999")}, "/answers/serial", "serial_form", None),
    ({"serial": 1.5}, "/answers/serial", "serial_form", None),
    ({"serial": True}, "/answers/serial", "serial_form", None),
    ({"serial": "X210440"}, "/answers/serial", "serial_form", "N"),
    ({"serial": ".."}, "/answers/serial", "serial_form", None),
    ({"serial": "5..2"}, "/answers/serial", "serial_form", "2..5"),
    ({"serial": {"from": 1, "til": 2}}, "/answers/serial", "serial_form", None),
    ({"serial": {}}, "/answers/serial", "serial_form", None),
    ({"a/b": 1}, "/answers/a~1b", "option_unknown", None),
]


@pytest.mark.parametrize(("answers", "pointer", "code", "remedy"), BAD)
def test_a_wrong_answer_names_its_place_and_the_nearest_word(
    answers: dict[str, Any], pointer: str, code: str, remedy: str | None
) -> None:
    (problem,) = problems(answers)
    assert (problem.pointer, problem.code) == (pointer, code)
    assert problem.remedy == remedy
    assert problem.detail.endswith((".", "'."))


def test_every_problem_is_reported_at_once() -> None:
    found = problems(
        {"smup": "rear", "sump": "raer", "serial": 0},
        sources={"sump": "hearsay", "pto": "seen"},
        waive=["r_rom", "r_tilt"],
    )
    assert [p.pointer for p in found] == [
        "/sources/sump",
        "/sources/pto",
        "/answers/smup",
        "/answers/sump",
        "/answers/serial",
        "/waive/0",
        "/waive/1",
    ]


def test_a_physical_rule_cannot_be_waived_and_says_why() -> None:
    (problem,) = problems({}, waive=["r_tilt"])
    assert problem.code == "rule_physical"
    assert "the tilt sensor needs the room" in problem.detail


def test_an_unknown_rule_names_the_nearest() -> None:
    (problem,) = problems({}, waive=["r_rom"])
    assert (problem.code, problem.remedy) == ("rule_unknown", "r_room")


def test_a_full_build_lacking_an_answer_is_refused_by_name() -> None:
    with pytest.raises(BadInput) as raised:
        REASONER.full({"sump": "rear", "pto": "none", "extras": {"heater": True}})
    assert [p.pointer for p in raised.value.problems] == [
        "/answers/extras",
        "/answers/plant",
        "/answers/main_size[1]",
        "/answers/main_size[2]",
        "/answers/serial",
    ]


def test_a_full_build_with_a_choice_of_what_is_not_there_is_refused() -> None:
    witness = REASONER.witness(read({"pto": "none"}))
    assert witness is not None
    with pytest.raises(BadInput) as raised:
        REASONER.full({**witness.answers, "gears": "plain"})
    (problem,) = raised.value.problems
    assert problem.code == "option_inactive"
