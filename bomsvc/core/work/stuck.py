"""Why a job cannot be done in a case: what no step frees, what waits in a circle.

From each requirement of the jobs that no valid set meets, every way in is followed
down to what stops it: a position that no step of the build frees, a joint that no
step opens, or steps that wait on one another whichever way is taken.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from bomsvc.core.logic.standing import Key
from bomsvc.core.work.case import Case, Requirement
from bomsvc.core.work.possible import Possible
from bomsvc.core.work.values import Stuck, StuckReason


def stuck_because(case: Case, possible: Possible) -> Stuck:
    """Return every distinct reason, in the order of the jobs.

    Args:
        case: The case, with at least one root that no step of `possible` meets.
        possible: What can be done at all.
    """
    reasons: dict[tuple[str, tuple[Key, ...]], StuckReason] = {}
    for root in case.roots:
        if not possible.meets(root):
            for reason in _Descent(case, possible).reasons(root):
                reasons.setdefault((reason.code, reason.items), reason)
    assert reasons, "nothing stands in the way"
    return Stuck(tuple(reasons.values()))


class _Descent:
    """Follows one root down; each step is followed once."""

    def __init__(self, case: Case, possible: Possible) -> None:
        self._case = case
        self._possible = possible
        self._unmet: dict[Key, Requirement] = {}

    def reasons(self, root: Requirement) -> Iterator[StuckReason]:
        found = list(self._leaves(root))
        yield from found
        if not found:
            yield self._circle(root)

    def _leaves(self, root: Requirement) -> Iterator[StuckReason]:
        """Yield what nothing frees or opens, with the chain that wants it."""
        pending: list[tuple[Requirement, tuple[Key, ...]]] = [(root, (root.reason.by,))]
        while pending:
            requirement, chain = pending.pop(0)
            if not requirement.ways:
                if self._waits_on_itself(requirement):
                    items = (requirement.reason.by,)
                    yield StuckReason("needs_cycle", items, chain)
                else:
                    yield _nothing_does(requirement, chain)
            for way in requirement.ways:
                if way not in self._unmet:
                    self._unmet[way] = unmet = self._first_unmet(way)
                    pending.append((unmet, (*chain, way)))

    def _waits_on_itself(self, requirement: Requirement) -> bool:
        """Whether the only step that could meet a step's need is that step."""
        reason = requirement.reason
        if reason.cause != "need":
            return False
        freed = self._case.steps[reason.by].freed
        return reason.item == reason.by or any(
            each.position == reason.item for each in freed
        )

    def _first_unmet(self, step: Key) -> Requirement:
        """Return the step's requirement to follow: hopeless before waiting."""
        every = self._case.steps[step].requirements()
        hopeless = (requirement for requirement in every if not requirement.ways)
        return next(hopeless, self._possible.lacking[step])

    def _circle(self, root: Requirement) -> StuckReason:
        """Return a circle of steps that wait on one another, and the way to it."""
        chain: list[Key] = []
        requirement = root
        while True:
            way = requirement.ways[0]
            if way in chain:
                start = chain.index(way)
                circle = _from_least(chain[start:])
                wanted_by = (root.reason.by, *chain[:start])
                return StuckReason("needs_cycle", circle, wanted_by)
            chain.append(way)
            requirement = self._unmet[way]


def _nothing_does(requirement: Requirement, chain: tuple[Key, ...]) -> StuckReason:
    reason = requirement.reason
    if reason.cause == "reseal":
        return StuckReason("joint_never_opened", (reason.item,), chain)
    return StuckReason("position_stuck", (reason.item,), chain)


def _from_least(circle: Sequence[Key]) -> tuple[Key, ...]:
    start = min(range(len(circle)), key=lambda n: circle[n])
    return (*circle[start:], *circle[:start])
