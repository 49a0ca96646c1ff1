"""What a position, joint or job of one revision comes to, as tables over cases.

The lists' own machinery reads them, so that what is compared is what the counter
sees: the same plans, the same places, the same screws.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass
from decimal import Decimal
from typing import Literal

from bomsvc.core.logic.standing import FALSE, Key, Lit
from bomsvc.core.prove.outcomes import (
    AtPlace,
    StepTime,
    WorkDone,
    faults_of,
    taken_of,
)
from bomsvc.core.prove.tables import Table, TooMany, cases_of, constant
from bomsvc.core.resolve.asking import Asked, asked_by
from bomsvc.core.resolve.items import Item
from bomsvc.core.resolve.layout import Layout
from bomsvc.core.resolve.orders import sets_for
from bomsvc.core.resolve.plans import Planned, plan_cases
from bomsvc.core.resolve.scope import Scope
from bomsvc.core.resolve.studies import (
    JointStudy,
    Study,
    study_joint,
    study_position,
    study_step,
)
from bomsvc.core.resolve.view import View
from bomsvc.core.work import Plan, Stuck

Kind = Literal["position", "joint", "job"]
WholePlace = tuple[str, Key, str]
"""Kind, key and group code ("" without a group)."""
Wanted = Callable[[WholePlace], bool]
JOB_CASES = 256
"""Cases of one job that are planned one by one."""


@dataclass(frozen=True, slots=True)
class Contents:
    """What one thing comes to.

    Attributes:
        exists: Whether it is there at all.
        places: What is taken, place by place.
        orders: How many of each set are ordered.
        work: The steps of a job; None where there is none.
        listed: Whether being there is itself an outcome: a job can be asked for.
    """

    exists: Table[bool]
    places: Mapping[WholePlace, Table[AtPlace]]
    work: Table[WorkDone | None]
    listed: bool = False

    def ordered(self) -> dict[str, None]:
        """Return every number that is ordered in some case."""
        return {
            taken.order: None
            for table in self.places.values()
            for row in table.rows.values()
            for taken in row.taken
            if taken.order is not None
        }


ABSENT = Contents(constant(value=False), {}, constant(None))


def planned_of(view: View, layout: Layout, kind: Kind, key: Key) -> Planned | None:
    """Return a job's plans in every case; None for what is no job of the revision.

    Raises:
        TooMany: There are more cases than are planned one by one.
    """
    if kind != "job" or _exists(layout, kind, key) == FALSE:
        return None
    planned = plan_cases(view, layout, (key,), (), limit=JOB_CASES)
    if not planned.complete:
        raise TooMany(planned.lits)
    return planned


def contents_of(
    view: View,
    layout: Layout,
    scope: tuple[Kind, Key],
    planned: Planned | None,
    wanted: Wanted | None,
) -> Contents:
    """Return what it comes to in every build of the view.

    Args:
        view: The builds.
        layout: The revision.
        scope: What it is, and its key.
        planned: A job's plans.
        wanted: Which places are read at all; of a joint all groups are, or none.
            None: no place is.

    Raises:
        TooMany: There are more cases than are looked at one by one.
    """
    exists = _exists(layout, *scope)
    if exists == FALSE:
        return ABSENT
    places: dict[WholePlace, Table[AtPlace]] = {}
    if wanted is not None:
        asked = asked_by(view, layout, _scope(*scope), planned, only=wanted)
        places.update(_places(view, layout, asked, wanted))
    work: Table[WorkDone | None] = constant(None)
    if planned is not None:
        work = _work(view, layout, planned, exists)
    return Contents(
        exists=_holds(view, exists),
        places=places,
        work=work,
        listed=scope[0] == "job",
    )


Disturbs = tuple[object, ...]
"""Which places a plan takes parts from, and how."""


def disturbs_of(planned: Planned | None) -> Table[Disturbs | None]:
    """Return what the plans disturb, in every case; None: there is no way in."""
    if planned is None:
        return constant(None)
    made = {id(case.plan): _disturbs(case.plan) for case in planned.different()}
    rows = {case.vector: made[id(case.plan)] for case in planned.cases}
    return Table(planned.lits, rows)


def _disturbs(plan: Plan | Stuck) -> Disturbs | None:
    if isinstance(plan, Stuck):
        return None
    return (
        plan.done,
        frozenset(opened.joint for opened in plan.opened),
        frozenset((loosened.joint, loosened.group) for loosened in plan.loosened),
        frozenset((one.position, one.single_only) for one in plan.renewed),
        frozenset(checked.position for checked in plan.checked),
    )


def _exists(layout: Layout, kind: Kind, key: Key) -> Lit:
    standing = layout.compiled.standing
    match kind:
        case "position":
            position = standing.positions.get(key)
            return FALSE if position is None else position.exists
        case "joint":
            joint = standing.joints.get(key)
            return FALSE if joint is None else joint.exists
        case "job":
            job = standing.jobs.get(key)
            return FALSE if job is None else job.exists


def _scope(kind: Kind, key: Key) -> Scope:
    match kind:
        case "position":
            return Scope(positions=(key,))
        case "joint":
            return Scope(joints=(key,))
        case "job":
            return Scope(jobs=(key,))


def _holds(view: View, lit: Lit) -> Table[bool]:
    state = view.state(lit)
    if state == "open":
        held = lit > 0
        return Table((Lit(abs(lit)),), {(True,): held, (False,): not held})
    return constant(state == "certain")


# Places.


def _places(
    view: View, layout: Layout, asked: Asked, wanted: Wanted
) -> Iterator[tuple[WholePlace, Table[AtPlace]]]:
    for key in asked.positions:
        if wanted(("position", key, "")):
            study = study_position(view, layout, key, asked.positions)
            yield ("position", key, ""), _at_place(layout, study)
    for key, groups in asked.groups.items():
        if wanted(("joint", key, "")):
            joint = layout.compiled.standing.joints[key]
            yield from _at_groups(layout, study_joint(view, layout, joint, groups))
    for key, demand in asked.steps.items():
        if wanted(("step", key, "")):
            used = study_step(view, layout, key, demand)
            yield ("step", key, ""), _at_place(layout, used)


def _at_place(layout: Layout, study: Study) -> Table[AtPlace]:
    _whole(study.lits, complete=study.complete)
    made = {
        id(items): AtPlace(taken_of(items, layout.parts)) for items in study.different
    }
    rows = (made[id(items)] for items in study.items)
    return Table(study.lits, dict(zip(study.vectors, rows, strict=True)))


def _at_groups(
    layout: Layout, study: JointStudy
) -> Iterator[tuple[WholePlace, Table[AtPlace]]]:
    _whole(study.lits, complete=study.complete)
    for group in study.groups:
        code = group.place.group or ""
        rows = _group_rows(layout, study, group, code)
        table = Table(study.lits, dict(zip(study.vectors, rows, strict=True)))
        yield ("joint", study.joint.key, code), table


def _group_rows(
    layout: Layout, study: JointStudy, group: Study, code: str
) -> Iterator[AtPlace]:
    known: dict[object, AtPlace] = {}
    holes = tuple(sorted(group.place.holes))
    columns = zip(study.asked[code], group.items, study.sized, strict=True)
    for asked, items, sized in columns:
        form = sized.get(code)
        key = asked, id(items), id(form)
        if key not in known:
            faults = faults_of(form) if asked else ()
            known[key] = _at_group(layout, items, faults, holes if asked else ())
        yield known[key]


def _at_group(
    layout: Layout,
    items: tuple[Item, ...],
    faults: tuple[tuple[str, str], ...],
    holes: tuple[int, ...],
) -> AtPlace:
    codes, said = zip(*sorted(faults), strict=True) if faults else ((), ())
    return AtPlace(taken_of(items, layout.parts), holes, codes, said)


def _whole(lits: tuple[Lit, ...], *, complete: bool) -> None:
    if not complete:
        raise TooMany(lits)


# Work.


def _work(
    view: View, layout: Layout, planned: Planned, exists: Lit
) -> Table[WorkDone | None]:
    made = {id(case.plan): _done(layout, case.plan) for case in planned.different()}
    rows = {
        case.vector: made[id(case.plan)]
        if view.truth(planned.lits, case.vector)(exists)
        else None
        for case in planned.cases
    }
    return Table(planned.lits, rows)


def _done(layout: Layout, plan: Plan | Stuck) -> WorkDone:
    if isinstance(plan, Stuck):
        reasons = (f"{r.code} {' '.join(r.items)}" for r in plan.reasons)
        return WorkDone(None, (), tuple(sorted(reasons)))
    steps = (layout.compiled.standing.steps[key].step for key in plan.done)
    times = tuple(
        StepTime(key, step.minutes_off, step.minutes_on)
        for key, step in zip(plan.done, steps, strict=True)
    )
    return WorkDone(plan.minutes, times)


# Sets: as many are ordered as the scarcest of their contents requires.


def orders_of(
    view: View, layout: Layout, contents: Contents, number: str
) -> Table[Decimal]:
    """Return how many of a set the thing orders, in every case.

    Raises:
        TooMany: There are more cases than are looked at one by one.
    """
    tables = [
        table
        for table in contents.places.values()
        if any(_orders(row, number) for row in table.rows.values())
    ]
    lits = tuple(sorted({lit for table in tables for lit in table.lits}))
    rows = {}
    for vector in cases_of(view, lits):
        truth = dict(zip(lits, vector, strict=True)).__getitem__
        rows[vector] = _sets(layout, number, [table.at(truth) for table in tables])
    return Table(lits, rows)


def _orders(row: AtPlace, number: str) -> bool:
    return any(taken.order == number for taken in row.taken)


def _sets(layout: Layout, number: str, rows: Iterable[AtPlace]) -> Decimal:
    taken: dict[str, Decimal] = defaultdict(Decimal)
    for row in rows:
        for one in row.taken:
            if one.order == number and one.part is not None:
                taken[one.part] += one.qty
    sets = [Decimal(0)]
    for part, qty in taken.items():
        sold_as = layout.parts[part].sold_as
        if sold_as is not None:
            sets.append(sets_for(sold_as, part, qty))
    return max(sets)
