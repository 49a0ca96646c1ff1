"""What stands where, looked up from the part's or the position's side.

Made once per digest from the compiled catalogue and never changed.
"""

from __future__ import annotations

import threading
from collections import Counter, OrderedDict
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace

from bomsvc.core.catalogue.conditions import Condition
from bomsvc.core.catalogue.entities import Part
from bomsvc.core.fasteners.values import Shelf
from bomsvc.core.logic.compiled import Compiled
from bomsvc.core.logic.standing import (
    Key,
    Lit,
    StandingFitment,
    StandingGroup,
    StandingJob,
    StandingJoint,
    StandingPosition,
)
from bomsvc.core.resolve.memory import Memory
from bomsvc.core.resolve.planner import Plans
from bomsvc.core.resolve.sheets import Sheets
from bomsvc.core.resolve.sizing import SizedJoints
from bomsvc.core.resolve.stack import screw_of

_KEPT = 8
_layouts: OrderedDict[str, Layout] = OrderedDict()
_lock = threading.Lock()


@dataclass(frozen=True, slots=True)
class HoleUse:
    """A group whose holes give a position its quantity: nut, stud or washer.

    `per_hole`: how many each hole takes; 2 where the position is in two layers.
    """

    joint: StandingJoint
    group: StandingGroup
    per_hole: int

    @property
    def name(self) -> tuple[Key, str]:
        """The pair that names the group: joint key and group code."""
        return (self.joint.key, self.group.code)


@dataclass(frozen=True, slots=True)
class Includer:
    """A fitment elsewhere whose part brings what sits in this position."""

    position: Key
    fitment: StandingFitment


@dataclass(frozen=True, slots=True, eq=False, weakref_slot=True)
class Layout:
    """Look-ups over one compiled catalogue; compared by identity.

    Attributes:
        parts: Part number to part.
        index: Position key to its place in document order.
        hole_uses: Position key to the groups whose holes give its quantity.
        includers: Position key to the rank 1 fitments that bring its part.
        contents: A rank 1 fitment, by its position and index there, to the positions
            whose parts come inside its part.
        boxes: Positions that have such fitments.
        alternates: Positions that have fitments of rank 2 or more.
        sections: Section code to the positions in it and below, document order.
        sets: Codes of the options of which several choices may hold.
        conditions: Joint key to the conditions behind its literals.
        sized: The joints' screws, each combination of parts sized once.
        sheets: The joints' sheets, each combination drawn once.
        plans: The jobs' plans, each case planned once.
    """

    compiled: Compiled
    parts: Mapping[str, Part]
    index: Mapping[Key, int]
    hole_uses: Mapping[Key, tuple[HoleUse, ...]]
    includers: Mapping[Key, tuple[Includer, ...]]
    contents: Mapping[tuple[Key, int], tuple[Key, ...]]
    boxes: frozenset[Key]
    alternates: frozenset[Key]
    sections: Mapping[str, tuple[Key, ...]]
    sets: frozenset[str]
    conditions: Memory[dict[Lit, Condition]]
    sized: SizedJoints
    sheets: Sheets
    plans: Plans


def layout_of(compiled: Compiled) -> Layout:
    """The look-ups of a compiled catalogue, kept for the last few digests."""
    digest = compiled.catalogue.digest
    with _lock:
        kept = _layouts.get(digest)
        if kept is not None and kept.compiled is compiled:
            _layouts.move_to_end(digest)
            return kept
    made = new_layout(compiled)
    with _lock:
        _layouts[digest] = made
        while len(_layouts) > _KEPT:
            _layouts.popitem(last=False)
    return made


def with_job(layout: Layout, job: StandingJob) -> Layout:
    """The same look-ups on a catalogue that has one more job, by its key.

    For work that no job of the menu names, such as a conversion.
    """
    standing = layout.compiled.standing
    jobs = {**standing.jobs, job.key: job}
    compiled = replace(layout.compiled, standing=replace(standing, jobs=jobs))
    # Who keeps this method (the planner does) then keeps the catalogue, not the job.
    object.__setattr__(compiled, "keys_from", layout.compiled.keys_from)
    return replace(layout, compiled=compiled, plans=Plans(compiled))


