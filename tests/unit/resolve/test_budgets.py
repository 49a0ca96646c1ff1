"""Beyond a budget the list says so and claims nothing it has not settled."""

from __future__ import annotations

import pytest

from bomsvc.core.resolve import studies
from bomsvc.core.resolve.fits import fits, fits_engine
from tests.unit.resolve.compact import full, known, listed, reasoner


def test_a_place_with_too_many_cases_is_not_settled(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr(studies, "POSITION_CASES", 2)
    found = listed(known(), positions=["plate"])
    assert [fault.code for fault in found.faults] == ["not_settled"]
    assert not found.certain
    (one,) = found.open
    # Nothing is a candidate too: nobody has shown that something is always taken.
    assert () in [candidate.parts for candidate in one.candidates]
    assert {q.option for q in found.questions} == {"plate"}


def test_a_joint_with_too_many_stacks_is_not_settled(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr(studies, "JOINT_CASES", 2)
    found = listed(known(), joints=["rail"])
    assert "not_settled" in [fault.code for fault in found.faults]
    screws = [line for line in found.lines if line.places[0].kind == "joint"]
    assert {line.state for line in screws} == {"open"}


def test_a_settled_place_needs_no_budget(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(studies, "POSITION_CASES", 1)
    monkeypatch.setattr(studies, "JOINT_CASES", 1)
    assert listed(full(), whole=True).faults == ()


def test_an_engine_whose_stacks_are_too_many_is_asked(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr("bomsvc.core.resolve.fits.JOINT_CASES", 2)
    asked = fits_engine(reasoner(), known(), "D84")
    assert asked.answer == "ask"
    assert asked.questions
    # What was looked at does not take it; that is said, and not that it never fits.
    (place, _) = fits(reasoner(), "D84").places
    assert (place.when, place.complete) == ("never", False)
    assert place.words == (
        "Not in the cases looked at. There are more cases, not listed."
    )
