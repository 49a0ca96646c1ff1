"""Conditions: printing and reading are inverse, and nothing is printed needlessly."""

from __future__ import annotations

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from bomsvc.core.catalogue.conditions import (
    ALWAYS,
    NEVER,
    Among,
    And,
    Condition,
    ConditionError,
    MemberIs,
    Not,
    OptionWords,
    Or,
    SerialIs,
    Vocabulary,
    parse_condition,
    print_condition,
    read_condition,
)

WORDS = Vocabulary(
    {
        "sump": OptionWords(("rear", "front", "deep")),
        "extras": OptionWords(("heater", "guard")),
        "main_size": OptionWords(("std", "us25"), "main"),
        "bore": OptionWords(("std", "os50"), "cylinder"),
    },
    {"main": 7, "cylinder": 6},
)
COMPARISON = st.sampled_from(("<", "<=", ">", ">=", "=", "!="))


@st.composite
def among(draw: st.DrawFn) -> Condition:
    code = draw(st.sampled_from(tuple(WORDS.options)))
    option = WORDS.options[code]
    choices = st.lists(st.sampled_from(option.choices), min_size=1, unique=True)
    member: int | str | None = None
    if option.each is not None:
        numbered = st.integers(1, WORDS.series[option.each])
        which = numbered | st.sampled_from(("all", "any"))
        member = draw(which | st.none() if option.each == "main" else which)
    return Among(code, tuple(draw(choices)), member)  # type: ignore[arg-type]


LEAF = (
    st.sampled_from((ALWAYS, NEVER))
    | among()
    | st.builds(SerialIs, COMPARISON, st.integers(1, 999_999_999))
    | st.builds(MemberIs, st.just("main"), COMPARISON, st.integers(0, 99))
)
CONDITION = st.recursive(
    LEAF,
    lambda inner: (
        st.builds(Not, inner)
        | st.builds(And, st.lists(inner, min_size=2, max_size=4).map(tuple))
        | st.builds(Or, st.lists(inner, min_size=2, max_size=4).map(tuple))
    ),
    max_leaves=12,
)


def flat(condition: Condition) -> Condition:
    """The same with an `And` in an `And`, an `Or` in an `Or`, made one."""
    if isinstance(condition, Not):
        return Not(flat(condition.term))
    if not isinstance(condition, And | Or):
        return condition
    terms: list[Condition] = []
    for term in map(flat, condition.terms):
        same = type(term) is type(condition)
        terms.extend(term.terms if same else (term,))  # type: ignore[union-attr]
    return type(condition)(tuple(terms))


def parsed(text: str) -> Condition:
    return parse_condition(text, WORDS, owner_series="main")


@given(CONDITION)
def test_reading_what_is_printed_gives_the_condition_again(
    condition: Condition,
) -> None:
    assert parsed(print_condition(condition)) == flat(condition)


@given(CONDITION)
def test_printing_what_is_read_gives_the_text_again(condition: Condition) -> None:
    text = print_condition(condition)
    assert print_condition(parsed(text)) == text


@given(CONDITION)
def test_without_any_of_its_parentheses_it_would_say_something_else(
    condition: Condition,
) -> None:
    text = print_condition(condition)
    for start, sign in enumerate(text):
        if sign != "(" or text[:start].endswith("in "):
            continue
        end = _closing(text, start)
        bare = f"{text[:start]}{text[start + 1 : end]}{text[end + 1 :]}"
        assert parsed(bare) != parsed(text)


def _closing(text: str, start: int) -> int:
    depth = 0
    for index in range(start, len(text)):
        depth += {"(": 1, ")": -1}.get(text[index], 0)
        if depth == 0:
            return index
    raise AssertionError("every parenthesis is closed")


@given(CONDITION, st.sampled_from(("", " ", "\n ", "\t")))
def test_blanks_mean_nothing(condition: Condition, blank: str) -> None:
    text = print_condition(condition)
    for sign in ("(", ")", ",", "=", "["):
        text = text.replace(sign, f"{blank}{sign}{blank}")
    for torn in ("<", ">", "!"):
        text = text.replace(f"{torn}{blank}=", f"{torn}=")
    assert parsed(f"{blank}{text}{blank}") == flat(condition)


TOKENS = st.lists(
    st.sampled_from([
        "sump", "rear", "main_size", "std", "main", "serial", "3", "0", "99999999999",
        "=", "!=", "<", "(", ")", "[", "]", ",", "in", "not", "and", "or", "always",
        "never", "all", "any", "&", "é", "!", "x",
    ]),
    max_size=14,
)  # fmt: skip


@given(TOKENS.map(" ".join) | st.text(max_size=40))
def test_anything_is_read_or_told_with_a_spot_inside_the_text(text: str) -> None:
    for owner in (None, "main", "cylinder"):
        read = read_condition(text, WORDS, owner_series=owner)
        if not isinstance(read, tuple):
            assert (
                parse_condition(print_condition(read), WORDS, owner_series=owner)
                == read
            )
            continue
        for error in read:
            assert 0 <= error.start <= len(text)
            assert error.start < error.end
            message, excerpt, carets = str(error).rsplit("\n", 2)
            assert message
            assert len(carets) <= max(len(excerpt), 5) + 1
            assert set(carets.strip()) == {"^"}


@given(st.text(min_size=1, max_size=20).filter(lambda text: "always" not in text))
def test_the_first_error_is_the_one_that_is_raised(text: str) -> None:
    read = read_condition(text, WORDS, owner_series=None)
    assume(isinstance(read, tuple))
    assert isinstance(read, tuple)
    with pytest.raises(ConditionError) as caught:
        parse_condition(text, WORDS, owner_series=None)
    assert str(caught.value) == str(read[0])
