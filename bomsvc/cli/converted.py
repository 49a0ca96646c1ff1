"""A conversion on the terminal: off, on, stays, screws, what to take, the work."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Set

from rich.console import Console

from bomsvc.cli.explained import briefly, print_engine, print_questions, series_of
from bomsvc.cli.listing import print_cautions, print_taken
from bomsvc.cli.paper import heading, table
from bomsvc.core.fasteners.values import SizedGroup
from bomsvc.core.logic.known import Known
from bomsvc.core.logic.reasoner import Reasoner
from bomsvc.core.logic.standing import Key
from bomsvc.core.resolve.convert import ConversionWork, Moved, ScrewChange
from bomsvc.core.resolve.converting import OptionChange
from bomsvc.core.resolve.lines import WorkStep
from bomsvc.core.terms.numbers import decimal_text
from bomsvc.service.converting import Conversion
from bomsvc.service.spoken import choice_label
from bomsvc.service.wording import Labels, listed, minutes_words, planned_words

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
    title = _asked(made, labels) or "nothing changes"
    print_engine(page, made.stand, labels, f"Conversion: {title}")
    if not converted.changes:
        page.print("The engine has all of this already.", style="bold")
        return
    _print_unknown(page, made, labels)
    _print_options(page, made, labels)
    _print_moves(page, made, labels)
    heading(page, "To hand over, with what the work takes")
    if converted.take.lines:
        print_taken(page, converted.take, labels)
    else:
        page.print("Nothing is settled yet.")
    if converted.work is None:
        page.print(NO_WAY, style="bold")
        print_cautions(page, converted.take)
    else:
        _print_work(page, made, converted.work, labels)
        print_cautions(page, converted.take, converted.work.cautions)


def _asked(made: Conversion, labels: Labels) -> str:
    """Say what was asked for; all changes where nothing is left of that."""
    changes = made.converted.changes
    asked = [change for change in changes if change.cause == "asked"]
    return "; ".join(
        f"{labels.option(change.option)}, {_before(made, labels, change)}"
        f" to {_after(made, labels, change)}"
        for change in asked or changes
    )


def _before(made: Conversion, labels: Labels, change: OptionChange) -> str:
    known = made.stand.known
    return _value(made.stand.reasoner, known, labels, change.option)


def _after(made: Conversion, labels: Labels, change: OptionChange) -> str:
    after = made.converted.after
    return _value(made.stand.reasoner, after, labels, change.option)


def _value(reasoner: Reasoner, known: Known, labels: Labels, key: Key) -> str:
    option = labels.compiled.options[key]
    active, *states = reasoner.states(known, [option.active, *option.choices.values()])
    if active == "excluded":
        return "not fitted"
    held = [
        choice_label(labels, key, code)
        for code, state in zip(option.choices, states, strict=True)
        if state == "certain"
    ]
    if held:
        return listed(held)
    return "not known" if "open" in (active, *states) else "none"


def _print_options(page: Console, made: Conversion, labels: Labels) -> None:
    rows = [
        (
            labels.option(change.option),
            _before(made, labels, change),
            _after(made, labels, change),
            _cause(labels, change),
        )
        for change in made.converted.changes
    ]
    heading(page, "What changes")
    table(page, ("Option", "Before", "After", ""), rows)


def _cause(labels: Labels, change: OptionChange) -> str:
    measured = labels.compiled.options[change.option].option.known == "measured"
    if change.cause == "open" and measured:
        return "has to be measured"
    return CAUSES[change.cause]


def _print_moves(page: Console, made: Conversion, labels: Labels) -> None:
    converted = made.converted
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
    _print_stays(page, made, labels)


def _rows(moved: Iterable[Moved], labels: Labels) -> Iterator[tuple[str, ...]]:
    for one in moved:
        part = one.part or f"none: {one.wanted}"
        yield decimal_text(one.qty), part, one.name, labels.place(one.place)


def _print_screws(page: Console, screws: Iterable[ScrewChange], labels: Labels) -> None:
    rows = [
        (
            labels.place(one.place),
            _screw(one.before, one.before_form),
            _screw(one.after, one.after_form),
        )
        for one in screws
    ]
    heading(page, "Screws that change")
    if rows:
        table(page, ("Joint, holes", "Before", "After"), rows)
    else:
        page.print("None.")


def _screw(part: str | None, form: SizedGroup | None) -> str:
    """Name a screw with its length: "W80.2340 (ISO 4762 - M10 x 40 - 10.9)"."""
    chosen = None if form is None else form.chosen
    if chosen is None or part is None:
        return part or "none"
    return f"{part} ({chosen.designation})" if chosen.part else chosen.designation


def _print_stays(page: Console, made: Conversion, labels: Labels) -> None:
    """Say what has to come out and goes back; of the rest only how much it is."""
    converted = made.converted
    back = [one for one in converted.stays if one.disturbed]
    heading(page, "Stays")
    if back:
        page.print("These come out for the work, or are checked, and go back:")
        table(page, ("#Qty", "Part", "Name", "Where"), _rows(back, labels))
    left = len(converted.stays) - len(back)
    page.print(f"{left} places are left as they are.")
    touched = set(made.unknown.places)
    same = [place for place in converted.unsettled if place not in touched]
    if same:
        page.print(f"Not known, and not changed by this: {briefly(labels, same)}.")


def _print_unknown(page: Console, made: Conversion, labels: Labels) -> None:
    """Say what the change may also touch, and what has to be answered first."""
    unknown = made.unknown
    if not unknown.places:
        return
    waits = "Not settled: too little is known of the engine as it is"
    heading(page, waits if unknown.questions else "Not settled before it is measured")
    page.print(f"These may change too: {briefly(labels, unknown.places)}.")
    print_questions(page, unknown.questions)
    if unknown.to_measure:
        measured = series_of(labels, (one.option for one in unknown.to_measure))
        page.print(f"To be measured after strip-down: {measured}.")


def _print_work(
    page: Console, made: Conversion, work: ConversionWork, labels: Labels
) -> None:
    if made.unknown.places and not work.strip:
        heading(page, "Work: not known before that is settled")
        return
    more = ", for what is settled" if made.unknown.places else ""
    heading(page, f"Work: {minutes_words(work)}{more}")
    if said := planned_words(work):
        page.print(said)
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
        opened = labels.joints(step.opens)
        row = (number, decimal_text(step.minutes), label)
        yield row if step.phase == "refit" else (*row, opened)
