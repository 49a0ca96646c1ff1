"""Which steps lift more than a person should, or an unknown mass.

What a step lifts is its `lift_kg`; where that is absent, the sum of the masses of
what leaves with it: the parts in the positions it frees, times their quantities.
A component, filter, hose or tool of unknown mass makes the sum unknown; a screw or
gasket of unknown mass does not. Where different parts may sit in a position, the
truth of their fitments is asked only where their masses differ and the heaviest
together exceed the limit.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from decimal import Decimal

from bomsvc.core.logic.standing import FALSE, Key, StandingFitment
from bomsvc.core.work.case import CaseStep
from bomsvc.core.work.survey import Survey
from bomsvc.core.work.values import Lifting

WEIGHED_KINDS = frozenset({"component", "filter", "hose", "tool"})


@dataclass(frozen=True, slots=True)
class Load:
    """The most that can leave, kg; `unknown`: some mass may be unknown."""

    most: Decimal = Decimal(0)
    unknown: bool = False

    def __add__(self, other: Load) -> Load:
        return Load(self.most + other.most, self.unknown or other.unknown)


def lifting_of(
    survey: Survey, steps: Iterable[CaseStep], limit_kg: Decimal
) -> Iterator[Lifting]:
    """Yield the cautions of these steps, in their order."""
    for step in steps:
        stated = step.standing.step.lift_kg
        load = _load(survey, step, limit_kg) if stated is None else Load(stated)
        if load.unknown or load.most > limit_kg:
            mass = None if load.unknown else load.most
            yield Lifting(step.standing.key, mass, stated=stated is not None)


def note_literals(survey: Survey, step: CaseStep, limit_kg: Decimal) -> None:
    """Make the survey note the literals that decide on the step's caution."""
    if step.standing.step.lift_kg is None:
        _load(survey, step, limit_kg)


def _load(survey: Survey, step: CaseStep, limit_kg: Decimal) -> Load:
    """Return the load: exact where it may be too much, else the most it can be."""
    positions = [freed.position for freed in step.freed if freed.how == "step"]
    heaviest = sum((_heaviest(survey, p) for p in positions), Load())
    if heaviest.most <= limit_kg and not heaviest.unknown:
        return heaviest
    return sum((_exact(survey, p) for p in positions), Load())


def _heaviest(survey: Survey, position: Key) -> Load:
    masses = [_mass(survey, f) for f in _fitments(survey, position)]
    known = [mass for mass in masses if mass is not None]
    several = survey.shop.standing.positions[position].position.fill == "several"
    most = sum(known, Decimal(0)) if several else max(known, default=Decimal(0))
    return Load(most, unknown=len(known) < len(masses))


def _exact(survey: Survey, position: Key) -> Load:
    """Return the load of what sits there, asking only where masses differ."""
    fitments = _fitments(survey, position)
    several = survey.shop.standing.positions[position].position.fill == "several"
    if len({_mass(survey, f) for f in fitments}) <= 1 and not several:
        return _heaviest(survey, position)
    masses = [_mass(survey, f) for f in fitments if survey.may(f.applies)]
    known = [mass for mass in masses if mass is not None]
    return Load(sum(known, Decimal(0)), unknown=len(known) < len(masses))


def _fitments(survey: Survey, position: Key) -> list[StandingFitment]:
    standing = survey.shop.standing.positions[position]
    return [f for f in standing.fitments if f.fitment.rank == 1 and f.applies != FALSE]


def _mass(survey: Survey, fitment: StandingFitment) -> Decimal | None:
    part = survey.shop.parts.get(fitment.fitment.part)
    if part is None:
        return None
    if part.mass_kg is None:
        return None if part.kind in WEIGHED_KINDS else Decimal(0)
    return part.mass_kg * fitment.fitment.qty
