"""The revision under proof, turned round for the checks: literals, labels, places."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from functools import cached_property

from bomsvc.core.catalogue.conditions import Condition
from bomsvc.core.catalogue.entities import Part
from bomsvc.core.logic.compiled import Compiled
from bomsvc.core.logic.naming import NOBODY, Owner
from bomsvc.core.logic.standing import Key, Lit, StandingJoint, StandingPosition
from bomsvc.core.logic.translate import Translator
from bomsvc.core.logic.tree import OptionTree
from bomsvc.core.prove.circuit import Circuit


class Subject:
    """One compiled revision with the circuit that its checks build on.

    Attributes:
        compiled: The revision as compiled.
        circuit: Where checks make their literals; read before any is settled.
        by_form: Whether what the form of conditions rules out need not be asked.
    """

    def __init__(self, compiled: Compiled, *, by_form: bool = True) -> None:
        self.compiled = compiled
        self.by_form = by_form
        self.catalogue = compiled.catalogue
        self.standing = compiled.standing
        self.circuit = Circuit(compiled.model)
        self.parts: Mapping[str, Part] = {p.number: p for p in self.catalogue.parts}
        self._filled: dict[Key, Lit] = {}

    def filled(self, position: Key) -> Lit:
        """Return the literal of "something of rank 1 sits there"."""
        found = self._filled.get(position)
        if found is None:
            standing = self.standing.positions[position]
            found = self._filled[position] = self.circuit.any_of(applying(standing))
        return found

    def condition(self, condition: Condition, each: str | None, member: int | None
                  ) -> Lit:  # fmt: skip
        """Return a condition's own literal, seen from its owner."""
        owner = NOBODY if each is None else Owner(each, member)
        return self._translator.literal(condition, owner)

    def members(self, each: str | None) -> tuple[int | None, ...]:
        """Return the members of a series; (None,) for none."""
        if each is None:
            return (None,)
        return tuple(range(1, self.catalogue.family.series[each] + 1))

    def pointer(self, kind: str, code: str, *more: object) -> str:
        """Return the JSON pointer of an item of a list, and deeper."""
        place = f"/{kind}/{self._index[kind][code]}"
        return "".join((place, *(f"/{part}" for part in more)))

    def label(self, key: Key) -> str:
        """Return a position's label, with its member where it has one."""
        standing = self.standing.positions[key]
        return member_label(
            standing.position.label, standing.position.each, standing.member
        )

    def step_label(self, key: Key) -> str:
        """Return a step's label, with its member where it has one."""
        standing = self.standing.steps[key]
        return member_label(standing.step.label, standing.step.each, standing.member)

    def part_name(self, number: str) -> str:
        """Return a part as "W40.1187 (Oil pan, rear)"."""
        return f"{number} ({self.parts[number].name})"

    @cached_property
    def _translator(self) -> Translator:
        compiled = self.compiled
        tree = OptionTree(
            compiled.options,
            compiled.model.structure,
            compiled.intervals,
            compiled.thresholds,
        )
        return Translator(tree, compiled.names.options, self.circuit)

    @cached_property
    def _index(self) -> Mapping[str, Mapping[str, int]]:
        document = self.catalogue
        kinds = {
            "options": document.options,
            "rules": document.rules,
            "positions": document.positions,
            "joints": document.joints,
            "steps": document.steps,
            "jobs": document.jobs,
        }
        found = {k: {i.code: n for n, i in enumerate(v)} for k, v in kinds.items()}  # type: ignore[attr-defined]
        found["parts"] = {part.number: n for n, part in enumerate(document.parts)}
        return found


def applying(position: StandingPosition) -> tuple[Lit, ...]:
    """Return the literals of the position's fitments of rank 1."""
    return tuple(f.applies for f in position.fitments if f.fitment.rank == 1)


def member_label(label: str, each: str | None, member: int | None) -> str:
    """Return `Upper main bearing (main 4)`."""
    return label if member is None else f"{label} ({each} {member})"


def joint_label(joint: StandingJoint) -> str:
    """Return a joint's label, with its member where it has one."""
    return member_label(joint.joint.label, joint.joint.each, joint.member)


def listed(words: Iterable[str], most: int = 4) -> str:
    """Return `a, b and c`, or the first few "and 5 more"."""
    words = list(words)
    if len(words) > most:
        words = [*words[: most - 1], f"{len(words) - most + 1} more"]
    if len(words) < 2:  # noqa: PLR2004 - nothing to join
        return "".join(words)
    return f"{', '.join(words[:-1])} and {words[-1]}"
