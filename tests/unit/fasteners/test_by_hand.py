"""A screw by hand: the typed-in request and its reply; torque and threads."""

from __future__ import annotations

import copy
import json
from dataclasses import replace
from decimal import Decimal
from fractions import Fraction
from typing import Any

import pytest

from bomsvc.core.fasteners import size_joint
from bomsvc.core.terms.numbers import Number
from bomsvc.core.terms.problems import BadInput
from bomsvc.service.replies.size import (
    size_reply,
    sized_form,
    thread_reply,
    torque_reply,
)
from bomsvc.service.sizing import size, thread, torque
from tests.unit.fasteners.stacks import STORY_H, screw
from tests.unit.fasteners.test_studs import GROUP
from tests.unit.fasteners.typed_in import (
    REQUEST,
    THROUGH,
    problems_of,
    reply_to,
)


def test_the_reply_has_the_agreed_shape_and_figures() -> None:
    reply = reply_to()
    agreed = {
        "clamp_mm": [34.8, 34.5, 35.1],
        "window_mm": [52.45, 56.4],
        "needed_mm": 12.5,
        "governs": "guide",
        "needed": {"stripping_mm": 12.483, "guide_mm": 12.5},
        "engagement_mm": [15.05, 20.35],
        "margin_mm": {"short": 2.55, "over": 1.4, "shank": 12.25},
        "tip_mm": None,
        "stud": None,
        "alternatives": [],
        "failure": None,
    }
    assert {name: reply[name] for name in agreed} == agreed
    assert reply["chosen"]["designation"] == "ISO 4762 - M10 x 55 - 10.9"
    assert reply["chosen"]["length_mm"] == 55
    assert reply["chosen"]["fully_threaded"] is False
    rejected = [(r["length_mm"], r["reason"], r["by_mm"]) for r in reply["rejected"]]
    assert rejected == [(50, "too_little_engagement", 2.35), (60, "bottoms_out", 3.6)]
    assert len(reply["cautions"]) == 5
    assert json.loads(json.dumps(reply)) == reply


def test_story_h_says_why_no_torque_is_estimated() -> None:
    told = reply_to()["torque"]
    assert told["torque_nm"] is None
    assert told["label"] == "No estimate."
    assert [r["code"] for r in told["refused"]] == ["soft_layer"]
    assert "(gasket)" in told["refused"][0]["detail"]
    assert any("not the maker's torque" in text for text in told["cautions"])


def test_story_h_with_18_mm_of_thread_says_what_is_missing_and_by_how_much() -> None:
    reply = reply_to(into__threaded_mm=18)
    assert reply["chosen"] is None
    assert reply["failure"]["reason"] == "too_little_engagement"
    assert reply["failure"]["by_mm"] == 0.25
    assert "0.25 mm are missing" in reply["failure"]["detail"]
    assert reply["margin_mm"] is None
    assert [r["code"] for r in reply["torque"]["refused"]] == [
        "no_screw",
        "soft_layer",
    ]
    assert reply["cautions"]


def test_without_a_soft_layer_the_torque_stands_beside_the_screw() -> None:
    reply = reply_to(layers=[{"mm": 34.8}], friction=0.1)
    told = reply["torque"]
    assert told["refused"] == []
    assert (told["torque_nm"], told["preload_kn"]) == (63, 44)
    assert told["friction"] == 0.1
    assert told["formulas"]["torque"]["parts"][0]["symbol"] == "FM"
    assert told["label"].startswith("Estimate of the screw's limit at friction 0.1")


def test_lengths_at_hand_restrict_the_choice() -> None:
    assert reply_to(lengths_mm=[60, 55, 55])["chosen"]["length_mm"] == 55
    failed = reply_to(lengths_mm=[50, 60])
    assert failed["chosen"] is None
    assert failed["failure"]["reason"] == "no_length_in_window"
    odd = reply_to(lengths_mm=[53.5])
    assert odd["chosen"]["length_mm"] == 53.5
    assert odd["notes"] == ["53.5 is not a length of this standard's own series."]


