"""From the catalogue's pads, holes, studs and nuts to the stacks that are sized.

A `Situation` is what sits at one group of holes in one build, by part numbers;
equal situations of a joint are sized once. What a part does not say (a pad, a
hole) becomes a fault, and the group is then left unsized.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

from bomsvc.core.catalogue.entities import (
    Group,
    Hole,
    NutData,
    Pad,
    Part,
    ScrewWanted,
)
from bomsvc.core.fasteners.names import get_nut_standard
from bomsvc.core.fasteners.threads import get_thread
from bomsvc.core.fasteners.values import (
    BlindHole,
    GroupStack,
    Into,
    Layer,
    NutSide,
    Screw,
    Shelf,
    Stud,
    StudInto,
    TappedThrough,
    Wanted,
)
from bomsvc.core.logic.standing import StandingGroup, StandingPosition
from bomsvc.core.resolve.view import Truth
from bomsvc.core.terms.problems import BadInput

Fitted = tuple[tuple[str, Decimal], ...]
"""The parts of rank 1 that sit in a position, with the quantity of each fitment."""


@dataclass(frozen=True, slots=True)
class Situation:
    """What sits at a group: per layer, in the hole's part, nut, stud; stated screws.

    None: the group has no such place. Empty: the place is empty in this build.
    """

    group: str
    layers: tuple[Fitted, ...]
    into: Fitted | None
    nut: Fitted | None
    stud: Fitted | None
    stated: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Flaw:
    """What is missing for sizing; `what` names the pad, hole or data, in words."""

    code: str
    what: str


@dataclass(frozen=True, slots=True)
class Unsized:
    """A group that cannot be sized, and why."""

    flaws: tuple[Flaw, ...]


def situation_of(
    group: StandingGroup,
    positions: Mapping[str, StandingPosition],
    truth: Truth,
) -> Situation:
    """What sits at the group in the case that `truth` describes."""

    def fitted(key: str | None) -> Fitted | None:
        return None if key is None else fitted_in(positions[key], truth)

    return Situation(
        group=group.code,
        layers=tuple(fitted_in(positions[s.position], truth) for s in group.layers),
        into=fitted(group.into),
        nut=fitted(group.nut),
        stud=fitted(group.stud),
        stated=tuple(s.part for s in group.stated if truth(s.applies)),
    )


def fitted_in(position: StandingPosition, truth: Truth) -> Fitted:
    """The rank 1 parts that sit in the position."""
    return tuple(
        (f.fitment.part, f.fitment.qty)
        for f in position.fitments
        if f.fitment.rank == 1 and truth(f.applies)
    )


def screw_of(part: Part) -> Screw:
    """The part's screw data as the sizing takes it."""
    data = part.screw
    assert data is not None, part.number
    return Screw(
        part=part.number,
        standard=data.standard,
        thread=data.thread,
        length_mm=Fraction(data.length_mm),
        property_class=data.property_class,
        finish=data.finish,
        fully_threaded=data.fully_threaded,
        thread_mm=_fraction(data.thread_mm),
        preferred=data.preferred,
    )


def stack_of(
    group: Group, situation: Situation, parts: Mapping[str, Part], shelf: Shelf
) -> GroupStack | Unsized:
    """The stack to size, or every flaw that keeps it from being sized."""
    flaws: list[Flaw] = []
    layers = _layers(group, situation, parts, flaws)
    into = _into(group, situation, parts, flaws)
    stated = _stated(situation, parts, flaws)
    if into is None or flaws:
        return Unsized(tuple(dict.fromkeys(flaws)))
    return GroupStack(
        code=group.code,
        into=into,
        layers=layers,
        wanted=None if group.screw is None else wanted_of(group.screw),
        hole_count=len(group.holes),
        shelf=shelf,
        stated=stated,
        engagement_mm=_fraction(group.engagement_mm),
        protrusion_mm=_fraction(group.protrusion_mm),
        threads=group.threads,
    )


def wanted_of(screw: ScrewWanted) -> Wanted:
    """What a joint asks for, as the sizing takes it."""
    return Wanted(screw.standard, screw.thread, screw.property_class, screw.finish)


def _layers(
    group: Group,
    situation: Situation,
    parts: Mapping[str, Part],
    flaws: list[Flaw],
) -> tuple[Layer, ...]:
    found: list[Layer] = []
    for layer, fitted in zip(group.layers, situation.layers, strict=True):
        for number, qty in fitted:
            part = parts[number]
            pad = part.pads.get(layer.pad)
            if pad is None:
                flaws.append(_no_pad(part, layer.pad, str(layer.position)))
                continue
            counted = layer.count == "qty" and layer.per == "joint"
            found.append(_layer(part.name, pad, qty if counted else Decimal(1)))
    return tuple(found)


def _no_pad(part: Part, pad: str, position: str) -> Flaw:
    known = f" (it has {', '.join(part.pads)})" if part.pads else ""
    what = f"{part.number} in {position} says no pad {pad!r}{known}"
    return Flaw("pad_missing", what)


def _layer(name: str, pad: Pad, count: Decimal) -> Layer:
    times = Fraction(count)
    free = None if pad.free_mm is None else times * Fraction(pad.free_mm)
    return Layer(
        name=name,
        mm=times * Fraction(pad.mm),
        plus=times * Fraction(pad.plus),
        minus=times * Fraction(pad.minus),
        soft=pad.soft,
        free_mm=free,
    )


