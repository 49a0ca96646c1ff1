"""What the catalogue cannot answer for this list: gaps, missing figures, no way in."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Literal

from bomsvc.core.catalogue.conditions import Condition, print_condition
from bomsvc.core.fasteners.values import SizedGroup
from bomsvc.core.logic.condition_words import condition_words
from bomsvc.core.logic.sentences import inside
from bomsvc.core.logic.standing import Key, Lit, StandingPosition
from bomsvc.core.resolve.demand import Demand
from bomsvc.core.resolve.figures import readable
from bomsvc.core.resolve.layout import Layout
from bomsvc.core.resolve.lines import Fault
from bomsvc.core.resolve.plans import Planned
from bomsvc.core.resolve.scope import Scope
from bomsvc.core.resolve.studies import JointStudy, Study
from bomsvc.core.resolve.view import View
from bomsvc.core.resolve.worded import condition_for
from bomsvc.core.terms.numbers import decimal_text
from bomsvc.core.work.values import Stuck, StuckReason


@dataclass(frozen=True, slots=True)
class _Asked:
    """Something asked for by name, and on which engines it is."""

    kind: Literal["job", "position", "joint"]
    key: Key
    label: str
    exists: Lit
    condition: Condition

    @property
    def code(self) -> tuple[str, str]:
        """Kind and code, the same for all members of a series."""
        return self.kind, self.key.partition("[")[0]


def absent_faults(view: View, layout: Layout, scope: Scope) -> list[Fault]:
    """What was asked for by name and is on no remaining build, and why."""
    asked = list(_asked(layout, scope))
    view.look(one.exists for one in asked)
    # Who asks for all members of a series wants those that are there.
    there = {one.code for one in asked if view.state(one.exists) != "excluded"}
    return [
        Fault(f"{one.kind}_absent", one.key, _absence(view, one))
        for one in asked
        if one.code not in there
    ]


def _asked(layout: Layout, scope: Scope) -> Iterator[_Asked]:
    standing = layout.compiled.standing
    for key in scope.jobs:
        job = standing.jobs[key]
        label = _named(job.job.label, job.member)
        yield _Asked("job", key, label, job.exists, job.job.exists)
    for key in scope.positions:
        position = standing.positions[key]
        label = _named(position.position.label, position.member)
        exists = position.position.exists
        yield _Asked("position", key, label, position.exists, exists)
    for key in scope.joints:
        joint = standing.joints[key]
        label = _named(joint.joint.label, joint.member)
        yield _Asked("joint", key, label, joint.exists, joint.joint.exists)


def _named(label: str, member: int | None) -> str:
    return label if member is None else f"{label}, {member}"


def _absence(view: View, one: _Asked) -> str:
    """Say why it is not there: the condition in words, then what rules it out."""
    reasoner = view.reasoner
    where = inside(condition_words(reasoner.compiled, one.condition))
    start = (
        f"There is nothing to do: “{one.label}” is only for engines"
        if one.kind == "job"
        else f"“{one.label}” is only on engines"
    )
    grounds = reasoner.why(view.known, one.exists).reasons
    return " ".join((f"{start} where {where}.", *(g.because for g in grounds)))


def position_faults(
    view: View, layout: Layout, study: Study, demand: Demand
) -> Iterator[Fault]:
    """Gaps and overlaps of a position, and quantities that the holes should give."""
    key = study.place.key
    position = layout.compiled.standing.positions[key]
    if not study.complete and not demand.doubtful:
        yield _not_settled(key)
    fitments = [f for f in position.fitments if f.fitment.rank == 1]
    if key in layout.hole_uses:
        for fitment in fitments:
            wrong = fitment.fitment.qty != 1
            if wrong and view.state(fitment.applies) != "excluded":
                yield _quantity_fault(key, fitment.fitment.part, fitment.fitment.qty)
    if position.position.fill != "several":
        yield from _fill_faults(view, position, study)


def _quantity_fault(key: Key, part: str, qty: Decimal) -> Fault:
    detail = (
        f"{part} in {key} is needed once per hole; its quantity must be 1, "
        f"not {decimal_text(qty)}."
    )
    return Fault("quantity_by_holes", key, detail)


def _fill_faults(
    view: View, position: StandingPosition, study: Study
) -> Iterator[Fault]:
    counts = set()
    for vector in study.vectors:
        truth = view.truth(study.lits, vector)
        if position.position.fill == "one" and not truth(position.exists):
            continue
        fitments = (f for f in position.fitments if f.fitment.rank == 1)
        counts.add(sum(truth(f.applies) for f in fitments))
    label = position.position.label
    if 0 in counts and position.position.fill == "one":
        detail = f"No part is listed for {label} in some build that agrees."
        yield Fault("position_gap", position.key, detail)
    if any(count > 1 for count in counts):
        detail = f"Several parts are listed for {label} in some build that agrees."
        yield Fault("position_overlap", position.key, detail)


def _not_settled(at: str) -> Fault:
    detail = "More cases than the budget: not settled. Answer a question to narrow it."
    return Fault("not_settled", at, detail)


def joint_faults(layout: Layout, study: JointStudy) -> tuple[list[Fault], list[Fault]]:
    """Faults and warnings of the asked groups, each with the stacks it is about."""
    faults: list[Fault] = []
    warnings: list[Fault] = []
    if not study.complete:
        faults.append(_not_settled(study.joint.key))
    for code, asked in study.asked.items():
        rows = _findings(study, code, asked)
        for severity, name, detail in dict.fromkeys(f for row in rows for f in row):
            when = _when(layout, study, rows, (severity, name, detail), asked)
            fault = Fault(name, f"{study.joint.key}.{code}", detail, when)
            (faults if severity == "fault" else warnings).append(fault)
    return faults, warnings


_Found = tuple[str, str, str]


def _findings(
    study: JointStudy, code: str, asked: Sequence[bool]
) -> list[list[_Found]]:
    """Per case severity, code and detail of what is wrong at the group."""
    rows: list[list[_Found]] = []
    for sized, here in zip(study.sized, asked, strict=True):
        found = sized.get(code) if here else None
        if isinstance(found, SizedGroup):
            rows.append(
                [
                    (f.severity, f.code, f.detail)
                    for f in found.findings
                    if f.severity != "note"
                ]
            )
        else:
            flaws = found.flaws if found is not None else ()
            rows.append([("fault", flaw.code, f"{flaw.what}.") for flaw in flaws])
    return rows


def _when(
    layout: Layout,
    study: JointStudy,
    rows: Sequence[Sequence[_Found]],
    finding: _Found,
    asked: Sequence[bool],
) -> str | None:
    """The condition under which the finding stands; None: whenever asked for."""
    here = [n for n, is_asked in enumerate(asked) if is_asked]
    chosen = [finding in rows[n] for n in here]
    if all(chosen):
        return None
    cases = [study.vectors[n] for n in here]
    lits, vectors, texts = readable(layout, study.joint.key, study.lits, cases)
    return print_condition(condition_for(lits, vectors, chosen, texts))


def plan_faults(layout: Layout, planned: Planned) -> list[Fault]:
    """No way in, a pinned step that is not there, more cases than the budget."""
    found: dict[Fault, None] = {}
    for case in planned.cases:
        if isinstance(case.plan, Stuck):
            found.update((_stuck_fault(layout, r), None) for r in case.plan.reasons)
        else:
            for pin in case.plan.pins_absent:
                detail = f"The pinned step {pin} does not exist on this engine."
                found[Fault("by_way_of_absent", pin, detail)] = None
    return list(found)


def _stuck_fault(layout: Layout, reason: StuckReason) -> Fault:
    first = reason.items[0]
    chain = " for ".join(reversed(reason.wanted_by))
    match reason.code:
        case "position_stuck":
            detail = f"No step of this engine frees {first}"
        case "joint_never_opened":
            detail = f"No step of this engine opens {first}"
        case "needs_cycle":
            detail = f"{' and '.join(reason.items)} wait on one another"
    return Fault(reason.code, first, f"{detail}; it is wanted by {chain}.")
