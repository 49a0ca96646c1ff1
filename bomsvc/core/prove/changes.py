"""Changes between two revisions: in the document, and in what builds come to."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

from bomsvc.core.catalogue.entities import Catalogue
from bomsvc.core.logic.budget import Budget, Unsettled
from bomsvc.core.logic.builds import Answer
from bomsvc.core.logic.cover_words import cover_sentence
from bomsvc.core.logic.gates import Clause, negated
from bomsvc.core.logic.known import NOTHING, Known
from bomsvc.core.logic.reasoner import Reasoner
from bomsvc.core.logic.standing import FALSE, Key, Lit
from bomsvc.core.prove.differences import Difference, Kind, differences
from bomsvc.core.prove.ground import PROOF_BUDGET
from bomsvc.core.prove.joined import Joined
from bomsvc.core.prove.structure import ListChange, structural

TERMS_MOST = 20


@dataclass(frozen=True, slots=True)
class Changed:
    """A place whose outcome differs in some build valid in both revisions.

    Attributes:
        when: The builds in which it does, in words.
        terms: How many terms `when` has.
        complete: Whether `when` names all of them.
        build: A build that shows it: the least one.
        settled: False where the budget ran out; then there is no build.
    """

    kind: Kind
    at: Key
    label: str
    when: str
    terms: int
    complete: bool
    build: Mapping[Key, Answer] | None
    settled: bool = True


@dataclass(frozen=True, slots=True)
class OneOnly:
    """Builds valid in one revision only; `valid_in` says in which."""

    valid_in: Literal["before", "after"]
    when: str
    terms: int
    complete: bool
    build: Mapping[Key, Answer]


@dataclass(frozen=True, slots=True)
class Changes:
    """All that differs.

    Attributes:
        comparable: Whether any build is valid in both.
    """

    lists: Mapping[str, ListChange]
    places: tuple[Changed, ...]
    one_only: tuple[OneOnly, ...]
    comparable: bool


class Comparison:
    """Two revisions compared; asks further about engines by the same model."""

    def __init__(
        self, before: Catalogue, after: Catalogue, *, budget: Budget = PROOF_BUDGET
    ) -> None:
        self._catalogues = before, after
        self._budget = budget
        joined = Joined(before, after)
        self._differences = tuple(differences(joined))
        self._joined = joined
        self.reasoner = Reasoner(joined.compiled(), budget=budget)

    def changes(self) -> Changes:
        """Return everything that differs."""
        before, after = self._catalogues
        one_only = (
            *_one_only(before, after, "before", self._budget),
            *_one_only(after, before, "after", self._budget),
        )
        comparable = self.reasoner.consistent(NOTHING)
        places = [self._changed(d) for d in self._differences] if comparable else []
        return Changes(
            lists=structural(*self._catalogues),
            places=tuple(place for place in places if place is not None),
            one_only=one_only,
            comparable=comparable,
        )

    def touched(self, known: Known) -> tuple[Difference, ...]:
        """Return the places that may differ on an engine of which this is known."""
        lits = [difference.lit for difference in self._differences]
        states = self.reasoner.states(known, lits)
        pairs = zip(self._differences, states, strict=True)
        return tuple(d for d, state in pairs if state != "excluded")

    def _changed(self, difference: Difference) -> Changed | None:
        try:
            return self._settled(difference)
        except Unsettled:
            return Changed(
                difference.kind,
                difference.at,
                difference.label,
                "Not settled within the budget.",
                terms=0,
                complete=False,
                build=None,
                settled=False,
            )

    def _settled(self, difference: Difference) -> Changed | None:
        build = self.reasoner.witness(NOTHING, (difference.lit,))
        if build is None:
            return None
        cover = self.reasoner.cover(NOTHING, difference.lit, limit=TERMS_MOST)
        return Changed(
            difference.kind,
            difference.at,
            difference.label,
            cover_sentence(self.reasoner.compiled, cover),
            len(cover.terms),
            cover.complete,
            build.answers,
        )


def _one_only(
    here: Catalogue,
    there: Catalogue,
    valid_in: Literal["before", "after"],
    budget: Budget,
) -> tuple[OneOnly, ...]:
    """Return the builds of one revision that the other does not allow.

    Options that only the other has are free there: a build is not allowed where
    what both know breaks it.
    """
    joined = Joined(here, there)
    broken, all_told = _broken(joined)
    if broken == FALSE:
        return ()
    reasoner = Reasoner(joined.compiled(both=False), budget=budget)
    build = reasoner.witness(NOTHING, (broken,))
    if build is None:
        return ()
    cover = reasoner.cover(NOTHING, broken, limit=TERMS_MOST)
    words = cover_sentence(reasoner.compiled, cover)
    answers = joined.before.build(build).answers
    complete = cover.complete and all_told
    return (OneOnly(valid_in, words, len(cover.terms), complete, answers),)


def _broken(joined: Joined) -> tuple[Lit, bool]:
    """Return when a build of the one revision breaks what the other asks for.

    And whether that is all: what speaks of options that only the other revision has
    is left out, for those are free.
    """
    gates, free = joined.gates, joined.free_after()
    demands = (*joined.after.demands(), *joined.unknown_after())
    told = [c for c in demands if not _speaks_of(joined, c, free)]
    rules = [c for c in joined.after.rule_clauses() if _speaks_of(joined, c, free)]
    broken = gates.any_of(
        gates.all_of(negated(Lit(lit)) for lit in clause) for clause in told
    )
    return broken, not rules


def _speaks_of(joined: Joined, clause: Clause, free: frozenset[int]) -> bool:
    waiting = [abs(lit) for lit in clause]
    while waiting:
        variable = waiting.pop()
        if variable in free:
            return True
        waiting.extend(abs(x) for x in joined.gates.inputs_of(variable))
    return False
