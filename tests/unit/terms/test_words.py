"""Codes, part numbers and the nearest word."""

from __future__ import annotations

import sys
import unicodedata

import pytest

from bomsvc.core.terms.pointers import join, split
from bomsvc.core.terms.words import (
    CODE,
    RESERVED,
    edit_distance,
    is_part_number,
    nearest,
    part_identity,
    part_search_key,
)


@pytest.mark.parametrize("code", ["a", "main_upper", "r7", "a" * 40, "no_pto"])
def test_codes_are_small_letters_digits_and_underscores(code: str) -> None:
    assert CODE.match(code)


@pytest.mark.parametrize(
    "code", ["", "A", "7r", "_a", "a-b", "a" * 41, "a\n", "é", "\u0430"]
)
def test_nothing_else_is_a_code(code: str) -> None:
    assert not CODE.match(code)


def test_the_words_of_the_languages_are_reserved() -> None:
    assert sorted(RESERVED) == [
        "all", "always", "and", "any", "false", "in", "n", "never", "no", "not",
        "null", "off", "on", "or", "serial", "true", "y", "yes",
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("text", "identity"),
    [
        ("W40.1187", "W40.1187"),
        (" w40.1187\t", "W40.1187"),
        ("w40   1187", "W40 1187"),
        ("w40\u00a01187", "W40 1187"),
        ("\uff37\uff14\uff10", "W40"),
        ("stra\u00dfe", "STRASSE"),
        ("\ufb01", "FI"),
        ("a\u0308", "\u00c4"),
    ],
)
def test_spellings_of_one_part_number_have_one_identity(
    text: str, identity: str
) -> None:
    assert part_identity(text) == identity


def test_the_identity_of_an_identity_is_itself_for_every_character() -> None:
    for code in range(sys.maxunicode + 1):
        if 0xD800 <= code <= 0xDFFF:
            continue
        identity = part_identity(f"x{chr(code)}y")
        assert part_identity(identity) == identity, unicodedata.name(
            chr(code), hex(code)
        )


@pytest.mark.parametrize(
    ("text", "key"),
    [
        ("W40.1187", "W401187"),
        ("w40-1187/b", "W401187B"),
        ("W40 1187\\B", "W401187B"),
        ("W40\u20101187\u20131", "W4011871"),
        ("1\u20442", "12"),
    ],
)
def test_the_search_key_is_without_blanks_and_joints(text: str, key: str) -> None:
    assert part_search_key(text) == key


@pytest.mark.parametrize("text", ["1", "W" * 40, "é1", "W\u00a01", "№ 7"])
def test_part_numbers_are_printable(text: str) -> None:
    assert is_part_number(text)


@pytest.mark.parametrize(
    "text",
    ["", "   ", "W" * 41, "é" * 41, "W\n1", "W\u200b1", "W\u202e1", "\ufdfa" * 3],
)
def test_nothing_else_is_a_part_number(text: str) -> None:
    assert not is_part_number(text)


@pytest.mark.parametrize(
    ("word", "known", "near"),
    [
        ("reer", ["front", "rear"], "rear"),
        ("mian", ["main", "cylinder"], "main"),
        ("REAR", ["rear"], "rear"),
        ("pan_gaskett", ["pan", "pan_gasket"], "pan_gasket"),
        ("tan", ["pan", "fan"], "pan"),
        ("fan", ["pan", "fan"], "fan"),
        ("x", ["y"], "y"),
        ("quiet", ["plain", "north"], None),
        ("", ["a"], None),
        ("anything", [], None),
    ],
)
def test_the_nearest_word_is_close_and_the_first_of_equals(
    word: str, known: list[str], near: str | None
) -> None:
    assert nearest(word, known) == near


def test_the_distance_from_nothing_is_the_length() -> None:
    assert edit_distance("", "pan") == 3
    assert edit_distance("pan", "") == 3


@pytest.mark.parametrize(
    ("parts", "pointer"),
    [
        ((), ""),
        (("a", 0), "/a/0"),
        (("a/b", "c~d"), "/a~1b/c~0d"),
        (("",), "/"),
        (("~1",), "/~01"),
    ],
)
def test_pointers_escape_as_rfc_6901_says(
    parts: tuple[str | int, ...], pointer: str
) -> None:
    assert join("", *parts) == pointer
    assert split(pointer) == tuple(map(str, parts))
