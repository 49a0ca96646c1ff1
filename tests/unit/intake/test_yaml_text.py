"""The strict YAML reader: the core schema of YAML 1.2, and what is not taken."""

from __future__ import annotations

import pytest

from bomsvc.core.terms.numbers import Number
from bomsvc.core.terms.problems import BadInput, Problem, TooLarge
from bomsvc.intake.yaml_text import locate_yaml, read_yaml, write_yaml


def refusal(text: str | bytes, **limits: int) -> list[Problem]:
    with pytest.raises(BadInput) as caught:
        read_yaml(text, **limits)
    return list(caught.value.problems)


@pytest.mark.parametrize(
    ("text", "value"),
    [
        # YAML 1.2.2, chapter 10.3.2, "Tag Resolution" of the core schema.
        ("null", None), ("Null", None), ("NULL", None), ("~", None), ("", None),
        ("true", True), ("True", True), ("TRUE", True),
        ("false", False), ("False", False), ("FALSE", False),
        ("0", Number("0")), ("-19", Number("-19")), ("+7", Number("+7")),
        ("0o7", Number("0o7")), ("0x3A", Number("0x3A")), ("00123", Number("00123")),
        ("0.", Number("0.")), ("-0.0", Number("-0.0")), (".5", Number(".5")),
        ("+12e03", Number("+12e03")), ("-2E+05", Number("-2E+05")),
        # What YAML 1.1 took for something else is text.
        ("yes", "yes"), ("no", "no"), ("on", "on"), ("off", "off"), ("y", "y"),
        ("nUll", "nUll"), ("tRUE", "tRUE"), ("1:30", "1:30"), ("1_000", "1_000"),
        ("2024-01-31", "2024-01-31"), ("0b1", "0b1"), ("0o8", "0o8"), ("-", "-"),
        (".", "."), ("1e", "1e"), ("0x", "0x"), ("1.2.3", "1.2.3"), ("=", "="),
        # Quoted, everything is text.
        ("'8.8'", "8.8"), ('"null"', "null"), ("'~'", "~"), ('""', ""),
        ("|-\n  12", "12"), (">-\n  no\n  way", "no way"),
    ],
)  # fmt: skip
def test_a_scalar_is_what_the_core_schema_says(text: str, value: object) -> None:
    if text == "-":
        text = "'-'"
    assert read_yaml(f"v: {text}") == {"v": value}


@pytest.mark.parametrize("text", [".inf", "-.Inf", "+.INF", ".nan", ".NaN", ".NAN"])
def test_what_is_no_figure_is_refused(text: str) -> None:
    [problem] = refusal(f"a:\n  v: {text}")
    assert (problem.code, problem.pointer) == ("not_finite", "/a/v")
    assert (problem.line, problem.column) == (2, 6)
    assert problem.detail == (
        f"{text} is not a figure; write one, or put it in quotes as text"
    )
    assert read_yaml(f'v: "{text}"') == {"v": text}


def test_keys_are_text_also_where_they_look_like_numbers() -> None:
    assert read_yaml("1: a\n0x1: b\nyes: c\n'true': d") == {
        "1": "a", "0x1": "b", "yes": "c", "true": "d",
    }  # fmt: skip


def test_lists_and_mappings_nest_in_either_style() -> None:
    assert read_yaml("- {a: [1, x]}\n- b:\n  - c\n- []\n- {}\n- ? k\n  : v") == [
        {"a": [Number("1"), "x"]}, {"b": ["c"]}, [], {}, {"k": "v"},
    ]  # fmt: skip


NOT_TAKEN = [
    ("a: &x 1", "anchor", "/a", "anchors (&x) are not taken; write the value out"),
    ("a: &x [1]", "anchor", "/a", "anchors (&x) are not taken; write the value out"),
    ("a: !!str 1", "tag", "/a", "tags (tag:yaml.org,2002:str) are not taken; leave the "
     "tag out"),
    ("a: !mine {b: 1}", "tag", "/a", "tags (!mine) are not taken; leave the tag out"),
    ("a: ! 1", "tag", "/a", "tags (!) are not taken; leave the tag out"),
    ("<<: {a: 1}", "merge_key", "/<<", "merge keys (<<) are not taken; write the "
     "fields out"),
    ("a: {b: 1, b: 2}", "duplicate_key", "/a/b", 'the key "b" stands twice in one '
     "mapping; keep one of them"),
    ("a: 1\n'a': 2", "duplicate_key", "/a", 'the key "a" stands twice in one mapping; '
     "keep one of them"),
    ("true: 1", "key_not_text", "/true", "true is not text; put the key in quotes"),
    ("~: 1", "key_not_text", "/~0", "~ is not text; put the key in quotes"),
    ("?\n: 1", "key_not_text", "/", "an empty key is not text; put the key in quotes"),
    ("? [a]\n: 1", "key_not_text", "/", "a key must be text, not a list or mapping"),
    ("{{a: 1}: 2}", "key_not_text", "/", "a key must be text, not a list or mapping"),
    ("", "empty", "", "the document is empty"),
    ("# nothing\n", "empty", "", "the document is empty"),
    ("a: 1\n---\nb: 2", "several_documents", "", "a second document begins here; one "
     "file holds one document"),
]  # fmt: skip


@pytest.mark.parametrize(
    ("text", "code", "pointer", "detail"), NOT_TAKEN, ids=[row[0] for row in NOT_TAKEN]
)
def test_what_has_several_meanings_is_not_taken(
    text: str, code: str, pointer: str, detail: str
) -> None:
    problem = refusal(text)[0]
    assert (problem.code, problem.pointer, problem.detail) == (code, pointer, detail)
    assert problem.line is not None
    assert problem.column is not None


