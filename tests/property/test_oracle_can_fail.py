"""Each comparison with the oracle fails when the two sides read different documents.

A comparison that cannot fail proves nothing: here the service is given a document
with one thing changed, and the comparison must notice on some of the seeds.
"""

from __future__ import annotations

import copy
import random
from collections.abc import Callable
from dataclasses import replace
from decimal import Decimal
from fractions import Fraction
from types import ModuleType

import pytest

from bomsvc.core.catalogue import read_catalogue
from bomsvc.core.fasteners.values import GroupStack, Shelf
from bomsvc.core.logic.compiled import compile_catalogue
from bomsvc.core.logic.reasoner import Reasoner
from bomsvc.core.terms.json_text import read_json
from tests.oracle.builds import Model, Tree, read_model
from tests.oracle.documents import Knobs, document, json_text
from tests.oracle.screws import Stack
from tests.oracle.workshop import workshop_document
from tests.property import test_against_oracle_explain as explain
from tests.property import test_against_oracle_identify as identify
from tests.property import test_against_oracle_list as lists
from tests.property import test_against_oracle_screws as screws
from tests.property import test_against_oracle_work as work

Change = Callable[[Tree], None]


def without_a_rule(tree: Tree) -> None:
    del tree["rules"][:1]


def with_another_usual_choice(tree: Tree) -> None:
    option = next(o for o in tree["options"] if o["choose"] == "one")
    option["usual"] = option["choices"][-1]["code"]


def with_one_more_of_a_part(tree: Tree) -> None:
    for fitment in tree["fitments"]:
        fitment["qty"] = str(Decimal(fitment.get("qty", "1")) + 1)


def with_a_thicker_cover(tree: Tree) -> None:
    for part in tree["parts"]:
        for pad in part.get("pads", {}).values():
            pad["mm"] += 9


def with_longer_work(tree: Tree) -> None:
    for step in tree["steps"]:
        step["minutes_off"] = 40 - step.get("minutes_off", 0)


def with_nothing_single(tree: Tree) -> None:
    for part in tree["parts"]:
        part.pop("reuse", None)


def tampered(make: Callable[[int, Knobs], Tree], change: Change
             ) -> Callable[..., tuple[Model, Reasoner]]:  # fmt: skip
    """What the comparisons read, the service's side changed."""

    def both(seed: int, knobs: Knobs | None = None) -> tuple[Model, Reasoner]:
        tree = make(seed, knobs or Knobs())
        other = copy.deepcopy(tree)
        change(other)
        catalogue = read_catalogue(read_json(json_text(other)))
        return read_model(tree), Reasoner(compile_catalogue(catalogue))

    return both


def _differs(check: Callable[[int], object], seeds: int) -> bool:
    """Whether the comparison fails on some seed."""
    for seed in range(seeds):
        try:
            check(seed)
        except AssertionError:
            return True
    return False


def _rng(seed: int) -> random.Random:
    return random.Random(seed)  # noqa: S311 - repeatable, nothing secret


def _explained(seed: int) -> None:
    one = explain.asked(seed)
    explain.check_count_and_completion(one)


CASES: list[tuple[ModuleType, Callable[[int, Knobs], Tree], Change,
                  Callable[[int], object]]] = [
    (identify, document, without_a_rule,
     lambda seed: identify.check_identify(seed, _rng(seed))),
    (identify, document, with_another_usual_choice,
     lambda seed: identify.check_identify(seed, _rng(seed))),
    (identify, document, without_a_rule,
     lambda seed: identify.check_clash(seed, _rng(seed))),
    (explain, document, with_another_usual_choice, _explained),
    (lists, document, with_one_more_of_a_part,
     lambda seed: lists.check_scope(seed, lists.PLAIN, lists.positions_asked)),
    (lists, workshop_document, with_a_thicker_cover,
     lambda seed: lists.check_scope(seed, lists.JOINTS, lists.joints_asked)),
    (lists, workshop_document, with_nothing_single, lists.check_jobs),
    (work, lambda seed, _: workshop_document(seed, work.KNOBS), with_longer_work,
     lambda seed: work.check_plan(seed, _rng(seed), most_builds=3)),
]  # fmt: skip


@pytest.mark.parametrize(
    "case", CASES, ids=[f"{c[0].__name__[-8:]}-{c[2].__name__}" for c in CASES]
)
def test_the_comparison_notices(
    case: tuple[ModuleType, Callable[[int, Knobs], Tree], Change,
                Callable[[int], object]],
    monkeypatch: pytest.MonkeyPatch,
) -> None:  # fmt: skip
    module, make, change, check = case
    monkeypatch.setattr(module, "both", tampered(make, change))
    assert _differs(check, 30)


@pytest.mark.parametrize(
    "case", CASES, ids=[f"{c[0].__name__[-8:]}-{c[2].__name__}" for c in CASES]
)
def test_and_is_content_when_nothing_was_changed(
    case: tuple[ModuleType, Callable[[int, Knobs], Tree], Change,
                Callable[[int], object]],
    monkeypatch: pytest.MonkeyPatch,
) -> None:  # fmt: skip
    module, make, _, check = case
    monkeypatch.setattr(module, "both", tampered(make, lambda _: None))
    assert not _differs(check, 6)


def test_the_sizing_comparison_notices_another_need(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    as_it_is = screws.as_service_stack

    def needing_more(stack: Stack, shelf: Shelf) -> GroupStack:
        return replace(as_it_is(stack, shelf), engagement_mm=Fraction(25))

    assert not _differs(screws.check_joint, 10)
    monkeypatch.setattr(screws, "as_service_stack", needing_more)
    assert _differs(screws.check_joint, 10)
