"""Where a part fits: places with the builds in which it does, in the fewest words.

For a family the answer covers every valid build; for an engine it is yes, no, or
what to ask.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Literal

from bomsvc.core.catalogue.conditions import ALWAYS, Condition, print_condition
from bomsvc.core.catalogue.entities import Group, Part
from bomsvc.core.fasteners.threads import find_thread
from bomsvc.core.fasteners.values import SizedGroup
from bomsvc.core.logic.condition_words import condition_sentence
from bomsvc.core.logic.cover_words import cover_condition, cover_sentence
from bomsvc.core.logic.deciding import Outcomes
from bomsvc.core.logic.known import NOTHING, Known
from bomsvc.core.logic.questions import Question, ToMeasure
from bomsvc.core.logic.reasoner import Reasoner
from bomsvc.core.logic.standing import Key, Lit, StandingGroup, StandingJoint
from bomsvc.core.resolve.figures import readable
from bomsvc.core.resolve.layout import Layout, layout_of
from bomsvc.core.resolve.lines import Place
from bomsvc.core.resolve.sizing import CombinationReader, Sized, joint_literals
from bomsvc.core.resolve.studies import JOINT_CASES
from bomsvc.core.resolve.view import Vector, View
from bomsvc.core.resolve.worded import all_hold, condition_for, plainly

Role = Literal["fitted", "alternate", "stated", "screw", "used"]
Answer = Literal["yes", "no", "ask"]
COVER_TERMS = 50


@dataclass(frozen=True, slots=True)
class FitPlace:
    """A place the part fits in some valid build.

    Attributes:
        role: `fitted` (rank 1), `alternate` (a higher rank), `stated` or computed
            `screw` of a group, `used` by a step.
        label: The position's, joint's or step's label.
        qty: In the part's unit; for a screw as many as the group has holes.
        when: In which builds, as a condition of the document's language.
        words: The same as a sentence.
        complete: Whether `when` names all of them.
        rank: The fitment's rank, for positions.
    """

    place: Place
    role: Role
    label: str
    qty: Decimal
    when: str
    words: str
    complete: bool
    rank: int = 1


@dataclass(frozen=True, slots=True)
class Fits:
    """All places of a part in one family; `sold_in`: sets that contain it."""

    part: str
    name: str
    places: tuple[FitPlace, ...]
    sold_in: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class EngineFitPlace:
    """A place on one engine; `state` open: `decided_by` settles it."""

    place: Place
    role: Role
    label: str
    state: Literal["certain", "open"]
    decided_by: tuple[Key, ...]


@dataclass(frozen=True, slots=True)
class EngineFits:
    """Whether the part fits an engine, where, and what to ask when open."""

    part: str
    answer: Answer
    places: tuple[EngineFitPlace, ...]
    questions: tuple[Question, ...]
    to_measure: tuple[ToMeasure, ...]


@dataclass(frozen=True, slots=True)
class Spot:
    """A place with the literal under which the part is there, and its condition."""

    place: Place
    role: Role
    label: str
    qty: Decimal
    lit: Lit
    condition: Condition
    rank: int = 1


@dataclass(frozen=True, slots=True)
class Screwed:
    """A group whose sizing takes the part in some cases of the joint."""

    joint: StandingJoint
    group: StandingGroup
    lits: tuple[Lit, ...]
    vectors: tuple[Vector, ...]
    taken: tuple[bool, ...]
    complete: bool


def fits(reasoner: Reasoner, number: str) -> Fits:
    """Where a part of this family fits, over all valid builds.

    Args:
        reasoner: The family's reasoner.
        number: The part's number, as the catalogue writes it.

    Raises:
        KeyError: The catalogue has no such part.
    """
    layout = layout_of(reasoner.compiled)
    part = layout.parts[number]
    view = View(reasoner, NOTHING)
    spots = [_in_words(reasoner, s) for s in spots_of(layout, number)]
    screws = [_screw_in_words(layout, s) for s in screwed_groups(view, layout, part)]
    found = [place for place in (*spots, *screws) if place is not None]
    return Fits(number, part.name, tuple(found), _sold_in(layout, number))


def fits_engine(reasoner: Reasoner, known: Known, number: str) -> EngineFits:
    """Whether the part fits this engine: yes somewhere, no, or what to ask.

    The answers must be consistent.

    Raises:
        KeyError: The catalogue has no such part.
    """
    layout = layout_of(reasoner.compiled)
    view = View(reasoner, known)
    places: list[EngineFitPlace] = []
    outcomes: list[Outcomes] = []
    spots = list(spots_of(layout, number))
    view.look(spot.lit for spot in spots)
    for spot in spots:
        state = view.state(spot.lit)
        if state != "excluded":
            asked = Outcomes((spot.lit,))
            decided = () if state == "certain" else reasoner.deciding(known, [asked])
            outcomes += [asked] if state == "open" else []
            places.append(
                EngineFitPlace(spot.place, spot.role, spot.label, state, decided)
            )
    for screw in screwed_groups(view, layout, layout.parts[number]):
        place, more = _on_engine(reasoner, known, screw)
        places.append(place)
        outcomes += more
    sure = any(place.state == "certain" for place in places)
    answer: Answer = "yes" if sure else "ask" if places else "no"
    return EngineFits(
        part=number,
        answer=answer,
        places=tuple(places),
        questions=reasoner.questions(known, outcomes) if outcomes else (),
        to_measure=reasoner.to_measure(known, outcomes) if outcomes else (),
    )


def _on_engine(
    reasoner: Reasoner, known: Known, screw: Screwed
) -> tuple[EngineFitPlace, list[Outcomes]]:
    place, label = _group_place(screw.joint, screw.group)
    if screw.complete and all(screw.taken):
        return EngineFitPlace(place, "screw", label, "certain", ()), []
    if screw.complete:
        table = dict(zip(screw.vectors, map(int, screw.taken), strict=True))
        outcomes = [Outcomes(screw.lits, table)]
    else:
        outcomes = [Outcomes((lit,)) for lit in screw.lits]
    decided = reasoner.deciding(known, outcomes)
    return EngineFitPlace(place, "screw", label, "open", decided), outcomes


def spots_of(layout: Layout, number: str) -> Iterator[Spot]:
    """Fitments, stated screws and uses of the part, document order."""
    yield from fitted_spots(layout, number)
    yield from _stated_spots(layout, number)
    for step in layout.compiled.standing.steps.values():
        for use in step.uses:
            if use.use.part == number:
                place = Place("step", step.key)
                yield Spot(
                    place,
                    "used",
                    step.step.label,
                    use.use.qty,
                    use.applies,
                    all_hold((step.step.exists, use.use.when)),
                )


def fitted_spots(layout: Layout, number: str) -> Iterator[Spot]:
    """The fitments of the part, of every rank, document order."""
    for position in layout.compiled.standing.positions.values():
        for fitment in position.fitments:
            entry = fitment.fitment
            if entry.part == number:
                yield Spot(
                    Place("position", position.key),
                    "fitted" if entry.rank == 1 else "alternate",
                    position.position.label,
                    entry.qty,
                    fitment.applies,
                    all_hold((position.position.exists, entry.when or ALWAYS)),
                    entry.rank,
                )


def _stated_spots(layout: Layout, number: str) -> Iterator[Spot]:
    for joint in layout.compiled.standing.joints.values():
        for group in joint.groups:
            for standing, stated in zip(group.stated, group.group.stated, strict=True):
                if stated.part == number:
                    yield _stated_spot(joint, group, standing.applies, stated.when)


def _stated_spot(
    joint: StandingJoint, group: StandingGroup, lit: Lit, when: Condition
) -> Spot:
    place, label = _group_place(joint, group)
    condition = all_hold((joint.joint.exists, group.group.exists, when))
    qty = Decimal(len(group.group.holes))
    return Spot(place, "stated", label, qty, lit, condition)


def _group_place(joint: StandingJoint, group: StandingGroup) -> tuple[Place, str]:
    holes = tuple(hole.hole for hole in group.group.holes)
    label = group.group.label
    whole = joint.joint.label if label is None else f"{joint.joint.label}, {label}"
    return Place("joint", joint.key, group.code, holes), whole


def _in_words(reasoner: Reasoner, spot: Spot) -> FitPlace | None:
    """The spot with its builds in words; None where no valid build has it."""
    if not reasoner.possible(NOTHING, (spot.lit,)):
        return None
    cover = reasoner.cover(NOTHING, spot.lit, limit=COVER_TERMS)
    compiled = reasoner.compiled
    return FitPlace(
        place=spot.place,
        role=spot.role,
        label=spot.label,
        qty=spot.qty,
        when=print_condition(cover_condition(compiled, cover)),
        words=cover_sentence(compiled, cover),
        complete=cover.complete,
        rank=spot.rank,
    )


def screwed_groups(view: View, layout: Layout, part: Part) -> Iterator[Screwed]:
    """Groups whose sizing takes the part (not stated) in some remaining build."""
    if part.screw is None:
        return
    standing = layout.compiled.standing
    for joint in standing.joints.values():
        wanted = [g for g in joint.groups if _may_want(g.group, part)]
        if wanted:
            lits = view.open_among(joint_literals(joint, standing.positions))
            cases = view.cases(lits, limit=JOINT_CASES)
            reader = CombinationReader(joint, standing.positions, lits, view)
            combinations = [reader.read(vector) for vector in cases.vectors]
            sized = [layout.sized.of(joint.joint, one) for one in combinations]
            for group in wanted:
                taken = tuple(_takes(one, group.code, part.number) for one in sized)
                if any(taken) or not cases.complete:
                    yield Screwed(
                        joint, group, lits, cases.vectors, taken, cases.complete
                    )


def _may_want(group: Group, part: Part) -> bool:
    """Whether the group could ask for this screw, going by its thread."""
    if part.screw is None or group.screw is None:
        return False
    mine, theirs = find_thread(part.screw.thread), find_thread(group.screw.thread)
    return mine is not None and mine == theirs


def _takes(sized: Sized, group: str, number: str) -> bool:
    form = sized.get(group)
    if not isinstance(form, SizedGroup) or form.chosen is None:
        return False
    return form.chosen.part == number and form.chosen.origin == "catalogue"


def _screw_in_words(layout: Layout, screw: Screwed) -> FitPlace:
    place, label = _group_place(screw.joint, screw.group)
    lits, vectors, texts = readable(layout, screw.joint.key, screw.lits, screw.vectors)
    condition = plainly(condition_for(lits, vectors, screw.taken, texts), layout.sets)
    when = print_condition(condition)
    words = condition_sentence(layout.compiled, condition)
    if not any(screw.taken):
        words = "Not in the cases looked at."
    more = "" if screw.complete else " There are more cases, not listed."
    return FitPlace(
        place=place,
        role="screw",
        label=label,
        qty=Decimal(len(screw.group.group.holes)),
        when=when,
        words=f"{words}{more}",
        complete=screw.complete,
    )


def _sold_in(layout: Layout, number: str) -> tuple[str, ...]:
    sets: Sequence[str] = [
        part.sold_as.number
        for part in layout.parts.values()
        if part.sold_as is not None
        and any(content.part == number for content in part.sold_as.contents)
    ]
    return tuple(dict.fromkeys(sets))
