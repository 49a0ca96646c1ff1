"""Cases in the document's own words, as few of them as tell the cases apart."""

from __future__ import annotations

from itertools import product

from hypothesis import given
from hypothesis import strategies as st

from bomsvc.core.catalogue.conditions import (
    ALWAYS,
    Among,
    And,
    Condition,
    Not,
    Or,
    SerialIs,
    print_condition,
)
from bomsvc.core.logic.standing import Lit
from bomsvc.core.resolve.worded import all_hold, any_holds, condition_for, plainly

A, B, C = (Among(code, ("x",)) for code in "abc")
TEXTS: dict[Lit, Condition] = {Lit(2): A, Lit(3): B, Lit(4): C}
LITS = (Lit(2), Lit(3), Lit(4))


def holds(condition: Condition, case: dict[str, bool]) -> bool:
    match condition:
        case Among(option, _):
            return case[option]
        case Not(term):
            return not holds(term, case)
        case And(terms):
            return all(holds(t, case) for t in terms)
        case Or(terms):
            return any(holds(t, case) for t in terms)
    return condition == ALWAYS


@given(st.dictionaries(st.sampled_from(list(product((True, False), repeat=3))),
                       st.booleans(), min_size=1))  # fmt: skip
def test_the_words_hold_in_exactly_the_chosen_cases(
    cases: dict[tuple[bool, ...], bool],
) -> None:
    vectors, chosen = list(cases), list(cases.values())
    if not any(chosen):
        return
    found = condition_for(LITS, vectors, chosen, TEXTS)
    for vector, is_chosen in cases.items():
        case = dict(zip("abc", vector, strict=True))
        assert holds(found, case) == is_chosen


def test_words_that_affirm_are_preferred_to_words_that_deny() -> None:
    vectors = [(True, False, False), (False, True, False)]
    text = print_condition(condition_for(LITS, vectors, [False, True], TEXTS))
    assert text == "b = x"


def test_a_negative_literal_is_worded_by_its_opposite() -> None:
    texts: dict[Lit, Condition] = {Lit(-2): A}
    found = condition_for((Lit(2),), [(True,), (False,)], [True, False], texts)
    assert print_condition(found) == "a != x"


def test_all_cases_are_always() -> None:
    found = condition_for(LITS[:1], [(True,), (False,)], [True, True], TEXTS)
    assert found == ALWAYS


def test_what_is_said_by_another_word_is_left_out() -> None:
    there = Among("plate", ("shim",))
    stands = Not(Among("plate", ("none",)))
    both = all_hold((stands, there))
    assert print_condition(both) == "plate != none and plate = shim"
    assert plainly(both, frozenset()) == there
    # Of a set several choices may hold: one says nothing of another.
    assert plainly(both, frozenset({"plate"})) == both


def test_alternatives_of_one_option_are_one_statement() -> None:
    first, second = Among("plate", ("none",)), Among("plate", ("shim",))
    text = print_condition(any_holds((first, SerialIs("<", 5), second)))
    assert text == "plate in (none, shim) or serial < 5"


def test_always_swallows_its_alternatives_and_adds_nothing_to_a_conjunction() -> None:
    assert any_holds((A, ALWAYS)) == ALWAYS
    assert all_hold((A, ALWAYS)) == A
    assert all_hold(()) == ALWAYS
