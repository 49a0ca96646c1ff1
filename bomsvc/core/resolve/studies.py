"""Each place studied over its own cases: what it takes in each, exactly.

A place depends on few conditions: those of its own parts, of the parts that may
bring it along, and those that decide whether it is disturbed at all. Only their
cases are enumerated, never whole builds.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field, replace

from bomsvc.core.fasteners.values import SizedGroup
from bomsvc.core.logic.deciding import Outcomes
from bomsvc.core.logic.standing import Key, Lit, StandingGroup, StandingJoint
from bomsvc.core.resolve.demand import Call, Demand, GroupName
from bomsvc.core.resolve.items import (
    Item,
    ItemKey,
    brought_along,
    group_item,
    in_document_order,
    includer_closure,
    position_items,
    step_items,
)
from bomsvc.core.resolve.layout import Layout
from bomsvc.core.resolve.lines import Place
from bomsvc.core.resolve.sizing import (
    Combination,
    CombinationReader,
    Sized,
    joint_literals,
)
from bomsvc.core.resolve.stack import Unsized
from bomsvc.core.resolve.view import Cases, Truth, Vector, View

POSITION_CASES = 4_096
JOINT_CASES = 10_000
"""Budgets in cases: beyond them a place is reported as not settled."""


@dataclass(frozen=True, slots=True)
class Study:
    """A place with what it takes in each case of the open conditions `lits`.

    `settled`: there is one case, whatever is still open. `different`: the items of
    the cases without those that are one object, in order of appearance.
    """

    place: Place
    lits: tuple[Lit, ...]
    vectors: tuple[Vector, ...]
    items: tuple[tuple[Item, ...], ...]
    complete: bool
    settled: bool = field(init=False)
    different: tuple[tuple[Item, ...], ...] = field(init=False)

    def __post_init__(self) -> None:
        settled = self.complete and len(self.items) == 1
        object.__setattr__(self, "settled", settled)
        different = tuple({id(items): items for items in self.items}.values())
        object.__setattr__(self, "different", different)

    def certain(self) -> set[ItemKey]:
        """What the place takes in every case."""
        if not self.complete:
            return set()
        sets = ({item.key for item in items} for items in self.different)
        first = next(sets)
        return first.intersection(*sets)

    def taken(self) -> tuple[ItemKey, ...]:
        """What the place takes in any case, in document order."""
        rows = in_document_order(self.different)
        return tuple(dict.fromkeys(item.key for items in rows for item in items))

    def outcomes(self) -> list[Outcomes]:
        """The partition of the cases by what is taken, for the questions.

        Not settled within the budget: each open condition may matter.
        """
        if not self.complete:
            return [Outcomes((lit,), {(True,): 1, (False,): 0}) for lit in self.lits]
        classes: dict[frozenset[ItemKey], int] = {}
        numbers: dict[int, int] = {}
        for items in self.different:
            taken = frozenset(item.key for item in items)
            numbers[id(items)] = classes.setdefault(taken, len(classes))
        if len(classes) == 1:
            return []
        cases = zip(self.vectors, self.items, strict=True)
        return [Outcomes(self.lits, {v: numbers[id(items)] for v, items in cases})]


@dataclass(frozen=True, slots=True)
class JointStudy:
    """A joint with its sized groups in each case of the open conditions `lits`.

    `combinations`: what sits at its groups, per case; `asked`: group code to whether
    the group is there and asked for, per case. `opened` False: all that is asked is
    that screws of some groups come out.
    """

    joint: StandingJoint
    lits: tuple[Lit, ...]
    vectors: tuple[Vector, ...]
    combinations: tuple[Combination, ...]
    sized: tuple[Sized, ...]
    groups: tuple[Study, ...]
    asked: Mapping[str, tuple[bool, ...]]
    complete: bool
    opened: bool = True


def position_literals(
    layout: Layout, key: Key, demands: Mapping[Key, Demand]
) -> tuple[Lit, ...]:
    """Every condition that what this position takes depends on, each once."""
    position = layout.compiled.standing.positions[key]
    found = {f.applies: None for f in position.fitments if f.fitment.rank == 1}
    if position.position.fill == "one":
        found[position.exists] = None
    found.update((u.group.exists, None) for u in layout.hole_uses.get(key, ()))
    found.update((lit, None) for lit in demands[key].lits)
    for owner in includer_closure(layout, key):
        found.update((lit, None) for lit in _owner_literals(layout, owner, demands))
    return tuple(found)


def _owner_literals(
    layout: Layout, owner: Key, demands: Mapping[Key, Demand]
) -> list[Lit]:
    fitments = layout.compiled.standing.positions[owner].fitments
    lits = [
        f.applies
        for f in fitments
        if f.fitment.rank == 1 and layout.parts[f.fitment.part].includes
    ]
    demand = demands.get(owner)
    return lits if demand is None else [*lits, *demand.lits]


def study_position(
    view: View, layout: Layout, key: Key, demands: Mapping[Key, Demand]
) -> Study:
    """What the position takes in each case, less what another part brings."""
    position = layout.compiled.standing.positions[key]
    demand = demands[key]

    def items(truth: Truth) -> tuple[Item, ...]:
        calls = demand.at(truth)
        if not calls or brought_along(layout, key, demands, truth):
            return ()
        return position_items(layout, position, calls, truth)

    lits = position_literals(layout, key, demands)
    study = _study(view, Place("position", key), lits, items)
    return _doubted(study) if _in_doubt(layout, key, demands) else study


def step_literals(layout: Layout, key: Key, demand: Demand) -> tuple[Lit, ...]:
    """Every condition that what this step uses depends on."""
    step = layout.compiled.standing.steps[key]
    return (*demand.lits, *(use.applies for use in step.uses))


def study_step(view: View, layout: Layout, key: Key, demand: Demand) -> Study:
    """What the step uses in each case."""
    step = layout.compiled.standing.steps[key]
    study = _study(
        view,
        Place("step", key),
        step_literals(layout, key, demand),
        lambda truth: step_items(step, demand.at(truth), truth),
    )
    return _doubted(study) if demand.doubtful else study


def _in_doubt(layout: Layout, key: Key, demands: Mapping[Key, Demand]) -> bool:
    """Whether it is not settled that the place is asked for, or brought along."""
    owners = (key, *includer_closure(layout, key))
    return any(demands[owner].doubtful for owner in owners if owner in demands)


def _doubted(study: Study) -> Study:
    return replace(study, complete=False)


def _study(
    view: View,
    place: Place,
    lits: tuple[Lit, ...],
    items: Callable[[Truth], tuple[Item, ...]],
) -> Study:
    cases = view.cases(view.open_among(lits), limit=POSITION_CASES)
    found = tuple(items(view.truth(cases.lits, vector)) for vector in cases.vectors)
    return Study(place, cases.lits, cases.vectors, found, cases.complete)


def joint_all_literals(
    layout: Layout, key: Key, demands: Mapping[GroupName, Demand]
) -> tuple[Lit, ...]:
    """Every condition that the asked screws of this joint depend on."""
    standing = layout.compiled.standing
    extra = [lit for demand in demands.values() for lit in demand.lits]
    return (*joint_literals(standing.joints[key], standing.positions), *extra)


def study_joint(
    view: View,
    layout: Layout,
    joint: StandingJoint,
    demands: Mapping[GroupName, Demand],
) -> JointStudy:
    """The screws of the joint for every combination that remaining builds produce.

    All groups are sized together, also where only some of them are asked for.
    """
    positions = layout.compiled.standing.positions
    asked = [g for g in joint.groups if (joint.key, g.code) in demands]
    lits = view.open_among(joint_all_literals(layout, joint.key, demands))
    cases = view.cases(lits, limit=JOINT_CASES)
    reader = CombinationReader(joint, positions, lits, view)
    combinations = tuple(reader.read(vector) for vector in cases.vectors)
    sized = tuple(layout.sized.of(joint.joint, one) for one in combinations)
    groups = []
    rows = {}
    opened = False
    for group in asked:
        demand = demands[joint.key, group.code]
        calls = _calls_by_case(view, demand, cases)
        items = _group_items(layout, group, calls, combinations, sized)
        complete = cases.complete and not demand.doubtful
        place = _group_place(joint, group)
        groups.append(Study(place, lits, cases.vectors, items, complete))
        rows[group.code] = tuple(
            bool(called) and group.code in one
            for called, one in zip(calls, sized, strict=True)
        )
        opened = opened or _opened(calls, rows[group.code])
    return JointStudy(
        joint=joint,
        lits=cases.lits,
        vectors=cases.vectors,
        combinations=combinations,
        sized=sized,
        groups=tuple(groups),
        asked=rows,
        complete=cases.complete,
        opened=opened,
    )


def _opened(calls: Sequence[tuple[Call, ...]], asked: Sequence[bool]) -> bool:
    """Whether anything but taking screws out asks for the group, in some case."""
    return any(
        not call.reasons or any(reason.loosened_by is None for reason in call.reasons)
        for called, here in zip(calls, asked, strict=True)
        if here
        for call in called
    )


def _calls_by_case(view: View, demand: Demand, cases: Cases) -> list[tuple[Call, ...]]:
    if not demand.lits:
        return [demand.at(view.truth())] * len(cases.vectors)
    return [demand.at(view.truth(cases.lits, vector)) for vector in cases.vectors]


def _group_place(joint: StandingJoint, group: StandingGroup) -> Place:
    holes = tuple(hole.hole for hole in group.group.holes)
    return Place("joint", joint.key, group.code, holes)


def _group_items(
    layout: Layout,
    group: StandingGroup,
    calls: Sequence[tuple[Call, ...]],
    combinations: Sequence[Combination],
    sized: Sequence[Sized],
) -> tuple[tuple[Item, ...], ...]:
    """The group's screw per case; equal cases share the work."""
    known: dict[object, tuple[Item, ...]] = {}
    found = []
    for called, combination, forms in zip(calls, combinations, sized, strict=True):
        form = forms.get(group.code)
        key = (id(called), id(form), id(combination))
        items = known.get(key)
        if items is None:
            items = known[key] = _group_items_in(
                layout, group, called, combination, form
            )
        found.append(items)
    return tuple(found)


def _group_items_in(
    layout: Layout,
    group: StandingGroup,
    calls: tuple[Call, ...],
    combination: Combination,
    form: SizedGroup | Unsized | None,
) -> tuple[Item, ...]:
    if form is None:
        return ()
    stated = next(s.stated for s in combination if s.group == group.code)
    item = group_item(layout, group, calls, form, stated)
    return () if item is None else (item,)
