"""The first sheet: what to take, where it goes, room to tick it off."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from decimal import Decimal

from bomsvc.core.logic.sentences import as_sentence
from bomsvc.core.resolve.lines import Limit, Line, OpenPlace, Place, Resolved
from bomsvc.exports.picklist.heading import Heading
from bomsvc.exports.workbook import (
    Book,
    Column,
    Formula,
    Value,
    filterable,
    typed_number,
)
from bomsvc.service.wording import (
    Labels,
    again_words,
    brought_words,
    deciding_words,
    listed,
    other_parts,
    sold_words,
)

COLUMNS = (
    Column("No.", 5, "whole"),
    Column("Part number", 13, "code"),
    Column("Name", 28, "wrap"),
    Column("Take", 7, "qty"),
    Column("Unit", 6),
    Column("Where it goes", 40, "wrap"),
    Column("Order as", 13, "code"),
    Column("Picked", 8, "input"),
    Column("To pick", 8, "qty"),
    Column("Remark", 36, "wrap"),
)
HEAD_ROW = 8


@dataclass(frozen=True, slots=True)
class _Row:
    part: str
    name: str
    take: Decimal
    unit: str
    where: str
    order: str
    remark: str


def front_sheet(
    book: Book, resolved: Resolved, labels: Labels, heading: Heading
) -> None:
    """Write the sheet; every line once, open places last."""
    sheet = book.sheet("Pick list", landscape="yes")
    rows = [*_rows(resolved, labels)]
    last = book.table(sheet, HEAD_ROW, COLUMNS, _numbered(rows))
    end = max(last, HEAD_ROW + 1)
    book.put(sheet, "A1", "Pick list", "Sheet title")
    book.put(sheet, "A2", heading.engine, "Strong line")
    book.put(
        sheet, "A3", f"For: {listed(heading.jobs) or 'parts asked for'}", "Plain short"
    )
    book.put(sheet, "A4", status(resolved), "Strong line")
    book.put(sheet, "A5", "Lines to pick", "Plain short")
    to_pick = sum(1 for row in rows if row.take > 0)
    book.put(
        sheet, "D5", Formula(f'COUNTIF(D{HEAD_ROW + 1}:D{end},">0")', to_pick), "Sum"
    )
    book.put(sheet, "A6", "Lines not yet complete", "Plain short")
    book.put(
        sheet, "D6", Formula(f'COUNTIF(I{HEAD_ROW + 1}:I{end},">0")', to_pick), "Sum"
    )
    typed_number(
        sheet,
        f"H{HEAD_ROW + 1}:H{end}",
        remedy="Type how many were picked: a number of 0 or more.",
    )
    filterable(sheet, HEAD_ROW, last, len(COLUMNS))


def status(resolved: Resolved) -> str:
    """Return how settled the list is, in one sentence."""
    if resolved.certain:
        settled = "The list is certain for this engine."
    elif resolved.certain_but_measured:
        settled = "Certain but for lines that wait for a measurement: see Notes."
    else:
        places = len(resolved.open)
        settled = (
            f"{places} place{'s' if places != 1 else ''} still open: settle the "
            "questions in Notes first, or take all candidates and return the rest."
        )
    if not resolved.faults:
        return settled
    return f"{settled} {len(resolved.faults)} fault(s): see Notes before picking."


def _rows(resolved: Resolved, labels: Labels) -> Iterator[_Row]:
    for line in resolved.lines:
        if line.state == "certain":
            yield _certain(line, labels)
    boxes = {
        (line.places[0], line.part): line
        for line in resolved.lines
        if line.state == "open" and line.need == "renew"
    }
    for place in resolved.open:
        yield from _open(place, boxes, labels)


def _certain(line: Line, labels: Labels) -> _Row:
    return _Row(
        part=line.part or "none listed",
        name=line.name,
        take=line.take,
        unit=unit_name(line.unit),
        where=labels.places(line.places),
        order=_order(line),
        remark=_remark(line, labels),
    )


def _order(line: Line) -> str:
    if line.order is None or line.order.part == line.part:
        return ""
    return line.order.part


def _remark(line: Line, labels: Labels) -> str:
    parts = [*_check(line)]
    if line.wanted and line.part is None:
        parts.append(f"No number in this catalogue: {line.wanted}.")
    parts += [
        sold_words(line),
        again_words(line, labels),
        *line.instructions,
        brought_words(line),
    ]
    if others := other_parts(line):
        parts.append(f"Instead, on request: {', '.join(others)}.")
    parts += line.cautions
    return " ".join(as_sentence(part) for part in parts if part)


def _check(line: Line) -> Iterator[str]:
    if line.need == "check":
        yield f"Check the {line.qty:f} fitted; take new ones only if they fail."
        if line.limit is not None:
            yield limit_sentence(line.limit)


def limit_sentence(limit: Limit) -> str:
    """Return until when a fastener may go in again, mm."""
    parts = []
    if limit.max_length_mm is not None:
        parts.append(f"no longer than {limit.max_length_mm:f} mm")
    if limit.max_uses is not None:
        times = "once" if limit.max_uses == 1 else f"{limit.max_uses} times"
        parts.append(f"used at most {times}")
    figures = f"Goes in again if {listed(parts)}." if parts else ""
    inspect = as_sentence(limit.inspect) if limit.inspect else ""
    return f"{figures} {inspect}".strip()


def _open(
    place: OpenPlace, lines: Mapping[tuple[Place, str | None], Line], labels: Labels
) -> Iterator[_Row]:
    remark = _open_remark(place, labels)
    where = labels.place(place.place)
    for part in place.take_all:
        line = lines.get((place.place, part.part))
        more = (again_words(line, labels), brought_words(line)) if line else ()
        yield _Row(
            part=part.part or "none listed",
            name=labels.part(part.part) if part.part else part.wanted or "",
            take=part.qty,
            unit=unit_name(labels.unit(part.part)) if part.part else "",
            where=where,
            order=(labels.sold_as(part.part) or "") if part.part else "",
            remark=" ".join([remark, *map(as_sentence, filter(None, more))]),
        )
    if not place.take_all:
        yield _Row("", _fitted(place, labels), Decimal(0), "", where, "", remark)


def _fitted(place: OpenPlace, labels: Labels) -> str:
    """Return what may be fitted at a place that is only checked."""
    parts = (part for candidate in place.candidates for part in candidate.parts)
    names = dict.fromkeys(
        f"{part.part} {labels.part(part.part)}" if part.part else str(part.wanted)
        for part in parts
    )
    return " or ".join(names)


def _open_remark(place: OpenPlace, labels: Labels) -> str:
    nothing = any(not candidate.parts for candidate in place.candidates)
    several = len(place.take_all) > 1
    if not place.take_all:
        what, then = "check what is fitted", ""
    elif several and nothing:
        what, then = "one of these or nothing", "Take all, return the rest."
    elif several:
        what, then = "one of these", "Take all, return the rest."
    elif nothing:
        what, then = "this or nothing", "Take it, return it if not needed."
    else:
        what, then = "how many", "Take the most, return the rest."
    return f"OPEN: {what}; {deciding_words(place, labels)}. {then}".rstrip()


def _numbered(rows: Iterable[_Row]) -> Iterator[tuple[Value | Formula, ...]]:
    for number, row in enumerate(rows, start=1):
        at = HEAD_ROW + number
        short = Formula(f"MAX(0,D{at}-H{at})", row.take)
        yield (
            number,
            row.part,
            row.name,
            row.take,
            row.unit,
            row.where,
            row.order,
            None,
            short,
            row.remark,
        )


_UNITS = {"C62": "", "LTR": "L", "MTR": "m", "KGM": "kg", "PR": "pair", "SET": "set"}


def unit_name(code: str) -> str:
    """Return what people write for a UN/ECE Recommendation 20 unit code."""
    return _UNITS.get(code, code)
