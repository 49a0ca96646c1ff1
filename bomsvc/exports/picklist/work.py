"""The work sheet: strip-down and refit in order, minutes, tightening."""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal

from bomsvc.core.logic.sentences import as_sentence
from bomsvc.core.resolve.lines import JointForm, PassForm, Resolved, Work
from bomsvc.exports.workbook import Book, Column, Formula, Value, whole_area
from bomsvc.service.wording import (
    Labels,
    minutes_words,
    other_way_sentence,
    planned_words,
    worded_steps,
)

STEPS = (
    Column("No.", 6, "whole"),
    Column("Phase", 12),
    Column("What to do", 52, "wrap"),
    Column("Minutes", 9, "qty"),
    Column("Lift kg", 8, "qty"),
    Column("Opens", 40, "wrap"),
    Column("Done", 7, "tick"),
)
PASSES = (
    Column("Pass", 6, "whole"),
    Column("How", 12),
    Column("Joint and screws", 52, "wrap"),
    Column("N m", 9, "qty"),
    Column("Degrees", 8, "qty"),
    Column("Order of holes", 40, "wrap"),
    Column("Done", 7, "tick"),
)


def work_sheet(book: Book, resolved: Resolved, labels: Labels) -> None:
    """Write the sheet; without work it says so."""
    sheet = book.sheet("Work", landscape="yes")
    book.put(sheet, "A1", "Work", "Sheet title")
    row = 3
    if resolved.work is None:
        book.put(
            sheet,
            "A3",
            "No work was asked for: this is a list of parts.",
            "Plain short",
        )
    else:
        book.put(sheet, "A2", _minutes(resolved.work, labels), "Strong line")
        row = book.table(sheet, 4, STEPS, _steps(resolved.work, labels))
        # Steps that only some builds need add up to nothing that anyone works.
        if all(step.state == "certain" for step in resolved.work.steps):
            total = sum((step.minutes for step in resolved.work.steps), Decimal(0))
            book.put(sheet, f"C{row + 1}", "Total minutes", "Strong line")
            formula = Formula(f"SUM(D5:D{row})" if row > 4 else "0", total)  # noqa: PLR2004 - the heading's row
            book.put(sheet, f"D{row + 1}", formula, "Sum")
        sheet.freeze_panes = "A5"
        sheet.print_title_rows = "4:4"
        row = _listing(book, sheet.title, row + 3, "Tools", resolved.work.tools)
        row = _listing(book, sheet.title, row, "Cautions", resolved.work.cautions)
    passes = [*_passes(resolved.joints, labels)]
    if passes:
        book.put(sheet, f"A{row}", "Tightening as the maker states", "Strong line")
        row = book.table(sheet, row + 1, PASSES, passes) + 2
    notes = tuple(
        f"{labels.joint(joint.joint)}: {text}"
        for joint in resolved.joints
        for text in _joint_notes(joint)
    )
    row = _listing(book, sheet.title, row, "On these joints", notes)
    whole_area(sheet, row + 1, len(STEPS))


def _joint_notes(joint: JointForm) -> Iterator[str]:
    if joint.loosen_order:
        yield f"loosen in the order {', '.join(map(str, joint.loosen_order))}"
    if joint.note:
        yield joint.note


def _minutes(work: Work, labels: Labels) -> str:
    parts = [minutes_words(work)]
    if not work.optimal:
        parts.append("not proven to be the shortest way")
    time = as_sentence("; ".join(parts))
    more = (planned_words(work), other_way_sentence(work, labels))
    return " ".join(text for text in (time, *more) if text)


def _steps(work: Work, labels: Labels) -> Iterator[tuple[Value, ...]]:
    names = {"strip": "Strip down", "refit": "Refit"}
    for step, label in worded_steps(work, labels):
        opens = labels.joints(step.opens)
        yield (
            step.order,
            names[step.phase],
            label,
            step.minutes,
            step.lift_kg,
            opens,
            "",
        )


def _listing(
    book: Book, title: str, row: int, head: str, texts: tuple[str, ...]
) -> int:
    """Write a heading and one line a text; return the next free row."""
    if not texts:
        return row
    sheet = book.workbook[title]
    book.put(sheet, f"A{row}", head, "Strong line")
    for below, text in enumerate(texts, start=row + 1):
        book.put(sheet, f"A{below}", text, "Plain short")
    return row + len(texts) + 2


def _passes(
    joints: tuple[JointForm, ...], labels: Labels
) -> Iterator[tuple[Value, ...]]:
    for joint in joints:
        for number, step in enumerate(joint.passes, start=1):
            where = f"{labels.joint(joint.joint)}: {_screws(joint, step, labels)}"
            order = ", ".join(map(str, step.order))
            how, degrees = _turn(step)
            yield number, how, where, step.torque_nm, degrees, order, ""


def _screws(joint: JointForm, step: PassForm, labels: Labels) -> str:
    if not step.groups or {group.group for group in joint.groups} <= {*step.groups}:
        return "all screws"
    return "; ".join(labels.group(joint.joint, code) for code in step.groups)


def _turn(step: PassForm) -> tuple[str, Decimal | None]:
    """Return how the pass is done, and its angle."""
    if step.loosen_deg is not None:
        return "Loosen", step.loosen_deg
    if step.stretch_mm is not None:
        return f"Stretch {step.stretch_mm:f} mm", None
    if step.angle_deg is not None:
        return "Turn further", step.angle_deg
    return "To torque", None