def _into(
    group: Group,
    situation: Situation,
    parts: Mapping[str, Part],
    flaws: list[Flaw],
) -> Into | None:
    hole = None if situation.into is None else _hole(group, situation, parts, flaws)
    nut = None if situation.nut is None else _nut(situation.nut, parts, flaws)
    if situation.stud is None:
        return nut if situation.into is None else hole
    stud = _stud(group, situation.stud, parts, flaws)
    if hole is None or nut is None or stud is None:
        return None
    return StudInto(hole, nut, stud)


def _hole(
    group: Group,
    situation: Situation,
    parts: Mapping[str, Part],
    flaws: list[Flaw],
) -> BlindHole | TappedThrough | None:
    name = group.into.hole or ""
    where = str(group.into.position)
    for number, _ in situation.into or ():
        hole = parts[number].holes.get(name)
        if hole is not None:
            return _tapped(hole)
        flaws.append(Flaw("hole_missing", f"{number} in {where} has no hole {name!r}"))
    if not situation.into:
        flaws.append(Flaw("hole_missing", f"nothing sits in {where} to screw into"))
    return None


def _tapped(hole: Hole) -> BlindHole | TappedThrough:
    if hole.form == "blind":
        return _blind(hole)
    assert hole.thickness_mm is not None, "the reader asks for a through hole's"
    return _through(hole, Fraction(hole.thickness_mm))


def _blind(hole: Hole) -> BlindHole:
    return BlindHole(
        thread=hole.thread,
        material=hole.material,
        threaded_mm=_fraction(hole.threaded_mm),
        drilled_mm=_fraction(hole.drilled_mm),
        entry_mm=Fraction(hole.entry_mm),
        entry_plus=Fraction(hole.entry_plus),
        entry_minus=Fraction(hole.entry_minus),
        strength_mpa=_fraction(hole.strength_mpa),
        breaks_into=hole.breaks_into,
    )


def _through(hole: Hole, thickness_mm: Fraction) -> TappedThrough:
    return TappedThrough(
        thread=hole.thread,
        material=hole.material,
        thickness_mm=thickness_mm,
        thickness_plus=Fraction(hole.thickness_plus),
        thickness_minus=Fraction(hole.thickness_minus),
        entry_mm=Fraction(hole.entry_mm),
        entry_plus=Fraction(hole.entry_plus),
        entry_minus=Fraction(hole.entry_minus),
        exit_mm=Fraction(hole.exit_mm),
        strength_mpa=_fraction(hole.strength_mpa),
        breaks_into=hole.breaks_into,
    )


def _nut(
    fitted: Fitted, parts: Mapping[str, Part], flaws: list[Flaw]
) -> NutSide | None:
    data = next((parts[number].nut for number, _ in fitted if parts[number].nut), None)
    if data is None:
        flaws.append(Flaw("hole_missing", "no nut with its data at the thread's end"))
        return None
    if data.height_mm is not None:
        plus, minus = Fraction(data.plus), Fraction(data.minus)
        return NutSide(Fraction(data.height_mm), plus, minus, data.thread)
    return _standard_nut(data, flaws)


def _standard_nut(data: NutData, flaws: list[Flaw]) -> NutSide | None:
    """The nut's height by its standard, as the greatest with what it may lack."""
    try:
        standard = get_nut_standard(data.standard)
        height = standard.height(get_thread(data.thread).short)
    except BadInput as refused:
        flaws += [Flaw("screw_unknown", problem.detail) for problem in refused.problems]
        return None
    if height is None:
        what = f"{data.standard} has no nut for {data.thread}"
        flaws.append(Flaw("screw_unknown", what))
        return None
    least, greatest = height
    return NutSide(greatest, minus=greatest - least, thread=data.thread)


def _stud(
    group: Group, fitted: Fitted, parts: Mapping[str, Part], flaws: list[Flaw]
) -> Stud | None:
    part = next((parts[number] for number, _ in fitted if parts[number].stud), None)
    if part is None or part.stud is None:
        flaws.append(Flaw("hole_missing", "no stud with its data in the hole"))
        return None
    data = part.stud
    return Stud(
        part=part.number,
        hole_thread=data.hole_thread,
        nut_thread=data.nut_thread,
        property_class=data.property_class,
        length_mm=Fraction(data.length_mm),
        plus=Fraction(data.plus),
        minus=Fraction(data.minus),
        set_mm=Fraction(data.set_mm),
        set_plus=Fraction(data.set_plus),
        set_minus=Fraction(data.set_minus),
        stays=group.stud is not None and group.stud.stays,
    )


def _stated(
    situation: Situation, parts: Mapping[str, Part], flaws: list[Flaw]
) -> tuple[Screw, ...]:
    found: list[Screw] = []
    for number in situation.stated:
        if parts[number].screw is None:
            what = f"the stated part {number} says nothing about its screw"
            flaws.append(Flaw("screw_stated_fails", what))
        else:
            found.append(screw_of(parts[number]))
    return tuple(found)


def _fraction(value: Decimal | None) -> Fraction | None:
    return None if value is None else Fraction(value)
