"""The screws a joint may take: from the shelf, from the standard's series, stated."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from fractions import Fraction
from functools import lru_cache
from typing import NamedTuple

from bomsvc.core.fasteners.kinds import INCH, Band, ScrewStandard
from bomsvc.core.fasteners.names import (
    PropertyClass,
    find_class,
    find_screw_standard,
    get_class,
    get_screw_standard,
)
from bomsvc.core.fasteners.threads import (
    HEAD_PITCHES,
    Thread,
    find_thread,
    get_thread,
)
from bomsvc.core.fasteners.values import Chosen, Origin, Screw, Shelf, Wanted
from bomsvc.core.terms.problems import BadInput, Problem

ZEROTH = 0
_SMALLEST_INCH = 64
"""Inch lengths are printed as fractions down to the sixty-fourth."""


class Candidate(NamedTuple):
    """A screw with the figures that decide, mm.

    `first_thread` is the farthest from the head that full thread may begin (l_g);
    `rank` sorts equal lengths: order of standards, preferred, part number.
    """

    chosen: Chosen
    length: Fraction
    least: Fraction
    greatest: Fraction
    first_thread: Fraction
    bands: tuple[Band, ...]
    rank: tuple[int, bool, str]
    twin: str | None = None


class Kind(NamedTuple):
    """The kind of screw wanted, its words read."""

    standards: tuple[ScrewStandard, ...]
    thread: Thread
    property_class: PropertyClass
    finish: str | None


class Offer(NamedTuple):
    """Candidates ascending by length, then by rank; `lengths` runs beside them.

    `by_standard` holds the same, told apart by standard.
    """

    candidates: tuple[Candidate, ...]
    lengths: tuple[Fraction, ...]
    by_standard: tuple[tuple[str, tuple[Candidate, ...]], ...]

    def of_standard(self, code: str) -> tuple[Candidate, ...]:
        """The candidates of one standard, ascending; empty if none."""
        return next((same for own, same in self.by_standard if own == code), ())


def offer(candidates: Iterable[Candidate]) -> Offer:
    """Put candidates in order."""
    ordered = tuple(sorted(candidates, key=lambda c: (c.length, c.rank)))
    codes = dict.fromkeys(
        c.chosen.standard for c in sorted(ordered, key=lambda c: c.rank[0])
    )
    return Offer(
        ordered,
        tuple(c.length for c in ordered),
        tuple(
            (code, tuple(c for c in ordered if c.chosen.standard == code))
            for code in codes
        ),
    )


NOTHING = Offer((), (), ())


@lru_cache(maxsize=4096)
def read_kind(wanted: Wanted) -> Kind:
    """Read the words of what a joint wants.

    Raises:
        BadInput: A standard, thread or property class that is not known.
    """
    thread = get_thread(wanted.thread)
    standards = tuple(get_screw_standard(text) for text in wanted.standards)
    for standard in standards:
        _one_system(standard, thread)
    return Kind(standards, thread, get_class(wanted.property_class), wanted.finish)


def on_shelf(shelf: Shelf, kind: Kind) -> Offer:
    """The shelf's screws of one kind."""
    found = shelf.prepared.get(kind)
    if found is None:
        found = offer(_on_shelf(shelf, kind))
        shelf.prepared[kind] = found
    assert isinstance(found, Offer), "the shelf keeps offers by kind"
    return found


@lru_cache(maxsize=1024)
def in_series(kind: Kind) -> Offer:
    """The standards' own lengths of one kind."""
    return offer(_in_series(kind))


def as_stated(screw: Screw) -> Candidate:
    """The candidate a stated screw makes.

    Raises:
        BadInput: Its standard, thread or property class is not known.
    """
    standard, thread = get_screw_standard(screw.standard), get_thread(screw.thread)
    _one_system(standard, thread)
    return candidate(
        screw,
        standard,
        thread,
        property_class=get_class(screw.property_class),
        origin="stated",
    )


def unreadable(screws: Iterable[Screw]) -> tuple[Screw, ...]:
    """The screws whose standard, thread or class this service does not know.

    They are never candidates; whoever offers them may want to say so.
    """
    return tuple(s for s in screws if _key_of(s) is None)


def candidate(
    screw: Screw,
    standard: ScrewStandard,
    thread: Thread,
    *,
    property_class: PropertyClass,
    origin: Origin,
    order: int = ZEROTH,
) -> Candidate:
    """Prepare one screw: tolerances of its grade, and where its thread begins."""
    first = first_full_thread(screw, standard, thread)
    bands = standard.bands(thread.d_mm)
    band = next(b for b in bands if b.upto_mm is None or screw.length_mm <= b.upto_mm)
    chosen = Chosen(
        part=screw.part,
        designation=designation(standard, thread, screw.length_mm, property_class),
        standard=standard.code,
        thread=thread.designation,
        length_mm=screw.length_mm,
        property_class=property_class.code,
        fully_threaded=first == HEAD_PITCHES * thread.pitch_mm,
        finish=screw.finish,
        origin=origin,
        inch=thread.inch,
    )
    return Candidate(
        chosen=chosen,
        length=screw.length_mm,
        least=screw.length_mm - band.minus,
        greatest=screw.length_mm + band.plus,
        first_thread=first,
        bands=bands,
        rank=(order, not screw.preferred, screw.part or ""),
        twin=standard.twin,
    )