def new_layout(compiled: Compiled) -> Layout:
    """The look-ups made afresh, for a compiled catalogue that is not to be kept."""
    parts = {part.number: part for part in compiled.catalogue.parts}
    contents = _contents(compiled, parts)
    positions = compiled.standing.positions
    shelf = Shelf([screw_of(part) for part in parts.values() if part.screw])
    sized = SizedJoints(parts, shelf)
    return Layout(
        compiled=compiled,
        parts=parts,
        index={key: place for place, key in enumerate(positions)},
        hole_uses=_hole_uses(compiled),
        includers=_includers(compiled, parts),
        contents=contents,
        boxes=frozenset(position for position, _ in contents),
        alternates=frozenset(
            key
            for key, position in positions.items()
            if any(f.fitment.rank > 1 for f in position.fitments)
        ),
        sections=_sections(compiled),
        sets=frozenset(
            option.code
            for option in compiled.catalogue.options
            if option.choose == "any"
        ),
        conditions=Memory(len(compiled.standing.joints) + 1),
        sized=sized,
        sheets=Sheets(parts, sized),
        plans=Plans(compiled),
    )


def _hole_uses(compiled: Compiled) -> dict[Key, tuple[HoleUse, ...]]:
    found: dict[Key, list[HoleUse]] = {}
    for joint in compiled.standing.joints.values():
        for group in joint.groups:
            for key, per_hole in hole_positions(group).items():
                found.setdefault(key, []).append(HoleUse(joint, group, per_hole))
    return {key: tuple(uses) for key, uses in found.items()}


def hole_positions(group: StandingGroup) -> Counter[Key]:
    """Positions that hold parts by the hole of this group, and how many a hole."""
    layers = [s.position for s in group.layers if s.layer.per == "hole"]
    return Counter(k for k in (*layers, group.nut, group.stud) if k is not None)


def _includers(
    compiled: Compiled, parts: Mapping[str, Part]
) -> dict[Key, tuple[Includer, ...]]:
    found: dict[Key, list[Includer]] = {}
    for standing, fitment, key in _included(compiled, parts):
        found.setdefault(key, []).append(Includer(standing.key, fitment))
    return {key: tuple(items) for key, items in found.items()}


def _contents(
    compiled: Compiled, parts: Mapping[str, Part]
) -> dict[tuple[Key, int], tuple[Key, ...]]:
    found: dict[tuple[Key, int], list[Key]] = {}
    for standing, fitment, key in _included(compiled, parts):
        found.setdefault((standing.key, fitment.index), []).append(key)
    return {box: tuple(keys) for box, keys in found.items()}


def _included(
    compiled: Compiled, parts: Mapping[str, Part]
) -> Iterator[tuple[StandingPosition, StandingFitment, Key]]:
    """A part of first choice where it sits, with each position that it includes."""
    for standing in compiled.standing.positions.values():
        for fitment in _first_choice(standing.fitments):
            for ref in parts[fitment.fitment.part].includes:
                keys = compiled.keys_from(ref, standing.member, standing.position.each)
                for key in keys:
                    if key != standing.key:
                        yield standing, fitment, key


def _first_choice(fitments: Iterable[StandingFitment]) -> list[StandingFitment]:
    return [f for f in fitments if f.fitment.rank == 1]


def _sections(compiled: Compiled) -> dict[str, tuple[Key, ...]]:
    above = {s.code: s.under for s in compiled.catalogue.sections}
    found: dict[str, list[Key]] = {code: [] for code in above}
    for key, standing in compiled.standing.positions.items():
        code: str | None = standing.position.section
        while code is not None:
            found[code].append(key)
            code = above[code]
    return {code: tuple(keys) for code, keys in found.items()}