def test_a_stated_engagement_governs() -> None:
    reply = reply_to(engagement_mm=9)
    assert (reply["needed_mm"], reply["governs"]) == (9, "stated")
    assert reply["needed"]["guide_mm"] == 12.5


def test_a_tapped_through_hole_by_hand() -> None:
    into = {**THROUGH, "thickness_tol": 0.2, "exit_mm": 1, "protrusion_mm": 5}
    reply = reply_to(into=into)
    assert reply["chosen"]["length_mm"] == 55
    assert reply["tip_mm"] == [-4.9, -2.7] or reply["tip_mm"][0] < reply["tip_mm"][1]
    assert reply_to(into=THROUGH)["margin_mm"]["over"] is None


def test_a_nut_by_hand_and_by_its_standard() -> None:
    typed = {"form": "nut", "height_mm": 8.4, "minus": 0.36, "plus": 0}
    named = {"form": "nut", "standard": "ISO 4032"}
    reply = reply_to(into=typed)
    assert reply == reply_to(into=named)
    assert (reply["needed_mm"], reply["governs"], reply["needed"]) == (None, None, None)
    assert reply["window_mm"][1] is None
    assert reply["tip_mm"] is not None
    limited = reply_to(into={**named, "protrusion_mm": 1})
    assert limited["failure"]["reason"] == "protrudes_too_far"


def test_a_washer_goes_by_its_standard() -> None:
    washer = [{"mm": 30}, {"washer": "ISO 7089"}]
    assert reply_to(layers=washer)["clamp_mm"] == [32, 31.8, 32.2]


def test_a_gasket_too_thick_to_start_is_a_finding() -> None:
    gasket = {"mm": 0.8, "tol": 0.1, "soft": True, "free_mm": 15}
    found = reply_to(layers=[REQUEST["layers"][0], gasket])["findings"]
    assert [(f["code"], f["severity"]) for f in found] == [
        ("screw_hard_to_start", "warning")
    ]


def test_numbers_are_taken_exactly_however_they_are_typed() -> None:
    plain = reply_to()
    for number in (Decimal("34.0"), Fraction(34), Number("34.00"), 34):
        layers = [{"name": "cover", "mm": number, "tol": Number("2e-1")}]
        assert reply_to(layers=[*layers, REQUEST["layers"][1]]) == plain


def test_inches_in_and_inches_beside_the_millimetres_out() -> None:
    request = {
        "standard": "ASME B18.2.1",
        "thread": "3/8-16 UNC",
        "property_class": "grade 5",
        "units": "inch",
        "layers": [{"in": 1.0, "tol": 0.01}, {"in": 0.0655, "tol": 0.0145}],
        "into": {
            "form": "blind",
            "threaded_in": 1.125,
            "entry_in": 0.045,
            "entry_tol": 0.015,
            "material": "grey_iron",
        },
        "engagement_in": 0.469,
    }
    reply = size_reply(size(request))
    assert reply["chosen"] == {
        "designation": "ASME B18.2.1 - 3/8-16 UNC x 2 in - grade 5",
        "length_mm": 50.8,
        "length_in": 2,
        "fully_threaded": False,
        "part": None,
    }
    assert reply["inch"] == {
        "clamp_in": [1.0655, 1.041, 1.09],
        "window_in": [1.784, 2.1035],
        "needed_in": 0.469,
        "engagement_in": [0.685, 0.929],
        "margin_in": {"short": 0.216, "over": 0.1035, "shank": 0.071},
        "tip_in": None,
        "failure_by_in": None,
    }
    hopeless = copy.deepcopy(request)
    hopeless["into"]["threaded_in"] = 0.5  # type: ignore[index]
    figures = size_reply(size(hopeless))["inch"]
    assert isinstance(figures, dict)
    assert figures["margin_in"] is None
    assert figures["failure_by_in"] == 0.2165


