"""A resolved list as a pick list on the terminal."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from decimal import Decimal

from rich.console import Console

from bomsvc.cli.listed_screws import print_screws
from bomsvc.cli.paper import bullets, heading, table
from bomsvc.core.fasteners.cautions import TEXTS, sealant_text
from bomsvc.core.fasteners.sentences import failure_detail
from bomsvc.core.logic.sentences import as_sentence
from bomsvc.core.resolve.lines import (
    Candidate,
    CandidatePart,
    Line,
    OpenPlace,
    OrderLine,
    Place,
    Resolved,
    Work,
)
from bomsvc.core.terms.numbers import decimal_text
from bomsvc.service.builds import Listed
from bomsvc.service.spoken import known_sentences, scope_labels, waived_sentences
from bomsvc.service.wording import (
    Labels,
    again_words,
    brought_words,
    deciding_words,
    listed,
    minutes_words,
    other_parts,
    other_way_sentence,
    parts_title,
    planned_words,
    sold_words,
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
    print_taken(page, resolved, labels, title=parts_title(result.scope))
    if resolved.work is not None and resolved.work.steps:
        _print_work(page, resolved.work, labels)
    print_cautions(page, resolved)


def print_taken(
    page: Console, resolved: Resolved, labels: Labels, *, title: str = "Renew"
) -> None:
    """Print what to hand over without the work: lines, screws, what is open.

    `title` stands above the parts to hand over.
    """
    _print_lines(page, resolved, labels, title)
    _print_orders(page, resolved, labels)
    print_screws(page, resolved, labels)
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


def _print_lines(
    page: Console, resolved: Resolved, labels: Labels, renewed: str
) -> None:
    renew = [line for line in resolved.lines if line.need == "renew"]
    check = [line for line in resolved.lines if line.need == "check"]
    for title, lines in ((renewed, renew), ("Check, and renew if need be", check)):
        if lines:
            heading(page, title)
            columns = ("#Qty", "", "Part", "Name", "Where", "Note")
            table(page, columns, _rows(lines, labels))


def _print_orders(page: Console, resolved: Resolved, labels: Labels) -> None:
    """Print what is sold under another number, once for all its lines."""
    rows = [
        (decimal_text(order.qty), order.part, labels.part(order.part), _holds(order))
        for order in resolved.orders
        if set(order.contains) != {order.part}
    ]
    if rows:
        heading(page, "Order instead of single parts")
        table(page, ("#Qty", "Part", "Name", "Holds"), rows)


def _holds(order: OrderLine) -> str:
    return ", ".join(order.contains)


def _rows(lines: Iterable[Line], labels: Labels) -> Iterator[Sequence[object]]:
    """Yield a row a line; open lines of a series that say the same stand together.

    Each cylinder may still turn out otherwise, so their number is told for each.
    """
    together: dict[object, list[Line]] = {}
    for line in lines:
        series = [str(place).partition("[")[0] for place in line.places]
        same = (line.part, line.wanted, line.qty, _note(line, labels), *series)
        key = line if line.state == "certain" else same
        together.setdefault(key, []).append(line)
    for several in together.values():
        yield _row(several, labels)


def _row(lines: Sequence[Line], labels: Labels) -> Sequence[object]:
    line = lines[0]
    each = " each" if len(lines) > 1 else ""
    qty = f"{_amount(line.qty, line.unit)}{each}"
    where = labels.places(place for one in lines for place in one.places)
    mark = "" if line.state == "certain" else "?"
    part = line.part or f"none: {line.wanted}"
    return qty, mark, part, line.name, where, _note(line, labels)


def _amount(qty: Decimal, unit: str) -> str:
    return f"{decimal_text(qty)} {UNITS.get(unit, unit)}".strip()


def _note(line: Line, labels: Labels) -> str:
    return " ".join(map(as_sentence, _notes(line, labels)))


def _notes(line: Line, labels: Labels) -> Iterator[str]:
    if line.state == "open":
        yield deciding_words(line, labels)
    if sold := sold_words(line):
        yield sold
    if line.limit is not None:
        yield from _limits(line)
    if again := again_words(line, labels):
        yield again
    yield from line.instructions
    if brought := brought_words(line):
        yield brought
    if others := other_parts(line):
        yield f"instead: {' or '.join(others)}"


def _limits(line: Line) -> Iterator[str]:
    assert line.limit is not None, "only limited lines have limits"
    if line.limit.max_length_mm is not None:
        yield f"again up to {decimal_text(line.limit.max_length_mm)} mm long"
    if line.limit.max_uses is not None:
        uses = line.limit.max_uses
        yield f"at most {uses} use{'' if uses == 1 else 's'}"
    if line.limit.inspect:
        yield line.limit.inspect


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
        bullets(page, _open_sentences(resolved.open, labels))
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

    if resolved.questions:
        first = resolved.questions[0].option
        page.print(f"What cannot be told is answered with a question mark: {first}=?")


def _choice(option: str, code: str, label: str, tell: str | None) -> str:
    return f"{option}={code}: {label}" + (f", {tell}" if tell else "")


def _open_sentences(places: Iterable[OpenPlace], labels: Labels) -> Iterator[str]:
    """Yield a sentence a place; members of a series that say the same share one."""
    together: dict[tuple[str, str], list[Place]] = {}
    for one in places:
        series = str(one.place).partition("[")[0]
        together.setdefault((series, _open_words(one, labels)), []).append(one.place)
    for (_, words), several in together.items():
        each = " each" if len(several) > 1 else ""
        yield f"{labels.places(several)}:{each} {words}"


def _open_words(place: OpenPlace, labels: Labels) -> str:
    ways = "; or ".join(_candidate(one, labels) for one in place.candidates)
    by = as_sentence(deciding_words(place, labels))
    return f"{ways}. {by}{taking(place)}"


def taking(place: OpenPlace) -> str:
    """Return what a picker can do while a place is open; "" where it is only checked.

    A fluid, or one part in one of several quantities, is not taken twice.
    """
    if not place.take_all:
        return ""
    if len(place.take_all) == 1:
        return " Take the most and bring back what is left over."
    return " Or take all and bring back what is left over."


def _candidate(candidate: Candidate, labels: Labels) -> str:
    if not candidate.parts:
        return "nothing"
    return " and ".join(_candidate_part(part, labels) for part in candidate.parts)


def _candidate_part(part: CandidatePart, labels: Labels) -> str:
    if part.part is None:
        return f"{decimal_text(part.qty)} of {part.wanted}"
    amount = _amount(part.qty, labels.unit(part.part))
    return f"{amount} of {part.part} ({labels.part(part.part)})"


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
    heading(page, f"Work: {minutes_words(work)}")
    if said := planned_words(work):
        page.print(said)
    rows = [
        (
            step.order,
            decimal_text(step.minutes),
            text,
            labels.joints(step.opens),
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


def _cautions(resolved: Resolved) -> Sequence[str]:
    codes = dict.fromkeys(
        code
        for joint in resolved.joints
        for group in joint.groups
        for sized in (group.screw, *(one.screw for one in group.candidates))
        if sized is not None
        for code in sized.cautions
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
