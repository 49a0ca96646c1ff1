"""The screws of a joint for each combination of its parts, each sized once."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from bomsvc.core.catalogue.entities import Group, Joint, Part
from bomsvc.core.fasteners.sizing import BoundGroup, bound_group, choose
from bomsvc.core.fasteners.values import (
    BlindHole,
    GroupStack,
    NutSide,
    Shelf,
    SizedGroup,
    TappedThrough,
)
from bomsvc.core.logic.standing import (
    Lit,
    StandingGroup,
    StandingJoint,
    StandingPosition,
)
from bomsvc.core.resolve.memory import Memory
from bomsvc.core.resolve.stack import (
    Flaw,
    Situation,
    Unsized,
    situation_of,
    stack_of,
)
from bomsvc.core.resolve.view import Vector, View
from bomsvc.core.terms.problems import BadInput

Combination = tuple[Situation, ...]
"""The situations of the groups that exist, in document order."""
Sized = Mapping[str, SizedGroup | Unsized]
"""Group code to its sized screw, or to what keeps it from being sized."""
Bound = BoundGroup | Unsized

_KEPT = 20_000


class SizedJoints:
    """The sized combinations of one catalogue's joints, the latest kept.

    Each stack is bounded once and each combination chosen once. The members of a
    series share their joint's entries: what is sized depends on the parts at the
    holes, not on which member it is.
    """

    def __init__(self, parts: Mapping[str, Part], shelf: Shelf) -> None:
        self._parts = parts
        self._shelf = shelf
        self._sized: Memory[Sized] = Memory(_KEPT)
        self._bound: Memory[Bound] = Memory(_KEPT)
        self._forms: Memory[SizedGroup] = Memory(_KEPT)

    def of(self, joint: Joint, combination: Combination) -> Sized:
        """Size the joint's groups together: the fewest different lengths."""
        return self._sized.get(
            (joint.code, combination), lambda: self._size(joint, combination)
        )

    def stack(self, joint: Joint, situation: Situation) -> GroupStack | None:
        """The stack that was sized there; None where it could not be."""
        group = next(g for g in joint.groups if g.code == situation.group)
        bound = self._one(joint, group, situation)
        return bound.group if isinstance(bound, BoundGroup) else None

    def _size(self, joint: Joint, combination: Combination) -> Sized:
        groups = {group.code: group for group in joint.groups}
        bound = {s.group: self._one(joint, groups[s.group], s) for s in combination}
        ready = {c: b for c, b in bound.items() if isinstance(b, BoundGroup)}
        sized = choose(list(ready.values()))
        chosen = {c: self._one_form(s) for c, s in zip(ready, sized, strict=True)}
        unsized = {c: b for c, b in bound.items() if isinstance(b, Unsized)}
        return {s.group: chosen.get(s.group) or unsized[s.group] for s in combination}

    def _one_form(self, sized: SizedGroup) -> SizedGroup:
        """The one object that stands for all equal forms.

        Whoever compares forms may then compare identities, which is a hundred times
        faster than comparing all their fractions.
        """
        return self._forms.get(sized, lambda: sized)

    def _one(self, joint: Joint, group: Group, situation: Situation) -> Bound:
        return self._bound.get(
            (joint.code, situation),
            lambda: _bounded(stack_of(group, situation, self._parts, self._shelf)),
        )


def _bounded(stack: GroupStack | Unsized) -> Bound:
    if isinstance(stack, Unsized):
        return stack
    if stack.wanted is None and not stack.stated and isinstance(stack.into, _BARE):
        return Unsized((Flaw("screw_none_fits", "no stated screw applies here"),))
    try:
        return bound_group(stack)
    except BadInput as refused:
        return Unsized(tuple(Flaw("screw_unknown", p.detail) for p in refused.problems))


_BARE = (BlindHole, TappedThrough, NutSide)


class CombinationReader:
    """What sits at a joint's groups, case by case.

    The cases repeat the same few fillings of each position, so each filling and each
    group's situation is made once and then found by the columns it depends on.
    """

    def __init__(
        self,
        joint: StandingJoint,
        positions: Mapping[str, StandingPosition],
        lits: tuple[Lit, ...],
        view: View,
    ) -> None:
        self._positions = positions
        self._view = view
        self._lits = lits
        self._groups = [self._columned(group) for group in joint.groups]
        self._made: dict[object, Situation | None] = {}
        self._combinations: dict[tuple[int, ...], Combination] = {}

    def read(self, vector: Vector) -> Combination:
        """The situations of the groups that exist in this case."""
        situations = [self._situation(g, c, vector) for g, c in self._groups]
        key = tuple(map(id, situations))
        found = self._combinations.get(key)
        if found is None:
            found = tuple(s for s in situations if s is not None)
            self._combinations[key] = found
        return found

    def _situation(
        self, group: StandingGroup, columns: tuple[int, ...], vector: Vector
    ) -> Situation | None:
        key = (group.code, tuple([vector[column] for column in columns]))
        if key not in self._made:
            truth = self._view.truth(self._lits, vector)
            exists = truth(group.exists)
            self._made[key] = (
                situation_of(group, self._positions, truth) if exists else None
            )
        return self._made[key]

    def _columned(self, group: StandingGroup) -> tuple[StandingGroup, tuple[int, ...]]:
        read = {abs(lit) for lit in group_literals(group, self._positions)}
        columns = tuple(n for n, lit in enumerate(self._lits) if abs(lit) in read)
        return group, columns


def joint_literals(
    joint: StandingJoint, positions: Mapping[str, StandingPosition]
) -> tuple[Lit, ...]:
    """Every condition that the joint's stacks depend on, each once."""
    lits = (lit for group in joint.groups for lit in group_literals(group, positions))
    return tuple(dict.fromkeys(lits))


def group_literals(
    group: StandingGroup, positions: Mapping[str, StandingPosition]
) -> Iterator[Lit]:
    """Every condition that what sits at the group depends on."""
    yield group.exists
    keys = [s.position for s in group.layers]
    keys += [k for k in (group.into, group.nut, group.stud) if k is not None]
    for key in keys:
        for fitment in positions[key].fitments:
            if fitment.fitment.rank == 1:
                yield fitment.applies
    for stated in group.stated:
        yield stated.applies