def first_full_thread(
    screw: Screw, standard: ScrewStandard, thread: Thread
) -> Fraction:
    """Farthest distance from the head to the first full thread, mm.

    Never less than three pitches, which is what a screw threaded up to the head
    may leave bare.
    """
    under_head = HEAD_PITCHES * thread.pitch_mm
    if screw.fully_threaded:
        return under_head
    if screw.thread_mm is not None:
        return max(under_head, screw.length_mm - screw.thread_mm)
    if standard.thread_length is None:
        return under_head
    size = standard.size(thread.short)
    threaded_up_to = size.full_to_mm if size else None
    if (
        screw.fully_threaded is None
        and threaded_up_to is not None
        and screw.length_mm <= threaded_up_to
    ):
        return under_head
    reference = standard.thread_length(thread.d_mm, screw.length_mm)
    return max(under_head, screw.length_mm - reference)


def designation(
    standard: ScrewStandard,
    thread: Thread,
    length_mm: Fraction,
    property_class: PropertyClass,
) -> str:
    """As the standards write it: "ISO 4762 - M10 x 45 - 10.9"."""
    size = length_text(length_mm, inch=thread.inch)
    return f"{standard.code} - {thread.short} x {size} - {property_class.code}"


def length_text(length_mm: Fraction, *, inch: bool) -> str:
    """A nominal length: "45", "12.5"; for inch screws "1-3/4 in"."""
    if not inch:
        return figure(length_mm)
    inches = length_mm / INCH
    if inches.denominator > _SMALLEST_INCH:
        return f"{figure(inches)} in"
    whole, rest = divmod(inches, 1)
    if rest == 0:
        return f"{whole} in"
    return f"{whole}-{rest} in" if whole else f"{rest} in"


def figure(value: Fraction, decimals: int = 4) -> str:
    """A figure for a sentence: at most four decimals, no trailing zeros."""
    scaled = round(value * 10**decimals)
    sign, digits = "-" if scaled < 0 else "", str(abs(scaled)).rjust(decimals + 1, "0")
    tail = digits[-decimals:].rstrip("0")
    return f"{sign}{digits[:-decimals]}{'.' if tail else ''}{tail}"


def _on_shelf(shelf: Shelf, kind: Kind) -> Iterator[Candidate]:
    index = _index(shelf)
    rest = kind.thread.designation, kind.property_class.code
    return (
        candidate(
            screw,
            standard,
            kind.thread,
            property_class=kind.property_class,
            origin="catalogue",
            order=order,
        )
        for order, standard in enumerate(kind.standards)
        for screw in index.get((standard.code, *rest), ())
        if kind.finish is None or _finish(screw.finish) == _finish(kind.finish)
    )


def _index(shelf: Shelf) -> dict[tuple[str, str, str], list[Screw]]:
    index = shelf.prepared.get("index")
    if isinstance(index, dict):
        return index
    made: dict[tuple[str, str, str], list[Screw]] = {}
    for screw in shelf.screws:
        key = _key_of(screw)
        if key is not None:
            made.setdefault(key, []).append(screw)
    shelf.prepared["index"] = made
    return made


def _key_of(screw: Screw) -> tuple[str, str, str] | None:
    standard = find_screw_standard(screw.standard)
    thread = find_thread(screw.thread)
    property_class = find_class(screw.property_class)
    if standard is None or thread is None or property_class is None:
        return None
    if not _fits_system(standard, thread):
        return None
    return standard.code, thread.designation, property_class.code


def _in_series(kind: Kind) -> Iterator[Candidate]:
    return (
        candidate(
            Screw(
                part=None,
                standard=standard.code,
                thread=kind.thread.designation,
                length_mm=length,
                property_class=kind.property_class.code,
                finish=kind.finish,
            ),
            standard,
            kind.thread,
            property_class=kind.property_class,
            origin="series",
            order=order,
        )
        for order, standard in enumerate(kind.standards)
        for length in standard.series(kind.thread.short)
    )


def _fits_system(standard: ScrewStandard, thread: Thread) -> bool:
    return (standard.unit == "inch") == thread.inch


def _one_system(standard: ScrewStandard, thread: Thread) -> None:
    if _fits_system(standard, thread):
        return
    detail = f"{standard.code} has no thread {thread.designation}: one is inch."
    raise BadInput([Problem("", detail, code="not_made")])


def _finish(text: str | None) -> str | None:
    return None if text is None else " ".join(text.casefold().split())
