"""The strict JSON reader: what it takes, and where it says that something is wrong."""

from __future__ import annotations

import pytest

from bomsvc.core.terms.json_places import locate_json, token_at
from bomsvc.core.terms.json_text import read_json, write_json
from bomsvc.core.terms.numbers import Number
from bomsvc.core.terms.problems import BadInput, Problem, TooLarge


def refusal(text: str | bytes, **limits: int) -> list[Problem]:
    with pytest.raises(BadInput) as caught:
        read_json(text, **limits)
    return list(caught.value.problems)


def test_numbers_are_kept_as_they_are_written() -> None:
    assert read_json('[0.10, 1e2, -0, 12345678901234567890.0]') == [
        Number("0.10"), Number("1e2"), Number("-0"), Number("12345678901234567890.0"),
    ]  # fmt: skip


def test_five_thousand_digits_are_no_trouble() -> None:
    assert read_json("9" * 5_000) == Number("9" * 5_000)


def test_the_order_of_an_object_is_kept() -> None:
    tree = read_json('{"b": null, "a": [true, false, "x"]}')
    assert tree == {"b": None, "a": [True, False, "x"]}
    assert isinstance(tree, dict)
    assert list(tree) == ["b", "a"]


def test_bytes_are_utf_8_with_or_without_a_mark() -> None:
    assert read_json('"é"'.encode()) == "é"
    assert read_json(b"\xef\xbb\xbf1") == Number("1")
    assert read_json("\ufeff1") == Number("1")


def test_every_key_that_stands_twice_is_told_with_its_place() -> None:
    found = refusal(
        '{"a": 1,\n "b": {"x": 1, "x": 2},\n "c": [{"k": 0, "k": 0}],\n "a": 2}'
    )
    assert [(p.pointer, p.line, p.column, p.code) for p in found] == [
        ("/b/x", 2, 16, "duplicate_key"),
        ("/c/0/k", 3, 17, "duplicate_key"),
        ("/a", 4, 2, "duplicate_key"),
    ]
    assert found[0].detail == (
        'the key "x" stands twice in one object; keep one of them'
    )


def test_a_key_is_the_same_however_it_is_escaped() -> None:
    assert refusal('{"a": 1, "\\u0061": 2}')[0].pointer == "/a"


@pytest.mark.parametrize("word", ["NaN", "Infinity", "-Infinity"])
def test_what_is_no_number_is_refused(word: str) -> None:
    [problem] = refusal(f'{{"{word}": "{word}",\n "b": {word}}}')
    assert (problem.code, problem.line, problem.column) == ("not_finite", 2, 7)
    assert problem.detail == (
        f"{word} is not a number that JSON has; write a figure, or leave it out"
    )


def test_a_word_that_is_nowhere_is_at_the_start() -> None:
    assert token_at("[1]", "NaN") == 0


@pytest.mark.parametrize(
    ("text", "line", "column", "says"),
    [
        ("", 1, 1, "this is not JSON: expecting value"),
        ('{"a": 1,}', 1, 9, "this is not JSON: "),
        ("[1,\n 2] x", 2, 5, "this is not JSON: extra data"),
        ('["a\tb"]', 1, 4, "this is not JSON: invalid control character at"),
        ("[01]", 1, 3, "this is not JSON: "),
        ("'a'", 1, 1, "this is not JSON: expecting value"),
        ('"a', 1, 1, "this is not JSON: unterminated string starting at"),
    ],
)
def test_wrong_grammar_is_told_with_line_and_column(
    text: str, line: int, column: int, says: str
) -> None:
    [problem] = refusal(text)
    assert (problem.code, problem.line, problem.column) == ("not_json", line, column)
    assert problem.detail.startswith(says)


@pytest.mark.parametrize(
    "text", ['{"a": "\\ud800"}', '{"a": {"\\udfff": 1}}', '["x", "\\uD83D"]']
)
def test_half_a_character_is_refused(text: str) -> None:
    assert {problem.code for problem in refusal(text)} == {"half_character"}
    for problem in refusal(text):
        problem.pointer.encode()


