"""Every mistake in a document is told with its place and what would be right.

`problems.golden.txt` has one block per mistake: the pointer of what is changed in
the sample, the value put there, and everything that is then told.
"""

from __future__ import annotations

from itertools import pairwise
from pathlib import Path

import pytest

from bomsvc.core.catalogue.forms.records import Record
from bomsvc.core.catalogue.shape import RECORDS
from tests.unit.catalogue.sample import edited, problems_of, told

GOLDEN = (Path(__file__).parent / "problems.golden.txt").read_text(encoding="utf-8")
BLOCKS = [block.split("\n", 1) for block in GOLDEN.removeprefix("### ").split("\n### ")]


@pytest.mark.parametrize(("edit", "expected"), BLOCKS, ids=[b[0] for b in BLOCKS])
def test_a_mistake_is_told_with_its_place_and_its_remedy(
    edit: str, expected: str
) -> None:
    pointer, value = edit.split(" := ")
    found = problems_of(edited((pointer, value)))
    assert "\n".join(told(problem) for problem in found) == expected.rstrip("\n")


def test_every_mistake_of_a_document_is_told_at_once() -> None:
    found = problems_of(
        edited(
            ("/family/maker", "true"),
            ("/options/1/label", "null"),
            ("/rules/0/then", "gears = quite"),
            ("/parts/0/mass_kg", "-3"),
            ("/fitments/0/part", "W40.1001"),
            ("/joints/0/tighten/passes/0/order", "[7]"),
            ("/steps/2/needs", "[drian]"),
            ("/jobs/0/reseal", "[pan_rial]"),
        )
    )
    assert [problem.pointer for problem in found] == [
        "/family/maker",
        "/options/1",
        "/parts/0/mass_kg",
        "/rules/0/then",
        "/fitments/0/part",
        "/joints/0/tighten/passes/0/order/0",
        "/steps/2/needs/0",
        "/jobs/0/reseal/0",
    ]


def test_a_mistake_in_the_same_field_twice_is_told_for_each_place() -> None:
    found = problems_of(edited(("/jobs/0/do", "[pan_of, drian]")))
    assert [problem.remedy for problem in found] == ["pan_off", "drain"]


def test_a_mistake_that_like_copies_is_told_where_it_was_written() -> None:
    found = problems_of(edited(("/parts/1/renew_with", "[pan_gaskett]")))
    assert [problem.pointer for problem in found] == ["/parts/1/renew_with/0"]


def test_a_mistake_that_only_the_copy_has_names_both_places() -> None:
    # The copy stands once per cylinder; there its neighbour's series is a foreign one.
    found = problems_of(
        edited(
            ("/joints/-", "{code: cap2, like: main_cap, label: Cap, each: cylinder}")
        )
    )
    assert [told(problem) for problem in found] == [
        "/joints/3 | foreign_series | cap_shims stands once for each main, but the "
        "layers of this joint stand once for each cylinder; give the joint "
        "`each: main` (taken over by `like` from "
        "/joints/1/groups/0/layers/0/position)"
    ]


def test_nothing_is_an_object_where_the_document_is_a_list() -> None:
    assert [told(problem) for problem in problems_of([])] == [
        "/ | wrong_type | the document is an object of named lists, beginning with "
        "format and family"
    ]


@pytest.mark.parametrize("record", RECORDS, ids=lambda record: record.name)
def test_every_record_is_closed(record: Record) -> None:
    assert record.names, "a record without fields says nothing"
    assert len(set(record.names)) == len(record.names)


def test_a_broken_code_is_not_told_again_by_what_refers_to_it() -> None:
    found = problems_of(
        edited(("/sections/0/code", "Bottom"), ("/sections/1/under", "Bottom"))
    )
    assert {problem.pointer for problem in found} >= {"/sections/0/code"}
    assert "/sections/1/under" not in {problem.pointer for problem in found}


def test_of_very_many_mistakes_the_first_are_told(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    for module in ("bomsvc.core.terms.problems", "bomsvc.core.catalogue.reading"):
        monkeypatch.setattr(f"{module}.MOST_TOLD", 2)
    found = problems_of(edited(("/jobs/0/do", "[a, b, c, d, e]")))
    assert [problem.pointer for problem in found] == [
        "/jobs/0/do/0",
        "/jobs/0/do/1",
        "",
    ]
    assert found[-1].detail == (
        "there are more problems than these; put these right first"
    )


def test_a_chain_of_sets_names_what_is_ordered_in_the_end_at_every_link() -> None:
    chain = [f"W41.{n:04}" for n in range(2000)]
    parts = [
        {
            "number": one,
            "name": "Shell",
            "sold_as": {"number": next_one, "contents": [{"part": one}]},
        }
        for one, next_one in pairwise(chain)
    ]
    tree = edited()
    tree["parts"] += [*parts, {"number": chain[-1], "name": "Set"}]
    found = problems_of(tree)
    assert len(found) == len(chain) - 2
    first = len(tree["parts"]) - len(chain)
    assert found[0].pointer == f"/parts/{first}/sold_as/number"
    assert {problem.remedy for problem in found} == {chain[-1]}
