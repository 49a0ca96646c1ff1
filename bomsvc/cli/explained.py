"""Why a part is listed, a full build and where a part fits, on the terminal."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from itertools import groupby

from rich.console import Console

from bomsvc.cli.paper import bullets, heading, table
from bomsvc.core.logic.completing import How
from bomsvc.core.logic.questions import Question
from bomsvc.core.logic.standing import Key
from bomsvc.core.resolve.fits import EngineFitPlace, FitPlace, Role
from bomsvc.core.resolve.lines import Place
from bomsvc.core.terms.numbers import decimal_text
from bomsvc.service.builds import Stand
from bomsvc.service.completing import FullBuild
from bomsvc.service.explaining import Why
from bomsvc.service.fitting import InFamily, OnEngine, PartFits, Unreadable
from bomsvc.service.spoken import SERIAL, choice_label, known_sentences
from bomsvc.service.telling import OTHER_QUANTITY
from bomsvc.service.wording import Labels, listed

ROLES: dict[Role, str] = {
    "fitted": "",
    "alternate": "may be taken instead",
    "stated": "as the maker states",
    "screw": "sized for this joint",
    "used": "",
}
HOW: dict[How, str] = {
    "answered": "known",
    "follows": "follows",
    "usual": "usual, not known",
    "other": "not the usual one: that would cost more of the others",
}
Told = tuple[str, tuple[str, ...]]
"""A place and what is said of it."""
STAND_IN = "stands in for the number, which is not known"


def print_why(page: Console, found: Why) -> None:
    """Print why a part is on the list of a scope, or is not."""
    labels = Labels(found.stand.reasoner.compiled)
    print_engine(page, found.stand, labels, found.summary())
    shown, left = _worth_telling(found)
    # Members of a series often say the same: it is said once, of all of them.
    by_words: dict[tuple[str, ...], dict[str, None]] = {}
    for label, words in shown:
        by_words.setdefault(words, {})[label] = None
    for words, names in by_words.items():
        heading(page, "; ".join(names))
        bullets(page, words)
    if left:
        other = "1 other place takes" if left == 1 else f"{left} other places take"
        page.print(f"{other} another screw.")


def _worth_telling(found: Why) -> tuple[list[Told], int]:
    """Return the places to tell of, and how many others take another screw.

    Where the list has the part somewhere, places of other screws and of other
    quantities only distract.
    """
    told = list(zip(found.explained.places, found.told(), strict=True))
    if not any(place.listed for place, _ in told):
        return [said for _, said in told], 0
    kept = [said for place, said in told if place.listed or place.figures is None]
    kept = [said for said in kept if said[1][0] != OTHER_QUANTITY]
    others = [p for p, _ in told if not p.listed and p.figures is not None]
    return kept, len(others)


def print_engine(page: Console, stand: Stand, labels: Labels, title: str) -> None:
    """Print a heading, the revision and what is known of the engine."""
    head = stand.head
    heading(page, title)
    serial = f", serial {stand.serial}" if stand.serial else ""
    page.print(f"{head.name}{serial}; revision {head.number}, {head.digest[:16]}")
    if said := known_sentences(labels, stand.known):
        page.print(f"Known: {'; '.join(said)}.")


def print_build(page: Console, made: FullBuild) -> None:
    """Print a full build, with what was only taken because it is usual."""
    labels = Labels(made.stand.reasoner.compiled)
    print_engine(page, made.stand, labels, "A full build, by the usual choices")
    left = made.builds_left
    page.print(f"Builds that agree: {'not settled' if left is None else left}")
    table(page, ("Option", "Is", "How it is known"), _values(made, labels))
    usual = sum(why == "usual" for why in made.completed.how.values())
    if usual:
        page.print(
            f"{usual} value{' is' if usual == 1 else 's are'} only usual: look before"
            " parts are handed over."
        )


def _values(made: FullBuild, labels: Labels) -> Iterator[tuple[str, ...]]:
    answers = made.completed.build.answers
    for key, why in made.completed.how.items():
        how = STAND_IN if key == SERIAL and why == "usual" else HOW[why]
        yield labels.option(key), _value(labels, key, answers[key]), how


def _value(labels: Labels, key: Key, answer: object) -> str:
    if isinstance(answer, list):
        return listed(choice_label(labels, key, code) for code in answer) or "none"
    return choice_label(labels, key, str(answer))


def print_fits(page: Console, found: PartFits) -> None:
    """Print what a part is, where it fits, and which engines on file take it."""
    first = found.part.first
    heading(page, f"{first.number}: {first.name}")
    for family in found.families:
        _print_family(page, family)
    _print_engines(page, found)


def _print_family(page: Console, family: InFamily) -> None:
    heading(page, f"{family.head.name}, revision {family.head.number}")
    places = family.found.places
    if places:
        columns = ("Where", "#Qty", "On engines where", "")
        table(page, columns, _place_rows(family.labels, places))
    else:
        page.print("No valid build of this family takes it.")
    if family.found.sold_in:
        page.print(f"Also sold in {listed(family.found.sold_in)}.")


def _place_rows(
    labels: Labels, places: Iterable[FitPlace]
) -> Iterator[tuple[str, ...]]:
    """Members of a series that say the same stand on one row."""

    def said(place: FitPlace) -> tuple[str, ...]:
        words = "always" if place.words == "Always." else place.words.rstrip(".")
        return decimal_text(place.qty), words, ROLES[place.role]

    for words, together in groupby(places, key=said):
        yield "; ".join(labels.place(one.place) for one in together), *words


def _print_engines(page: Console, found: PartFits) -> None:
    heading(page, "Engines on file")
    rows = [_engine_row(one) for one in found.engines]
    if rows:
        table(page, ("Serial", "Unit", "Takes it?", "Where"), rows)
    else:
        page.print("None of them takes it.")
    looked = f"{found.looked_at} engine{'' if found.looked_at == 1 else 's'} on file"
    more = "" if found.after is None else f"; look on with --after {found.after}"
    page.print(f"Looked at {looked}{more}.")


def _engine_row(one: OnEngine | Unreadable) -> tuple[str, ...]:
    engine = one.engine
    unit = engine.unit_number or ""
    if isinstance(one, Unreadable):
        return engine.serial, unit, "cannot be said", one.trouble
    where = briefly(one.labels, (place.place for place in one.found.places))
    return engine.serial, unit, _verdict(one), where


def _verdict(one: OnEngine) -> str:
    if one.found.answer != "ask":
        return one.found.answer
    asked = series_of(one.labels, (q.option for q in one.found.questions))
    measured = series_of(one.labels, (m.option for m in one.found.to_measure))
    said = [
        f"ask for {asked}" if asked else "",
        f"measure {measured}" if measured else "",
    ]
    return listed(text for text in said if text) or "cannot be told"


def series_of(labels: Labels, keys: Iterable[Key]) -> str:
    """Name options; the members of a series by its label, once."""
    options = labels.compiled.options
    return listed(dict.fromkeys(options[key].option.label for key in keys))


def briefly(labels: Labels, places: Iterable[Place]) -> str:
    """Name places without holes; the members of a series by its label, once."""
    return "; ".join(dict.fromkeys(_series(labels, place) for place in places))


def _series(labels: Labels, place: Place) -> str:
    standing = labels.compiled.standing
    if place.kind == "position":
        return standing.positions[place.key].position.label
    if place.kind == "joint":
        return standing.joints[place.key].joint.label
    return labels.place(place)


def print_engine_fits(page: Console, one: OnEngine) -> None:
    """Print whether a part fits one engine: yes, no, or what to ask."""
    found = one.found
    print_engine(page, one.stand, one.labels, f"{found.part}: {one.name}")
    said = {
        "yes": f"Yes: {one.engine.serial} takes it.",
        "no": f"No: {one.engine.serial} does not take it.",
        "ask": f"Not settled for {one.engine.serial}: {_verdict(one)}.",
    }
    page.print(said[found.answer], style="bold")
    bullets(page, (_engine_place(place, one.labels) for place in found.places))
    print_questions(page, found.questions)


def print_questions(page: Console, questions: Iterable[Question]) -> None:
    """Print questions with what can be answered and how to tell."""
    for number, question in enumerate(questions, start=1):
        page.print(f"{number}. {question.ask}")
        bullets(
            page,
            (
                f"{question.option}={choice.code}: {choice.label}"
                + (f", {choice.tell}" if choice.tell else "")
                for choice in question.choices
            ),
        )


def _engine_place(place: EngineFitPlace, labels: Labels) -> str:
    role = f" ({ROLES[place.role]})" if ROLES[place.role] else ""
    said = f"{labels.place(place.place)}{role}"
    if place.state == "certain":
        return said
    return f"{said}: decided by {listed(map(labels.option, place.decided_by))}"
