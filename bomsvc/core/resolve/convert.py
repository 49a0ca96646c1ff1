"""Converting an engine: what comes off, what goes on, what stays, the work."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from typing import Literal

from bomsvc.core.catalogue.entities import Job
from bomsvc.core.fasteners.values import SizedGroup
from bomsvc.core.logic.known import Known
from bomsvc.core.logic.reasoner import Reasoner
from bomsvc.core.logic.standing import TRUE, Key, StandingJob
from bomsvc.core.resolve.converting import (
    OptionChange,
    after_change,
    option_changes,
)
from bomsvc.core.resolve.demand import Call, Demand, always
from bomsvc.core.resolve.disturbed import WholePlace
from bomsvc.core.resolve.figures import candidate_figures
from bomsvc.core.resolve.inside import inside_of
from bomsvc.core.resolve.items import Item
from bomsvc.core.resolve.layout import Layout, layout_of, with_job
from bomsvc.core.resolve.lines import Clashing, Place, Reason, Resolved, WorkStep
from bomsvc.core.resolve.placing import places_of
from bomsvc.core.resolve.resolving import Listing
from bomsvc.core.resolve.scope import Scope
from bomsvc.core.resolve.studies import Study
from bomsvc.core.resolve.view import View

JOB: Key = "convert"


@dataclass(frozen=True, slots=True)
class Moved:
    """A part with a quantity at a place, coming off or going on or staying.

    `disturbed`: a part that stays has to come out for the work and goes back.
    """

    part: str | None
    name: str
    qty: Decimal
    place: Place
    wanted: str | None = None
    disturbed: bool = False


@dataclass(frozen=True, slots=True)
class QuantityChange:
    """A part that stays, in another number."""

    part: str
    name: str
    before: Decimal
    after: Decimal
    place: Place


@dataclass(frozen=True, slots=True)
class ScrewChange:
    """A group whose screws change; None: no screws there, or none that fits."""

    place: Place
    before: str | None
    after: str | None
    before_form: SizedGroup | None
    after_form: SizedGroup | None


@dataclass(frozen=True, slots=True)
class ConversionWork:
    """Taking the old build apart and putting the new one together.

    `minutes`: (least, most); with `basis` `may_matter` of the cases planned only.
    `optimal` False where either plan is only bounded.
    """

    strip: tuple[WorkStep, ...]
    refit: tuple[WorkStep, ...]
    minutes: tuple[Decimal, Decimal]
    basis: Literal["exact", "may_matter"]
    optimal: bool
    tools: tuple[str, ...]
    cautions: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Converted:
    """A conversion.

    Attributes:
        after: What is known of the engine afterwards.
        changes: Options that do not stay as they were.
        off, on, stays, quantities, screws: Parts by place; only what is certain
            both before and after. What comes off or goes on inside another part
            (`includes`) is that part's: it is not told again.
        unsettled: Places that are open before or after: nothing is said of them.
        take: The list to hand over: what goes on, and the seals, single-use parts
            and fluids that the work takes; its questions are those that the
            conversion still needs.
        work: None where no way in was found.
    """

    after: Known
    changes: tuple[OptionChange, ...]
    off: tuple[Moved, ...]
    on: tuple[Moved, ...]
    stays: tuple[Moved, ...]
    quantities: tuple[QuantityChange, ...]
    screws: tuple[ScrewChange, ...]
    unsettled: tuple[Place, ...]
    take: Resolved
    work: ConversionWork | None


def convert(reasoner: Reasoner, before: Known, changes: Known) -> Converted | Clashing:
    """Convert an engine to changed answers.

    Args:
        reasoner: The revision's reasoner.
        before: What is known of the engine as it is.
        changes: The answers that are to hold afterwards; options they do not
            mention stay as they are where rules allow.

    Returns:
        The conversion; or the clash, of the engine as it is or of the changes.
    """
    for known in (before, changes):
        if not reasoner.consistent(known):
            return Clashing(reasoner.clash(known))
    after = after_change(reasoner, before, changes)
    if not reasoner.consistent(after):
        return Clashing(reasoner.clash(after))
    return _Conversion(reasoner, before, after).converted(
        [entry.key for entry in changes.entries]
    )


_Taken = dict[Place, dict[tuple[str | None, str | None], Item]]


class _Conversion:
    """Two builds of one engine, place by place."""

    def __init__(self, reasoner: Reasoner, before: Known, after: Known) -> None:
        self._reasoner = reasoner
        self._layout = layout_of(reasoner.compiled)
        self._known = (before, after)
        self._views = (View(reasoner, before), View(reasoner, after))

    def converted(self, asked: Sequence[Key]) -> Converted:
        studies = [self._sitting(view) for view in self._views]
        unsettled = _unsettled(studies)
        old, new = (_taken(each, unsettled) for each in studies)
        off, on = self._moved(old, new), self._moved(new, old)
        inside = [self._inside(*each) for each in ((off, old), (on, new))]
        off, on = _outermost(off, inside[0]), _outermost(on, inside[1])
        quantities = tuple(self._quantities(old, new))
        both = [change.place for change in quantities]
        coming, going = (
            [place for place in (*(m.place for m in moved), *both) if _own(place, keys)]
            for moved, keys in zip((off, on), inside, strict=True)
        )
        take, work = self._work(coming, going, list(_screws(old, new)))
        return Converted(
            after=self._known[1],
            changes=option_changes(self._reasoner, *self._known, asked),
            off=off,
            on=on,
            stays=_outermost(self._stays(old, new, take), inside[1]),
            quantities=quantities,
            screws=tuple(_screws(old, new)),
            unsettled=tuple(unsettled),
            take=take,
            work=work,
        )

    def _sitting(self, view: View) -> list[Study]:
        placed = places_of(self._layout).everything(view, self._layout)
        return [study for one in placed for study in one.studies]

    def _moved(self, these: _Taken, others: _Taken) -> tuple[Moved, ...]:
        """What sits at places of these and not of the others."""
        return tuple(
            self._move(place, item)
            for place, items in these.items()
            for name, item in items.items()
            if name not in others.get(place, {})
        )

    def _inside(self, moved: Sequence[Moved], sitting: _Taken) -> frozenset[Key]:
        parts = [
            (one.place.key, one.part)
            for one in moved
            if one.place.kind == "position" and one.part is not None
        ]
        return inside_of(self._layout, parts, sitting)

    def _move(self, place: Place, item: Item, *, disturbed: bool = False) -> Moved:
        name = item.wanted or ""
        if item.part is not None:
            name = self._layout.parts[item.part].name
        return Moved(item.part, name, item.qty, place, item.wanted, disturbed)

    def _quantities(self, old: _Taken, new: _Taken) -> Iterable[QuantityChange]:
        for place, items in old.items():
            for name, item in items.items():
                other = new.get(place, {}).get(name)
                if other is not None and other.qty != item.qty and item.part:
                    title = self._layout.parts[item.part].name
                    yield QuantityChange(item.part, title, item.qty, other.qty, place)

    def _stays(self, old: _Taken, new: _Taken, take: Resolved) -> tuple[Moved, ...]:
        """What is the same before and after, and not renewed by the work."""
        renewed = {
            (line.part, place)
            for line in take.lines
            for place in line.places
            if line.need == "renew"
        }
        disturbed = {place for line in take.lines for place in line.places}
        freed = {stay.position for stay in take.work.stays} if take.work else set()
        return tuple(
            self._move(place, item, disturbed=place in disturbed or place.key in freed)
            for place, items in old.items()
            for name, item in items.items()
            if (other := new.get(place, {}).get(name)) is not None
            and other.qty == item.qty
            and (item.part, place) not in renewed
        )

    def _work(
        self,
        coming: Sequence[Place],
        going: Sequence[Place],
        changes: Sequence[ScrewChange],
    ) -> tuple[Resolved, ConversionWork | None]:
        """Strip-down as the old build needs it, refit as the new one does.

        What has to be off for the new parts to go in is taken off the old engine
        too, where it is there; what was taken off goes back on.
        """
        first = self._planned(self._views[1], going)
        stripped = self._planned(self._views[0], coming, pins=_done(first))
        screws = {
            ("joint", change.place.key, change.place.group or ""): always(
                Call("renew", (Reason(job=JOB),))
            )
            for change in changes
            if change.after_form is not None
        }
        refitted = self._planned(
            self._views[1], going, pins=_done(stripped), more=screws
        )
        return refitted, _conversion_work(stripped, refitted)

    def _planned(
        self,
        view: View,
        places: Iterable[Place],
        *,
        pins: tuple[Key, ...] = (),
        more: Mapping[WholePlace, Demand] | None = None,
    ) -> Resolved:
        keys = {place.key for place in places if place.kind == "position"}
        renew = tuple(k for k in self._layout.index if k in keys)
        job = StandingJob(
            key=JOB,
            job=Job(JOB, "Convert"),
            member=None,
            exists=TRUE,
            renew=renew,
            reseal=(),
            do=(),
            check=(),
        )
        layout: Layout = with_job(self._layout, job)
        listing = Listing(view, layout, Scope(jobs=(JOB,)), pins=pins, more=more)
        found = listing.resolved()
        # A pinned step of the other build need not exist on this one.
        faults = tuple(f for f in found.faults if f.code != "by_way_of_absent")
        return replace(found, faults=faults)


def _own(place: Place, inside: frozenset[Key]) -> bool:
    """Whether what sits there is moved for itself, not inside another part."""
    return place.kind != "position" or place.key not in inside


def _outermost(moved: Iterable[Moved], inside: frozenset[Key]) -> tuple[Moved, ...]:
    return tuple(one for one in moved if _own(one.place, inside))


def _done(found: Resolved) -> tuple[Key, ...]:
    """The steps of the plan, each once."""
    if found.work is None:
        return ()
    return tuple(dict.fromkeys(step.step for step in found.work.steps))


def _unsettled(studies: Sequence[Sequence[Study]]) -> dict[Place, None]:
    """Places that some remaining builds, before or after, fill differently."""
    return {
        study.place: None
        for each in studies
        for study in each
        if not study.complete or not study.certain().issuperset(study.taken())
    }


def _taken(studies: Iterable[Study], unsettled: Mapping[Place, None]) -> _Taken:
    """Place to part to what is there, where that is settled."""
    return {
        study.place: {(item.part, item.wanted): item for item in study.items[0]}
        for study in studies
        if study.place not in unsettled
    }


def _screws(old: _Taken, new: _Taken) -> Iterable[ScrewChange]:
    for place in dict.fromkeys((*old, *new)):
        if place.kind != "joint":
            continue
        before, after = old.get(place, {}), new.get(place, {})
        if before.keys() != after.keys():
            forms = [candidate_figures(list(side.values())) for side in (before, after)]
            yield ScrewChange(place, _named(before), _named(after), *forms)


def _named(side: Mapping[tuple[str | None, str | None], Item]) -> str | None:
    return next((part or wanted for part, wanted in side), None)


def _conversion_work(old: Resolved, new: Resolved) -> ConversionWork | None:
    if old.work is None or new.work is None:
        return None
    strip = tuple(s for s in old.work.steps if s.phase == "strip")
    refit = tuple(s for s in new.work.steps if s.phase == "refit")
    exact = old.work.basis == new.work.basis == "exact"
    minutes = [
        sum((s.minutes for s in (*strip, *refit) if wanted(s)), Decimal(0))
        for wanted in (lambda s: s.state == "certain", lambda _: True)
    ]
    return ConversionWork(
        strip=strip,
        refit=refit,
        minutes=(minutes[0], minutes[1]),
        basis="exact" if exact else "may_matter",
        optimal=old.work.optimal and new.work.optimal,
        tools=tuple(dict.fromkeys((*old.work.tools, *new.work.tools))),
        cautions=tuple(dict.fromkeys((*old.work.cautions, *new.work.cautions))),
    )
