"""Reasons as data: what a conclusion rests on, each item with its sentence."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from bomsvc.core.logic.compiled import Compiled
from bomsvc.core.logic.known import Entry
from bomsvc.core.logic.sentences import (
    answer_sentence,
    place_sentence,
    rule_sentence,
)
from bomsvc.core.logic.standing import Key


@dataclass(frozen=True, slots=True)
class Reason:
    """One item of a reason: a rule, an answer, or an option's place in the tree.

    Attributes:
        kind: What it is.
        name: Rule key, statement name, or option key.
        because: The item as a sentence.
    """

    kind: Literal["rule", "answer", "option"]
    name: str
    because: str


def reasons_of(
    compiled: Compiled,
    entries: Sequence[Entry],
    rules: Sequence[Key],
    places: Sequence[Key],
) -> tuple[Reason, ...]:
    """Return statements, rules and places as reasons with their sentences."""
    return (
        *(Reason("answer", e.name, answer_sentence(compiled, e)) for e in entries),
        *(Reason("rule", key, rule_sentence(compiled, key)) for key in rules),
        *(Reason("option", key, place_sentence(compiled, key)) for key in places),
    )
