"""The list as plain trees for JSON, in the shape of `POST .../resolve`.

Quantities are decimal strings; millimetres, kilograms and minutes are numbers.
Fields stand in a fixed order, so equal lists give equal bytes.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping
from decimal import Decimal

from bomsvc.core.fasteners.values import SizedGroup
from bomsvc.core.logic.questions import Question, ToMeasure
from bomsvc.core.logic.standing import Key
from bomsvc.core.resolve.lines import (
    Alternate,
    Brought,
    Candidate,
    CandidatePart,
    Fault,
    FigureCase,
    GroupForm,
    JointForm,
    Limit,
    Line,
    OpenPlace,
    Order,
    OrderLine,
    OtherWay,
    PassForm,
    Place,
    Reason,
    Resolved,
    Stay,
    Work,
    WorkStep,
)
from bomsvc.core.resolve.memory import Memory
from bomsvc.core.terms.numbers import decimal_text
from bomsvc.service.replies.sheet import sheet_form
from bomsvc.service.replies.size import number, sized_form

Json = dict[str, object]

_FORMS_KEPT = 20_000
_LINE_FORMS: Memory[tuple[Line, Json]] = Memory(_FORMS_KEPT)
_SIZED_FORMS: Memory[tuple[SizedGroup, Json]] = Memory(_FORMS_KEPT)
"""By identity; the value keeps its object, so that no other takes the identity."""

_REASON_FIELDS = (
    "position",
    "when",
    "given",
    "joint",
    "group",
    "opened_by",
    "loosened_by",
    "step",
    "needed_by",
    "freed_by",
    "job",
    "renewed_with",
    "reuse",
)


def resolve_reply(
    resolved: Resolved,
    *,
    revision: Mapping[str, object] | None = None,
    sheets: Collection[Key] = (),
) -> Json:
    """The reply of `resolve`.

    Args:
        resolved: The list.
        revision: Family, number and digest, as the service knows them.
        sheets: Joints whose whole sheet is wanted, its stacks drawn; the joints that
            were asked for by name. The others carry their map.
    """
    return {
        "revision": None if revision is None else dict(revision),
        "certain": resolved.certain,
        "certain_but_measured": resolved.certain_but_measured,
        "lines": [line_form(line) for line in resolved.lines],
        "open": [_open_form(place) for place in resolved.open],
        "questions": [question_form(q) for q in resolved.questions],
        "to_measure": [measure_form(m) for m in resolved.to_measure],
        "work": None if resolved.work is None else work_form(resolved.work),
        "joints": [
            _joint_form(joint) | _sheet_form(joint, wanted=joint.joint in sheets)
            for joint in resolved.joints
        ],
        "notices": [],
        "faults": [_fault_form(fault) for fault in resolved.faults],
        "warnings": [_fault_form(fault) for fault in resolved.warnings],
        "orders": [_order_line_form(order) for order in resolved.orders],
        "waived": list(resolved.waived),
    }


def line_form(line: Line) -> Json:
    """One line; `supply` is filled in by the service where a branch is given.

    Lists share their lines, so each line's form is made once; the answer is the
    caller's own copy, its inner values are not to be changed.
    """
    _, form = _LINE_FORMS.get(id(line), lambda: (line, _line_form(line)))
    return dict(form)


def _screw_form(sized: SizedGroup | None) -> Json | None:
    return None if sized is None else shared_sized_form(sized)


def shared_sized_form(sized: SizedGroup) -> Json:
    """The sized form, made once for each object; not to be changed."""
    return _SIZED_FORMS.get(id(sized), lambda: (sized, sized_form(sized)))[1]


def _line_form(line: Line) -> Json:
    return {
        "part": line.part,
        "name": line.name,
        "qty": decimal_text(line.qty),
        "take": decimal_text(line.take),
        "unit": line.unit,
        "order": None if line.order is None else _order_form(line.order),
        "need": line.need,
        "state": line.state,
        "places": [place_form(place) for place in line.places],
        "positions": [p.key for p in line.places if p.kind == "position"],
        "why": [reason_form(reason) for reason in line.why],
        "decided_by": list(line.decided_by),
        "waits_on": list(line.waits_on),
        "limit": None if line.limit is None else _limit_form(line.limit),
        "instructions": list(line.instructions),
        "wanted": line.wanted,
        "screw": _screw_form(line.screw),
        "cases": [_case_form(case) for case in line.cases],
        "alternates": [_alternate_form(a) for a in line.alternates],
        "supply": None,
        "cautions": list(line.cautions),
        "brings": [_brought_form(one) for one in line.brings],
    }


def _brought_form(brought: Brought) -> Json:
    return {
        "position": brought.position,
        "part": brought.part,
        "name": brought.name,
        "qty": decimal_text(brought.qty),
        "state": brought.state,
    }


def place_form(place: Place) -> Json:
    """A position, a joint's group with its holes, or a step."""
    if place.kind == "joint":
        return {
            "joint": place.key,
            "group": place.group,
            "holes": list(place.holes),
        }
    return {place.kind: place.key}


def reason_form(reason: Reason) -> Json:
    """The fields of a reason that say something, in a fixed order."""
    found: Json = {}
    for name in _REASON_FIELDS:
        value = getattr(reason, name)
        if value is not None:
            found[name] = list(value) if isinstance(value, tuple) else value
    return found


def _order_form(order: Order) -> Json:
    return {"part": order.part, "qty": decimal_text(order.qty)}


def _order_line_form(order: OrderLine) -> Json:
    return {
        "part": order.part,
        "qty": decimal_text(order.qty),
        "contains": list(order.contains),
    }


