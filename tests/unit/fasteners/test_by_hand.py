"""A screw by hand: the typed-in request, its reply, and what is refused by field."""

from __future__ import annotations

import copy
import json
from collections.abc import Callable
from dataclasses import replace
from decimal import Decimal
from fractions import Fraction
from typing import Any

import pytest

from bomsvc.core.fasteners import size_joint
from bomsvc.core.terms.numbers import Number
from bomsvc.core.terms.problems import BadInput, Problem
from bomsvc.service.replies.size import (
    size_reply,
    sized_form,
    thread_reply,
    torque_reply,
)
from bomsvc.service.sizing import size, thread, torque
from tests.unit.fasteners.test_sizing import STORY_H, _screw
from tests.unit.fasteners.test_studs import GROUP

REQUEST: dict[str, Any] = {
    "standard": "ISO 4762",
    "thread": "M10x1.5",
    "property_class": "10.9",
    "layers": [
        {"name": "cover", "mm": 34.0, "tol": 0.2},
        {"name": "gasket", "mm": 0.8, "tol": 0.1, "soft": True},
    ],
    "into": {
        "form": "blind",
        "threaded_mm": 24.0,
        "drilled_mm": 31.3,
        "entry_mm": 1.0,
        "entry_tol": 0.25,
        "material": "grey_iron",
        "strength_mpa": None,
    },
    "engagement_mm": None,
    "lengths_mm": None,
}
THROUGH = {"form": "through", "thickness_mm": 24, "material": "steel"}


def _with(**changes: Any) -> dict[str, Any]:
    """The request with fields changed; `into__x` changes a field of `into`."""
    request = copy.deepcopy(REQUEST)
    for name, value in changes.items():
        outer, _, inner = name.partition("__")
        target = request[outer] if inner else request
        if value is ...:
            del target[inner or outer]
        else:
            target[inner or outer] = value
    return request


def _reply(**changes: Any) -> dict[str, Any]:
    return size_reply(size(_with(**changes)))


def _problems(
    request: Any, use_case: Callable[[Any], Any] = size
) -> list[tuple[str, str]]:
    return [(p.pointer, p.code) for p in _raised(request, use_case)]


def _raised(request: Any, use_case: Callable[[Any], Any] = size) -> tuple[Problem, ...]:
    with pytest.raises(BadInput) as caught:
        use_case(request)
    return caught.value.problems


def test_the_reply_has_the_agreed_shape_and_figures() -> None:
    reply = _reply()
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
    told = _reply()["torque"]
    assert told["torque_nm"] is None
    assert told["label"] == "No estimate."
    assert [r["code"] for r in told["refused"]] == ["soft_layer"]
    assert "(gasket)" in told["refused"][0]["detail"]
    assert any("not the maker's torque" in text for text in told["cautions"])


def test_story_h_with_18_mm_of_thread_says_what_is_missing_and_by_how_much() -> None:
    reply = _reply(into__threaded_mm=18)
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
    reply = _reply(layers=[{"mm": 34.8}], friction=0.1)
    told = reply["torque"]
    assert told["refused"] == []
    assert (told["torque_nm"], told["preload_kn"]) == (63, 44)
    assert told["friction"] == 0.1
    assert told["formulas"]["torque"]["parts"][0]["symbol"] == "FM"
    assert told["label"].startswith("Estimate of the screw's limit at friction 0.1")


def test_lengths_at_hand_restrict_the_choice() -> None:
    assert _reply(lengths_mm=[60, 55, 55])["chosen"]["length_mm"] == 55
    failed = _reply(lengths_mm=[50, 60])
    assert failed["chosen"] is None
    assert failed["failure"]["reason"] == "no_length_in_window"
    odd = _reply(lengths_mm=[53.5])
    assert odd["chosen"]["length_mm"] == 53.5
    assert odd["notes"] == ["53.5 is not a length of this standard's own series."]


def test_a_stated_engagement_governs() -> None:
    reply = _reply(engagement_mm=9)
    assert (reply["needed_mm"], reply["governs"]) == (9, "stated")
    assert reply["needed"]["guide_mm"] == 12.5


def test_a_tapped_through_hole_by_hand() -> None:
    into = {**THROUGH, "thickness_tol": 0.2, "exit_mm": 1, "protrusion_mm": 5}
    reply = _reply(into=into)
    assert reply["chosen"]["length_mm"] == 55
    assert reply["tip_mm"] == [-4.9, -2.7] or reply["tip_mm"][0] < reply["tip_mm"][1]
    assert _reply(into=THROUGH)["margin_mm"]["over"] is None


def test_a_nut_by_hand_and_by_its_standard() -> None:
    typed = {"form": "nut", "height_mm": 8.4, "minus": 0.36, "plus": 0}
    named = {"form": "nut", "standard": "ISO 4032"}
    reply = _reply(into=typed)
    assert reply == _reply(into=named)
    assert (reply["needed_mm"], reply["governs"], reply["needed"]) == (None, None, None)
    assert reply["window_mm"][1] is None
    assert reply["tip_mm"] is not None
    limited = _reply(into={**named, "protrusion_mm": 1})
    assert limited["failure"]["reason"] == "protrudes_too_far"


