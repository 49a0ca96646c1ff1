"""Resolve: from what is known and a scope to the list.

Every place of the scope is studied over the cases of the few conditions it
depends on; what all cases share is certain, the rest is open with its candidates
and the options that decide it.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from operator import itemgetter

from bomsvc.core.logic.deciding import Outcomes
from bomsvc.core.logic.known import Known
from bomsvc.core.logic.questions import ToMeasure
from bomsvc.core.logic.reasoner import Reasoner
from bomsvc.core.logic.standing import Key
from bomsvc.core.resolve.asking import with_more
from bomsvc.core.resolve.demand import Demand
from bomsvc.core.resolve.disturbed import WholePlace
from bomsvc.core.resolve.faults import absent_faults, plan_faults
from bomsvc.core.resolve.jointforms import joint_form
from bomsvc.core.resolve.layout import Layout, layout_of
from bomsvc.core.resolve.lines import (
    Clashing,
    Fault,
    JointForm,
    Line,
    OpenPlace,
    Resolved,
    Work,
)
from bomsvc.core.resolve.listing import Deciding, certain_lines, open_lines
from bomsvc.core.resolve.openings import Decisions, different_outcomes, open_place
from bomsvc.core.resolve.orders import not_sold_faults, order_lines, with_sets
from bomsvc.core.resolve.placing import Placed, Request, places_of
from bomsvc.core.resolve.plans import WORK_CASES, Planned, plan_cases
from bomsvc.core.resolve.pruning import pruned_of
from bomsvc.core.resolve.scope import Scope
from bomsvc.core.resolve.studies import Study
from bomsvc.core.resolve.view import View
from bomsvc.core.resolve.working import work_of


def resolve(
    reasoner: Reasoner,
    known: Known,
    scope: Scope,
    *,
    by_way_of: Sequence[Key] = (),
    weights: Sequence[Known] = (),
) -> Resolved | Clashing:
    """The list for a scope: certain and open lines, questions, work, joints.

    Args:
        reasoner: The revision's reasoner.
        known: What is known of the engine.
        scope: What is asked for.
        by_way_of: Steps that a person pinned as the way in.
        weights: Engines on file by which the questions are weighed.

    Returns:
        The list, exact for all remaining builds; or the clash when there is none.

    Raises:
        Unsettled: A logic question ran out of its budget.
    """
    if not reasoner.consistent(known):
        return Clashing(reasoner.clash(known))
    layout = layout_of(reasoner.compiled)
    view = View(reasoner, known)
    pins = tuple(by_way_of)
    return Listing(view, layout, scope, pins=pins, weights=weights).resolved()


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
        weights: Sequence[Known] = (),
    ) -> None:
        self._view = view
        self._layout = layout
        self._scope = scope
        self._pins = pins
        self._more = more or {}
        self._weights = weights
        self._decisions = Decisions(view)

    def resolved(self) -> Resolved:
        """The list."""
        planned = self._planned()
        request = self._request(planned)
        placed = self._placed(request)
        lines, openings, measured = self._lines(placed)
        faults = self._faults(placed, planned, lines)
        asked, to_measure = self._outcomes(placed, planned)
        reasoner, known = self._view.reasoner, self._view.known
        return Resolved(
            certain=not openings,
            certain_but_measured=bool(openings) and measured,
            lines=tuple(lines),
            open=tuple(openings),
            questions=(
                reasoner.questions(known, asked, weights=self._weights) if asked else ()
            ),
            to_measure=tuple(to_measure),
            work=self._work(planned),
            joints=tuple(self._joint_forms(request, placed)),
            faults=faults,
            warnings=_once(fault for one in placed for fault in one.warnings),
            orders=order_lines(lines),
            waived=known.waived,
        )

    def _planned(self) -> Planned | None:
        jobs = self._scope.jobs
        if not jobs:
            return None
        view, layout, pins = self._view, self._layout, self._pins
        planned = plan_cases(view, layout, jobs, pins)
        if planned.complete:
            return planned
        pruned = pruned_of(layout)
        return pruned.planned(view, jobs, pins, planned, WORK_CASES) or planned

    def _request(self, planned: Planned | None) -> Request:
        layout = self._layout
        request = places_of(layout).request(
            self._view, layout, self._scope, planned, pins=self._pins
        )
        if self._more:
            return Request(layout, with_more(layout, request.asked, self._more))
        return request

    def _placed(self, request: Request) -> list[Placed]:
        layout = self._layout
        return places_of(layout).place(self._view, layout, request)

    def _lines(
        self, placed: Sequence[Placed]
    ) -> tuple[list[Line], list[OpenPlace], bool]:
        """Lines, open places, and whether only measuring is left to settle them.

        Lines stand in the order of their first places.
        """
        studies = [study for one in placed for study in one.studies]
        numbered = certain_lines(self._view, self._layout, placed)
        openings: list[OpenPlace] = []
        measured = True
        for number, study in enumerate(studies):
            if study.settled:
                continue
            deciding = self._deciding(study)
            opening = open_place(study, deciding)
            if opening is not None:
                openings.append(opening)
                lines = open_lines(self._view, self._layout, study, deciding)
                numbered += [(number, line) for line in lines]
                measured = measured and self._decisions.measured_only(deciding)
        numbered.sort(key=itemgetter(0))
        ordered = with_sets([line for _, line in numbered], self._layout.parts)
        return ordered, openings, measured

    def _deciding(self, study: Study) -> Deciding:
        outcomes = study.outcomes()
        return self._decisions.of(outcomes) if outcomes else Deciding()

    def _outcomes(
        self, placed: Sequence[Placed], planned: Planned | None
    ) -> tuple[list[Outcomes], list[ToMeasure]]:
        """The partitions to ask about, and what has to be measured.

        A place that only waits on what cannot be asked is not asked about: an option
        out of reach must not stand in for one that a person could answer.
        """
        asked: list[Outcomes] = []
        measured: dict[Key, ToMeasure] = {}
        for study in (s for one in placed for s in one.studies if not s.settled):
            outcomes = study.outcomes()
            if not outcomes:
                continue
            deciding = self._decisions.of(outcomes)
            asked += () if deciding.waits_on else outcomes
            for one in self._decisions.to_measure(deciding, outcomes):
                measured[one.option] = one
        if planned is not None and not planned.complete:
            asked += [
                Outcomes((lit,), {(True,): 1, (False,): 0}) for lit in planned.lits
            ]
        options = self._layout.compiled.options
        in_order = [measured[key] for key in options if key in measured]
        return different_outcomes(asked), in_order

    def _work(self, planned: Planned | None) -> Work | None:
        if planned is None:
            return None
        return work_of(self._view, self._layout, planned, self._decisions)

    def _joint_forms(
        self, request: Request, placed: Sequence[Placed]
    ) -> Iterator[JointForm]:
        """The joints that are opened or asked for; the whole asks for none."""
        for one in placed:
            if one.joint is not None and one.task.key in request.asked.shown:
                form = joint_form(self._layout, one.joint)
                if form is not None:
                    yield form

    def _faults(
        self,
        placed: Sequence[Placed],
        planned: Planned | None,
        lines: Sequence[Line],
    ) -> tuple[Fault, ...]:
        faults = absent_faults(self._view, self._layout, self._scope)
        if planned is not None:
            faults += plan_faults(self._layout, planned)
        faults += [fault for one in placed for fault in one.faults]
        faults += not_sold_faults(lines, self._layout.parts)
        return _once(faults)


def _once(faults: Iterable[Fault]) -> tuple[Fault, ...]:
    return tuple(dict.fromkeys(faults))
