"""The screws of a joint for each combination of its parts, each sized once."""

from __future__ import annotations

from collections.abc import Mapping

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
from bomsvc.core.logic.standing import Lit, StandingJoint, StandingPosition
from bomsvc.core.resolve.memory import Memory
from bomsvc.core.resolve.stack import (
    Flaw,
    Situation,
    Unsized,
    situation_of,
    stack_of,
)
from bomsvc.core.resolve.view import Truth
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
        # Holes without a screw of their own: there is nothing to size.
        return Unsized(())
    try:
        return bound_group(stack)
    except BadInput as refused:
        return Unsized(tuple(Flaw("screw_unknown", p.detail) for p in refused.problems))


_BARE = (BlindHole, TappedThrough, NutSide)


def combination_of(
    joint: StandingJoint, positions: Mapping[str, StandingPosition], truth: Truth
) -> Combination:
    """What sits at the joint's existing groups in the case of `truth`."""
    return tuple(
        situation_of(group, positions, truth)
        for group in joint.groups
        if truth(group.exists)
    )


def joint_literals(
    joint: StandingJoint, positions: Mapping[str, StandingPosition]
) -> tuple[Lit, ...]:
    """Every condition that the joint's stacks depend on, each once."""
    found: dict[Lit, None] = {}
    for group in joint.groups:
        found[group.exists] = None
        keys = [s.position for s in group.layers]
        keys += [k for k in (group.into, group.nut, group.stud) if k is not None]
        for key in keys:
            fitments = positions[key].fitments
            found.update((f.applies, None) for f in fitments if f.fitment.rank == 1)
        found.update((s.applies, None) for s in group.stated)
    return tuple(found)
