"""Changes between two revisions: in the document, and in what builds come to."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from typing import Literal

from bomsvc.core.catalogue.conditions import print_condition
from bomsvc.core.catalogue.entities import Catalogue
from bomsvc.core.logic.budget import Budget, Unsettled
from bomsvc.core.logic.builds import Answer, Build
from bomsvc.core.logic.cover_words import cover_condition, cover_sentence
from bomsvc.core.logic.covers import Cover
from bomsvc.core.logic.gates import Clause, negated
from bomsvc.core.logic.in_force import State
from bomsvc.core.logic.known import NOTHING, Known
from bomsvc.core.logic.reasoner import Reasoner
from bomsvc.core.logic.standing import FALSE, Key, Lit
from bomsvc.core.prove.allowance import settle_later
from bomsvc.core.prove.contents import Kind
from bomsvc.core.prove.differences import Difference, Differences
from bomsvc.core.prove.ground import PROOF_BUDGET, Watch, unwatched
from bomsvc.core.prove.joined import Joined
from bomsvc.core.prove.outcomes import Aspect
from bomsvc.core.prove.showing import Shown, shown
from bomsvc.core.prove.structure import ListChange, structural
from bomsvc.core.prove.tables import TooMany
from bomsvc.core.prove.usual import usual_except
from bomsvc.core.resolve.layout import Layout
from bomsvc.core.resolve.view import View

TERMS_MOST = 20
NOT_SETTLED = (
    "Not settled: too many cases to compare one by one, and none that was looked at "
    "differs."
)
NOT_ALL = "In the build shown, and perhaps in others: too many cases to name them all."


@dataclass(frozen=True, slots=True)
class Changed:
    """A place whose outcome differs in some build valid in both revisions.

    Attributes:
        when: The builds in which it does, in words.
        terms: How many terms `when` has.
        complete: Whether `when` names all of them.
        build: A build that shows it: the least one.
        settled: False where it was not shown to differ, nor shown not to; then there
            is no build.
        differs: The list, the alternates offered, or the work.
        shown: The build as "The usual build, except ...".
        example: What comes out in that build, before and after.
        condition: `when` in the language of conditions.
    """

    kind: Kind
    at: Key
    label: str
    when: str
    terms: int
    complete: bool
    build: Mapping[Key, Answer] | None
    settled: bool = True
    differs: Aspect = "list"
    shown: str | None = None
    example: Shown | None = None
    condition: str | None = None


@dataclass(frozen=True, slots=True)
class Touched:
    """A difference that an engine meets: on all builds that agree, or on some."""

    kind: Kind
    at: Key
    label: str
    differs: Aspect
    state: State


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
        self,
        before: Catalogue,
        after: Catalogue,
        *,
        budget: Budget = PROOF_BUDGET,
        watch: Watch = unwatched,
    ) -> None:
        """Find what differs.

        Args:
            before: The earlier revision.
            after: The later one.
            budget: What one question may take.
            watch: Told how many things are compared and put into words, of how many.
        """
        self._catalogues = before, after
        self._budget = budget
        self._joined = Joined(before, after)
        self._watch = watch
        compare = Differences(self._joined, budget=budget, watch=watch)
        self._compare = compare
        self._differences = tuple(compare.found())
        self.reasoner = Reasoner(self._joined.compiled(), budget=budget)
        self._covers: dict[Lit, tuple[Cover, str]] = {}

    def changes(self) -> Changes:
        """Return everything that differs."""
        before, after = self._catalogues
        one_only = (
            *_one_only(before, after, "before", self._budget),
            *_one_only(after, before, "after", self._budget),
        )
        usual = self.reasoner.witness(NOTHING)
        places: list[Changed] = []
        if usual is not None:
            told = (self._changed(d, usual) for d in self._watched())
            places = [place for place in told if place is not None]
        return Changes(
            lists=structural(*self._catalogues),
            places=tuple(places),
            one_only=one_only,
            comparable=usual is not None,
        )

    @property
    def size(self) -> int:
        """How many things are compared, and differences put into words."""
        return self._compare.looked_at + len(self._differences)

    def _watched(self) -> Iterator[Difference]:
        for done, difference in enumerate(self._differences):
            self._watch(self._compare.looked_at + done, self.size)
            yield difference

    def touched(self, known: Known) -> tuple[Touched, ...]:
        """Return what may differ on an engine of which this is known.

        What was compared over valid builds says nothing of an engine on which a rule
        is waived: its own builds are compared then.

        Raises:
            Unsettled: The budget ran out.
        """
        view = View(self.reasoner, known)
        if known.waived:
            return (*self._touched_anyway(view), *self._touched(view, by_form=True))
        return tuple(self._touched(view, by_form=False))

    def waived(self, rules: Iterable[Key]) -> tuple[Key, ...]:
        """Return waived rules by their names in both revisions."""
        return self._joined.waived(rules)

    def _touched(self, view: View, *, by_form: bool) -> Iterator[Touched]:
        """Yield the differences found, of all or of what is stated only."""
        found = [d for d in self._differences if d.by_form or not by_form]
        lits = [difference.lit for difference in found]
        states = self.reasoner.states(view.known, lits)
        for one, state in zip(found, states, strict=True):
            seen = state
            if state != "excluded" and not one.exact:
                seen = self._seen(view, one.kind, one.at).get(one.differs, "open")
            if seen != "excluded":
                yield Touched(one.kind, one.at, one.label, one.differs, seen)

    def _touched_anyway(self, view: View) -> Iterator[Touched]:
        for kind, key, label in self._compare.possible:
            for aspect, state in self._seen(view, kind, key).items():
                if state != "excluded":
                    yield Touched(kind, key, label, aspect, state)

    def _seen(self, view: View, kind: Kind, key: Key) -> Mapping[Aspect, State]:
        """Return whether list and work differ on the builds of one engine."""
        try:
            return self._compare.seen_in(view, kind, key)
        except TooMany:
            return {"list": "open"}
        except Unsettled:
            settle_later(self._budget)
            return {"list": "open"}

    def _changed(self, difference: Difference, usual: Build) -> Changed | None:
        if not difference.exact:
            return self._inexact(difference, usual)
        try:
            build = self.reasoner.witness(NOTHING, (difference.lit,))
            if build is None:
                return None
            cover, words = self._covered(difference.lit)
        except Unsettled:
            settle_later(self._budget)
            return self._inexact(difference, usual)
        return self._told(difference, usual, build, words, cover)

    def _inexact(self, difference: Difference, usual: Build) -> Changed:
        if difference.build is None:
            return _changed(difference, NOT_SETTLED, settled=False)
        return self._told(difference, usual, difference.build, NOT_ALL)

    def _told(
        self,
        difference: Difference,
        usual: Build,
        build: Build,
        words: str,
        cover: Cover | None = None,
    ) -> Changed:
        compiled = self.reasoner.compiled
        condition = None
        if cover is not None:
            condition = print_condition(cover_condition(compiled, cover))
        return _changed(
            difference,
            words,
            terms=len(cover.terms) if cover else 0,
            complete=cover is not None and cover.complete,
            build=build.answers,
            shown=usual_except(compiled, build, usual),
            example=shown(self._compare.layouts, difference, build),
            condition=condition,
        )

    def _covered(self, lit: Lit) -> tuple[Cover, str]:
        found = self._covers.get(lit)
        if found is None:
            cover = self.reasoner.cover(NOTHING, lit, limit=TERMS_MOST)
            words = cover_sentence(self.reasoner.compiled, cover)
            found = self._covers[lit] = cover, words
        return found

    @property
    def layouts(self) -> tuple[Layout, Layout]:
        """The look-ups of both revisions, for labels."""
        return self._compare.layouts


def _changed(
    difference: Difference,
    when: str,
    *,
    terms: int = 0,
    complete: bool = False,
    build: Mapping[Key, Answer] | None = None,
    settled: bool = True,
    shown: str | None = None,
    example: Shown | None = None,
    condition: str | None = None,
) -> Changed:
    return Changed(
        difference.kind,
        difference.at,
        difference.label,
        when,
        terms,
        complete,
        build,
        settled,
        difference.differs,
        shown,
        example,
        condition,
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
