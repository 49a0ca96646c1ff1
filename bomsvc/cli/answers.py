"""Answers as typed on a command line, read into those of a request.

sump=rear              this choice
gears!=quiet,wide      none of these
gears=plain,quiet      one of these
extras=heater,block    exactly these of an option that takes several
extras=                none of them
extras.heater=yes      this one there (no: not there), the others open
brake=?                cannot be told
brake=-                not on this engine
serial=N210440         as stamped; also 210440 and 21000..21043
main_size[4]=us25      one member of a series
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass

from bomsvc.core.terms.problems import BadInput, Problem

_WORD = re.compile(r"([a-z][a-z0-9_]*(?:\[[0-9]+\])?)(?:\.([a-z][a-z0-9_]*))?(!?=)(.*)")
SERIAL = "serial"
YES_NO = {"yes": True, "no": False}

FORMS = "Write it as option=choice, option!=choice, option=? or serial=N210440."


@dataclass(frozen=True, slots=True)
class Kind:
    """What the revision says of an option: several choices at once, and its choices."""

    several: bool
    choices: tuple[str, ...]


def read_answers(
    words: Sequence[str], kind_of: Callable[[str], Kind | None]
) -> dict[str, object]:
    """Read typed answers.

    Args:
        words: As typed, in order.
        kind_of: What the revision says of an option, None where it has none; such
            answers are passed on and refused with the nearest option.

    Raises:
        BadInput: Every word that cannot be read, or says an option twice.
    """
    answers: dict[str, object] = {}
    problems: list[Problem] = []
    for word in words:
        match = _WORD.fullmatch(word)
        if match is None:
            problems.append(Problem(word, f"'{word}' is no answer. {FORMS}", "answer"))
            continue
        key, choice, sign, value = match.groups()
        new = _answer(kind_of(key), choice, sign, value)
        merged = _merged(answers.get(key), new)
        if merged is None:
            detail = f"'{key}' is answered twice; say it once."
            problems.append(Problem(word, detail, "answered_twice"))
        else:
            answers[key] = merged
    if problems:
        raise BadInput(problems)
    return answers


def read_pairs(option: str, words: Iterable[str]) -> dict[str, str]:
    """Read repeated `--option name=value` into a mapping.

    Raises:
        BadInput: A word without an equals sign.
    """
    pairs = {}
    for word in words:
        name, sign, value = word.partition("=")
        if not (sign and name and value):
            detail = f"{option} takes NAME=VALUE, not '{word}'."
            raise BadInput([Problem(option, detail, "pair")])
        pairs[name] = value
    return pairs


def _answer(kind: Kind | None, choice: str | None, sign: str, value: str) -> object:
    if choice is not None:
        there = YES_NO.get(value, value)
        return {
            choice: (not there if there in (True, False) and sign == "!=" else there)
        }
    words = [word for word in value.split(",") if word]
    if sign == "!=":
        return _without(kind, words)
    if value == "?":
        return {"unseen": True}
    if value == "-":
        return {"fitted": False}
    if kind is not None and kind.several:
        return words
    if len(words) > 1:
        return _one_of(kind, words)
    return value


def _without(kind: Kind | None, words: list[str]) -> object:
    if kind is not None and kind.several:
        return dict.fromkeys(words, False)
    return {"not": words}


def _one_of(kind: Kind | None, words: list[str]) -> object:
    """Say "one of these" by ruling out the others."""
    known = kind.choices if kind is not None else ()
    unknown = [word for word in words if word not in known]
    # An unknown choice is passed on, to be refused with the nearest one.
    return {"not": unknown or [code for code in known if code not in words]}


def _merged(before: object, new: object) -> object | None:
    """Join partial answers of one option; None where they cannot be joined."""
    if before is None:
        return new
    if not (isinstance(before, dict) and isinstance(new, dict)):
        return None
    if set(before) == set(new) == {"not"}:
        return {"not": [*before["not"], *new["not"]]}
    partial = _is_partial(before) and _is_partial(new)
    return {**before, **new} if partial and not set(before) & set(new) else None


def _is_partial(answer: Mapping[str, object]) -> bool:
    return not set(answer) & {"not", "unseen", "fitted"}
