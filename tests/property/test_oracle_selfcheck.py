"""The slow oracle itself, checked on cases small enough to do on paper."""

from __future__ import annotations

import json
from decimal import Decimal

import pytest

from tests.oracle.answers import (
    active,
    decides,
    decides_irreducibly,
    is_irreducible,
    least,
    least_repairs,
    least_waivers,
    remaining,
    states,
)
from tests.oracle.builds import Build, Model, Tree, key_of, read_model, valid_builds
from tests.oracle.documents import Knobs, document, json_text
from tests.oracle.joints import fitted_needs
from tests.oracle.lists import (
    Needs,
    certain,
    exists,
    fitted,
    open_places,
    position_scope,
)

SMALL: Tree = {
    "format": 1,
    "family": {
        "code": "dunlin",
        "name": "Dunlin",
        "series": {"main": 2},
        "serial": {"prefixes": {"N": "sump.rear"}},
    },
    "options": [
        {"code": "sump", "choose": "one", "ask": "?",
         "choices": [{"code": "front"}, {"code": "rear"}]},
        {"code": "extras", "choose": "any", "under": "sump.rear",
         "choices": [{"code": "heater"}, {"code": "block"}]},
        {"code": "size", "choose": "one", "each": "main", "known": "measured",
         "choices": [{"code": "std"}, {"code": "us25"}]},
    ],
    "rules": [
        {"code": "r1", "when": "extras = heater", "then": "extras = block"},
        {"code": "r2", "each": "main", "when": "main = 2", "then": "size = std",
         "strength": "physical"},
    ],
    "sections": [{"code": "engine"}, {"code": "front", "under": "engine"}],
    "positions": [
        {"code": "pan", "section": "engine"},
        {"code": "plug", "section": "front", "fill": "optional"},
        {"code": "shell", "section": "front", "each": "main",
         "exists": "serial >= 100"},
    ],
    "parts": [{"number": "A"}, {"number": "B", "includes": ["plug"]},
              {"number": "C"}, {"number": "D"}, {"number": "E"}],
    "fitments": [
        {"position": "pan", "part": "A", "when": "sump = front"},
        {"position": "pan", "part": "B", "when": "not sump = front"},
        {"position": "plug", "part": "C", "when": "extras != block", "qty": "2"},
        {"position": "shell", "part": "D", "when": "size = std"},
        {"position": "shell", "part": "E", "when": "size = us25 and main = 1"},
    ],
}  # fmt: skip


@pytest.fixture(name="model")
def _model() -> Model:
    return read_model(SMALL)


def test_builds_are_counted_as_on_paper(model: Model) -> None:
    # front: 1; rear: {}, {block}, {heater, block}. Bearings 2 x 1. Serial cut once.
    assert len(valid_builds(model)) == (1 + 3) * 2 * 2
    # Waiving r1 lets {heater} alone in; the physical r2 cannot be waived.
    assert len(valid_builds(model, ("r1", "r2"))) == (1 + 4) * 2 * 2


def test_serial_is_cut_at_each_comparison(model: Model) -> None:
    assert model.option("serial").choices == ["1..99", "100.."]


def test_an_option_under_a_choice_not_taken_is_not_active(model: Model) -> None:
    left = remaining(model, {"sump": "front"})
    assert active(model, left)["extras"] == "no"
    assert states(model, {"sump": "front"}, left)["extras"] == {
        "heater": "excluded",
        "block": "excluded",
    }


def test_what_a_rule_forces_follows_and_what_was_said_is_chosen(model: Model) -> None:
    answers = {"extras": {"heater": True}, "serial": "N250"}
    found = states(model, answers, remaining(model, answers))
    assert found["extras"] == {"heater": "chosen", "block": "follows"}
    assert found["sump"] == {"front": "excluded", "rear": "chosen"}
    assert found["serial"] == {"1..99": "excluded", "100..": "chosen"}
    assert found["size[1]"] == {"std": "open", "us25": "open"}
    assert found["size[2]"] == {"std": "follows", "us25": "excluded"}