def _limit_form(limit: Limit) -> Json:
    return {
        "max_length_mm": _number(limit.max_length_mm),
        "max_uses": limit.max_uses,
        "inspect": limit.inspect,
    }


def _number(value: Decimal | None) -> int | float | None:
    return None if value is None else number(value)


def _case_form(case: FigureCase) -> Json:
    return {"when": case.when, "figures": shared_sized_form(case.figures)}


def _alternate_form(alternate: Alternate) -> Json:
    return {
        "part": alternate.part,
        "name": alternate.name,
        "qty": decimal_text(alternate.qty),
        "rank": alternate.rank,
        "position": alternate.position,
        "state": alternate.state,
        "note": alternate.note,
    }


def _open_form(place: OpenPlace) -> Json:
    return {
        "place": place_form(place.place),
        "candidates": [_candidate_form(c) for c in place.candidates],
        "decided_by": list(place.decided_by),
        "waits_on": list(place.waits_on),
        "take_all": _parts_form(place.take_all),
    }


def _candidate_form(candidate: Candidate) -> Json:
    return {
        "parts": _parts_form(candidate.parts),
        "screw": None
        if candidate.screw is None
        else shared_sized_form(candidate.screw),
    }


def _parts_form(parts: Iterable[CandidatePart]) -> list[Json]:
    return [_candidate_part(part) for part in parts]


def _candidate_part(part: CandidatePart) -> Json:
    found: Json = {
        "part": part.part,
        "qty": decimal_text(part.qty),
        "need": part.need,
    }
    if part.part is None:
        found["wanted"] = part.wanted
    return found


def question_form(question: Question) -> Json:
    """A question with the choices still possible and how to tell them."""
    return {
        "option": question.option,
        "ask": question.ask,
        "choices": [
            {"code": c.code, "label": c.label, "tell": c.tell} for c in question.choices
        ],
        "expected_after": question.expected_after,
        "exact": question.exact,
    }


def measure_form(measure: ToMeasure) -> Json:
    """An option to measure after strip-down, with its bands in mm."""
    return {
        "option": measure.option,
        "label": measure.label,
        "bands": [
            {
                "code": band.code,
                "label": band.label,
                "band_mm": None if band.band_mm is None else _ends(band.band_mm),
            }
            for band in measure.bands
        ],
    }


def _ends(band_mm: tuple[Decimal, Decimal]) -> list[int | float]:
    return [number(end) for end in band_mm]


def work_form(work: Work) -> Json:
    """Steps in order, minutes from least to most, the other way in."""
    return {
        "steps": [step_form(step) for step in work.steps],
        "minutes": [number(minutes) for minutes in work.minutes],
        "basis": work.basis,
        "optimal": work.optimal,
        "bound": _number(work.bound),
        "other_way": None if work.other_way is None else _other_way(work.other_way),
        "tools": list(work.tools),
        "cautions": list(work.cautions),
        "stays": [_stay_form(stay) for stay in work.stays],
    }


def step_form(step: WorkStep) -> Json:
    """One step as done, in its place of the order."""
    return {
        "step": step.step,
        "label": step.label,
        "phase": step.phase,
        "order": step.order,
        "minutes": number(step.minutes),
        "lift_kg": _number(step.lift_kg),
        "opens": list(step.opens),
        "loosens": list(step.loosens),
        "state": step.state,
        "needed_by": list(step.needed_by),
        "decided_by": list(step.decided_by),
    }


def _other_way(other: OtherWay) -> Json:
    return {
        "steps": list(other.steps),
        "minutes": number(other.minutes),
        "instead_of": list(other.instead_of),
        "optimal": other.optimal,
    }


def _stay_form(stay: Stay) -> Json:
    return {
        "position": stay.position,
        "part": stay.part,
        "text": stay.text,
        "state": stay.state,
    }


def _joint_form(joint: JointForm) -> Json:
    return {
        "joint": joint.joint,
        "label": joint.label,
        "state": joint.state,
        "groups": [_group_form(group) for group in joint.groups],
        "passes": [_pass_form(stated) for stated in joint.passes],
        "loosen_order": list(joint.loosen_order),
        "note": joint.note,
        "svg": joint.svg,
        "notes": [] if joint.sheet is None else list(joint.sheet.notes),
        "cautions": list(joint.cautions),
    }


def _sheet_form(joint: JointForm, *, wanted: bool) -> Json:
    drawn = joint.sheet if wanted else None
    return {"sheet": None if drawn is None else sheet_form(drawn)}


def _group_form(group: GroupForm) -> Json:
    return {
        "group": group.group,
        "label": group.label,
        "state": group.state,
        "holes": list(group.holes),
        "threads": group.threads,
        "part": group.part,
        "wanted": group.wanted,
        "screw": _screw_form(group.screw),
        "cases": [_case_form(case) for case in group.cases],
        "candidates": [_candidate_form(c) for c in group.candidates],
    }


def _pass_form(stated: PassForm) -> Json:
    figures = {
        "torque_nm": stated.torque_nm,
        "angle_deg": stated.angle_deg,
        "loosen_deg": stated.loosen_deg,
        "stretch_mm": stated.stretch_mm,
    }
    stated_figures = {k: number(v) for k, v in figures.items() if v is not None}
    return {
        "groups": list(stated.groups),
        "order": list(stated.order),
        **stated_figures,
    }


def _fault_form(fault: Fault) -> Json:
    return {
        "code": fault.code,
        "at": fault.at,
        "detail": fault.detail,
        "when": fault.when,
    }