def test_a_quoted_merge_sign_is_a_key_like_any_other() -> None:
    assert read_yaml("'<<': 1") == {"<<": Number("1")}


def test_everything_that_is_not_taken_is_told_at_once() -> None:
    found = refusal("a: &x 1\nb: *x\n? *x\n: 2\n")
    assert [problem.code for problem in found] == [
        "anchor", "alias", "alias", "key_not_text",
    ]  # fmt: skip
    found = refusal("- !a &b c\n- {d: 1, d: .nan}\n- .inf\n")
    assert [(p.code, p.line, p.column) for p in found] == [
        ("anchor", 1, 3),
        ("tag", 1, 3),
        ("duplicate_key", 2, 10),
        ("not_finite", 2, 13),
        ("not_finite", 3, 3),
    ]


@pytest.mark.parametrize(
    ("text", "line", "column"),
    [
        ("{a: b", 2, 1),
        ("a: 'x\nb: 2", 2, 5),
        ("a:\n - b\n  - c: d: e", 3, 8),
        ("a: [1, 2\nb: 3", 2, 2),
        ("a: \tb: c", 1, 6),
        ("%BAD\n", 1, 1),
    ],
)
def test_wrong_grammar_is_told_with_its_place(
    text: str, line: int, column: int
) -> None:
    problem = refusal(text)[-1]
    assert problem.code == "not_yaml"
    assert problem.detail.startswith("this is not YAML: ")
    assert problem.line is not None
    assert problem.column is not None
    assert abs(problem.line - line) <= 1


@pytest.mark.parametrize("text", ["a: \x00", "a: \x07", "a: \ufffe"])
def test_control_characters_are_refused(text: str) -> None:
    assert refusal(text)[0].code == "not_yaml"


def test_what_is_not_utf_8_is_refused() -> None:
    assert refusal(b"a: \xff")[0].code == "not_utf8"
    assert refusal("a: \ud800")[0].code == "not_utf8"
    assert read_yaml("\ufeffa: é".encode()) == {"a": "é"}


@pytest.mark.parametrize("times", [65, 900, 1_000_000])
def test_deep_nesting_is_refused(times: int) -> None:
    with pytest.raises(TooLarge) as caught:
        read_yaml("[" * times)
    [problem] = caught.value.problems
    assert problem.code == "too_deep"
    assert problem.line == 1


def test_sixty_four_levels_are_read() -> None:
    assert read_yaml("[" * 64 + "]" * 64)
    block = "\n".join(" " * depth + "a:" for depth in range(65))
    with pytest.raises(TooLarge):
        read_yaml(block + " 1")


def test_too_many_bytes_are_refused() -> None:
    with pytest.raises(TooLarge, match="has 6 bytes; at most 5"):
        read_yaml("a: 123", max_bytes=5)


def test_values_are_found_again_in_the_text() -> None:
    text = "a:\n- b: 1\n  c: [x, {d: y}]\n"
    wanted = frozenset({(), ("a",), ("a", "0", "c", "1", "d"), ("gone",)})
    assert locate_yaml(text, wanted) == {
        (): (1, 1),
        ("a",): (2, 1),
        ("a", "0", "c", "1", "d"): (3, 14),
    }


@pytest.mark.parametrize(
    "tree",
    [
        None, True, "text", Number("1.50"), [], {}, "", "yes", "no", "~", "null", "8.8",
        ".inf", "<<", "=", "2024-01-31", "1:30", "a: b", "- a", "# a", "'a'", '"', "@",
        "a\nb", "a\nb\n", "\na", "a\n", " a", "a ", "tab\there", "é\U0001f980",
        "\u2028",
        "x" * 200, "a b " * 50, "[a]", "{a}", "|", ">", "%", "&a", "*a", "!a", "a #b",
        "\u00a0", "\x85", "a\r\nb", "\ufeff", "---", "...", "? a", "a:", ":", "-",
        "0x1F",
    ],
)  # fmt: skip
@pytest.mark.parametrize("wrap", ["value", "list", "key"])
def test_what_is_written_is_read_again(tree: object, wrap: str) -> None:
    whole: object = {"value": tree, "list": [tree, {"a": [tree]}], "key": tree}[wrap]
    if wrap == "key":
        whole = {tree if isinstance(tree, str) else "k": tree}
    assert read_yaml(write_yaml(whole)) == whole  # type: ignore[arg-type]


def test_it_is_written_for_people() -> None:
    tree = read_yaml(
        "{code: pan_rail, holes: [{hole: 1, x: 0.50}], n: ['8.8', 8.8], t: 'a: b'}"
    )
    assert write_yaml(tree) == (
        "code: pan_rail\nholes:\n- {hole: 1, x: 0.50}\nn: [\"8.8\", 8.8]\nt: 'a: b'\n"
    )


def test_too_many_values_are_refused(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("bomsvc.intake.yaml_text.MAX_VALUES", 6)
    with pytest.raises(TooLarge):
        read_yaml("[1, 2, 3, 4, 5]")


def test_of_very_many_offences_the_first_are_told(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    for module in ("bomsvc.core.terms.problems", "bomsvc.intake.yaml_text"):
        monkeypatch.setattr(f"{module}.MOST_TOLD", 1)
    assert [problem.code for problem in refusal("[&a 1, &b 2, &c 3]")] == [
        "anchor", "more_problems",
    ]  # fmt: skip
