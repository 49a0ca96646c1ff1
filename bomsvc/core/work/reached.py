"""What a job's plan looks at in any build: the steps and positions it can reach."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from bomsvc.core.logic.standing import Key
from bomsvc.core.work.shop import Revision, Shop, Traits, Way, shop_of
from bomsvc.core.work.survey import Survey
from bomsvc.core.work.walk import case_of


@dataclass(frozen=True, slots=True)
class Reached:
    """Keys in the order met.

    Attributes:
        steps: Steps that may be done, or whose existence the plan asks about.
        positions: Positions the plan asks about: what sits there, how it comes off.
    """

    steps: tuple[Key, ...]
    positions: tuple[Key, ...]


def reached_by(revision: Revision, job: Key) -> Reached:
    """Return everything that the job's plan can depend on in some build."""
    survey = _Noting(shop_of(revision))
    case = case_of(survey, [job], [])
    renewed = [position for position, _ in case.renews]
    renewed += [p for step in case.steps.values() for p, _ in step.renews]
    for position in dict.fromkeys(renewed):
        _walk(survey.renewed_with(position))
        _walk(survey.included_with(position))
    survey.steps.update(dict.fromkeys(case.steps))
    return Reached(tuple(survey.steps), tuple(survey.positions))


def _walk(found: Iterable[object]) -> None:
    for _ in found:
        pass


class _Noting(Survey):
    """A survey in which everything is open; notes what it is asked about."""

    def __init__(self, shop: Shop) -> None:
        super().__init__(shop, lambda _: None)
        self.steps: dict[Key, None] = {}
        self.positions: dict[Key, None] = {}

    def filled(self, position: Key) -> bool:
        self.positions[position] = None
        return super().filled(position)

    def traits(self, position: Key) -> Traits:
        self.positions[position] = None
        return super().traits(position)

    def is_seal(self, position: Key) -> bool:
        self.positions[position] = None
        return super().is_seal(position)

    def outright_ways(self, position: Key) -> list[Way]:
        self.positions[position] = None
        return super().outright_ways(position)

    def step_exists(self, step: Key) -> bool:
        self.steps[step] = None
        return super().step_exists(step)
