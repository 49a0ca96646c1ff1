"""What a set of answers leaves open, by looking at every valid build.

Reading taken:
- An answer is a bundle of pieces that can be given up one by one: an `any`
  option's answer has one piece per choice (`extras.heater`), every other answer
  is one piece under its own key.
- `{not: [...]}`, `{heater: false}` and the empty list also agree with builds
  in which the option is not active, as `!=` does.
- A serial interval agrees with every serial choice that it touches.
- A serial typed with a prefix also chooses the prefix's choice.
- Knowing an `any` option is knowing what is there: an empty set and an option that
  is not active look the same.
"""

from __future__ import annotations

import itertools
import re
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from typing import Any

from tests.oracle.builds import (
    SERIAL_LAST,
    Build,
    Model,
    OptionAt,
    Value,
    builds_under,
    chosen,
    interval_code,
    read_interval,
    valid_builds,
)

Answers = dict[str, Any]

TRUST = ("plate", "records", "our_work", "seen", "measured", "usual", "guess")


@dataclass
class Piece:
    """The smallest part of the answers that can be given up."""

    name: str
    key: str
    agrees: Callable[[Build], bool]
    chosen: tuple[tuple[str, str], ...] = ()


def pieces_of(model: Model, answers: Answers) -> list[Piece]:
    """All pieces of the answers, in the order given."""
    found: list[Piece] = []
    for key, answer in answers.items():
        if isinstance(answer, dict) and "unseen" in answer:
            continue
        if key == "serial":
            found.append(_serial_piece(model, answer))
        elif model.option(key).many:
            found += _set_pieces(model.option(key), answer)
        else:
            found.append(_choice_piece(key, answer))
    return found


def _choice_piece(key: str, answer: Any) -> Piece:
    if isinstance(answer, str):
        return Piece(
            key, key, lambda build: build[key] == answer, chosen=((key, answer),)
        )
    if "not" in answer:
        return Piece(key, key, lambda build: build[key] not in answer["not"])
    assert answer == {"fitted": False}
    return Piece(key, key, lambda build: build[key] is None)


def _set_pieces(option: OptionAt, answer: Any) -> list[Piece]:
    if isinstance(answer, list):
        answer = {choice: choice in answer for choice in option.choices}
    elif "fitted" in answer:
        return [_choice_piece(option.key, answer)]
    return [
        _member_piece(option.key, choice, present) for choice, present in answer.items()
    ]


def _member_piece(key: str, choice: str, present: object) -> Piece:
    return Piece(
        f"{key}.{choice}",
        key,
        lambda build: chosen(build[key], "=", [choice]) == present,
        chosen=((key, choice),) if present else (),
    )


def typed_serial(model: Model, answer: Any) -> tuple[int, int, tuple[str, str] | None]:
    """First and last number meant, and the choice the prefix stands for."""
    if isinstance(answer, int):
        return answer, answer, None
    if ".." in answer:
        return (*read_interval(answer), None)
    match = re.fullmatch(r"([A-Za-z]*)([0-9]+)", answer)
    assert match
    number = int(match.group(2))
    if not match.group(1):
        return number, number, None
    serial = model.doc["family"].get("serial", {})
    key, _, choice = serial["prefixes"][match.group(1)].partition(".")
    return number, number, (key, choice)


def _serial_piece(model: Model, answer: Any) -> Piece:
    low, high, prefix = typed_serial(model, answer)
    assert 1 <= low <= high <= SERIAL_LAST

    def agrees(build: Build) -> bool:
        first, last = read_interval(str(build["serial"]))
        touched = first <= high and low <= last
        return touched and (not prefix or chosen(build[prefix[0]], "=", [prefix[1]]))

    whole: list[tuple[str, str]] = [
        ("serial", interval_code(first, last))
        for first, last in model.intervals
        if first <= low and high <= last
    ]
    return Piece("serial", "serial", agrees, (*whole, *([prefix] if prefix else ())))


def remaining(model: Model, answers: Answers, waived: tuple[str, ...] = ()
              ) -> list[Build]:  # fmt: skip
    """The valid builds that agree with the answers."""
    pieces = pieces_of(model, answers)
    return [
        build
        for build in valid_builds(model, waived)
        if all(piece.agrees(build) for piece in pieces)
    ]


def states(model: Model, answers: Answers, left: list[Build]
           ) -> dict[str, dict[str, str]]:  # fmt: skip
    """For each option: each choice chosen, follows, open or excluded."""
    said = {pair for piece in pieces_of(model, answers) for pair in piece.chosen}
    return {
        option.key: {
            choice: _state(option.key, choice, left, said) for choice in option.choices
        }
        for option in model.options
    }


