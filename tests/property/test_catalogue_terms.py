"""Part numbers, nearest words, numbers and the strict readers, for any text at all."""

from __future__ import annotations

import json
from decimal import Decimal
from typing import Any

from hypothesis import given
from hypothesis import strategies as st

from bomsvc.core.terms.json_text import read_json, write_json
from bomsvc.core.terms.numbers import Number, decimal_text, fixed_decimal
from bomsvc.core.terms.problems import BadInput, Problem
from bomsvc.core.terms.words import (
    edit_distance,
    is_part_number,
    nearest,
    part_identity,
    part_search_key,
)
from bomsvc.intake.yaml_text import read_yaml, write_yaml

TEXT = st.text(max_size=30)
WORD = st.text("abcd_", max_size=9)
PLAIN = st.text(st.characters(exclude_categories=("Cc", "Cs", "Cn", "Co")), max_size=20)
FIGURE = st.decimals(-99_999, 99_999, places=6).map(lambda d: Number(decimal_text(d)))
TREE = st.recursive(
    st.none() | st.booleans() | FIGURE | PLAIN,
    lambda inner: (
        st.lists(inner, max_size=4) | st.dictionaries(PLAIN, inner, max_size=4)
    ),
    max_leaves=15,
)


@given(TEXT)
def test_the_identity_of_an_identity_is_itself(text: str) -> None:
    identity = part_identity(text)
    assert part_identity(identity) == identity
    assert part_search_key(identity) == part_search_key(text)


@given(TEXT, TEXT)
def test_blanks_around_never_make_another_part(left: str, right: str) -> None:
    text = f"{left} {right}"
    assert part_identity(f" {left}  {right}\t") == part_identity(text)


@given(TEXT)
def test_whether_it_is_a_part_number_is_always_told(text: str) -> None:
    if is_part_number(text):
        assert 1 <= len(part_identity(text)) <= 40
        assert part_identity(text).isprintable()


def _plain_distance(first: str, second: str) -> int:
    """The usual table, row by row."""
    row = list(range(len(second) + 1))
    for i, one in enumerate(first, 1):
        above, row[0] = row[0], i
        for j, two in enumerate(second, 1):
            above, row[j] = (
                row[j],
                min(row[j] + 1, row[j - 1] + 1, above + (one != two)),
            )
    return row[-1]


@given(WORD, WORD)
def test_the_edit_distance_is_that_of_the_plain_table(first: str, second: str) -> None:
    assert edit_distance(first, second) == _plain_distance(first, second)


@given(WORD, st.lists(WORD, max_size=8))
def test_the_nearest_word_is_the_first_of_the_nearest(
    word: str, known: list[str]
) -> None:
    reach = 1 if len(word) <= 3 else 2 if len(word) <= 6 else len(word) // 3
    distances = [_plain_distance(word, each) for each in known]
    near = [each for each, far in zip(known, distances, strict=True) if far <= reach]
    found = nearest(word, known)
    if not word or not near:
        assert found is None
    else:
        assert found == known[distances.index(min(distances))]


@given(st.decimals(allow_nan=False, allow_infinity=False))
def test_a_figure_in_form_is_exactly_what_was_written(value: Decimal) -> None:
    exact = fixed_decimal(str(value))
    if exact is None:
        scaled = value * 10**6 if abs(value) < 10**7 else None
        assert (
            scaled is None
            or abs(value) >= 10**6
            or scaled != scaled.to_integral_value()
        )
    else:
        assert exact == value
        assert Decimal(decimal_text(exact)) == value


@given(TREE)
def test_json_that_is_written_is_read_again(tree: Any) -> None:
    assert read_json(write_json(tree)) == tree


@given(TREE)
def test_yaml_that_is_written_is_read_again(tree: Any) -> None:
    assert read_yaml(write_yaml(tree)) == tree


def _problems(read: Any, text: str | bytes) -> tuple[Problem, ...] | None:
    try:
        read(text)
    except BadInput as refusal:
        return refusal.problems
    return None


@given(st.text() | st.binary(), st.sampled_from((read_json, read_yaml)))
def test_any_text_is_read_or_refused(text: str | bytes, read: Any) -> None:
    problems = _problems(read, text)
    assert problems is None or problems
    for problem in problems or ():
        assert f"{problem.pointer}{problem.detail}".encode()


@given(
    st.text(' {}[],:"\\u019aeE.-+nulltrfsNI\n', max_size=40),
)
def test_what_is_read_is_what_the_common_reader_reads(text: str) -> None:
    try:
        tree = read_json(text)
    except BadInput:
        return
    assert json.loads(write_json(tree)) == json.loads(text)
