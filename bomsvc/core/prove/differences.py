"""Where the outcomes of two revisions differ, as conditions on builds valid in both.

A position's outcome is what sits there; a joint's its screws, seals and hardware; a
job's its list and its work. What each is made of (`MadeOf`) says in which builds it
may differ at all. Over those builds alone both outcomes are read case by case, and
the cases that differ become one condition: exact, for every valid build. Where the
cases are too many, single builds are compared, and the difference says that it is
not exact.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field, replace
from functools import cached_property

from bomsvc.core.logic.budget import Budget, Unsettled
from bomsvc.core.logic.builds import Build
from bomsvc.core.logic.compiled import Compiled
from bomsvc.core.logic.in_force import State
from bomsvc.core.logic.known import NOTHING, Entry, Known
from bomsvc.core.logic.reasoner import Reasoner
from bomsvc.core.logic.serials import SERIAL
from bomsvc.core.logic.standing import FALSE, TRUE, Key, Lit
from bomsvc.core.prove.allowance import settle_later
from bomsvc.core.prove.comparing import ALIKE, Compared, Comparing, Splits
from bomsvc.core.prove.contents import Kind
from bomsvc.core.prove.ground import Watch, unwatched
from bomsvc.core.prove.joined import Joined
from bomsvc.core.prove.made_of import MadeOf
from bomsvc.core.prove.other_aspects import OtherAspects
from bomsvc.core.prove.outcomes import Aspect
from bomsvc.core.prove.tables import TooMany
from bomsvc.core.resolve.layout import Layout, new_layout
from bomsvc.core.resolve.planner import OutlinedPlans
from bomsvc.core.resolve.view import View

KINDS: tuple[Kind, ...] = ("position", "joint", "job")
SAMPLED = 16
"""Builds compared one by one where the cases are too many."""


@dataclass(frozen=True, slots=True)
class Difference:
    """`lit`: the builds in which the outcome differs.

    Attributes:
        exact: False where the cases are too many: then it differs in no other builds
            than those of `lit`, if at all.
        by_form: What differs is stated, so that `lit` also holds of builds that
            break a rule.
        build: Where not exact: a build in which it does differ, if one was found.
        splits: What comes out before and after, place by place.
    """

    kind: Kind
    at: Key
    label: str
    differs: Aspect
    lit: Lit
    exact: bool = True
    by_form: bool = False
    build: Build | None = None
    splits: Splits = field(default_factory=dict, repr=False, compare=False)


class Differences:
    """All differences of two revisions, and what engines see of them."""

    def __init__(
        self, joined: Joined, *, budget: Budget, watch: Watch = unwatched
    ) -> None:
        self._joined = joined
        self._budget = budget
        self._watch = watch
        model = joined.compiled()
        revisions = joined.revisions(model)
        before, after = (_outlined(revision) for revision in revisions)
        self.layouts: tuple[Layout, Layout] = (before, after)
        self._made_of = MadeOf(joined.gates, self.layouts)
        self._comparing = Comparing(joined.gates, self.layouts, self._made_of)
        self._others = OtherAspects(joined.gates, self.layouts)
        self._everywhere = View(Reasoner(model, budget=budget), NOTHING)
        self._views: dict[Lit, View] = {TRUE: self._everywhere}

    def found(self) -> Iterator[Difference]:
        """Yield every difference: positions, then joints, then jobs."""
        if not self._everywhere.reasoner.consistent(NOTHING):
            return
        things = self._things
        for done, (kind, key, label) in enumerate(things):
            self._watch(done, len(things))
            yield from self._found(kind, key, label)

    @property
    def looked_at(self) -> int:
        """How many positions, joints and jobs there are."""
        return len(self._things)

    @cached_property
    def _things(self) -> tuple[tuple[Kind, Key, str], ...]:
        return tuple(
            (kind, key, label)
            for kind in KINDS
            for key, label in self._labels(kind).items()
        )

    def seen_in(self, view: View, kind: Kind, key: Key) -> Mapping[Aspect, State]:
        """Return whether list and work differ on all, some or no builds of a view.

        The view may be of an engine on which rules are waived.

        Raises:
            TooMany: There are too many cases.
            Unsettled: The budget ran out.
        """
        compared = self._comparing.compare(view, kind, key, valid=False)
        return {aspect: _state(lit) for aspect, lit in compared.aspects()}

    @cached_property
    def possible(self) -> tuple[tuple[Kind, Key, str], ...]:
        """Everything that may come out differently, rules or no rules."""
        made_of = MadeOf(self._joined.gates, self.layouts)
        return tuple(
            (kind, key, label)
            for kind, key, label in self._things
            if _may(made_of, kind, key) != FALSE
        )

    def _labels(self, kind: Kind) -> Mapping[Key, str]:
        """Return the things of both revisions with their labels, the later one's."""
        found: dict[Key, str] = {}
        for layout in self.layouts:
            standing = layout.compiled.standing
            match kind:
                case "position":
                    found |= {
                        k: p.position.label for k, p in standing.positions.items()
                    }
                case "joint":
                    found |= {k: j.joint.label for k, j in standing.joints.items()}
                case "job":
                    found |= {k: j.job.label for k, j in standing.jobs.items()}
        return found

    def _found(self, kind: Kind, key: Key, label: str) -> Iterator[Difference]:
        yield from self._listed(kind, key, label)
        for aspect, lit, splits in self._others.of(kind, key):
            named: Splits = {(aspect, key, ""): splits}
            yield Difference(kind, key, label, aspect, lit, by_form=True, splits=named)

    def _listed(self, kind: Kind, key: Key, label: str) -> Iterator[Difference]:
        may = _may(self._made_of, kind, key)
        if may == FALSE:
            return
        try:
            compared = self._compared(kind, key, may)
        except (TooMany, Unsettled) as ended:
            if isinstance(ended, Unsettled):
                settle_later(self._budget)
            lits = ended.lits if isinstance(ended, TooMany) else ()
            yield from self._sampled(kind, key, label, may, lits)
            return
        gates = self._joined.gates
        self._made_of.settle(kind, key, gates.all_of((may, compared.deep)))
        for aspect, lit in compared.aspects():
            both = gates.all_of((may, lit))
            if both != FALSE:
                yield Difference(
                    kind, key, label, aspect, both, splits=compared.about(aspect)
                )

    def _sampled(
        self, kind: Kind, key: Key, label: str, may: Lit, lits: tuple[Lit, ...]
    ) -> Iterator[Difference]:
        """Yield what single builds show, or that nothing is settled."""
        left = self._may_by_aspect(kind, key, may)
        for build, compared in self._samples(kind, key, may, lits):
            for aspect, lit in compared.aspects():
                if lit == TRUE and aspect in left:
                    yield Difference(
                        kind,
                        key,
                        label,
                        aspect,
                        left.pop(aspect),
                        exact=False,
                        build=build,
                        splits=compared.about(aspect),
                    )
            if not left:
                return
        for aspect, lit in left.items():
            yield Difference(kind, key, label, aspect, lit, exact=False)

    def _may_by_aspect(self, kind: Kind, key: Key, may: Lit) -> dict[Aspect, Lit]:
        """Return when list and work may differ; without what cannot."""
        if kind != "job":
            return {"list": may}
        made_of = self._made_of
        lists = self._joined.gates.any_of((made_of.disturbs(key), made_of.taken(key)))
        aspects: dict[Aspect, Lit] = {"list": lists, "work": made_of.work(key)}
        return {aspect: lit for aspect, lit in aspects.items() if lit != FALSE}

    def _samples(
        self, kind: Kind, key: Key, may: Lit, lits: tuple[Lit, ...]
    ) -> Iterator[tuple[Build, Compared]]:
        """Yield a few builds in which it may differ, each compared by itself."""
        reasoner = self._view(may).reasoner
        try:
            for vector in reasoner.cases(NOTHING, lits, limit=SAMPLED).vectors:
                pairs = zip(lits, vector, strict=True)
                term = [lit if value else Lit(-lit) for lit, value in pairs]
                build = reasoner.witness(NOTHING, term)
                assert build is not None, "a case is a case of some build"
                view = View(reasoner, _known(reasoner.compiled, build))
                yield build, self._comparing.compare(view, kind, key)
        except TooMany:
            return
        except Unsettled:
            settle_later(self._budget)

    def _compared(self, kind: Kind, key: Key, may: Lit) -> Compared:
        """Compare over all builds where that is cheap, else where it may differ."""
        if kind != "job":
            try:
                return self._comparing.compare(self._everywhere, kind, key)
            except TooMany:
                pass
        view = self._view(may)
        if not view.reasoner.consistent(NOTHING):
            return ALIKE
        return self._comparing.compare(view, kind, key)

    def _view(self, given: Lit) -> View:
        """Return a view of the builds in which the condition holds."""
        found = self._views.get(given)
        if found is None:
            model = self._joined.compiled(given=given)
            found = View(Reasoner(model, budget=self._budget), NOTHING)
            self._views[given] = found
        return found


def _may(made_of: MadeOf, kind: Kind, key: Key) -> Lit:
    match kind:
        case "position":
            return made_of.position(key)
        case "joint":
            return made_of.joint(key)
        case "job":
            return made_of.job(key)


def _state(lit: Lit) -> State:
    if lit in (TRUE, FALSE):
        return "certain" if lit == TRUE else "excluded"
    return "open"


def _outlined(revision: Compiled) -> Layout:
    return replace(new_layout(revision), plans=OutlinedPlans(revision))


def _known(compiled: Compiled, build: Build) -> Known:
    """Return everything that a full build answers."""
    lits = (lit for o in compiled.options.values() for lit in o.choices.values())
    held = tuple(lit if build.truth(lit) else Lit(-lit) for lit in lits)
    return Known((Entry("build", SERIAL, held),))