def test_a_washer_goes_by_its_standard() -> None:
    washer = [{"mm": 30}, {"washer": "ISO 7089"}]
    assert _reply(layers=washer)["clamp_mm"] == [32, 31.8, 32.2]


def test_a_gasket_too_thick_to_start_is_a_finding() -> None:
    gasket = {"mm": 0.8, "tol": 0.1, "soft": True, "free_mm": 15}
    found = _reply(layers=[REQUEST["layers"][0], gasket])["findings"]
    assert [(f["code"], f["severity"]) for f in found] == [
        ("screw_hard_to_start", "warning")
    ]


def test_numbers_are_taken_exactly_however_they_are_typed() -> None:
    plain = _reply()
    for number in (Decimal("34.0"), Fraction(34), Number("34.00"), 34):
        layers = [{"name": "cover", "mm": number, "tol": Number("2e-1")}]
        assert _reply(layers=[*layers, REQUEST["layers"][1]]) == plain


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


# -- refused by field ---------------------------------------------------------------


@pytest.mark.parametrize(
    ("changes", "pointer", "code"),
    [
        ({"standard": "DIN 912"}, "/standard", "unknown_standard"),
        ({"standard": ...}, "/standard", "required"),
        ({"standard": 4762}, "/standard", "invalid"),
        ({"standard": "  "}, "/standard", "invalid"),
        ({"thread": "M11"}, "/thread", "unknown_thread"),
        ({"thread": "M18"}, "/thread", "not_made"),
        ({"thread": "M10x1.25"}, "/thread", "not_made"),
        ({"property_class": "9.9"}, "/property_class", "unknown_property_class"),
        ({"property_class": "grade 5"}, "/property_class", "not_made"),
        ({"layers": ...}, "/layers", "required"),
        ({"layers": []}, "/layers", "required"),
        ({"layers": "34"}, "/layers", "invalid"),
        ({"layers": [{"mm": 1}] * 41}, "/layers", "too_many"),
        ({"layers": [34]}, "/layers/0", "invalid"),
        ({"layers": [{}]}, "/layers/0/mm", "required"),
        ({"layers": [{"mm": -1}]}, "/layers/0/mm", "out_of_range"),
        ({"layers": [{"mm": 0}]}, "/layers/0/mm", "out_of_range"),
        ({"layers": [{"mm": float("nan")}]}, "/layers/0/mm", "not_a_number"),
        ({"layers": [{"mm": float("inf")}]}, "/layers/0/mm", "not_a_number"),
        ({"layers": [{"mm": Number("1e999")}]}, "/layers/0/mm", "not_a_number"),
        ({"layers": [{"mm": True}]}, "/layers/0/mm", "not_a_number"),
        ({"layers": [{"mm": "34"}]}, "/layers/0/mm", "not_a_number"),
        ({"layers": [{"mm": 34.1234567}]}, "/layers/0/mm", "too_fine"),
        ({"layers": [{"mm": 2001}]}, "/layers/0/mm", "out_of_range"),
        ({"layers": [{"mm": 10**5000}]}, "/layers/0/mm", "out_of_range"),
        ({"layers": [{"mm": 1500}, {"mm": 600}]}, "/layers", "out_of_range"),
        ({"layers": [{"mm": 1, "tol": 2}]}, "/layers/0/tol", "tolerance_too_large"),
        ({"layers": [{"mm": 1, "minus": 2}]}, "/layers/0/minus", "tolerance_too_large"),
        ({"layers": [{"mm": 1, "tol": 0.1, "plus": 0.2}]}, "/layers/0/tol", "invalid"),
        ({"layers": [{"mm": 1, "soft": "yes"}]}, "/layers/0/soft", "invalid"),
        ({"layers": [{"mm": 1, "tolerance": 1}]}, "/layers/0/tolerance",
         "unknown_field"),
        ({"layers": [{"washer": "ISO 1"}]}, "/layers/0/washer", "unknown_standard"),
        ({"layers": [{"washer": None}]}, "/layers/0/mm", "required"),
        ({"into": ...}, "/into", "required"),
        ({"into": "blind"}, "/into", "invalid"),
        ({"into": {"form": "blnd"}}, "/into/form", "unknown_word"),
        ({"into": {"form": 3}}, "/into/form", "unknown_word"),
        ({"into": {}}, "/into/form", "required"),
        ({"into": {"form": "blind", "material": "steel"}}, "/into/threaded_mm",
         "required"),
        ({"into__threaded_mm": 40}, "/into/threaded_mm", "out_of_range"),
        ({"into__threaded_mm": -4}, "/into/threaded_mm", "out_of_range"),
        ({"into__entry_mm": 24}, "/into", "out_of_range"),
        ({"into__threaded_mm": None, "into__drilled_mm": 8}, "/into", "out_of_range"),
        ({"into__entry_tol": 1.5}, "/into/entry_tol", "tolerance_too_large"),
        ({"into__material": "cheese"}, "/into/material", "unknown_word"),
        ({"into__material": ...}, "/into/material", "required"),
        ({"into__strength_mpa": 5}, "/into/strength_mpa", "out_of_range"),
        ({"into__strength_mpa": "x"}, "/into/strength_mpa", "not_a_number"),
        ({"into__exit_mm": 1}, "/into/exit_mm", "unknown_field"),
        ({"into": {"form": "through", "material": "steel"}}, "/into/thickness_mm",
         "required"),
        ({"into": {**THROUGH, "entry_mm": 24}}, "/into", "out_of_range"),
        ({"into": {**THROUGH, "thickness_tol": 25}}, "/into/thickness_tol",
         "tolerance_too_large"),
        ({"into": {"form": "nut"}}, "/into/height_mm", "required"),
        ({"into": {"form": "nut", "standard": "DIN 934"}}, "/into/standard",
         "unknown_standard"),
        ({"into": {"form": "nut", "standard": "ISO 4032", "height_mm": 8}},
         "/into/height_mm", "unknown_field"),
        ({"engagement_mm": 0}, "/engagement_mm", "out_of_range"),
        ({"lengths_mm": 55}, "/lengths_mm", "invalid"),
        ({"lengths_mm": [55, "60"]}, "/lengths_mm/1", "not_a_number"),
        ({"lengths_mm": [55, None]}, "/lengths_mm/1", "required"),
        ({"lengths_mm": [1] * 201}, "/lengths_mm", "too_many"),
        ({"threads": "greasy"}, "/threads", "unknown_word"),
        ({"friction": 0.9}, "/friction", "out_of_range"),
        ({"friction": [1]}, "/friction", "not_a_number"),
        ({"units": "furlong"}, "/units", "unknown_word"),
        ({"layer": []}, "/layer", "unknown_field"),
    ],
)  # fmt: skip
def test_a_bad_field_is_refused_by_its_place(
    changes: dict[str, Any], pointer: str, code: str
) -> None:
    assert (pointer, code) in _problems(_with(**changes))


