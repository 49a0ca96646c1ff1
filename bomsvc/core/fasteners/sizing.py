"""The screws of a joint: each group bounded once, the lengths chosen together."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction
from typing import NamedTuple

from bomsvc.core.fasteners.bounds import Bounds, bounds_for
from bomsvc.core.fasteners.candidates import (
    NOTHING,
    Candidate,
    Kind,
    Offer,
    as_stated,
    figure,
    in_series,
    on_shelf,
    read_kind,
)
from bomsvc.core.fasteners.cautions import length_cautions
from bomsvc.core.fasteners.cover import fewest_lengths
from bomsvc.core.fasteners.engagement import required_engagement
from bomsvc.core.fasteners.failures import (
    diagnose,
    fitting,
    margins_of,
    rejected,
    stated_failure,
)
from bomsvc.core.fasteners.names import PropertyClass, get_class
from bomsvc.core.fasteners.sentences import failure_detail, mm
from bomsvc.core.fasteners.studs import size_stud
from bomsvc.core.fasteners.threads import Thread, get_thread
from bomsvc.core.fasteners.values import (
    BlindHole,
    Failure,
    Finding,
    GroupStack,
    JointForm,
    Margins,
    Need,
    NutSide,
    SizedGroup,
    StudInto,
    TappedThrough,
)

THIN_MM = Fraction(1, 4)
"""A margin below this is a warning: a choice of this service."""

Cluster = tuple[str, str]
"""Thread and property class: groups of one cluster share their lengths."""


class BoundGroup(NamedTuple):
    """One group's stack, bounded, before the joint's lengths are chosen.

    Attributes:
        group: The stack that was bounded.
        ready: The answer, where the joint has no say in it (studs, dead ends).
        bounds: What a screw has to meet.
        need: Required engagement; None with a nut.
        tried: The candidates tried, ascending.
        fitting: Those that meet every bound.
        stated: The stated screw that stands on the line.
        failure: Why nothing fits, or why the stated screw fails.
    """

    group: GroupStack
    ready: SizedGroup | None = None
    bounds: Bounds | None = None
    need: Need | None = None
    tried: Offer = NOTHING
    fitting: tuple[Candidate, ...] = ()
    stated: Candidate | None = None
    failure: Failure | None = None

    def cluster(self) -> Cluster | None:
        """What this group shares its lengths with; None: with nobody."""
        lead = self.stated or (self.fitting[0] if self.fitting else None)
        if lead is None:
            return None
        return lead.chosen.thread, lead.chosen.property_class


def size_joint(groups: Sequence[GroupStack]) -> tuple[SizedGroup, ...]:
    """Size all groups of a joint for one combination of its parts.

    Args:
        groups: In the joint's order.

    Returns:
        One answer per group, in the same order.

    Raises:
        BadInput: A standard, thread or property class that is not known.
    """
    return choose([bound_group(group) for group in groups])


def bound_group(group: GroupStack) -> BoundGroup:
    """Bound one stack; independent of the joint's other groups.

    Equal stacks give equal answers, so a caller may keep them.

    Raises:
        BadInput: A standard, thread or property class that is not known.
    """
    if isinstance(group.into, StudInto):
        return BoundGroup(group, ready=size_stud(group, group.into))
    if group.stated:
        return _bound_stated(group, group.into)
    assert group.wanted is not None, "a group without stud or stated screw wants one"
    kind = read_kind(group.wanted)
    mismatch = _mismatch(kind.thread, group.into)
    need = _need(group, group.into, kind.thread, kind.property_class)
    bounds = _bounds(group, group.into, kind.thread, need.mm if need else None)
    if mismatch is not None:
        return BoundGroup(group, bounds=bounds, need=need, failure=mismatch)
    tried, fit = _search(group, bounds, kind)
    failure = None if fit else diagnose(bounds, tried)
    return BoundGroup(group, None, bounds, need, tried, fit, failure=failure)


def choose(bound: Sequence[BoundGroup]) -> tuple[SizedGroup, ...]:
    """Choose the joint's screws: the fewest different lengths, exactly.

    Args:
        bound: The joint's groups, in its order.
    """
    picked = _pick(bound)
    return tuple(
        _sized(one, picked.get(index)) if one.ready is None else one.ready
        for index, one in enumerate(bound)
    )


def _pick(bound: Sequence[BoundGroup]) -> dict[int, Candidate]:
    picked = {i: b.stated for i, b in enumerate(bound) if b.stated is not None}
    clusters = dict.fromkeys(
        b.cluster() for b in bound if b.stated is None and b.fitting
    )
    for cluster in clusters:
        open_to = [
            i
            for i, b in enumerate(bound)
            if b.stated is None and b.fitting and b.cluster() == cluster
        ]
        fixed = frozenset(
            b.stated.length
            for b in bound
            if b.stated is not None and b.cluster() == cluster
        )
        options = [frozenset(c.length for c in bound[i].fitting) for i in open_to]
        lengths = fewest_lengths(options, fixed)
        for index, length in zip(open_to, lengths, strict=True):
            same = (c for c in bound[index].fitting if c.length == length)
            picked[index] = min(same, key=lambda c: c.rank)
    return picked


def _bound_stated(
    group: GroupStack, into: BlindHole | TappedThrough | NutSide
) -> BoundGroup:
    screw = as_stated(group.stated[0])
    thread = get_thread(screw.chosen.thread)
    property_class = get_class(screw.chosen.property_class)
    need = _need(group, into, thread, property_class)
    bounds = _bounds(group, into, thread, _enough(need))
    failure = _mismatch(thread, into) or stated_failure(bounds, screw)
    fit: tuple[Candidate, ...] = ()
    if failure is not None and group.wanted is not None:
        fit = _beside(group, into)
    return BoundGroup(
        group, None, bounds, need, fitting=fit, stated=screw, failure=failure
    )


def _beside(
    group: GroupStack, into: BlindHole | TappedThrough | NutSide
) -> tuple[Candidate, ...]:
    """What the sizing itself would take beside a stated screw that fails."""
    assert group.wanted is not None, "only a group that wants a kind is sized"
    kind = read_kind(group.wanted)
    if _mismatch(kind.thread, into) is not None:
        return ()
    need = _need(group, into, kind.thread, kind.property_class)
    bounds = _bounds(group, into, kind.thread, need.mm if need else None)
    return _search(group, bounds, kind)[1]


def _search(
    group: GroupStack, bounds: Bounds, kind: Kind
) -> tuple[Offer, tuple[Candidate, ...]]:
    if group.shelf is not None:
        tried = on_shelf(group.shelf, kind)
        fit = fitting(bounds, tried)
        if fit or not group.own_series:
            return tried, fit
    tried = in_series(kind)
    return tried, fitting(bounds, tried)


def _mismatch(
    thread: Thread, into: BlindHole | TappedThrough | NutSide
) -> Failure | None:
    if into.thread is None:
        return None
    other = get_thread(into.thread)
    if other.designation == thread.designation:
        return None
    pair = thread.designation, other.designation
    return Failure("wrong_thread", None, _form(into), threads=pair)


def _form(into: BlindHole | TappedThrough | NutSide) -> JointForm:
    if isinstance(into, NutSide):
        return "nut"
    return "through" if isinstance(into, TappedThrough) else "blind"


def _need(
    group: GroupStack,
    into: BlindHole | TappedThrough | NutSide,
    thread: Thread,
    property_class: PropertyClass,
) -> Need | None:
    if isinstance(into, NutSide):
        return None
    return required_engagement(
        thread,
        property_class,
        into.material,
        strength_mpa=into.strength_mpa,
        stated_mm=group.engagement_mm,
    )


def _enough(need: Need | None) -> Fraction | None:
    # A maker's stated screw is held to what the thread must carry; the guide
    # factor is a rule of the trade, and falling short of it only warns.
    if need is None:
        return None
    return need.mm if need.governs == "stated" else need.stripping_mm


def _bounds(
    group: GroupStack,
    into: BlindHole | TappedThrough | NutSide,
    thread: Thread,
    required: Fraction | None,
) -> Bounds:
    return bounds_for(
        group.layers,
        into,
        thread,
        required=required,
        protrusion=group.protrusion_mm,
    )


def _sized(one: BoundGroup, screw: Candidate | None) -> SizedGroup:
    bounds = one.bounds
    assert bounds is not None, "a group without bounds is ready"
    alone = min(one.fitting, key=lambda c: (c.length, c.rank), default=None)
    wrong = one.failure is not None and one.failure.reason == "wrong_thread"
    measured = None if screw is None or wrong else screw
    rest = (c.chosen for c in one.fitting if one.stated is None and c is not screw)
    return SizedGroup(
        code=one.group.code,
        hole_count=one.group.hole_count,
        chosen=screw.chosen if screw else None,
        failure=one.failure,
        clamp_mm=bounds.clamp,
        window_mm=_window(one, bounds, screw),
        need=one.need,
        engagement_mm=bounds.engagement(measured.least, measured.greatest)
        if measured
        else None,
        margins=_strict(margins_of(bounds, measured), one) if measured else None,
        tip_mm=bounds.tip(measured.least, measured.greatest) if measured else None,
        computed=alone.chosen if alone and one.stated and one.failure else None,
        alternatives=tuple(rest),
        rejected=rejected(bounds, one.tried, one.fitting, screw),
        findings=_findings(one, bounds, screw),
        cautions=_cautions(one, bounds),
    )


def _window(
    one: BoundGroup, bounds: Bounds, screw: Candidate | None
) -> tuple[Fraction, Fraction | None] | None:
    lead = screw or next(iter(one.tried.candidates), None)
    return None if lead is None else bounds.window(lead.bands)


def _strict(margins: Margins, one: BoundGroup) -> Margins:
    """Margins against the need that is shown, also for a stated screw."""
    if one.stated is None or one.need is None:
        return margins
    lenient = _enough(one.need)
    assert lenient is not None, "a need has a figure"
    return Margins(margins.short - (one.need.mm - lenient), margins.over, margins.shank)


def _cautions(one: BoundGroup, bounds: Bounds) -> tuple[str, ...]:
    into = one.group.into
    breaks = into.breaks_into if isinstance(into, BlindHole | TappedThrough) else "none"
    return length_cautions(form=bounds.form, breaks_into=breaks)


def _findings(
    one: BoundGroup, bounds: Bounds, screw: Candidate | None
) -> tuple[Finding, ...]:
    found: list[Finding] = []
    if len(one.group.stated) > 1:
        found.append(_overlap(one.group))
    if one.failure is not None:
        found.append(_failed(one, one.failure))
    else:
        assert screw is not None, "a group without failure has a screw"
        if screw.chosen.origin == "series" and one.group.shelf is not None:
            found.append(_not_listed(one.group, screw))
        found.extend(_thin(one, bounds, screw))
    return tuple(found)


def _overlap(group: GroupStack) -> Finding:
    parts = " and ".join(s.part or "a screw without number" for s in group.stated)
    detail = f"{parts} are both stated for these holes; the first stands."
    return Finding("screw_stated_overlap", "fault", detail)


def _failed(one: BoundGroup, failure: Failure) -> Finding:
    detail = failure_detail(failure)
    if one.stated is None:
        return Finding("screw_none_fits", "fault", detail)
    beside = [c.chosen.designation for c in one.fitting[:1]]
    if one.group.wanted is not None:
        found = f"{beside[0]} would do" if beside else "nothing else would do either"
        detail = f"{detail} By the sizing, {found}."
    stated = one.stated.chosen.part or one.stated.chosen.designation
    return Finding("screw_stated_fails", "fault", f"{stated} is stated. {detail}")


def _not_listed(group: GroupStack, screw: Candidate) -> Finding:
    detail = f"{screw.chosen.designation} fits, but the catalogue has no number for it."
    if group.wanted is not None and group.wanted.finish:
        detail = f"{detail} Finish wanted: {group.wanted.finish}."
    return Finding("screw_not_listed", "fault", detail)


def _thin(one: BoundGroup, bounds: Bounds, screw: Candidate) -> list[Finding]:
    found: list[Finding] = []
    margins = margins_of(bounds, screw)
    if margins.least() < THIN_MM:
        found.append(Finding("screw_thin_margin", "warning", _thin_detail(margins)))
    if one.need is not None and _strict(margins, one).short < 0:
        found.append(_below_guide(one.need, bounds, screw))
    if any(x.free_mm is not None for x in one.group.layers):
        missing = bounds.start - screw.least
        if missing > 0:
            found.append(_hard_to_start(missing))
    return found


def _thin_detail(margins: Margins) -> str:
    named = (
        ("before too little engagement", margins.short),
        ("before the screw is too long", margins.over),
        ("before the shank is too long", margins.shank),
    )
    told = [
        f"{mm(value)} {what}" for what, value in named if value is not None and
        value < THIN_MM
    ]  # fmt: skip
    return f"Thin margin: only {' and '.join(told)}."


def _below_guide(need: Need, bounds: Bounds, screw: Candidate) -> Finding:
    engaged = bounds.engagement(screw.least, screw.greatest)
    assert engaged is not None, "only a tapped hole has a guide"
    detail = (
        f"The stated screw engages {mm(engaged[0])} at least: more than the "
        f"{figure(need.stripping_mm)} mm that keep the thread from stripping, less "
        f"than the guide of {mm(need.guide_mm)}."
    )
    return Finding("screw_thin_margin", "warning", detail)


def _hard_to_start(missing: Fraction) -> Finding:
    detail = (
        "The screw does not catch a full turn while the gasket is still free: "
        f"{mm(missing)} short. It starts only once the joint is pressed together."
    )
    return Finding("screw_hard_to_start", "warning", detail)
