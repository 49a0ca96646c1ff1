"""Codes, reserved words, part numbers, and the nearest known word.

A code is a name in a document (`main_upper`). A part number is the maker's own
text; two spellings with the same identity are the same part.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable

CODE = re.compile(r"[a-z][a-z0-9_]{0,39}\Z")
"""What a code looks like; use `CODE.match`."""

RESERVED = frozenset((
    "and", "or", "not", "in", "all", "any", "always", "never", "serial",
    "yes", "no", "on", "off", "y", "n", "true", "false", "null",
))  # fmt: skip
"""Words of the condition language and of YAML; no code may be one of them. The
names of a family's series are reserved as well, in that family."""

PART_NUMBER_LENGTH = 40

_LOOSE = frozenset(" ./\\\u2044")
_SHORT_WORD, _MIDDLE_WORD = 3, 6


def part_identity(text: str) -> str:
    """Return the identity of a part number: equal for all its spellings.

    NFKC, upper case, outer blanks trimmed, inner blanks single. Upper-casing can
    undo the normal form and the other way round, so both are repeated until
    neither changes anything; the identity of an identity is itself.
    """
    if text.isascii():
        return " ".join(text.upper().split())
    done = _folded(text)
    while (again := _folded(done)) != done:
        done = again
    return done


def part_search_key(text: str) -> str:
    """Return the loose key of a part number: no blanks, hyphens, dots, slashes.

    Several parts may share a key; it never decides identity.
    """
    return "".join(
        char
        for char in part_identity(text)
        if char not in _LOOSE and unicodedata.category(char) != "Pd"
    )


def is_part_number(text: str) -> bool:
    """Tell whether `text` is 1 to 40 printable characters once it is normalised."""
    if text.isascii() and text.isprintable():
        return 0 < len(text.strip()) <= PART_NUMBER_LENGTH
    identity = part_identity(text)
    return (
        0 < len(identity) <= PART_NUMBER_LENGTH
        and len(text.strip()) <= PART_NUMBER_LENGTH
        and all(char.isprintable() or _is_blank(char) for char in text)
        and identity.isprintable()
    )


def edit_distance(first: str, second: str) -> int:
    """Return how many letters to insert, drop or change to get from one to the other.

    Source:
        The bit-parallel recurrence of G. Myers, "A fast bit-vector algorithm for
        approximate string matching", J. ACM 46(3), 1999, in H. Hyyro's form for
        whole words (2003), from memory; tests compare it with the plain table.
    """
    if not first:
        return len(second)
    return _Pattern(first).distance(second)


def nearest(word: str, known: Iterable[str]) -> str | None:
    """Return the known word most like `word`, or None when none is near.

    Near: at most one letter differs in a word of three, two in one of six, a third
    of the letters in longer ones. Of equally near words the first known wins.
    """
    reach = _reach(len(word))
    if not word:
        return None
    pattern = _Pattern(word.lower())
    best: str | None = None
    for candidate in known:
        if abs(len(candidate) - len(word)) > reach:
            continue
        distance = pattern.distance(candidate.lower())
        if distance <= reach:
            best, reach = candidate, distance - 1
            if reach < 0:
                break
    return best


def _reach(length: int) -> int:
    if length <= _SHORT_WORD:
        return 1
    return 2 if length <= _MIDDLE_WORD else length // 3


def _is_blank(char: str) -> bool:
    # A no-break space comes with texts copied from pages; it counts as a blank.
    return unicodedata.category(char) == "Zs"


def _folded(text: str) -> str:
    upper = unicodedata.normalize("NFKC", text).upper()
    return " ".join(unicodedata.normalize("NFKC", upper).split())


class _Pattern:
    """A word prepared for many distance computations."""

    __slots__ = ("length", "masks")

    def __init__(self, word: str) -> None:
        self.length = len(word)
        self.masks: dict[str, int] = {}
        for index, letter in enumerate(word):
            self.masks[letter] = self.masks.get(letter, 0) | 1 << index

    def distance(self, other: str) -> int:
        everywhere = (1 << self.length) - 1
        last = 1 << (self.length - 1)
        more, less, score = everywhere, 0, self.length
        for letter in other:
            match = self.masks.get(letter, 0)
            diagonal = (((match & more) + more) ^ more) | match | less
            rising = less | ~(diagonal | more)
            falling = more & diagonal
            if rising & last:
                score += 1
            if falling & last:
                score -= 1
            rising = (rising << 1) | 1
            falling <<= 1
            more = (falling | ~(diagonal | rising)) & everywhere
            less = rising & diagonal & everywhere
        return score
