"""Which steps of a case can be done at all, and what each of the others lacks."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from bomsvc.core.logic.standing import Key
from bomsvc.core.work.case import Case, CaseStep, Requirement
from bomsvc.core.work.cover import Cover, bits, largest_valid, mask_of


@dataclass(frozen=True, slots=True)
class Possible:
    """The steps of the largest set that can be done by itself.

    `lacking`: per step outside of it, a requirement that none of these steps meets.
    What is owed lacks only what was ruled out before, so a chain of lacking
    requirements ends, or runs in a circle of needs.
    """

    steps: frozenset[Key]
    lacking: Mapping[Key, Requirement]

    def meets(self, requirement: Requirement) -> bool:
        """Whether some step that can be done meets the requirement."""
        return not self.steps.isdisjoint(requirement.ways)


def possible_in(case: Case) -> Possible:
    """Return the steps of a case that can be done, whatever the roots ask for."""
    keys = tuple(case.steps)
    number = {key: n for n, key in enumerate(keys)}
    asked = [_by_mask(case.steps[key], number) for key in keys]
    cover = Cover(
        minutes=(0,) * len(keys),
        ranks=tuple(range(len(keys))),
        steps=(1 << len(keys)) - 1,
        first=tuple(tuple(needs) for needs, _ in asked),
        owed=tuple(tuple(owed) for _, owed in asked),
        roots=(),
    )
    removal = largest_valid(cover, cover.steps)
    return Possible(
        steps=frozenset(keys[n] for n in bits(removal.alive)),
        lacking={
            keys[n]: {**asked[n][1], **asked[n][0]}[mask]
            for n, mask in removal.witness.items()
        },
    )


ByMask = dict[int, Requirement]


def _by_mask(step: CaseStep, number: Mapping[Key, int]) -> tuple[ByMask, ByMask]:
    """Return needs and what is owed, without what the step meets by being done."""
    own = step.standing.key
    needs, owed = (
        {
            mask_of(number[way] for way in requirement.ways): requirement
            for requirement in reversed(requirements)
            if own not in requirement.ways
        }
        for requirements in (step.needs, step.owed)
    )
    return needs, owed