@pytest.mark.parametrize(
    ("answers", "count"),
    [
        ({}, 16),
        ({"sump": {"not": ["front"]}}, 12),
        ({"extras": {"fitted": False}}, 4),
        ({"extras": []}, 8),
        ({"extras": ["block"]}, 4),
        ({"extras": {"block": False}}, 8),
        ({"serial": 99}, 8),
        ({"serial": "50..150"}, 16),
        ({"serial": "100.."}, 8),
        ({"size[1]": "us25", "sump": {"unseen": True}}, 8),
    ],
)
def test_each_form_of_answer_leaves_the_builds_it_should(
    model: Model, answers: Tree, count: int
) -> None:
    assert len(remaining(model, answers)) == count


def test_a_clash_is_irreducible_and_its_least_repairs_work(model: Model) -> None:
    answers = {"sump": "front", "extras": ["heater"]}
    assert not remaining(model, answers)
    assert is_irreducible(model, answers, ["sump", "extras.heater"], [])
    assert is_irreducible(model, answers, ["extras.heater", "extras.block"], ["r1"])
    assert not is_irreducible(model, answers, ["sump", "extras.heater"], ["r1"])
    assert least_repairs(model, answers) == [frozenset({"extras.heater"})]
    assert least_waivers(model, answers) == []
    assert least_waivers(model, {"extras": ["heater"]}) == [frozenset({"r1"})]


def test_the_least_build_takes_usual_choices_in_document_order(model: Model) -> None:
    assert least(model, valid_builds(model)) == {
        "sump": "front",
        "extras": None,
        "size[1]": "std",
        "size[2]": "std",
        "serial": "1..99",
    }


def _needs(model: Model, builds: list[Build]) -> list[Needs]:
    scope = position_scope(model, whole=True)
    return [fitted_needs(model, scope, build) for build in builds]


def test_an_included_position_is_not_listed_again(model: Model) -> None:
    (needs,) = _needs(
        model, remaining(model, {"extras": [], "sump": "rear", "serial": 5,
                                 "size[1]": "std"})
    )  # fmt: skip
    assert needs == {("renew", "B", ("position", "pan")): Decimal(1)}
    (needs,) = _needs(
        model, remaining(model, {"sump": "front", "serial": 100, "size[1]": "us25"})
    )
    assert needs == {
        ("renew", "A", ("position", "pan")): Decimal(1),
        ("renew", "C", ("position", "plug")): Decimal(2),
        ("renew", "E", ("position", "shell[1]")): Decimal(1),
        ("renew", "D", ("position", "shell[2]")): Decimal(1),
    }


def test_open_places_are_decided_by_the_options_that_differ(model: Model) -> None:
    left = remaining(model, {"sump": "front", "serial": 100})
    scope = position_scope(model, sections=["engine"])
    assert scope == ["pan", "plug", "shell[1]", "shell[2]"]
    over = [fitted_needs(model, scope, build) for build in left]
    assert ("renew", "D", ("position", "shell[2]")) in certain(over)
    (place,) = open_places(over)
    assert place == ("position", "shell[1]")
    outcome = open_places(over)[place]
    assert decides_irreducibly(left, ["size[1]"], outcome)
    assert decides(left, ["size[1]", "sump"], outcome)
    assert not decides_irreducibly(left, ["size[1]", "sump"], outcome)
    assert not decides(left, ["sump"], outcome)


@pytest.mark.parametrize("seed", range(40))
def test_generated_documents_cover_every_position_once(seed: int) -> None:
    model = read_model(document(seed, Knobs(variety=True)))
    builds = valid_builds(model)
    assert len(builds) >= 2
    for position in model.doc["positions"]:
        for member in model.members(position.get("each")):
            key = key_of(position["code"], member)
            for build in builds:
                there = exists(model, "positions", key, build)
                count = len(fitted(model, key, build))
                fill = position.get("fill", "one")
                assert fill == "several" or count <= int(there)
                assert fill != "one" or count == int(there)


def test_the_same_seed_gives_the_same_text() -> None:
    text = json_text(document(7))
    assert text == json_text(document(7))
    assert text != json_text(document(8))
    assert json.loads(text)["family"]["code"] == "dunlin"