def test_a_torque_by_hand_comes_with_the_parts_of_its_formulas() -> None:
    request = {"standard": "ISO 4014", "thread": "M10", "property_class": "8.8"}
    reply = torque_reply(torque(request))
    assert (reply["torque_nm"], reply["preload_kn"]) == (48, 29)
    assert reply["nut_factor"] == 0.164
    assert (reply["friction"], reply["utilisation"]) == (0.12, 0.9)
    formulas = reply["formulas"]
    assert isinstance(formulas, dict)
    assert list(formulas) == ["preload", "torque", "nut_factor"]
    assert formulas["torque"]["value"] == 48.463102
    assert (reply["needed_mm"], reply["needed"]) == (None, None)
    json.dumps(reply)


def test_a_torque_for_a_hole_needs_its_engagement() -> None:
    request = {
        "standard": "ISO 4762",
        "thread": "M10",
        "property_class": "10.9",
        "engagement_mm": 15,
        "hole": {"material": "aluminium", "strength_mpa": 200},
        "utilisation": 0.75,
        "threads": "sealant",
        "soft": True,
    }
    reply = torque_reply(torque(request))
    refused = reply["refused"]
    assert isinstance(refused, list)
    assert [r["code"] for r in refused] == [
        "soft_layer",
        "thread_state",
        "engagement_short",
    ]
    assert reply["needed_mm"] == 25
    assert reply["utilisation"] == 0.75
    assert reply["formulas"] == {}


@pytest.mark.parametrize(
    ("changes", "pointer", "code"),
    [
        ({"hole": "iron"}, "/hole", "invalid"),
        ({"hole": {"material": "iron"}}, "/hole/material", "unknown_word"),
        ({"hole": {"material": "steel", "depth": 3}}, "/hole/depth", "unknown_field"),
        ({"utilisation": 2}, "/utilisation", "out_of_range"),
        ({"friction": -0.1}, "/friction", "out_of_range"),
        ({"engagement_mm": "15"}, "/engagement_mm", "not_a_number"),
        ({"property_class": ""}, "/property_class", "invalid"),
        ({"layers": []}, "/layers", "unknown_field"),
    ],
)
def test_a_bad_torque_request_is_refused_by_field(
    changes: dict[str, Any], pointer: str, code: str
) -> None:
    request = {"standard": "ISO 4762", "thread": "M10", "property_class": "10.9"}
    assert (pointer, code) in problems_of({**request, **changes}, torque)
    assert problems_of({"hole": None}, torque) == [
        ("/standard", "required"),
        ("/thread", "required"),
        ("/property_class", "required"),
    ]


def test_a_thread_is_shown_with_its_figures() -> None:
    reply = thread_reply(thread("M10"))
    assert reply["designation"] == "M10x1.5"
    assert reply["stress_area_mm2"] == 58
    assert reply["threads_per_inch"] is None
    assert reply["pitch_diameter_mm"] == 9.025722
    assert thread_reply(thread("3/8-16"))["threads_per_inch"] == 16
    with pytest.raises(BadInput) as caught:
        thread("M11")
    assert caught.value.problems[0].pointer == "/designation"


def test_the_sized_form_of_a_catalogue_line_shows_studs_and_stated_screws() -> None:
    (stud,) = size_joint([GROUP])
    figures = sized_form(stud)["stud"]
    assert isinstance(figures, dict)
    assert figures["free_margin_mm"] == 8.1
    assert figures["stays"] is False
    (stated,) = size_joint([replace(STORY_H, stated=(screw("W60", 60),))])
    form = sized_form(stated)
    assert isinstance(form["chosen"], dict)
    assert isinstance(form["computed"], dict)
    assert form["chosen"]["part"] == "W60"
    assert form["computed"]["length_mm"] == 55