def test_a_whole_character_in_two_escapes_is_read() -> None:
    assert read_json('"\\ud83e\\udd80"') == "\U0001f980"


@pytest.mark.parametrize("text", [b'{"a": "\xff"}', '{"a": "\ud800"}'])
def test_what_is_not_utf_8_is_refused(text: str | bytes) -> None:
    [problem] = refusal(text)
    assert (problem.code, problem.line, problem.column) == ("not_utf8", 1, 8)


@pytest.mark.parametrize("opening", ["[", '{"a":', '[{"a":'])
@pytest.mark.parametrize("times", [65, 5_000, 200_000])
def test_deep_nesting_is_refused_where_it_begins(opening: str, times: int) -> None:
    with pytest.raises(TooLarge) as caught:
        read_json(opening * times, max_depth=64) if times > 65 else read_json(
            "[" * 65 + "]" * 65
        )
    [problem] = caught.value.problems
    assert problem.code == "too_deep"
    assert problem.line == 1


def test_sixty_four_levels_are_read() -> None:
    assert read_json("[" * 64 + "]" * 64)
    [problem] = refusal('["[", [[1]]]', max_depth=2)
    assert problem.column == 8


def test_a_generous_limit_of_nesting_still_ends_where_calls_do() -> None:
    with pytest.raises(TooLarge):
        read_json("[" * 100_000 + "]" * 100_000, max_depth=200_000)


def test_too_many_bytes_are_refused_with_the_limit() -> None:
    [problem] = refusal(b"[1, 2, 3]", max_bytes=8)
    assert problem.detail == "the text has 9 bytes; at most 8 are read"
    assert refusal('"éé"', max_bytes=5)[0].code == "too_many_bytes"


def test_values_are_found_again_in_the_text() -> None:
    text = '{"a": [10,\n  {"b": "x"}], "c\\u0064": {}}'
    wanted = frozenset({(), ("a", "1", "b"), ("cd",), ("a", "0"), ("nowhere",)})
    assert locate_json(text, wanted) == {
        (): (1, 1),
        ("a", "0"): (1, 8),
        ("a", "1", "b"): (2, 9),
        ("cd",): (2, 27),
    }


def test_json_is_written_for_people() -> None:
    tree = read_json(
        '{"a": {"x": 1.50, "y": "é"}, "b": [{"c": [1, 2]}], "d": [], "e": {}}'
    )
    assert write_json(tree) == (
        '{\n  "a": {"x": 1.50, "y": "é"},\n  "b": [\n    {\n      "c": [1, 2]\n    }\n'
        '  ],\n  "d": [],\n  "e": {}\n}\n'
    )
    assert read_json(write_json(tree)) == tree


def test_a_row_too_long_for_one_line_is_written_as_a_block() -> None:
    tree = read_json('{"a": ["' + '", "'.join(["word"] * 20) + '"]}')
    assert write_json(tree).count("\n") == 24


@pytest.mark.parametrize(
    ("text", "written"),
    [("007", "7"), ("0x1F", "31"), ("+.5", "0.5"), ("5.", "5"), ("1e5", "1e5")],
)
def test_numbers_that_json_has_no_form_for_are_written_by_value(
    text: str, written: str
) -> None:
    assert write_json(Number(text)) == written + "\n"


def test_too_many_values_are_refused_before_they_take_memory(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr("bomsvc.core.terms.json_text.MAX_VALUES", 4)
    assert read_json("[1, 2, 3, 4]")
    [problem] = refusal("[1, 2, 3, 4, 5]")
    assert problem.detail == "the text has more than 4 values; no more are read"


def test_of_very_many_offences_the_first_are_told(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr("bomsvc.core.terms.problems.MOST_TOLD", 1)
    assert [problem.code for problem in refusal('{"a": 1, "a": 2, "a": 3}')] == [
        "duplicate_key", "more_problems",
    ]  # fmt: skip
