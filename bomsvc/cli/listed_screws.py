"""Which screw goes where, and how it is tightened, on the terminal."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from rich.console import Console

from bomsvc.cli.paper import bullets, heading, mm, table
from bomsvc.core.logic.standing import Key
from bomsvc.core.resolve.lines import JointForm, PassForm, Resolved
from bomsvc.core.terms.numbers import decimal_text
from bomsvc.service.wording import Labels, holes


def print_screws(page: Console, resolved: Resolved, labels: Labels) -> None:
    """Print the screws of the joints, then how the maker has them tightened."""
    # The cylinders of an engine have the same joint six times: it is told once.
    screws: dict[Sequence[object], list[Key]] = {}
    passes: dict[tuple[str, ...], list[Key]] = {}
    for joint in resolved.joints:
        for row in _screw_rows(joint):
            screws.setdefault((joint.label, *row), []).append(joint.joint)
        if said := tuple(_tightening(joint, labels)):
            passes.setdefault((joint.label, *said), []).append(joint.joint)
    if screws:
        heading(page, "Screws: which goes where (mm)")
        columns = ("Joint, holes", "Screw", "#Clamp", "#Engaged", "#Need")
        rows = (
            (f"{labels.joints(keys)}, {where}", *figures)
            for (_, where, *figures), keys in screws.items()
        )
        table(page, (*columns, "#Short", "#Over"), rows)
    for (_, *texts), keys in passes.items():
        page.print(f"Tighten {labels.joints(keys)}, as the maker states:")
        bullets(page, texts)


def _screw_rows(joint: JointForm) -> Iterator[Sequence[object]]:
    for group in joint.groups:
        where = holes(group.holes)
        if group.state != "certain":
            where += " ?"
        sized = group.screw
        if sized is None:
            yield where, "open: see below", "", "", "", "", ""
            continue
        chosen = sized.chosen
        screw = chosen.designation if chosen else f"none fits: {group.wanted}"
        if chosen and chosen.part:
            screw = f"{chosen.part} ({screw})"
        margins = sized.margins
        yield (
            where,
            screw,
            mm(sized.clamp_mm[0]),
            mm(sized.engagement_mm[0]) if sized.engagement_mm else "",
            mm(sized.need.mm) if sized.need else "",
            mm(margins.short) if margins else "",
            mm(margins.over) if margins else "",
        )


def _tightening(joint: JointForm, labels: Labels) -> Iterator[str]:
    """Yield the maker's passes as stated, in order."""
    for number, one in enumerate(joint.passes, start=1):
        figure = _figure(one)
        groups = f", {_screws_of(joint, one, labels)}" if one.groups else ""
        order = f", in the order {' '.join(map(str, one.order))}" if one.order else ""
        yield f"pass {number}: {figure}{groups}{order}"
    if joint.loosen_order:
        yield f"loosen in the order {' '.join(map(str, joint.loosen_order))}"
    if joint.note:
        yield joint.note


def _screws_of(joint: JointForm, one: PassForm, labels: Labels) -> str:
    if {group.group for group in joint.groups} <= {*one.groups}:
        return "all screws"
    return "; ".join(labels.group(joint.joint, code) for code in one.groups)


def _figure(one: PassForm) -> str:
    if one.torque_nm is not None:
        return f"{decimal_text(one.torque_nm)} N m"
    if one.angle_deg is not None:
        return f"turn {decimal_text(one.angle_deg)}° further"
    if one.loosen_deg is not None:
        return f"loosen {decimal_text(one.loosen_deg)}°"
    assert one.stretch_mm is not None, "a pass has one of its four figures"
    return f"to a stretch of {decimal_text(one.stretch_mm)} mm"