def test_every_problem_is_told_at_once() -> None:
    request = _with(thread="M11", layers=[{"mm": -1}], into__material="x", extra=1)
    assert _problems(request) == [
        ("/thread", "unknown_thread"),
        ("/layers/0/mm", "out_of_range"),
        ("/into/material", "unknown_word"),
        ("/extra", "unknown_field"),
    ]


def test_a_wrong_depth_is_not_also_called_missing() -> None:
    into = {"form": "blind", "material": "steel", "threaded_mm": -1}
    assert _problems(_with(into=into)) == [("/into/threaded_mm", "out_of_range")]


def test_a_request_that_is_no_object_is_refused() -> None:
    assert _problems([]) == [("", "invalid")]


@pytest.mark.parametrize(
    ("changes", "said"),
    [
        ({"thread": "M10x1.25"}, "M10x1.25 is made as ISO 8765 or ISO 8676"),
        ({"standard": "ISO 4014", "thread": "M10x1.25"}, "made as ISO 8765"),
        ({"standard": "ISO 15071", "thread": "M24x1.5"}, "M5, M6, M8, M10, M12, M14"),
        ({"property_class": "grade 8"}, "it is made in 8.8, 10.9, 12.9"),
        ({"layers": [{"mm": 1, "tol": 2}]}, "The tolerance 2 mm is larger than the 1"),
        ({"layers": [{"mm": 1, "sof": True}]}, "Is soft meant?"),
        ({"units": "inch"}, "mm is not a field here. Is in meant?"),
    ],
)
def test_a_refusal_says_what_would_be_right(changes: dict[str, Any], said: str) -> None:
    details = " ".join(p.detail for p in _raised(_with(**changes)))
    assert said in details


def test_washers_and_nuts_that_a_size_does_not_have_are_refused() -> None:
    inch = _with(standard="ASME B18.2.1", thread="3/8-16", property_class="grade 5")
    inch["layers"] = [{"washer": "ISO 7089"}]
    inch["into"] = {"form": "nut", "standard": "ISO 4032"}
    assert _problems(inch) == [
        ("/layers/0/washer", "not_made"),
        ("/into/standard", "not_made"),
    ]
    # Where the thread itself is wrong, that is the problem, not the washer.
    inch["thread"] = "3/8-15"
    assert _problems(inch) == [("/thread", "unknown_thread")]


# -- torque and threads ---------------------------------------------------------------


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
    assert (pointer, code) in _problems({**request, **changes}, torque)
    assert _problems({"hole": None}, torque) == [
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
    (stated,) = size_joint([replace(STORY_H, stated=(_screw("W60", 60),))])
    form = sized_form(stated)
    assert isinstance(form["chosen"], dict)
    assert isinstance(form["computed"], dict)
    assert form["chosen"]["part"] == "W60"
    assert form["computed"]["length_mm"] == 55
