"""A step is written down once for all cases that agree on what it depends on."""

from __future__ import annotations

from collections.abc import Mapping

from bomsvc.core.logic.standing import Lit
from bomsvc.core.work.recall import Recall, Truth

A, B, C = Lit(11), Lit(12), Lit(13)


class Told:
    """A truth that knows some literals only, and what was made under it."""

    def __init__(self) -> None:
        self.made: list[str] = []

    def made_by(self, truth: Truth) -> str:
        """Ask of B only where A holds."""
        value = ("b" if truth(B) else "not b") if truth(A) else "not a"
        self.made.append(value)
        return value


def of(values: Mapping[Lit, bool]) -> Truth:
    """Return a truth that fails where it is asked anything else."""
    return values.__getitem__


def test_cases_that_agree_on_what_was_asked_share_one_value() -> None:
    recall, told = Recall[str](), Told()
    for other in (True, False):
        found = recall.get(of({A: True, B: False, C: other}), told.made_by)
        assert found == "not b"
    assert told.made == ["not b"]


def test_recalling_asks_nothing_that_making_would_not_ask() -> None:
    recall, told = Recall[str](), Told()
    assert recall.get(of({A: True, B: True}), told.made_by) == "b"
    # B is not known here, and nobody needs it.
    assert recall.get(of({A: False}), told.made_by) == "not a"
    assert recall.get(of({A: False}), told.made_by) == "not a"
    assert told.made == ["b", "not a"]


def test_every_case_keeps_its_own_value() -> None:
    recall, told = Recall[str](), Told()
    cases = [{A: a, B: b} for a in (True, False) for b in (True, False)]
    first = [recall.get(of(case), told.made_by) for case in cases]
    again = [recall.get(of(case), told.made_by) for case in cases]
    assert first == again == ["b", "not b", "not a", "not a"]
    assert told.made == ["b", "not b", "not a"]


def test_what_asks_nothing_is_made_once() -> None:
    recall = Recall[int]()
    made: list[int] = []

    def make(_: Truth) -> int:
        made.append(1)
        return 7

    assert [recall.get(of({}), make) for _ in range(3)] == [7, 7, 7]
    assert made == [1]
