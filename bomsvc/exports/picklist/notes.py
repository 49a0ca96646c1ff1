"""The notes sheet: what is open, what waits for a measurement, cautions, identity."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from bomsvc.core.fasteners.cautions import TEXTS
from bomsvc.core.resolve.lines import Resolved
from bomsvc.exports.picklist.heading import Heading
from bomsvc.exports.workbook import EPOCH, Book, whole_area
from bomsvc.service.wording import Labels

ALARMING = ("Faults", "Warnings", "Cautions")
GENERAL = (
    "The engine maker's current manual prevails over this list.",
    "Never mix screw lengths or property classes in one joint.",
    "Single-use fasteners are not used again. Blind holes are clean and dry first.",
    "Estimated torques are for the stated friction and are not the maker's figure.",
    "Lift heavy parts with rated gear. Local codes and licensed practice prevail.",
)


def notes_sheet(
    book: Book, resolved: Resolved, labels: Labels, heading: Heading
) -> None:
    """Write the notes, one paragraph a row."""
    sheet = book.sheet("Notes", landscape="yes")
    sheet.column_dimensions["A"].width = 110
    book.put(sheet, "A1", "Notes", "Sheet title")
    row = book.paragraphs(sheet, 2, _paragraphs(resolved, labels, heading))
    whole_area(sheet, row, 1)


def _paragraphs(
    resolved: Resolved, labels: Labels, heading: Heading
) -> Iterator[tuple[str, str]]:
    yield from _block("Faults", (f"{f.at}: {f.detail}" for f in resolved.faults))
    yield from _block("Warnings", (f"{w.at}: {w.detail}" for w in resolved.warnings))
    yield from _block("Questions still open", _questions(resolved))
    yield from _block("To be measured after strip-down", _bands(resolved, labels))
    yield from _block("Rules set aside for this engine", heading.waived)
    yield from _block("What is known of this engine", heading.known)
    yield from _block("Cautions", _cautions(resolved))
    yield from _block("Identity of this list", _identity(heading))


def _block(head: str, texts: Iterable[str]) -> Iterator[tuple[str, str]]:
    found = [*texts]
    if found:
        yield head, "Strong line"
        for text in found:
            yield text, "Caution" if head in ALARMING else "Plain line"
        yield "", "Plain line"


def _questions(resolved: Resolved) -> Iterator[str]:
    for question in resolved.questions:
        yield question.ask
        for choice in question.choices:
            tell = f" - {choice.tell}" if choice.tell else ""
            yield f"    {choice.label}{tell}"


def _bands(resolved: Resolved, labels: Labels) -> Iterator[str]:
    for item in resolved.to_measure:
        bands = "; ".join(
            f"{band.label} {band.band_mm[0]:f} to {band.band_mm[1]:f} mm"
            if band.band_mm
            else band.label
            for band in item.bands
        )
        yield f"{labels.option(item.option)}: {bands}."


def _cautions(resolved: Resolved) -> Iterator[str]:
    yield from GENERAL
    if resolved.work is not None:
        yield from resolved.work.cautions
    # What every screw calls for is said above in general.
    said = {*TEXTS.values()}
    joints = (c for joint in resolved.joints for c in joint.cautions if c not in said)
    yield from dict.fromkeys(joints)
    yield from dict.fromkeys(c for line in resolved.lines for c in line.cautions)


def _identity(heading: Heading) -> Iterator[str]:
    yield f"{heading.family}, revision {heading.revision}"
    yield f"Digest {heading.digest}"
    if heading.made != EPOCH:
        yield f"Made {heading.made:%Y-%m-%d %H:%M} UTC"
