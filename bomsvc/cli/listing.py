"""A resolved list as a pick list on the terminal."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from rich.console import Console

from bomsvc.cli.paper import bullets, heading, mm, table
from bomsvc.core.fasteners.cautions import TEXTS, sealant_text
from bomsvc.core.fasteners.sentences import failure_detail
from bomsvc.core.resolve.lines import (
    Candidate,
    JointForm,
    Line,
    OpenPlace,
    PassForm,
    Resolved,
    Work,
    WorkStep,
)
from bomsvc.core.terms.numbers import decimal_text
from bomsvc.service.builds import Listed
from bomsvc.service.spoken import known_sentences, scope_labels, waived_sentences
from bomsvc.service.wording import (
    Labels,
    holes,
    listed,
    other_way_sentence,
    worded_steps,
)

UNITS = {"C62": "", "LTR": "l", "MTR": "m", "KGM": "kg", "PR": "pair", "SET": "set"}
"""UN/ECE Recommendation 20 codes as a counter says them."""
BASIC_CAUTIONS = ("maker_prevails", "local_practice")
SEALANT = "sealant_on_thread"
LIFTING = "Lift heavy parts with rated gear."


def print_list(page: Console, result: Listed) -> None:
    """Print a list: lines, screws, what is open, work, cautions."""
    labels = Labels(result.stand.reasoner.compiled)
    resolved = result.resolved
    _print_heading(page, result, labels)
    _print_lines(page, resolved, labels)
    _print_screws(page, resolved, labels)
    _print_faults(page, resolved)
    _print_open(page, resolved, labels)
    _print_measures(page, resolved, labels)
    if resolved.work is not None and resolved.work.steps:
        _print_work(page, resolved.work, labels)
    print_cautions(page, resolved)


def print_taken(page: Console, resolved: Resolved, labels: Labels) -> None:
    """Print what to hand over without the work: lines, screws, what is open."""
    _print_lines(page, resolved, labels)
    _print_screws(page, resolved, labels)
    _print_faults(page, resolved)
    _print_open(page, resolved, labels)
    _print_measures(page, resolved, labels)


def print_cautions(page: Console, resolved: Resolved, more: Sequence[str] = ()) -> None:
    """Print the cautions of a list, and those of other work."""
    heading(page, "Cautions")
    bullets(page, dict.fromkeys((*_cautions(resolved), *more)))


def _print_heading(page: Console, result: Listed, labels: Labels) -> None:
    stand = result.stand
    serial = f", serial {stand.serial}" if stand.serial else ""
    head = stand.head
    heading(page, f"{head.name}{serial}: {listed(scope_labels(labels, result.scope))}")
    page.print(f"Revision {head.number}, {head.digest[:16]}")
    if said := known_sentences(labels, stand.known):
        page.print(f"Known: {'; '.join(said)}.")
    for text in waived_sentences(stand.reasoner.compiled, stand.known):
        page.print(f"Set aside, so outside the proof: rule {text}")
    page.print(_certainty(result.resolved), style="bold")


def _certainty(resolved: Resolved) -> str:
    if resolved.certain and resolved.faults:
        return "There is a fault: see below."
    if resolved.certain:
        return "The list is certain."
    if resolved.certain_but_measured:
        return "The list is certain but for what is measured after strip-down."
    count = len(resolved.questions)
    asked = f"{count} question{'' if count == 1 else 's'} would settle it"
    if count:
        return f"The list is open: {asked}."
    return "The list is open, and what is open cannot be told before the strip-down."


def _print_lines(page: Console, resolved: Resolved, labels: Labels) -> None:
    renew = [line for line in resolved.lines if line.need == "renew"]
    check = [line for line in resolved.lines if line.need == "check"]
    for title, lines in (("Renew", renew), ("Check, and renew if need be", check)):
        if lines:
            heading(page, title)
            rows = [_row(line, labels) for line in lines]
            table(page, ("#Qty", "", "Part", "Name", "Where", "Note"), rows)


def _row(line: Line, labels: Labels) -> Sequence[object]:
    qty = f"{decimal_text(line.qty)} {UNITS.get(line.unit, line.unit)}".strip()
    where = dict.fromkeys(labels.place(place) for place in line.places)
    mark = "" if line.state == "certain" else "?"
    part = line.part or f"none: {line.wanted}"
    return qty, mark, part, line.name, "; ".join(where), "; ".join(_notes(line, labels))


def _notes(line: Line, labels: Labels) -> Iterator[str]:
    if line.state == "open":
        deciding = line.decided_by or line.waits_on
        yield f"open: {listed(map(labels.option, deciding))}"
    if line.order is not None and line.order.part != line.part:
        yield f"order {decimal_text(line.order.qty)} of {line.order.part}"
    if line.limit is not None:
        yield from _limits(line)
    yield from line.instructions
    for other in line.alternates:
        yield f"or {other.part} ({other.name})"


def _limits(line: Line) -> Iterator[str]:
    assert line.limit is not None, "only limited lines have limits"
    if line.limit.max_length_mm is not None:
        yield f"again up to {decimal_text(line.limit.max_length_mm)} mm long"
    if line.limit.max_uses is not None:
        yield f"at most {line.limit.max_uses} uses"
    if line.limit.inspect:
        yield line.limit.inspect


def _print_screws(page: Console, resolved: Resolved, labels: Labels) -> None:
    rows = [row for joint in resolved.joints for row in _screw_rows(joint, labels)]
    if rows:
        heading(page, "Screws: which goes where (mm)")
        columns = ("Joint, holes", "Screw", "#Clamp", "#Engaged", "#Need")
        table(page, (*columns, "#Short", "#Over"), rows)
    for joint in resolved.joints:
        if said := list(_tightening(joint, labels)):
            page.print(f"Tighten {labels.joint(joint.joint)}, as the maker states:")
            bullets(page, said)


def _screw_rows(joint: JointForm, labels: Labels) -> Iterator[Sequence[object]]:
    for group in joint.groups:
        name = f"{labels.joint(joint.joint)}, {holes(group.holes)}"
        if group.state != "certain":
            name += " ?"
        sized = group.screw
        if sized is None:
            yield name, "open: see below", "", "", "", "", ""
            continue
        chosen = sized.chosen
        screw = chosen.designation if chosen else f"none fits: {group.wanted}"
        if chosen and chosen.part:
            screw = f"{chosen.part} ({screw})"
        margins = sized.margins
        yield (
            name,
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


def _print_faults(page: Console, resolved: Resolved) -> None:
    for title, found in (("Faults", resolved.faults), ("Warnings", resolved.warnings)):
        if found:
            heading(page, title)
            bullets(page, (f"{one.at}: {one.detail}" for one in found))
    for joint in resolved.joints:
        for group in joint.groups:
            if group.screw is not None and group.screw.failure is not None:
                detail = failure_detail(group.screw.failure)
                bullets(page, [f"{joint.joint}.{group.group}: {detail}"])


def _print_open(page: Console, resolved: Resolved, labels: Labels) -> None:
    if resolved.open:
        heading(page, "Open")
        bullets(page, (_open_sentence(place, labels) for place in resolved.open))
    for number, question in enumerate(resolved.questions):
        if number == 0:
            heading(page, "Questions, the best one first")
        page.print(f"{number + 1}. {question.ask}")
        bullets(
            page,
            (
                _choice(question.option, c.code, c.label, c.tell)
                for c in question.choices
            ),
        )


def _choice(option: str, code: str, label: str, tell: str | None) -> str:
    return f"{option}={code}: {label}" + (f", {tell}" if tell else "")


def _open_sentence(place: OpenPlace, labels: Labels) -> str:
    ways = "; or ".join(_candidate(one) for one in place.candidates)
    deciding = place.decided_by or place.waits_on
    by = f", decided by {listed(map(labels.option, deciding))}" if deciding else ""
    return f"{labels.place(place.place)}: {ways}{by}.{taking(place)}"


def taking(place: OpenPlace) -> str:
    """Return what a picker can do while a place is open; "" where it is only checked.

    A fluid, or one part in one of several quantities, is not taken twice.
    """
    if not place.take_all:
        return ""
    if len(place.take_all) == 1:
        return " Take the most and bring back what is left over."
    return " Or take all and bring back what is left over."


def _candidate(candidate: Candidate) -> str:
    if not candidate.parts:
        return "nothing"
    return " and ".join(
        f"{decimal_text(part.qty)} of {part.part or part.wanted}"
        for part in candidate.parts
    )


def _print_measures(page: Console, resolved: Resolved, labels: Labels) -> None:
    if not resolved.to_measure:
        return
    heading(page, "To be measured after strip-down")
    for item in resolved.to_measure:
        bands = "; ".join(
            f"{b.label} {decimal_text(b.band_mm[0])} to {decimal_text(b.band_mm[1])} mm"
            if b.band_mm
            else b.label
            for b in item.bands
        )
        bullets(page, [f"{labels.option(item.option)} ({item.option}): {bands}"])


def _print_work(page: Console, work: Work, labels: Labels) -> None:
    least, most = (decimal_text(minutes) for minutes in work.minutes)
    span = least if least == most else f"{least} to {most}"
    basis = "" if work.basis == "exact" else ", counting everything that may matter"
    heading(page, f"Work: {span} minutes{basis}")
    rows = [
        (
            step.order,
            decimal_text(step.minutes),
            text,
            ", ".join(map(labels.joint, step.opens)),
        )
        for step, text in worded_steps(work, labels)
    ]
    table(page, ("#", "#Min", "Step", "Opens"), rows)
    if work.other_way is not None:
        page.print(other_way_sentence(work, labels))
    if work.stays:
        page.print("What goes back as it came off:")
        bullets(
            page,
            (
                f"{stay.part} at {labels.position(stay.position)}: {stay.text}"
                for stay in work.stays
            ),
        )
    if work.tools:
        page.print(f"Tools: {', '.join(work.tools)}.")


def _opens(step: WorkStep, labels: Labels) -> str:
    return ", ".join(map(labels.joint, step.opens))


def _cautions(resolved: Resolved) -> Sequence[str]:
    codes = dict.fromkeys(
        code
        for joint in resolved.joints
        for group in joint.groups
        if group.screw is not None
        for code in group.screw.cautions
    )
    # Which holes want sealant is said joint by joint.
    screws = [TEXTS[code] for code in codes or BASIC_CAUTIONS if code != SEALANT]
    screws += _sealed(resolved)
    parts = [text for line in resolved.lines for text in line.cautions]
    joints = [text for joint in resolved.joints for text in joint.cautions]
    work = [*resolved.work.cautions, LIFTING] if resolved.work else []
    return (*screws, *joints, *work, *parts)


def _sealed(resolved: Resolved) -> Iterator[str]:
    """Yield where sealant is wanted, at joints without a sheet that says so."""
    for joint in resolved.joints:
        wet = [
            hole
            for group in joint.groups
            if group.screw is not None and SEALANT in group.screw.cautions
            for hole in group.holes
        ]
        if wet and joint.sheet is None:
            yield sealant_text(joint.label, wet)
