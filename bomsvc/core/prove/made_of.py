"""Where what a thing is made of differs between two revisions.

Cheap and generous: the outcome of a place can only differ in builds in which
something that it is made of differs. So these conditions say where to look, never
what differs. Each place is laid out as things, each with the condition under which
it is there; equal things are compared by their conditions alone.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping

from bomsvc.core.catalogue.entities import Part
from bomsvc.core.logic.gates import Gates, negated
from bomsvc.core.logic.standing import (
    FALSE,
    TRUE,
    Key,
    Lit,
    StandingGroup,
    StandingPosition,
)
from bomsvc.core.prove.facts import (
    OnOffer,
    bare_group,
    bare_joint,
    engineering_of,
    facts_of,
)
from bomsvc.core.resolve.items import includer_closure
from bomsvc.core.resolve.layout import Layout, hole_positions
from bomsvc.core.work.reached import Reached, reached_by
from bomsvc.core.work.shop import shop_of
from bomsvc.core.work.timing import time_decides

Things = dict[object, Lit]
"""A thing, with the condition under which it is there."""


def unlike(gates: Gates, one: Lit, other: Lit) -> Lit:
    """Return the literal of "just one of the two holds"."""
    if one == other:
        return FALSE
    return gates.any_of(
        (
            gates.all_of((one, negated(other))),
            gates.all_of((negated(one), other)),
        )
    )


def any_unlike(
    gates: Gates, one: Mapping[object, Lit], other: Mapping[object, Lit]
) -> Lit:
    """Return when some thing is there in one revision and not in the other."""
    things = dict.fromkeys((*one, *other))
    return gates.any_of(
        unlike(gates, one.get(thing, FALSE), other.get(thing, FALSE))
        for thing in things
    )


class MadeOf:
    """Conditions under which things may come out differently, each made once."""

    def __init__(self, gates: Gates, layouts: tuple[Layout, Layout]) -> None:
        self._gates = gates
        self._layouts = layouts
        self._shelves = tuple(OnOffer(layout) for layout in layouts)
        self._made: dict[tuple[str, Key], Lit] = {}
        self._settled: dict[tuple[str, Key], Lit] = {}
        self._reached: dict[tuple[int, Key], Reached] = {}

    def settle(self, kind: str, key: Key, lit: Lit) -> None:
        """Take it that a position or joint differs in just these builds.

        Where it was compared; jobs then need not look further.
        """
        self._settled[kind, key] = lit

    def position(self, key: Key) -> Lit:
        """Return when what sits there may differ: parts, quantities, orders."""
        known = self._settled.get(("position", key))
        return self._unlike("position", key, self._sitting) if known is None else known

    def joint(self, key: Key) -> Lit:
        """Return when its screws, seals, nuts or washers may differ."""
        known = self._settled.get(("joint", key))
        if known is not None:
            return known
        places = dict.fromkeys(p for i in (0, 1) for p in self._taken_with(i, key))
        return self._gates.any_of(
            (
                self._unlike("joint", key, self._clamped),
                *(self.position(place) for place in places),
            )
        )

    def place(self, kind: str, key: Key) -> Lit:
        """Return when what a plan takes at a place it disturbs may differ.

        Args:
            kind: `position`, `joint` or `step`.
            key: The place.
        """
        if kind == "joint":
            return self.joint(key)
        if kind == "step":
            return self._unlike("uses", key, self._used)
        owners = dict.fromkeys(
            owner for layout in self._layouts for owner in includer_closure(layout, key)
        )
        lits = (self.position(position) for position in (key, *owners))
        return self._gates.any_of((*lits, self._unlike("brings", key, self._brought)))

    def work(self, key: Key) -> Lit:
        """Return when the job's steps, and what they disturb, may differ."""
        return self._work_of(key, ("step", self._done))

    def _work_of(self, key: Key, how: tuple[str, Callable[[int, Key], Things]]) -> Lit:
        reached = [self._reached_by(i, key) for i in (0, 1)]
        steps = dict.fromkeys(s for each in reached for s in each.steps)
        positions = dict.fromkeys(p for each in reached for p in each.positions)
        return self._gates.any_of(
            (
                self._unlike("job", key, self._asked),
                *(self._unlike(how[0], step, how[1]) for step in steps),
                *(self._unlike("traits", p, self._traits) for p in positions),
                *(
                    self._unlike("form", joint, self._form)
                    for joint in self._joints_of(key)
                ),
            )
        )

    def disturbs(self, key: Key) -> Lit:
        """Return when the job's steps, but for their minutes, may differ.

        Minutes matter only where they decide between ways in.
        """
        steps = dict.fromkeys(s for i in (0, 1) for s in self._reached_by(i, key).steps)
        timed = [s for s in steps if self._unlike("times", s, self._times) != FALSE]
        others = self._work_of(key, ("does", self._does))
        if not timed or not any(
            time_decides(layout.compiled, key, timed)
            for layout in self._layouts
            if key in layout.compiled.standing.jobs
        ):
            return others
        return self.work(key)

    def may_differ(self, job: Key) -> frozenset[tuple[str, Key]]:
        """Return the places of a job that may take otherwise, and what brings them."""
        found = {one for one in self._places_of(job) if self.place(*one) != FALSE}
        owners = {
            ("position", owner)
            for kind, key in found
            if kind == "position"
            for layout in self._layouts
            for owner in includer_closure(layout, key)
        }
        return frozenset(found | owners)

    def taken(self, key: Key) -> Lit:
        """Return when what the job takes at some place may differ."""
        return self._gates.any_of(self.place(*one) for one in self._places_of(key))

    def _places_of(self, key: Key) -> dict[tuple[str, Key], None]:
        reached = [self._reached_by(i, key) for i in (0, 1)]
        places = [
            *(("step", step) for each in reached for step in each.steps),
            *(("position", p) for each in reached for p in each.positions),
            *(("joint", joint) for joint in self._joints_of(key)),
        ]
        return dict.fromkeys(places)

    def job(self, key: Key) -> Lit:
        """Return when the job's list or work may differ."""
        return self._gates.any_of((self.work(key), self.taken(key)))

    def _unlike(self, kind: str, key: Key, things: Callable[[int, Key], Things]) -> Lit:
        found = self._made.get((kind, key))
        if found is None:
            pair = things(0, key), things(1, key)
            found = self._made[kind, key] = any_unlike(self._gates, *pair)
        return found

    def _reached_by(self, index: int, job: Key) -> Reached:
        found = self._reached.get((index, job))
        if found is None:
            compiled = self._layouts[index].compiled
            found = Reached((), ())
            if job in compiled.standing.jobs:
                found = reached_by(compiled, job)
            self._reached[index, job] = found
        return found

    def _joints_of(self, job: Key) -> tuple[Key, ...]:
        """Return the joints that the job's plans can open, loosen or ask about."""
        found: dict[Key, None] = {}
        for index, layout in enumerate(self._layouts):
            standing, reached = layout.compiled.standing, self._reached_by(index, job)
            shop = shop_of(layout.compiled)
            if job in standing.jobs:
                found.update(dict.fromkeys(standing.jobs[job].reseal))
            for key in reached.steps:
                step = standing.steps[key]
                found.update(dict.fromkeys(step.opens))
                found.update((joint, None) for joint, _ in step.loosens)
            for key in reached.positions:
                found.update(dict.fromkeys(shop.sealed_by.get(key, ())))
                found.update((j, None) for j, _ in shop.clamped_in.get(key, ()))
        return tuple(found)

    # Positions.

    def _sitting(self, index: int, key: Key) -> Things:
        layout = self._layouts[index]
        standing = layout.compiled.standing.positions.get(key)
        things: Things = {}
        for fitment in standing.fitments if standing else ():
            source = fitment.fitment
            facts = facts_of(layout.parts[source.part])
            _add(things, (facts, source.qty, source.rank), fitment.applies)
        for use in layout.hole_uses.get(key, ()):
            count = use.per_hole * len(use.group.group.holes)
            things["holes", use.name, count] = use.group.exists
        return things

    def _traits(self, index: int, key: Key) -> Things:
        """Lay out what the work sees of a position: what it is, how it comes off."""
        layout = self._layouts[index]
        standing = layout.compiled.standing.positions.get(key)
        things: Things = {}
        if standing is not None:
            things["exists", standing.position.fill] = standing.exists
            for fitment in standing.fitments:
                if fitment.fitment.rank == 1:
                    part = layout.parts[fitment.fitment.part]
                    trait = self._trait(index, part, standing)
                    lits = (things.get(trait, FALSE), fitment.applies)
                    things[trait] = self._gates.any_of(lits)
        shop = shop_of(layout.compiled)
        steps = layout.compiled.standing.steps
        for way in shop.ways_to_free(key):
            lits = steps[way.step].exists, way.given
            _add(things, ("way", way.step, way.how, way.given == TRUE),
                 self._gates.all_of(lits))  # fmt: skip
        for joint, exists in shop.clamped_in.get(key, ()):
            _add(things, ("clamped", joint), exists)
            for opener in shop.openers.get(joint, ()):
                things["opens", joint, opener] = steps[opener].exists
        return things

    def _brought(self, index: int, key: Key) -> Things:
        """Lay out which parts elsewhere bring what sits there."""
        layout = self._layouts[index]
        things: Things = {}
        for includer in layout.includers.get(key, ()):
            later = layout.index[includer.position] > layout.index[key]
            _add(things, (includer.position, later), includer.fitment.applies)
        return things

    def _trait(self, index: int, part: Part, standing: StandingPosition) -> object:
        compiled = self._layouts[index].compiled
        each, member = standing.position.each, standing.member
        keys = (
            tuple(k for ref in refs for k in compiled.keys_from(ref, member, each))
            for refs in (part.includes, part.renew_with)
        )
        return (part.reuse == "single", *keys)

    # Joints.

    def _form(self, index: int, key: Key) -> Things:
        """Lay out what the work sees of a joint."""
        joint = self._layouts[index].compiled.standing.joints.get(key)
        if joint is None:
            return {}
        things: Things = {("seals", joint.seals): joint.exists}
        for group in joint.groups:
            layers = tuple((x.position, x.layer.per) for x in group.layers)
            stays = group.group.stud is not None and group.group.stud.stays
            thing = (group.code, layers, group.nut, group.stud, stays)
            things[thing] = group.exists
        return things

    def _clamped(self, index: int, key: Key) -> Things:
        layout = self._layouts[index]
        joint = layout.compiled.standing.joints.get(key)
        if joint is None:
            return {}
        things: Things = {bare_joint(joint.joint): joint.exists}
        things["seals", joint.seals] = joint.exists
        for group in joint.groups:
            refs = tuple(x.position for x in group.layers), group.into
            things[bare_group(group.group), refs, group.nut, group.stud] = group.exists
            shelf = self._shelves[index].of(group.group.screw)
            things["shelf", group.code, shelf] = group.exists
            for place, stated in enumerate(group.stated):
                part = engineering_of(layout.parts[stated.part])
                things["stated", group.code, place, part] = stated.applies
            for key_of_place in _places(group):
                self._add_sitting(layout, group, key_of_place, things)
        return things

    def _add_sitting(
        self, layout: Layout, group: StandingGroup, place: Key, things: Things
    ) -> None:
        for fitment in layout.compiled.standing.positions[place].fitments:
            if fitment.fitment.rank == 1:
                part = engineering_of(layout.parts[fitment.fitment.part])
                thing = ("part", group.code, place, part, fitment.fitment.qty)
                lit = self._gates.all_of((group.exists, fitment.applies))
                _add(things, thing, lit)

    def _taken_with(self, index: int, key: Key) -> tuple[Key, ...]:
        """Return the seals and hardware of the joint."""
        joint = self._layouts[index].compiled.standing.joints.get(key)
        if joint is None:
            return ()
        hardware = (place for group in joint.groups for place in hole_positions(group))
        return (*joint.seals, *hardware)

    # Steps and jobs.

    def _done(self, index: int, key: Key) -> Things:
        return self._does(index, key) | self._times(index, key)

    def _does(self, index: int, key: Key) -> Things:
        step = self._layouts[index].compiled.standing.steps.get(key)
        if step is None:
            return {}
        thing = (step.frees, step.opens, step.loosens, step.needs, step.then)
        return {thing: step.exists}

    def _times(self, index: int, key: Key) -> Things:
        step = self._layouts[index].compiled.standing.steps.get(key)
        if step is None:
            return {}
        return {(step.step.minutes_off, step.step.minutes_on): step.exists}

    def _used(self, index: int, key: Key) -> Things:
        layout = self._layouts[index]
        step = layout.compiled.standing.steps.get(key)
        things: Things = {}
        for use in step.uses if step else ():
            facts = facts_of(layout.parts[use.use.part])
            _add(things, (facts, use.use.qty), use.applies)
        return things

    def _asked(self, index: int, key: Key) -> Things:
        job = self._layouts[index].compiled.standing.jobs.get(key)
        if job is None:
            return {}
        return {(job.renew, job.reseal, job.do, job.check): job.exists}


def _add(things: Things, thing: object, lit: Lit) -> None:
    """Add one more of its kind: two alike are not one."""
    count = 0
    while (thing, count) in things:
        count += 1
    things[thing, count] = lit


def _places(group: StandingGroup) -> Iterable[Key]:
    keys = [layer.position for layer in group.layers]
    keys += [k for k in (group.into, group.nut, group.stud) if k is not None]
    return dict.fromkeys(keys)
