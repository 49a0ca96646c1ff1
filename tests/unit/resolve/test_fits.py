"""A loose part on the counter: where does it fit, and does it fit this engine."""

from __future__ import annotations

import pytest

from bomsvc.core.resolve.fits import fits, fits_engine
from bomsvc.service.replies.fits import engine_fits_reply, fits_reply
from tests.unit.resolve.compact import changed, full, known, reasoner


def where(number: str) -> list[tuple[str, str, str]]:
    found = fits(reasoner(), number)
    return [(str(p.place), p.role, p.when) for p in found.places]


def test_a_part_fits_where_some_build_puts_it_in_the_fewest_words() -> None:
    assert where("D11") == [("pan", "fitted", "sump = rear")]
    # The thick plate's own rule is not repeated: it is only for the rear sump.
    assert where("D13") == [("plate", "fitted", "plate = thick")]
    assert where("D12")[0] == ("pan_gasket", "fitted", "always")


def test_the_words_are_a_sentence() -> None:
    (place,) = fits(reasoner(), "D11").places
    assert place.words == "Sump is rear."
    assert place.complete


def test_alternates_and_fluids_say_what_they_are() -> None:
    assert where("D31") == [("oil_filter", "alternate", "filter = one")]
    assert [role for _, role, _ in where("D90")] == ["used", "used", "used"]


def test_each_member_of_a_series_is_a_place() -> None:
    assert where("D21")[1] == ("main_shell[2]", "fitted", "main_size[2] = us25")


def test_a_computed_screw_fits_the_stacks_that_take_its_length() -> None:
    assert where("D84") == [
        ("rail.a", "screw", "plate = thick"),
        ("rail.b", "screw", "plate = thick"),
    ]
    assert where("D80") == []


def test_a_stated_screw_fits_where_it_is_stated() -> None:
    holes = "holes: [{hole: 4, x: 0, y: 60}]"
    stated = "stated: [{part: D84, when: plate = none}]"
    draft = changed((holes, f"{stated}\n        {holes}"))
    roles = {(str(p.place), p.role) for p in fits(draft, "D84").places}
    assert ("rail.b", "stated") in roles


def test_a_part_sold_in_a_set_names_the_set() -> None:
    assert fits(reasoner(), "D20").sold_in == ("D29",)


def test_an_engine_says_yes_no_or_what_to_ask() -> None:
    assert fits_engine(reasoner(), full(sump="rear"), "D11").answer == "yes"
    assert fits_engine(reasoner(), full(sump="front"), "D11").answer == "no"
    asked = fits_engine(reasoner(), known(), "D11")
    assert asked.answer == "ask"
    assert [q.option for q in asked.questions] == ["sump"]
    assert asked.places[0].decided_by == ("sump",)


def test_an_engine_says_yes_or_no_to_a_screw() -> None:
    assert fits_engine(reasoner(), known(plate="thick"), "D84").answer == "yes"
    assert fits_engine(reasoner(), known(plate="none"), "D84").answer == "no"
    asked = fits_engine(reasoner(), known(), "D84")
    assert asked.answer == "ask"
    assert {q.option for q in asked.questions} == {"plate"}


def test_a_measured_size_has_to_be_measured() -> None:
    asked = fits_engine(reasoner(), known(), "D21")
    assert asked.answer == "ask"
    assert asked.questions == ()
    assert asked.to_measure[0].option == "main_size[1]"


def test_an_unknown_number_is_refused() -> None:
    with pytest.raises(KeyError):
        fits(reasoner(), "D99")


def test_the_replies_carry_all_of_it() -> None:
    reply = fits_reply(fits(reasoner(), "D11"), family="dipper")
    assert reply == {
        "part": "D11",
        "name": "Rear pan",
        "family": "dipper",
        "places": [
            {
                "place": {"position": "pan"},
                "role": "fitted",
                "label": "Pan",
                "qty": "1",
                "rank": 1,
                "when": "sump = rear",
                "words": "Sump is rear.",
                "complete": True,
            }
        ],
        "sold_in": [],
    }
    engine = engine_fits_reply(fits_engine(reasoner(), known(sump="rear"), "D11"))
    assert engine["answer"] == "yes"
    assert engine["places"] == [
        {
            "place": {"position": "pan"},
            "role": "fitted",
            "label": "Pan",
            "state": "certain",
            "decided_by": [],
        }
    ]