def _state(key: str, choice: str, left: list[Build], said: set[tuple[str, str]]) -> str:
    truths = {chosen(build[key], "=", [choice]) for build in left}
    if truths == {True}:
        return "chosen" if (key, choice) in said else "follows"
    return "excluded" if truths == {False} else "open"


def active(model: Model, left: list[Build]) -> dict[str, str]:
    """For each option whether it is active: yes, no or open."""
    found = {}
    for option in model.options:
        truths = {build[option.key] is not None for build in left}
        found[option.key] = "open" if len(truths) > 1 else "yes" if True in truths \
            else "no"  # fmt: skip
    return found


def holds_together(model: Model, pieces: Iterable[Piece], rules: Iterable[str]) -> bool:
    """Whether some build of the tree obeys these rules and agrees with all pieces."""
    pieces, rules = list(pieces), set(rules)
    return any(
        all(piece.agrees(build) for piece in pieces)
        for build in builds_under(model, lambda rule: rule.key in rules)
    )


def is_clash(
    model: Model, answers: Answers, names: Iterable[str], rules: Iterable[str]
) -> bool:
    """Whether these pieces and these rules (by key) cannot all hold."""
    names = list(names)
    kept = [piece for piece in pieces_of(model, answers) if piece.name in names]
    assert len(kept) == len(names)
    return not holds_together(model, kept, rules)


def is_irreducible(
    model: Model, answers: Answers, names: Iterable[str], rules: Iterable[str]
) -> bool:
    """Whether the set clashes and no smaller one does; the option tree stands."""
    names, rules = set(names), set(rules)
    smaller = [(names - {name}, rules) for name in names]
    smaller += [(names, rules - {rule}) for rule in rules]
    return is_clash(model, answers, names, rules) and not any(
        is_clash(model, answers, *less) for less in smaller
    )


def least_repairs(
    model: Model, answers: Answers, waived: tuple[str, ...] = ()
) -> list[frozenset[str]]:
    """All least sets of pieces whose giving up leaves some valid build."""
    pieces = pieces_of(model, answers)
    builds = valid_builds(model, waived)
    for size in range(len(pieces) + 1):
        found = [
            frozenset(piece.name for piece in dropped)
            for dropped in itertools.combinations(pieces, size)
            if any(
                all(piece.agrees(build) for piece in pieces if piece not in dropped)
                for build in builds
            )
        ]
        if found:
            return found
    return []


def least_waivers(
    model: Model, answers: Answers, waived: tuple[str, ...] = ()
) -> list[frozenset[str]]:
    """All least sets of factory rules (by key) that resolve the clash if waived."""
    pieces = pieces_of(model, answers)
    keys = sorted(
        rule.key
        for rule in model.rules
        if rule.factory and not {rule.key, rule.code} & set(waived)
    )
    for size in range(1, len(keys) + 1):
        found = [
            frozenset(group)
            for group in itertools.combinations(keys, size)
            if any(
                all(piece.agrees(build) for piece in pieces)
                for build in valid_builds(model, (*waived, *group))
            )
        ]
        if found:
            return found
    return []


def _rank(option: OptionAt, value: Value) -> tuple[int, ...]:
    """Usual first, then document order; not active comes after all choices."""
    if option.many:
        have = frozenset() if value is None else frozenset(value)
        return (
            int(value is None),
            *(int((c in have) != (c in option.usual)) for c in option.choices),
        )
    if value is None:
        return (2, 0)
    return (int(value not in option.usual), option.choices.index(str(value)))


def least(model: Model, left: list[Build]) -> Build:
    """The least build: options in document order, usual choices first."""
    return min(
        left,
        key=lambda build: [_rank(o, build[o.key]) for o in model.options],
    )


def decides(left: list[Build], keys: Iterable[str], outcome: list[Any]) -> bool:
    """Whether knowing these options settles the outcome in every build left."""
    seen: dict[tuple[Value, ...], Any] = {}
    keys = list(keys)
    for build, result in zip(left, outcome, strict=True):
        case = tuple(build[key] or None for key in keys)
        if seen.setdefault(case, result) != result:
            return False
    return True


def decides_irreducibly(left: list[Build], keys: list[str], outcome: list[Any]) -> bool:
    """Whether the options settle the outcome and none of them can be left out."""
    return decides(left, keys, outcome) and not any(
        decides(left, [k for k in keys if k != key], outcome) for key in keys
    )
