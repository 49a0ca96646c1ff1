"""The work of the jobs as it stands in the reply: steps, minutes, the other way."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from decimal import Decimal

from bomsvc.core.catalogue.entities import ReuseLimit
from bomsvc.core.logic.deciding import Outcomes
from bomsvc.core.logic.standing import Key
from bomsvc.core.resolve.layout import Layout
from bomsvc.core.resolve.lines import OtherWay, Stay, Work, WorkStep
from bomsvc.core.resolve.merging import merged_order
from bomsvc.core.resolve.openings import Decisions
from bomsvc.core.resolve.plans import Planned
from bomsvc.core.resolve.sheets import limit_text
from bomsvc.core.resolve.view import View
from bomsvc.core.terms.numbers import decimal_text
from bomsvc.core.work.values import Lifting, Plan, StepDone, Stuck

LIFT_CAUTION = (
    "Use rated lifting gear and keep clear of the load; local codes and licensed "
    "practice prevail."
)


def work_of(
    view: View, layout: Layout, planned: Planned, decisions: Decisions
) -> Work | None:
    """The work over all plans; None where no case has a plan.

    Where cases differ, the order is one that each of them can be worked in.
    """
    plans = planned.plans()
    if not plans:
        return None
    every = len(plans) == 1 and planned.complete
    lifting = _lifting(plans)
    return Work(
        steps=tuple(_steps(layout, planned, lifting, decisions)),
        minutes=(min(p.minutes for p in plans), max(p.minutes for p in plans)),
        basis="exact" if planned.complete else "may_matter",
        optimal=all(p.optimal for p in plans),
        bound=None if all(p.optimal for p in plans) else min(p.bound for p in plans),
        other_way=_other_way(plans[0]) if every else None,
        tools=_once(text for p in plans for text in p.tools),
        cautions=_cautions(layout, plans, lifting),
        stays=tuple(_stays(view, layout, plans)),
    )


def _once(texts: Iterable[str]) -> tuple[str, ...]:
    return tuple(dict.fromkeys(texts))


def _other_way(plan: Plan) -> OtherWay | None:
    other = plan.other_way
    if other is None:
        return None
    return OtherWay(other.steps, other.minutes, other.instead_of, other.optimal)


def _steps(
    layout: Layout,
    planned: Planned,
    lifting: Mapping[Key, Lifting],
    decisions: Decisions,
) -> list[WorkStep]:
    plans = planned.plans()
    entries_of = [_entries(case.plan) for case in planned.cases]
    ranks = {key: n for n, key in enumerate(layout.compiled.standing.steps)}
    found: list[WorkStep] = []
    for phase in ("strip", "refit"):
        # Plans that renew different parts are often worked in one and the same way.
        sequences = tuple(
            dict.fromkeys(
                tuple(s for s in plan.steps if s.phase == phase) for plan in plans
            )
        )
        order = merged_order(sequences, ranks)
        for key in order:
            entries = [s for q in sequences for s in q if s.key == key]
            found.append(
                _step(
                    layout,
                    entries,
                    lifting,
                    len(found) + 1,
                    _decided_by(
                        planned, [(key, phase) in e for e in entries_of], decisions
                    ),
                )
            )
        # What came off last goes back first, unless a case says otherwise.
        ranks |= {key: -n for n, key in enumerate(order, start=1)}
    return found


def _entries(plan: Plan | Stuck) -> frozenset[tuple[Key, str]]:
    if isinstance(plan, Stuck):
        return frozenset()
    return frozenset((step.key, step.phase) for step in plan.steps)


def _decided_by(
    planned: Planned, done: Sequence[bool], decisions: Decisions
) -> tuple[Key, ...] | None:
    """The options that decide whether a step is done; None: it always is.

    `done`: whether it is, by case.
    """
    if not planned.complete:
        each = [Outcomes((lit,)) for lit in planned.lits]
        return decisions.of(each).decided_by
    if all(done):
        return None
    vectors = [case.vector for case in planned.cases]
    table = dict(zip(vectors, map(int, done), strict=True))
    return decisions.of([Outcomes(planned.lits, table)]).decided_by


def _step(
    layout: Layout,
    entries: Sequence[StepDone],
    lifting: Mapping[Key, Lifting],
    order: int,
    decided_by: tuple[Key, ...] | None,
) -> WorkStep:
    step = entries[0]
    mass = step.lift_kg
    if mass is None and step.phase == "strip" and step.key in lifting:
        mass = lifting[step.key].mass_kg
    loosens = (f"{joint}.{group}" for e in entries for joint, group in e.loosens)
    return WorkStep(
        step=step.key,
        label=layout.compiled.standing.steps[step.key].step.label,
        phase=step.phase,
        order=order,
        minutes=step.minutes,
        lift_kg=mass,
        opens=_once(joint for e in entries for joint in e.opens),
        loosens=_once(loosens),
        state="certain" if decided_by is None else "open",
        needed_by=_once(e.needed_by for e in entries),
        decided_by=decided_by or (),
    )


def _lifting(plans: Iterable[Plan]) -> dict[Key, Lifting]:
    """Per step the heaviest load of all cases; an unknown mass outweighs any."""
    found: dict[Key, Lifting] = {}
    for plan in plans:
        for item in plan.lifting:
            known = found.get(item.step)
            if known is None or _weight(item) > _weight(known):
                found[item.step] = item
    return found


def _weight(item: Lifting) -> Decimal:
    return Decimal("Infinity") if item.mass_kg is None else item.mass_kg


def _cautions(
    layout: Layout, plans: Iterable[Plan], lifting: dict[Key, Lifting]
) -> tuple[str, ...]:
    stated = [text for plan in plans for text in plan.cautions]
    lifts = [_lift_text(layout, item) for item in lifting.values()]
    return _once([*stated, *lifts])


def _lift_text(layout: Layout, item: Lifting) -> str:
    label = layout.compiled.standing.steps[item.step].step.label
    if item.mass_kg is None:
        return f"{label}: the mass is not known. {LIFT_CAUTION}"
    mass = decimal_text(item.mass_kg)
    about = "" if item.stated else "up to "
    return f"{label}: lifts {about}{mass} kg. {LIFT_CAUTION}"


def _stays(view: View, layout: Layout, plans: Iterable[Plan]) -> list[Stay]:
    """What comes out and goes back, and has to go back where and as it was."""
    found: dict[Stay, None] = {}
    for plan in plans:
        renewed = {r.position for r in plan.renewed} | {
            i.position for i in plan.included
        }
        for freed in plan.freed:
            if freed.position not in renewed:
                found.update(dict.fromkeys(_stays_at(view, layout, freed.position)))
    return list(found)


def _stays_at(view: View, layout: Layout, key: Key) -> list[Stay]:
    position = layout.compiled.standing.positions[key]
    found = []
    for fitment in position.fitments:
        part = layout.parts[fitment.fitment.part]
        limit = part.reuse if isinstance(part.reuse, ReuseLimit) else None
        texts = [part.keep_matched, part.hand, limit and limit_text(limit)]
        if fitment.fitment.rank == 1 and any(texts):
            state = view.state(fitment.applies)
            if state != "excluded":
                found += [Stay(key, part.number, t, state) for t in texts if t]
    return found
