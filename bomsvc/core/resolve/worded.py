"""Cases in words: the condition, in the document's own terms, that some cases share.

A place's cases are truth vectors over conditions of the document. Which of them a
figure stands for is said by an irredundant disjunction of prime implicants over
those conditions, positive ones preferred: "sump = rear", not "not sump = front".
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

from bomsvc.core.catalogue.conditions import (
    ALWAYS,
    NEVER,
    Among,
    And,
    Condition,
    Not,
    Or,
)
from bomsvc.core.catalogue.conditions.tree import Always
from bomsvc.core.logic.standing import Lit, StandingJoint, StandingPosition
from bomsvc.core.resolve.view import Vector

Term = tuple[tuple[int, bool], ...]
"""Columns with the truth they have in the term."""


def all_hold(conditions: Iterable[Condition]) -> Condition:
    """The conjunction, without conditions that always hold; each term once."""
    terms: dict[Condition, None] = {}
    for condition in conditions:
        inner = condition.terms if isinstance(condition, And) else (condition,)
        terms.update((t, None) for t in inner if not isinstance(t, Always))
    return _chain(tuple(terms), And, ALWAYS)


def plainly(condition: Condition, sets: frozenset[str]) -> Condition:
    """The condition without "not a" where "b" of the same option says so already.

    `sets`: options of which several choices may hold, so that one says nothing of
    another.
    """
    if not isinstance(condition, And):
        return condition
    said = [t for t in condition.terms if isinstance(t, Among) and t.option not in sets]
    return all_hold(t for t in condition.terms if not any(_denies(s, t) for s in said))


def _denies(said: Among, term: Condition) -> bool:
    return (
        isinstance(term, Not)
        and isinstance(term.term, Among)
        and (term.term.option, term.term.member) == (said.option, said.member)
        and said.member not in ("all", "any")
        and not set(term.term.choices) & set(said.choices)
    )


def any_holds(conditions: Iterable[Condition]) -> Condition:
    """The disjunction, each term once; of no terms: always."""
    terms: dict[Condition, None] = {}
    for condition in conditions:
        inner = condition.terms if isinstance(condition, Or) else (condition,)
        terms.update((t, None) for t in inner)
    return ALWAYS if ALWAYS in terms else _chain(_together(terms), Or, ALWAYS)


def _together(terms: Iterable[Condition]) -> tuple[Condition, ...]:
    """Alternatives of one option as one: `o = a or o = b` is `o in (a, b)`."""
    found: dict[object, Condition] = {}
    for term in terms:
        single = isinstance(term, Among) and term.member != "all"
        key = (term.option, term.member) if isinstance(term, Among) and single else term
        known = found.get(key)
        if not (isinstance(term, Among) and isinstance(known, Among) and single):
            found[key] = term
        else:
            choices = dict.fromkeys((*known.choices, *term.choices))
            found[key] = Among(term.option, tuple(choices), term.member)
    return tuple(found.values())


def _chain(
    terms: tuple[Condition, ...], kind: type[And] | type[Or], empty: Condition
) -> Condition:
    if not terms:
        return empty
    return terms[0] if len(terms) == 1 else kind(terms)


def opposite(condition: Condition) -> Condition:
    """The negation, without doubling one that is there."""
    return condition.term if isinstance(condition, Not) else Not(condition)


def condition_for(
    lits: Sequence[Lit],
    vectors: Sequence[Vector],
    chosen: Sequence[bool],
    texts: Mapping[Lit, Condition],
) -> Condition:
    """The condition that tells the chosen vectors from the others.

    `texts` gives the document's condition of each literal of either sign. No vector
    chosen: never.
    """
    if not any(chosen):
        return NEVER
    terms = _cover(len(lits), vectors, chosen)
    return any_holds(
        all_hold(_worded(lits[column], texts, holds=value) for column, value in term)
        for term in terms
    )


def _worded(lit: Lit, texts: Mapping[Lit, Condition], *, holds: bool) -> Condition:
    if lit in texts:
        return texts[lit] if holds else opposite(texts[lit])
    negative = texts[Lit(-lit)]
    return opposite(negative) if holds else negative


def _cover(width: int, vectors: Sequence[Vector], chosen: Sequence[bool]) -> list[Term]:
    """Prime implicants that cover the chosen vectors, none of them superfluous."""
    bits = _column_bits(width, vectors)
    everything = (1 << len(vectors)) - 1
    inside = sum(1 << row for row, is_in in enumerate(chosen) if is_in)
    outside = everything & ~inside
    terms: list[tuple[Term, int]] = []
    left = inside
    for row, vector in enumerate(vectors):
        if left >> row & 1:
            term = _prime(vector, bits, everything, outside)
            covered = _rows(term, bits, everything)
            terms.append((term, covered))
            left &= ~covered
    return _irredundant(terms, inside)


def _column_bits(width: int, vectors: Sequence[Vector]) -> list[int]:
    return [
        sum(1 << row for row, vector in enumerate(vectors) if vector[column])
        for column in range(width)
    ]


def _rows(term: Term, bits: Sequence[int], everything: int) -> int:
    rows = everything
    for column, value in term:
        rows &= bits[column] if value else everything & ~bits[column]
    return rows


def _prime(vector: Vector, bits: Sequence[int], everything: int, outside: int) -> Term:
    """The vector's term without every literal it can spare, negative ones first."""
    term: Term = tuple(enumerate(vector))
    order = sorted(term, key=lambda literal: (literal[1], -literal[0]))
    for literal in order:
        fewer = tuple(other for other in term if other != literal)
        if not _rows(fewer, bits, everything) & outside:
            term = fewer
    return term


def _irredundant(terms: list[tuple[Term, int]], inside: int) -> list[Term]:
    kept = list(terms)
    for candidate in reversed(terms):
        others = 0
        for other in kept:
            if other is not candidate:
                others |= other[1]
        if inside & ~others == 0:
            kept = [other for other in kept if other is not candidate]
    return [term for term, _ in kept]


def joint_conditions(
    joint: StandingJoint,
    positions: Mapping[str, StandingPosition],
    sets: frozenset[str],
) -> dict[Lit, Condition]:
    """The document's condition behind each literal of the joint's stacks.

    `sets`: codes of the options of which several choices may hold.
    """
    texts: dict[Lit, Condition] = {}
    for group in joint.groups:
        stands = all_hold((joint.joint.exists, group.group.exists))
        texts.setdefault(group.exists, stands)
        keys = [s.position for s in group.layers]
        keys += [k for k in (group.into, group.nut, group.stud) if k is not None]
        for key in keys:
            texts.update(_new(texts, position_conditions(positions[key])))
        for standing, stated in zip(group.stated, group.group.stated, strict=True):
            texts.setdefault(standing.applies, all_hold((stands, stated.when)))
    return {lit: plainly(text, sets) for lit, text in texts.items()}


def position_conditions(position: StandingPosition) -> dict[Lit, Condition]:
    """The document's condition behind each literal of a position."""
    exists = position.position.exists
    texts: dict[Lit, Condition] = {}
    for fitment in position.fitments:
        own = fitment.fitment.when or ALWAYS
        texts.setdefault(fitment.applies, all_hold((exists, own)))
    texts.setdefault(position.exists, exists)
    return texts


def _new(
    known: Mapping[Lit, Condition], more: Mapping[Lit, Condition]
) -> dict[Lit, Condition]:
    return {lit: text for lit, text in more.items() if lit not in known}
