"""A cover in words and as a condition: which builds, in the shortest true form."""

from __future__ import annotations

from bomsvc.core.catalogue.conditions import (
    ALWAYS,
    NEVER,
    Among,
    And,
    Condition,
    Not,
    Or,
    SerialIs,
)
from bomsvc.core.logic.compiled import Compiled
from bomsvc.core.logic.covers import Cover, Limited, Term
from bomsvc.core.logic.sentences import (
    as_sentence,
    be,
    inside,
    joined,
    option_name,
    serial_words,
)
from bomsvc.core.logic.serials import SERIAL, SERIAL_MAX, SERIAL_MIN, SerialInterval


def cover_sentence(compiled: Compiled, cover: Cover) -> str:
    """Return when something holds, its terms joined by "or"."""
    if not cover.terms:
        return "Never."
    text = "; or ".join(term_words(compiled, term) for term in cover.terms)
    more = "" if cover.complete else " There are more cases, not listed."
    return f"{as_sentence(text)}{more}"


def term_words(compiled: Compiled, term: Term) -> str:
    """Return one term in words: `oil sump is rear and gears are plain or quiet`."""
    if not term:
        return "always"
    return joined([_words(compiled, limited) for limited in term], " and ")


def _words(compiled: Compiled, limited: Limited) -> str:
    option = compiled.options[limited.option]
    name = inside(option_name(compiled, limited.option))
    labels = [inside(option.label_of(code)) for code in limited.choices]
    if limited.option == SERIAL:
        return f"serial number {serial_words(compiled, limited.choices)}"
    if option.option.choose == "any":
        label = inside(option.label_of(limited.code))
        return f"without {label}" if limited.absent else f"with {label}"
    if not limited.absent:
        return f"{name} {be(option.option.label)} {joined(labels, ' or ')}"
    if not labels:
        return f"no {name}"
    return f"no {name}, or {joined(labels, ' or ')}"


def cover_condition(compiled: Compiled, cover: Cover) -> Condition:
    """Return the cover as a condition of the document's language."""
    terms = tuple(_condition(compiled, term) for term in cover.terms)
    if not terms:
        return NEVER
    return terms[0] if len(terms) == 1 else Or(terms)


def _condition(compiled: Compiled, term: Term) -> Condition:
    parts = tuple(_limited(compiled, limited) for limited in term)
    if not parts:
        return ALWAYS
    return parts[0] if len(parts) == 1 else And(parts)


def _limited(compiled: Compiled, limited: Limited) -> Condition:
    if limited.option == SERIAL:
        runs = [i for i in compiled.intervals if i.code in limited.choices]
        return _any_of([_between(run) for run in _merged(runs)])
    option = compiled.options[limited.option]
    code, member = option.option.code, option.member
    if option.option.choose == "any":
        there = Among(code, (limited.code,), member)
        return Not(there) if limited.absent else there
    if not limited.absent:
        return Among(code, limited.choices, member)
    others = tuple(c for c in option.choices if c not in limited.choices)
    return Not(Among(code, others, member))


def _merged(intervals: list[SerialInterval]) -> list[SerialInterval]:
    merged: list[SerialInterval] = []
    for interval in intervals:
        if merged and merged[-1].last + 1 == interval.first:
            merged[-1] = SerialInterval(merged[-1].first, interval.last)
        else:
            merged.append(interval)
    return merged


def _between(interval: SerialInterval) -> Condition:
    ends: list[Condition] = []
    if interval.first > SERIAL_MIN:
        ends.append(SerialIs(">=", interval.first))
    if interval.last < SERIAL_MAX:
        ends.append(SerialIs("<=", interval.last))
    return ends[0] if len(ends) == 1 else And(tuple(ends)) if ends else ALWAYS


def _any_of(terms: list[Condition]) -> Condition:
    return terms[0] if len(terms) == 1 else Or(tuple(terms))
