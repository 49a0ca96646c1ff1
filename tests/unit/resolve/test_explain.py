"""Why a part is on the list, and why another is not."""

from __future__ import annotations

from typing import Any

from bomsvc.core.logic.known import Known
from bomsvc.core.resolve import Clashing, read_scope
from bomsvc.core.resolve.explain import Explained, WhyPlace, explain_part
from bomsvc.service.replies.why import why_reply
from tests.unit.resolve.compact import compiled, full, known, reasoner


def why(known_: Known, number: str, **scope: Any) -> Explained:
    raw = read_scope(compiled(), scope or {"jobs": ["reseal_sump"]})
    found = explain_part(reasoner(), known_, raw, number)
    assert not isinstance(found, Clashing)
    return found


def only(explained: Explained) -> WhyPlace:
    (place,) = explained.places
    return place


def test_an_absent_part_names_the_answer_that_keeps_it_out() -> None:
    place = only(why(known(sump="front"), "D11", whole=True))
    assert (place.there, place.listed, place.absent) == ("excluded", False, "not_there")
    assert place.when == "sump = rear"
    assert [g.because for g in place.grounds] == ["We were told: sump is front."]


def test_a_rule_that_decides_is_named_with_its_reason() -> None:
    place = only(why(known(plate="thick"), "D11", whole=True))
    assert (place.there, place.listed) == ("certain", True)
    assert [(g.kind, g.name) for g in place.grounds] == [
        ("answer", "plate"),
        ("rule", "r1"),
    ]


def test_a_part_that_nothing_disturbs_says_so() -> None:
    place = only(why(full(), "D41"))
    assert (place.there, place.absent) == ("certain", "not_disturbed")


def test_a_part_that_comes_with_another_says_so() -> None:
    place = only(why(full(pump_kind="whole"), "D42", jobs=["pump_job"]))
    assert place.absent == "brought_along"


def test_an_alternate_is_not_listed_because_it_is_one() -> None:
    place = only(why(full(), "D31", jobs=["filter_job"]))
    assert (place.there, place.absent) == ("certain", "alternate")


def test_an_open_part_names_what_would_decide() -> None:
    place = only(why(known(), "D11", whole=True))
    assert (place.there, place.decided_by, place.listed) == ("open", ("sump",), True)


def test_a_screw_on_the_list_shows_the_figures_that_chose_it() -> None:
    place = why(full(plate="thick"), "D84").places[0]
    assert place.listed
    assert place.figures is not None
    assert place.figures.chosen is not None
    assert place.figures.chosen.part == "D84"


def test_a_screw_that_is_only_fitted_is_explained_without_any_work() -> None:
    explained = why(full(plate="thick"), "D84", whole=True)
    assert explained.places
    assert all(p.listed and p.figures is not None for p in explained.places)
    other = why(full(sump="front", plate="none"), "D80", whole=True)
    assert {p.absent for p in other.places} == {"does_not_fit"}


def test_a_screw_that_is_too_long_says_by_how_much() -> None:
    place = why(full(sump="front", plate="none"), "D80").places[0]
    assert place.absent == "does_not_fit"
    assert place.rejected is not None
    assert [miss.reason for miss in place.rejected.misses] == ["bottoms_out"]


def test_a_part_of_another_engine_has_no_place_here() -> None:
    assert why(full(), "D29").places == ()


def test_answers_that_clash_explain_nothing() -> None:
    raw = read_scope(compiled(), {"whole": True})
    clashing = known(plate="thick", sump="front")
    found = explain_part(reasoner(), clashing, raw, "D11")
    assert isinstance(found, Clashing)
    assert set(found.clash.answers) == {"plate", "sump"}


def test_the_reply_says_it_in_the_services_shape() -> None:
    reply = why_reply(why(known(sump="front"), "D11", whole=True))
    assert reply == {
        "part": "D11",
        "name": "Rear pan",
        "listed": False,
        "places": [
            {
                "place": {"position": "pan"},
                "there": "excluded",
                "when": "sump = rear",
                "grounds": [
                    {"answer": "sump", "because": "We were told: sump is front."}
                ],
                "decided_by": [],
                "listed": False,
                "why": [],
                "absent": "not_there",
                "screw": None,
                "rejected": None,
            }
        ],
    }
    screw = why_reply(why(full(sump="front", plate="none"), "D80"))
    assert screw["places"][0]["rejected"] == {  # type: ignore[index]
        "length_mm": 40,
        "misses": [{"reason": "bottoms_out", "by_mm": 1.8}],
    }
