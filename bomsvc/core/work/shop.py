"""What the work depends on, looked up fast: one per compiled revision.

A `Shop` turns the standing catalogue round: which steps free a position (by name,
by opening a joint it seals or fastens, by loosening a group it fastens), which
joints a position seals, and what matters to the work about the parts that may
sit in a position (`Traits`).

How the document is read where it leaves room:

* Opening a joint frees its seals and its hardware: nuts, washers (layers `per:
  hole`) and studs that do not stay. Loosening a group frees its nuts and washers,
  not the joint's seals and not the studs.
* A seal is a position that a joint of the build lists among its `seals`; any other
  part that must not be used again says `reuse: single`.
"""

from __future__ import annotations

import re
import weakref
from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import NamedTuple, Protocol, TypeVar

from bomsvc.core.catalogue.entities import Catalogue, Part, Ref
from bomsvc.core.logic.standing import (
    FALSE,
    TRUE,
    Key,
    Lit,
    Standing,
    StandingFitment,
    StandingGroup,
    StandingPosition,
)
from bomsvc.core.work.case import CaseStep
from bomsvc.core.work.recall import Recall
from bomsvc.core.work.values import FreedHow

K = TypeVar("K")
V = TypeVar("V")


class Revision(Protocol):
    """The part of a compiled revision that planning reads."""

    @property
    def catalogue(self) -> Catalogue:
        """The document."""

    @property
    def standing(self) -> Standing:
        """The document unrolled over its series."""

    def keys_from(
        self, ref: Ref, member: int | None, each: str | None
    ) -> tuple[Key, ...]:
        """Resolve a part's reference, seen from the position it sits in."""


class Way(NamedTuple):
    """A step that frees a position where the step and `given` hold."""

    step: Key
    given: Lit
    how: FreedHow
    through: Key | None


class Hardware(NamedTuple):
    """A place of a position in a group: nut, washer, stud or clamped layer.

    `loosening_frees`: taking the screws out is enough.
    """

    joint: Key
    group: str
    exists: Lit
    loosening_frees: bool


@dataclass(frozen=True, slots=True)
class Traits:
    """What matters to the work about what sits in a position."""

    single: bool = False
    keeps_something: bool = False
    """Some part in it may be used again."""
    renew_with: tuple[Key, ...] = ()
    includes: tuple[Key, ...] = ()
    single_renew_with: tuple[Key, ...] = ()
    single_includes: tuple[Key, ...] = ()
    """The same of its single-use parts only."""


NO_TRAITS = Traits()


@dataclass(frozen=True, slots=True)
class Occupants:
    """Which parts may sit in a position, as far as the work can tell them apart.

    Attributes:
        filled: Some literal of these holds exactly when something sits there.
        usual: Traits where none of `others` applies.
        others: (literal, traits) of the fitments that differ from the usual.
    """

    filled: tuple[Lit, ...]
    usual: Traits
    others: tuple[tuple[Lit, Traits], ...]


NOBODY_SITS = Occupants((), NO_TRAITS, ())


