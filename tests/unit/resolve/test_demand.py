"""What asks for a place, on as few conditions as decide it."""

from __future__ import annotations

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bomsvc.core.catalogue.entities import Part, ReuseLimit
from bomsvc.core.logic.standing import Lit
from bomsvc.core.resolve.demand import (
    Call,
    Demand,
    Mode,
    always,
    by_case,
    joined,
    need_of,
    perhaps,
    where,
)
from bomsvc.core.resolve.lines import Need, Reason

LITS = (Lit(2), Lit(3), Lit(4))
RENEW, CHECK = Call("renew"), Call("check")
FIRST = Reason(freed_by="first")
SECOND = Reason(freed_by="second")


def at(demand: Demand, **truth: bool) -> tuple[Call, ...]:
    names = {"a": Lit(2), "b": Lit(3), "c": Lit(4)}
    values = {names[name]: value for name, value in truth.items()}
    return demand.at(lambda lit: values[lit])


def test_a_demand_that_never_changes_depends_on_nothing() -> None:
    demand = by_case(LITS[:1], [(True,), (False,)], [(RENEW,), (RENEW,)])
    assert demand.lits == ()
    assert at(demand) == (RENEW,)


def test_only_the_condition_that_decides_is_kept() -> None:
    vectors = [(True, True), (True, False), (False, True)]
    demand = by_case(LITS[:2], vectors, [(RENEW,), (RENEW,), ()])
    assert demand.lits == (Lit(2),)
    assert at(demand, a=True) == (RENEW,)
    assert at(demand, a=False) == ()


def test_cases_that_treat_a_place_alike_share_their_reasons() -> None:
    calls = [(Call("renew", (FIRST,)),), (Call("renew", (SECOND,)),)]
    demand = by_case(LITS[:1], [(True,), (False,)], calls)
    assert at(demand) == (Call("renew", (FIRST, SECOND)),)


@given(st.lists(st.booleans(), min_size=8, max_size=8))
def test_cutting_conditions_never_changes_what_is_asked(asked: list[bool]) -> None:
    vectors = [(bool(n & 4), bool(n & 2), bool(n & 1)) for n in range(8)]
    calls = [(RENEW,) if one else () for one in asked]
    demand = by_case(LITS, vectors, calls)
    for vector, wanted in zip(vectors, calls, strict=True):
        assert at(demand, **dict(zip("abc", vector, strict=True))) == wanted


def test_demands_for_one_place_add_up() -> None:
    demand = joined(where(Lit(2), RENEW), where(Lit(3), CHECK))
    assert at(demand, a=True, b=True) == (RENEW, CHECK)
    assert at(demand, a=False, b=True) == (CHECK,)


def test_what_is_asked_for_anyway_is_in_no_doubt() -> None:
    assert joined(perhaps(CHECK), always(RENEW)) == always(RENEW)
    assert joined(perhaps(CHECK), where(Lit(2), RENEW)).doubtful


@pytest.mark.parametrize(
    ("mode", "single", "limited", "freely"),
    [
        ("renew", "renew", "renew", "renew"),
        ("check", "check", "check", "check"),
        ("fastener", "renew", "check", "check"),
        ("single", "renew", None, None),
    ],
)
def test_reuse_decides_between_renewing_and_checking(
    mode: Mode, single: Need, limited: Need | None, freely: Need | None
) -> None:
    parts = [
        Part("A", "a", reuse="single"),
        Part("B", "b", reuse=ReuseLimit(max_length_mm=Decimal(50))),
        Part("C", "c"),
    ]
    assert [need_of(mode, part) for part in parts] == [single, limited, freely]
