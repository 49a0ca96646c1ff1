"""Studs are stated and checked, never chosen: their set end and their free end."""

from __future__ import annotations

from fractions import Fraction

from bomsvc.core.fasteners.bounds import Bounds, bounds_for, clamp_of
from bomsvc.core.fasteners.candidates import figure
from bomsvc.core.fasteners.cautions import length_cautions
from bomsvc.core.fasteners.engagement import required_engagement
from bomsvc.core.fasteners.names import get_class
from bomsvc.core.fasteners.sentences import failure_detail, mm
from bomsvc.core.fasteners.threads import Thread, get_thread
from bomsvc.core.fasteners.values import (
    ZERO,
    Chosen,
    Failure,
    Finding,
    GroupStack,
    Margins,
    Need,
    SizedGroup,
    Stud,
    StudFigures,
    StudInto,
)

THIN_MM = Fraction(1, 4)


def size_stud(group: GroupStack, into: StudInto) -> SizedGroup:
    """Check a stud in its hole and under its nut.

    The set end is held like a screw's end, point and clearance included, at least
    to the stripping need (a stated screw is held the same way); the free end must
    reach through the greatest stack and the tallest nut by its point.

    Raises:
        BadInput: A thread or property class that is not known.
    """
    stud = into.stud
    hole_thread, nut_thread = get_thread(stud.hole_thread), get_thread(stud.nut_thread)
    need = required_engagement(
        hole_thread,
        get_class(stud.property_class),
        into.hole.material,
        strength_mpa=into.hole.strength_mpa,
        stated_mm=group.engagement_mm,
    )
    enough = need.mm if need.governs == "stated" else need.stripping_mm
    bounds = bounds_for((), into.hole, hole_thread, required=enough)
    free = _free(group, into, nut_thread)
    failure = (
        _wrong_thread(into, hole_thread, nut_thread)
        or _set_failure(bounds, stud)
        or _free_failure(group, into, free)
    )
    margins = _set_margins(bounds, stud)
    shown = margins._replace(short=margins.short - (need.mm - enough))
    return SizedGroup(
        code=group.code,
        hole_count=group.hole_count,
        chosen=_chosen(stud, nut_thread),
        failure=failure,
        clamp_mm=clamp_of(group.layers),
        need=need,
        engagement_mm=bounds.engagement(*_set_ends(stud)),
        margins=shown,
        tip_mm=_tip(group, into),
        stud=free,
        findings=_findings(stud, failure, need, _least(margins, free), shown),
        cautions=length_cautions(form=bounds.form, breaks_into=into.hole.breaks_into),
    )


def _set_ends(stud: Stud) -> tuple[Fraction, Fraction]:
    return stud.set_mm - stud.set_minus, stud.set_mm + stud.set_plus


def _set_margins(bounds: Bounds, stud: Stud) -> Margins:
    least, greatest = _set_ends(stud)
    over = None if bounds.upper is None else bounds.upper - greatest
    return Margins(least - bounds.lower, over, None)


def _least(margins: Margins, free: StudFigures) -> Fraction:
    return min(margins.least(), free.free_margin_mm)


def _free(group: GroupStack, into: StudInto, nut_thread: Thread) -> StudFigures:
    stud = into.stud
    least = stud.length_mm - stud.minus - _set_ends(stud)[1]
    needed = (
        clamp_of(group.layers)[2]
        + into.nut.height_mm
        + into.nut.plus
        + nut_thread.point_mm
    )
    return StudFigures(
        set_mm=stud.set_mm,
        length_mm=stud.length_mm,
        free_min_mm=least,
        free_needed_mm=needed,
        free_margin_mm=least - needed,
        stays=stud.stays,
    )


def _tip(group: GroupStack, into: StudInto) -> tuple[Fraction, Fraction]:
    stud, nut, clamp = into.stud, into.nut, clamp_of(group.layers)
    shortest = stud.length_mm - stud.minus - _set_ends(stud)[1]
    longest = stud.length_mm + stud.plus - _set_ends(stud)[0]
    return (
        shortest - clamp[2] - nut.height_mm - nut.plus,
        longest - clamp[1] - nut.height_mm + nut.minus,
    )


def _chosen(stud: Stud, nut_thread: Thread) -> Chosen:
    hole = get_thread(stud.hole_thread)
    both = hole.short if hole == nut_thread else f"{hole.short} / {nut_thread.short}"
    size = f"{both} x {figure(stud.length_mm)}"
    return Chosen(
        part=stud.part,
        designation=f"stud - {size} - {stud.property_class}",
        standard="stud",
        thread=hole.designation,
        length_mm=stud.length_mm,
        property_class=stud.property_class,
        fully_threaded=False,
        finish=None,
        origin="stud",
        inch=hole.inch,
    )


def _wrong_thread(into: StudInto, hole: Thread, nut: Thread) -> Failure | None:
    for ours, theirs in ((hole, into.hole.thread), (nut, into.nut.thread)):
        if theirs is not None and get_thread(theirs) != ours:
            pair = ours.designation, get_thread(theirs).designation
            return Failure("wrong_thread", None, "stud", threads=pair)
    return None


def _set_failure(bounds: Bounds, stud: Stud) -> Failure | None:
    least, greatest = _set_ends(stud)
    engaged = bounds.engagement(least, greatest)
    assert engaged is not None, "a stud is set into a tapped hole"
    assert bounds.required is not None, "a tapped hole has a need"
    if engaged[0] < bounds.required:
        return Failure(
            "too_little_engagement",
            bounds.required - engaged[0],
            "stud",
            have_mm=engaged[0],
            need_mm=bounds.required,
        )
    if bounds.upper is not None and greatest > bounds.upper:
        return Failure(
            "bottoms_out",
            greatest - bounds.upper,
            "stud",
            have_mm=greatest,
            need_mm=bounds.upper,
        )
    return None


def _free_failure(
    group: GroupStack, into: StudInto, free: StudFigures
) -> Failure | None:
    if free.free_margin_mm < ZERO:
        return Failure(
            "too_little_engagement",
            -free.free_margin_mm,
            "stud",
            have_mm=free.free_min_mm,
            need_mm=free.free_needed_mm,
            at_nut=True,
        )
    tip = _tip(group, into)[1]
    if group.protrusion_mm is not None and tip > group.protrusion_mm:
        return Failure(
            "protrudes_too_far",
            tip - group.protrusion_mm,
            "stud",
            have_mm=tip,
            need_mm=group.protrusion_mm,
            at_nut=True,
        )
    return None


def _findings(
    stud: Stud,
    failure: Failure | None,
    need: Need,
    least: Fraction,
    shown: Margins,
) -> tuple[Finding, ...]:
    if failure is not None:
        who = stud.part or "The stud"
        detail = f"{who} is stated. {failure_detail(failure)}"
        return (Finding("screw_stated_fails", "fault", detail),)
    found = []
    if least < THIN_MM:
        detail = f"Thin margin: only {mm(least)} to spare on the stud."
        found.append(Finding("screw_thin_margin", "warning", detail))
    if shown.short < 0:
        detail = (
            f"The stud's set end engages more than the {mm(need.stripping_mm)} that "
            f"keep the thread from stripping, less than the guide of "
            f"{mm(need.guide_mm)}."
        )
        found.append(Finding("screw_thin_margin", "warning", detail))
    return tuple(found)
