"""A typed-in request is refused field by field."""

from __future__ import annotations

from typing import Any

import pytest

from bomsvc.core.terms.numbers import Number
from tests.unit.fasteners.typed_in import (
    THROUGH,
    changed,
    problems_of,
    refusals_of,
)


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
        ({"lengths_mm": []}, "/lengths_mm", "required"),
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
    assert (pointer, code) in problems_of(changed(**changes))


def test_every_problem_is_told_at_once() -> None:
    request = changed(thread="M11", layers=[{"mm": -1}], into__material="x", extra=1)
    assert problems_of(request) == [
        ("/thread", "unknown_thread"),
        ("/layers/0/mm", "out_of_range"),
        ("/into/material", "unknown_word"),
        ("/extra", "unknown_field"),
    ]


def test_a_wrong_depth_is_not_also_called_missing() -> None:
    into = {"form": "blind", "material": "steel", "threaded_mm": -1}
    assert problems_of(changed(into=into)) == [("/into/threaded_mm", "out_of_range")]


def test_a_request_that_is_no_object_is_refused() -> None:
    assert problems_of([]) == [("", "invalid")]


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
    details = " ".join(p.detail for p in refusals_of(changed(**changes)))
    assert said in details


def test_washers_and_nuts_that_a_size_does_not_have_are_refused() -> None:
    inch = changed(standard="ASME B18.2.1", thread="3/8-16", property_class="grade 5")
    inch["layers"] = [{"washer": "ISO 7089"}]
    inch["into"] = {"form": "nut", "standard": "ISO 4032"}
    assert problems_of(inch) == [
        ("/layers/0/washer", "not_made"),
        ("/into/standard", "not_made"),
    ]
    # Where the thread itself is wrong, that is the problem, not the washer.
    inch["thread"] = "3/8-15"
    assert problems_of(inch) == [("/thread", "unknown_thread")]
