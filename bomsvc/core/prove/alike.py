"""Combinations of joints sized once however many joints have their like.

What is sized depends on the stacks alone: thicknesses, holes, screws. Joints that
differ in name only, or groups of one joint that are alike, share the work.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from bomsvc.core.catalogue.entities import Joint, Part
from bomsvc.core.fasteners.sizing import BoundGroup, bound_group, choose
from bomsvc.core.fasteners.values import GroupStack, Shelf, SizedGroup, StudInto
from bomsvc.core.resolve.sizing import Combination, Sized, SizedJoints
from bomsvc.core.resolve.stack import Situation, stack_of
from bomsvc.core.terms.problems import BadInput


class AlikeJoints:
    """Sizes combinations; equal ones, by their stacks, once."""

    def __init__(self, parts: Mapping[str, Part], shelf: Shelf) -> None:
        self._parts = parts
        self._shelf = shelf
        self._plain = SizedJoints(parts, shelf)
        self._stacks: dict[tuple[object, Situation], GroupStack | None] = {}
        self._bound: dict[GroupStack, BoundGroup] = {}
        self._sized: dict[tuple[GroupStack, ...], tuple[SizedGroup, ...]] = {}

    def of(self, joint: Joint, combination: Combination) -> Sized:
        """Return each group's screw, or what keeps it from being sized."""
        stacks = [self._stack(joint, situation) for situation in combination]
        known = tuple(stack for stack in stacks if stack is not None)
        if len(known) < len(stacks):
            return self._plain.of(joint, combination)
        try:
            sized = self._all(known)
        except BadInput:
            return self._plain.of(joint, combination)
        return {s.group: one for s, one in zip(combination, sized, strict=True)}

    def _stack(self, joint: Joint, situation: Situation) -> GroupStack | None:
        """Return the stack without its name; None where it is none to be sized."""
        key = (joint.code, situation)
        if key not in self._stacks:
            group = next(g for g in joint.groups if g.code == situation.group)
            stack = stack_of(group, situation, self._parts, self._shelf)
            self._stacks[key] = (
                replace(stack, code="")
                if isinstance(stack, GroupStack) and _has_screw(stack)
                else None
            )
        return self._stacks[key]

    def _all(self, stacks: tuple[GroupStack, ...]) -> tuple[SizedGroup, ...]:
        found = self._sized.get(stacks)
        if found is None:
            found = self._sized[stacks] = choose([self._one(s) for s in stacks])
        return found

    def _one(self, stack: GroupStack) -> BoundGroup:
        found = self._bound.get(stack)
        if found is None:
            found = self._bound[stack] = bound_group(stack)
        return found


def _has_screw(stack: GroupStack) -> bool:
    """Tell whether there is a screw to size: holes may be listed without one."""
    return bool(stack.wanted or stack.stated) or isinstance(stack.into, StudInto)
