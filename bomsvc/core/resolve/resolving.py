"""Resolve: from what is known and a scope to the list.

Every place of the scope is studied over the cases of the few conditions it
depends on; what all cases share is certain, the rest is open with its candidates
and the options that decide it.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field

from bomsvc.core.logic.deciding import Outcomes
from bomsvc.core.logic.known import Known
from bomsvc.core.logic.reasoner import Reasoner
from bomsvc.core.logic.standing import Key
from bomsvc.core.resolve.demand import Call, Demand, GroupName, always, joined, where
from bomsvc.core.resolve.disturbed import WholePlace
from bomsvc.core.resolve.faults import (
    absent_faults,
    joint_faults,
    plan_faults,
    position_faults,
)
from bomsvc.core.resolve.jointforms import joint_form
from bomsvc.core.resolve.layout import Layout, hole_positions, layout_of
from bomsvc.core.resolve.lines import (
    Clashing,
    Fault,
    JointForm,
    Line,
    OpenPlace,
    Place,
    Reason,
    Resolved,
    Work,
)
from bomsvc.core.resolve.listing import Deciding, certain_lines, open_lines
from bomsvc.core.resolve.maybe import demands_perhaps
from bomsvc.core.resolve.openings import Decisions, open_place
from bomsvc.core.resolve.orders import not_sold_faults, order_lines, with_orders
from bomsvc.core.resolve.plans import Planned, demands_of, plan_cases
from bomsvc.core.resolve.scope import Scope
from bomsvc.core.resolve.sizing import joint_literals
from bomsvc.core.resolve.studies import (
    JointStudy,
    Study,
    position_literals,
    study_joint,
    study_position,
    study_step,
)
from bomsvc.core.resolve.view import View
from bomsvc.core.resolve.working import work_of

FITTED = Call("renew")
"""Scopes of what is fitted take everything that sits there."""


def resolve(
    reasoner: Reasoner,
    known: Known,
    scope: Scope,
    *,
    by_way_of: Sequence[Key] = (),
) -> Resolved | Clashing:
    """The list for a scope: certain and open lines, questions, work, joints.

    Args:
        reasoner: The revision's reasoner.
        known: What is known of the engine.
        scope: What is asked for.
        by_way_of: Steps that a person pinned as the way in.

    Returns:
        The list, exact for all remaining builds; or the clash when there is none.

    Raises:
        Unsettled: A logic question ran out of its budget.
    """
    if not reasoner.consistent(known):
        return Clashing(reasoner.clash(known))
    layout = layout_of(reasoner.compiled)
    view = View(reasoner, known)
    return Listing(view, layout, scope, pins=tuple(by_way_of)).resolved()


@dataclass(slots=True)
class _Found:
    """What the studies of a scope come to."""

    positions: list[Study] = field(default_factory=list)
    joints: list[JointStudy] = field(default_factory=list)
    steps: list[Study] = field(default_factory=list)

    def places(self) -> list[Study]:
        """Every place in the order of the list: positions, groups, steps."""
        groups = [group for joint in self.joints for group in joint.groups]
        return [*self.positions, *groups, *self.steps]


class Listing:
    """One scope on one view, from demands to the list.

    `more`: demands beside those of the scope, by place.
    """

    def __init__(
        self,
        view: View,
        layout: Layout,
        scope: Scope,
        *,
        pins: tuple[Key, ...] = (),
        more: Mapping[WholePlace, Demand] | None = None,
    ) -> None:
        self._view = view
        self._layout = layout
        self._scope = scope
        self._pins = pins
        self._more = more or {}
        self._disturbed: set[Key] = set()
        self._decisions = Decisions(view)

    def studies(self) -> list[Study]:
        """Every place of the scope, studied; the order is that of the list."""
        return self._study(self._demands(self._planned())).places()

    def resolved(self) -> Resolved:
        """The list."""
        planned = self._planned()
        demands = self._demands(planned)
        found = self._study(demands)
        lines, openings, measured = self._lines(found)
        ordered = with_orders(lines, self._layout.parts)
        faults, warnings = self._faults(found, demands, planned, ordered)
        outcomes = self._outcomes(found, planned)
        reasoner, known = self._view.reasoner, self._view.known
        return Resolved(
            certain=not openings,
            certain_but_measured=bool(openings) and measured,
            lines=tuple(ordered),
            open=tuple(openings),
            questions=reasoner.questions(known, outcomes) if outcomes else (),
            to_measure=reasoner.to_measure(known, outcomes) if outcomes else (),
            work=self._work(planned),
            joints=tuple(self._joint_forms(found)),
            faults=tuple(dict.fromkeys(faults)),
            warnings=tuple(dict.fromkeys(warnings)),
            orders=order_lines(ordered),
            waived=known.waived,
        )

    # What is asked of which place.

    def _planned(self) -> Planned | None:
        jobs = self._scope.jobs
        if not jobs:
            return None
        return plan_cases(self._view, self._layout, jobs, self._pins)

    def _demands(self, planned: Planned | None) -> dict[WholePlace, Demand]:
        demands: dict[WholePlace, Demand] = {}
        if planned is not None:
            jobs = self._scope.jobs
            demands = (
                demands_of(self._view, self._layout, planned, jobs)
                if planned.complete
                else demands_perhaps(self._view, self._layout, jobs, self._pins)
            )
        self._disturbed = {key for kind, key, _ in demands if kind == "joint"}
        for place, demand in (*self._fitted(), *self._more.items()):
            old = demands.get(place)
            demands[place] = demand if old is None else joined(demand, old)
        return demands

    def _fitted(self) -> Iterable[tuple[WholePlace, Demand]]:
        """Places of the scopes by position, section, whole and joint."""
        standing = self._layout.compiled.standing
        scope = self._scope
        sections = [k for c in scope.sections for k in self._layout.sections[c]]
        keys = {*scope.positions, *sections}
        for key in standing.positions:
            if scope.whole or key in keys:
                yield ("position", key, ""), always(FITTED)
        for key in standing.joints if scope.whole else scope.joints:
            asked = key in scope.joints
            yield from _joint_calls(self._layout, key, asked=asked)

    # The studies.

    def _study(self, demands: Mapping[WholePlace, Demand]) -> _Found:
        view, layout = self._view, self._layout
        standing = layout.compiled.standing
        positions = {k: d for (kind, k, _), d in demands.items() if kind == "position"}
        groups: dict[Key, dict[GroupName, Demand]] = {}
        for (kind, key, code), demand in demands.items():
            if kind == "joint":
                groups.setdefault(key, {})[key, code] = demand
        self._look(positions, groups)
        return _Found(
            positions=[
                study_position(view, layout, key, positions)
                for key in standing.positions
                if key in positions
            ],
            joints=[
                study_joint(view, layout, standing.joints[key], groups[key])
                for key in standing.joints
                if key in groups
            ],
            steps=[
                study_step(view, layout, key, demands["step", key, ""])
                for key in standing.steps
                if ("step", key, "") in demands
            ],
        )

    def _look(
        self,
        positions: Mapping[Key, Demand],
        joints: Mapping[Key, Mapping[GroupName, Demand]],
    ) -> None:
        """Settle the conditions of all places in one question."""
        standing = self._layout.compiled.standing
        lits = [
            lit
            for key in positions
            for lit in position_literals(self._layout, key, positions)
        ]
        for key in joints:
            lits += joint_literals(standing.joints[key], standing.positions)
        self._view.look(lits)

    # The list.

    def _lines(self, found: _Found) -> tuple[list[Line], list[OpenPlace], bool]:
        studies = found.places()
        order = {study.place: number for number, study in enumerate(studies)}
        placed: list[tuple[Place, Line]] = []
        placed += certain_lines(self._view, self._layout, studies)
        openings: list[OpenPlace] = []
        measured = True
        for study in studies:
            if study.complete and len(study.items) == 1:
                continue
            deciding = self._deciding(study)
            opening = open_place(study, deciding)
            if opening is not None:
                openings.append(opening)
                placed += open_lines(self._view, self._layout, study, deciding)
                measured = measured and self._decisions.measured_only(deciding)
        placed.sort(key=lambda one: order[one[0]])
        return [line for _, line in placed], openings, measured

    def _deciding(self, study: Study) -> Deciding:
        outcomes = study.outcomes()
        return self._decisions.of(outcomes) if outcomes else Deciding()

    def _outcomes(self, found: _Found, planned: Planned | None) -> list[Outcomes]:
        """The partitions that the questions are about, each once."""
        outcomes = [o for study in found.places() for o in study.outcomes()]
        if planned is not None and not planned.complete:
            outcomes += [
                Outcomes((lit,), {(True,): 1, (False,): 0}) for lit in planned.lits
            ]
        kept = {(o.lits, tuple((o.classes or {}).items())): o for o in outcomes}
        return list(kept.values())

    def _work(self, planned: Planned | None) -> Work | None:
        if planned is None:
            return None
        return work_of(self._view, self._layout, planned)

    def _joint_forms(self, found: _Found) -> Iterable[JointForm]:
        """The joints that are opened or asked for; the whole asks for none."""
        asked = {*self._scope.joints, *self._disturbed}
        forms = (
            joint_form(self._layout, study)
            for study in found.joints
            if study.joint.key in asked
        )
        return (form for form in forms if form is not None)

    def _faults(
        self,
        found: _Found,
        demands: Mapping[WholePlace, Demand],
        planned: Planned | None,
        lines: Sequence[Line],
    ) -> tuple[list[Fault], list[Fault]]:
        view, layout = self._view, self._layout
        faults = absent_faults(view, layout, self._scope)
        if planned is not None:
            faults += plan_faults(layout, planned)
        for study in found.positions:
            demand = demands["position", study.place.key, ""]
            faults += position_faults(view, layout, study, demand)
        warnings: list[Fault] = []
        for joint in found.joints:
            wrong, thin = joint_faults(layout, joint)
            faults += wrong
            warnings += thin
        faults += not_sold_faults(lines, layout.parts)
        return faults, warnings


def _joint_calls(
    layout: Layout, key: Key, *, asked: bool
) -> Iterable[tuple[WholePlace, Demand]]:
    """The screws of a joint; where asked for by itself, its seals and hardware too."""
    joint = layout.compiled.standing.joints[key]
    why = (Reason(joint=key),)
    for group in joint.groups:
        yield ("joint", key, group.code), always(Call("renew", why))
    if not asked:
        return
    for seal in joint.seals:
        yield ("position", seal, ""), where(joint.exists, Call("renew", why))
    for group in joint.groups:
        stays = group.group.stud is not None and group.group.stud.stays
        for position in hole_positions(group):
            if position != group.stud or not stays:
                name = ((key, group.code),)
                call = Call("renew", why, name)
                yield ("position", position, ""), where(group.exists, call)