class Shop:
    """The standing catalogue turned round for planning; immutable but for memos."""

    def __init__(self, revision: Revision) -> None:
        self.standing = revision.standing
        self.parts: Mapping[str, Part] = {p.number: p for p in revision.catalogue.parts}
        self._keys_from = revision.keys_from
        self._named = _inverse((s.key, s.frees) for s in self.standing.steps.values())
        self.openers = _inverse((s.key, s.opens) for s in self.standing.steps.values())
        self._looseners = _inverse(
            (s.key, s.loosens) for s in self.standing.steps.values()
        )
        self.sealed_by = _inverse(
            (j.key, j.seals) for j in self.standing.joints.values()
        )
        self._hardware = self._hardware_places()
        self.clamped_in = self._clamped_layers()
        self._ways: dict[Key, tuple[Way, ...]] = {}
        self._occupants: dict[Key, Occupants] = {}
        self.code_order = code_order(self.standing.steps)
        self.place_of = {key: n for n, key in enumerate(self.standing.positions)}
        self.recalled: dict[Key, Recall[CaseStep]] = {}

    def ways_to_free(self, position: Key) -> tuple[Way, ...]:
        """Return every way to free a position: named, then joints, then groups."""
        found = self._ways.get(position)
        if found is None:
            found = self._ways[position] = tuple(self._all_ways(position))
        return found

    def occupants(self, position: Key) -> Occupants:
        """Return what may sit in a position, told apart as far as work needs."""
        found = self._occupants.get(position)
        if found is None:
            standing = self.standing.positions.get(position)
            found = NOBODY_SITS if standing is None else self._told_apart(standing)
            self._occupants[position] = found
        return found

    def _all_ways(self, position: Key) -> Iterable[Way]:
        joints = self.standing.joints
        for step in self._named.get(position, ()):
            yield Way(step, TRUE, "step", None)
        for joint in self.sealed_by.get(position, ()):
            for step in self.openers.get(joint, ()):
                yield Way(step, joints[joint].exists, "joint", joint)
        for place in self._hardware.get(position, ()):
            for step in self.openers.get(place.joint, ()):
                yield Way(step, place.exists, "joint", place.joint)
            if place.loosening_frees:
                for step in self._looseners.get((place.joint, place.group), ()):
                    yield Way(step, place.exists, "group", place.joint)

    def _hardware_places(self) -> Mapping[Key, list[Hardware]]:
        places: dict[Key, list[Hardware]] = defaultdict(list)
        for joint in self.standing.joints.values():
            for group in joint.groups:
                for position, loose in hardware_of(group, joint.seals):
                    places[position].append(
                        Hardware(joint.key, group.code, group.exists, loose)
                    )
        return places

    def _clamped_layers(self) -> Mapping[Key, tuple[tuple[Key, Lit], ...]]:
        """Return, per position, the joints it is a layer of, with the group's lit."""
        return _inverse(
            ((joint.key, group.exists), tuple(layer.position for layer in group.layers))
            for joint in self.standing.joints.values()
            for group in joint.groups
        )

    def _told_apart(self, standing: StandingPosition) -> Occupants:
        likely = [
            (fitment.applies, self._traits(standing, fitment))
            for fitment in standing.fitments
            if fitment.fitment.rank == 1 and fitment.applies != FALSE
        ]
        usual = _most_frequent(traits for _, traits in likely)
        others = tuple((lit, t) for lit, t in likely if t != usual)
        if standing.position.fill == "one":
            # Exactly one fitment applies wherever it exists (the proof sees to
            # it), so what is not another is the usual one.
            return Occupants((standing.exists,), usual, others)
        lits = tuple(dict.fromkeys(lit for lit, _ in likely))
        filled = (standing.exists,) if standing.exists in lits else lits
        if not others:
            return Occupants(filled, usual, ())
        return Occupants(filled, NO_TRAITS, tuple(likely))

    def _traits(self, standing: StandingPosition, fitment: StandingFitment) -> Traits:
        part = self.parts.get(fitment.fitment.part)
        if part is None:
            return NO_TRAITS
        single = part.reuse == "single"
        renew_with = self._resolved(part.renew_with, standing)
        includes = self._resolved(part.includes, standing)
        return Traits(
            single=single,
            keeps_something=not single,
            renew_with=renew_with,
            includes=includes,
            single_renew_with=renew_with if single else (),
            single_includes=includes if single else (),
        )

    def _resolved(
        self, refs: tuple[Ref, ...], seen_from: StandingPosition
    ) -> tuple[Key, ...]:
        each, member = seen_from.position.each, seen_from.member
        keys = (key for ref in refs for key in self._keys_from(ref, member, each))
        return tuple(dict.fromkeys(keys))


def hardware_of(
    group: StandingGroup, seals: tuple[Key, ...]
) -> Iterable[tuple[Key, bool]]:
    """Yield (position, loosening is enough) of a group's nuts, washers and studs."""
    if group.nut is not None:
        yield group.nut, group.nut not in seals
    for layer in group.layers:
        if layer.layer.per == "hole":
            yield layer.position, layer.position not in seals
    if group.stud is not None and group.group.stud and not group.group.stud.stays:
        yield group.stud, False


def code_order(keys: Iterable[Key]) -> Mapping[Key, int]:
    """Rank keys by code, members of a series by number."""
    return {key: rank for rank, key in enumerate(sorted(keys, key=_code_and_member))}


_KEY = re.compile(r"([^\[]*)(?:\[(\d+)\])?")


def _code_and_member(key: Key) -> tuple[str, int]:
    matched = _KEY.fullmatch(key)
    assert matched is not None, key
    return matched[1], int(matched[2] or 0)


def _inverse(pairs: Iterable[tuple[V, tuple[K, ...]]]) -> dict[K, tuple[V, ...]]:
    """Turn (owner, targets) round: target -> owners, in the order given."""
    found: dict[K, dict[V, None]] = defaultdict(dict)
    for owner, targets in pairs:
        for target in targets:
            found[target][owner] = None
    return {target: tuple(owners) for target, owners in found.items()}


def _most_frequent(traits: Iterable[Traits]) -> Traits:
    counts: dict[Traits, int] = {}
    for each in traits:
        counts[each] = counts.get(each, 0) + 1
    return max(counts, key=lambda t: counts[t], default=NO_TRAITS)


_SHOPS: weakref.WeakKeyDictionary[Revision, Shop] = weakref.WeakKeyDictionary()


def shop_of(revision: Revision) -> Shop:
    """Return the revision's shop, made once while the revision is kept."""
    found = _SHOPS.get(revision)
    if found is None:
        found = _SHOPS[revision] = Shop(revision)
    return found
