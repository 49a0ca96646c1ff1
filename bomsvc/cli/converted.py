"""A conversion on the terminal: off, on, stays, screws, what to take, the work."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence, Set

from rich.console import Console

from bomsvc.cli.explained import print_engine
from bomsvc.cli.listing import print_cautions, print_taken
from bomsvc.cli.paper import heading, table
from bomsvc.core.logic.standing import Key
from bomsvc.core.resolve.convert import ConversionWork, Converted, Moved, ScrewChange
from bomsvc.core.resolve.converting import OptionChange
from bomsvc.core.resolve.lines import Place, WorkStep
from bomsvc.core.terms.numbers import decimal_text
from bomsvc.service.converting import Conversion
from bomsvc.service.spoken import choice_label
from bomsvc.service.wording import Labels, listed

CAUSES = {
    "asked": "",
    "follows": "follows from the rest",
    "open": "has to be asked",
}
NO_WAY = "No way in was found, so no work is told: see the faults."


def print_conversion(page: Console, made: Conversion) -> None:
    """Print a conversion."""
    labels = Labels(made.stand.reasoner.compiled)
    converted = made.converted
    changes = converted.changes
    title = listed(_change(labels, change) for change in changes)
    print_engine(page, made.stand, labels, f"Conversion: {title or 'nothing changes'}")
    if not changes:
        page.print("The engine has all of this already.", style="bold")
        return
    _print_options(page, changes, labels)
    _print_moves(page, converted, labels)
    heading(page, "To hand over, with what the work takes")
    print_taken(page, converted.take, labels)
    if converted.work is None:
        page.print(NO_WAY, style="bold")
        print_cautions(page, converted.take)
    else:
        _print_work(page, converted.work, labels)
        print_cautions(page, converted.take, converted.work.cautions)


def _change(labels: Labels, change: OptionChange) -> str:
    before, after = (
        _choices(labels, change, of) for of in (change.before, change.after)
    )
    return f"{labels.option(change.option)}, {before} to {after}"


def _choices(labels: Labels, change: OptionChange, codes: Sequence[str]) -> str:
    names = [choice_label(labels, change.option, code) for code in codes]
    return listed(names) if names else "none"


def _print_options(
    page: Console, changes: Iterable[OptionChange], labels: Labels
) -> None:
    rows = [
        (
            labels.option(change.option),
            _choices(labels, change, change.before),
            "to be asked"
            if change.cause == "open"
            else _choices(labels, change, change.after),
            CAUSES[change.cause],
        )
        for change in changes
    ]
    heading(page, "What changes")
    table(page, ("Option", "Before", "After", ""), rows)


def _print_moves(page: Console, converted: Converted, labels: Labels) -> None:
    for title, moved in (("Comes off", converted.off), ("Goes on", converted.on)):
        heading(page, title)
        if moved:
            table(page, ("#Qty", "Part", "Name", "Where"), _rows(moved, labels))
        else:
            page.print("Nothing.")
    if converted.quantities:
        heading(page, "Changes in number")
        table(
            page,
            ("#Before", "#After", "Part", "Name", "Where"),
            (
                (
                    decimal_text(one.before),
                    decimal_text(one.after),
                    one.part,
                    one.name,
                    labels.place(one.place),
                )
                for one in converted.quantities
            ),
        )
    _print_screws(page, converted.screws, labels)
    _print_stays(page, converted, labels)


def _rows(moved: Iterable[Moved], labels: Labels) -> Iterator[tuple[str, ...]]:
    for one in moved:
        part = one.part or f"none: {one.wanted}"
        yield decimal_text(one.qty), part, one.name, labels.place(one.place)


def _print_screws(page: Console, screws: Iterable[ScrewChange], labels: Labels) -> None:
    rows = [
        (labels.place(one.place), one.before or "none", one.after or "none")
        for one in screws
    ]
    heading(page, "Screws that change")
    if rows:
        table(page, ("Joint, holes", "Before", "After"), rows)
    else:
        page.print("None.")


def _print_stays(page: Console, converted: Converted, labels: Labels) -> None:
    """Say what has to come out and goes back; of the rest only how much it is."""
    back = [one for one in converted.stays if one.disturbed]
    heading(page, "Stays")
    if back:
        page.print("These come out for the work, or are checked, and go back:")
        table(page, ("#Qty", "Part", "Name", "Where"), _rows(back, labels))
    left = len(converted.stays) - len(back)
    page.print(f"{left} places are left as they are.")
    if converted.unsettled:
        page.print(
            f"Not known before or after, so nothing is said of: "
            f"{_briefly(converted.unsettled, labels)}."
        )


def _briefly(places: Iterable[Place], labels: Labels) -> str:
    """Name places; members of a series by its label, once."""
    names: dict[str, None] = {}
    for place in places:
        name = labels.place(place)
        if place.kind == "position":
            found = labels.compiled.standing.positions[place.key]
            name = found.position.label
        names[name] = None
    return "; ".join(names)


def _print_work(page: Console, work: ConversionWork, labels: Labels) -> None:
    least, most = (decimal_text(minutes) for minutes in work.minutes)
    span = least if least == most else f"{least} to {most}"
    basis = "" if work.basis == "exact" else ", counting everything that may matter"
    heading(page, f"Work: {span} minutes{basis}")
    page.print("Take apart:")
    table(page, ("#", "#Min", "Step", "Opens"), _steps(work.strip, labels))
    page.print("Put together:")
    stripped = {step.step for step in work.strip}
    table(page, ("#", "#Min", "Step"), _steps(work.refit, labels, stripped))
    if not work.optimal:
        page.print("A quicker way was not ruled out within the budget.")
    if work.tools:
        page.print(f"Tools: {', '.join(work.tools)}.")


def _steps(
    steps: Iterable[WorkStep], labels: Labels, stripped: Set[Key] = frozenset()
) -> Iterator[tuple[object, ...]]:
    """The refit half of a step is told by the step it closes up after."""
    for number, step in enumerate(steps, start=1):
        label = labels.step(step.step)
        if step.step in stripped:
            label = f"Close up after: {label}"
        if step.state != "certain":
            label += " (if needed)"
        opened = ", ".join(map(labels.joint, step.opens))
        row = (number, decimal_text(step.minutes), label)
        yield row if step.phase == "refit" else (*row, opened)
