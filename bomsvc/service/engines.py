"""Use cases of engines on file."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace

from bomsvc.core.terms.numbers import Number, fixed_decimal
from bomsvc.core.terms.pointers import join
from bomsvc.core.terms.problems import BadInput, Problem
from bomsvc.core.terms.words import part_identity
from bomsvc.service.builds import (
    MOST_DIGITS,
    Asked,
    refuse_clash,
    stand_at,
    with_engine,
)
from bomsvc.service.catalogues import get_family
from bomsvc.service.desk import Acting, Desk, Expected, enter
from bomsvc.service.ports import UnitOfWork
from bomsvc.service.records import EngineOnFile
from bomsvc.service.refusals import Conflict, Stale, no_such

KIND = "engine"
_SERIAL = re.compile(r"[A-Z]{0,8}[ -]?([0-9]{1,9})\Z")


@dataclass(frozen=True, slots=True)
class EngineEntry:
    """What a person writes down of an engine; fields as in `EngineOnFile`."""

    answers: Mapping[str, object] = field(default_factory=dict)
    sources: Mapping[str, str] = field(default_factory=dict)
    waive: tuple[str, ...] = ()
    deviations: tuple[Mapping[str, object], ...] = ()
    plate_text: str | None = None
    unit_number: str | None = None
    notes: str | None = None


def read_serial(text: str, *, pointer: str = "/serial") -> tuple[str, int]:
    """Return a serial as it is kept, and its number: "n210440" -> N210440, 210440.

    Raises:
        BadInput: The text is no letters and digits of a serial.
    """
    kept = part_identity(text)
    match = _SERIAL.match(kept)
    if match is None or int(match[1]) == 0:
        detail = f"'{text}' is not a serial: letters of the prefix, then digits."
        problem = Problem(pointer, detail, "serial", remedy="Write it as N210440.")
        raise BadInput([problem])
    return kept.replace(" ", "").replace("-", ""), int(match[1])


def create_engine(
    desk: Desk,
    uow: UnitOfWork,
    acting: Acting,
    *,
    family: str,
    serial: str,
    entry: EngineEntry,
) -> EngineOnFile:
    """Put an engine on file.

    Raises:
        Missing: There is no such family.
        BadInput: The serial or an answer cannot be read.
        Clashing: The answers contradict one another.
        Conflict: The serial is on file already, or the family is not published.
    """
    kept, number = read_serial(serial)
    _refuse_odd_numbers(entry)
    get_family(uow, family)
    now = desk.now()
    engine = _written(
        EngineOnFile(family, kept, number, created_at=now, created_by=acting.who),
        entry,
        at=now,
        who=acting.who,
    )
    _refuse_untrue(desk, uow, engine)
    if not uow.engines.add(engine):
        raise Conflict(
            f"The engine {kept} of {family!r} is on file already.",
            remedy=f"Change it with PUT /engines/{kept}.",
        )
    _enter(desk, uow, acting, "create", engine)
    return engine


def get_engine(uow: UnitOfWork, serial: str, family: str | None = None) -> EngineOnFile:
    """Return the engine with this serial, as stamped or by its number alone.

    Raises:
        Missing: None is on file.
        Conflict: Several share the number; says which.
    """
    found = find_engines(uow, serial, family)
    if not found:
        raise no_such(
            "engine on file", serial, remedy="Put it on file, or give its family."
        )
    if len(found) > 1:
        names = [f"{engine.serial} ({engine.family})" for engine in found]
        raise Conflict(
            f"Several engines on file have the serial {serial}: {', '.join(names)}.",
            remedy="Give the prefix as stamped, or the family.",
        )
    return found[0]


def find_engines(
    uow: UnitOfWork, serial: str, family: str | None = None
) -> Sequence[EngineOnFile]:
    """Return every engine that `serial` may mean; none where it is no serial."""
    try:
        kept, _number = read_serial(serial)
    except BadInput:
        return ()
    return uow.engines.find(kept, family)


def list_engines(
    uow: UnitOfWork, *, family: str | None, after: int, limit: int
) -> Sequence[tuple[int, EngineOnFile]]:
    """Return engines in the order they came on file, with their keys of order."""
    return uow.engines.listed(family=family, after=after, limit=limit)


def replace_engine(
    desk: Desk,
    uow: UnitOfWork,
    acting: Acting,
    *,
    serial: str,
    family: str | None,
    entry: EngineEntry,
    expected: Expected,
) -> EngineOnFile:
    """Write down what is now known of an engine.

    Raises:
        Missing: It is not on file.
        Stale: It changed since it was read.
        BadInput, Clashing: As for `create_engine`.
    """
    _refuse_odd_numbers(entry)
    before = get_engine(uow, serial, family)
    uow.hold(f"engine {before.family} {before.serial}")
    before = get_engine(uow, before.serial, before.family)
    if not expected.admits(before.tag):
        raise Stale(
            f"The engine {before.serial} changed since it was read.",
            remedy="Read it again and make the change on what it says now.",
        )
    engine = _written(before, entry, at=desk.now(), who=acting.who)
    engine = replace(engine, version=before.version + 1)
    _refuse_untrue(desk, uow, engine)
    uow.engines.replace(engine)
    _enter(desk, uow, acting, "replace", engine)
    return engine


def _written(
    engine: EngineOnFile, entry: EngineEntry, *, at: str, who: str
) -> EngineOnFile:
    return replace(
        engine,
        answers=_without_serial(engine, entry.answers),
        sources=dict(entry.sources),
        waived=entry.waive,
        deviations=entry.deviations,
        plate_text=entry.plate_text,
        unit_number=entry.unit_number,
        notes=entry.notes,
        changed_at=at,
        changed_by=who,
    )


def _refuse_odd_numbers(entry: EngineEntry) -> None:
    """Refuse figures of deviations that would not come back as they were typed."""
    problems = [
        Problem(
            pointer,
            "A figure here is below a million, with at most six decimals.",
            "figure",
        )
        for index, item in enumerate(entry.deviations)
        for pointer, number in _numbers(item, f"/deviations/{index}")
        if not _is_figure(number)
    ]
    if problems:
        raise BadInput(problems)


def _is_figure(number: Number) -> bool:
    # An exponent beyond all sense is refused before anything is computed with it.
    exact = number.decimal
    sensible = exact.is_finite() and abs(exact.adjusted()) < MOST_DIGITS
    return sensible and fixed_decimal(number.text) is not None


def _numbers(value: object, pointer: str) -> Iterator[tuple[str, Number]]:
    if isinstance(value, Number):
        yield pointer, value
    elif isinstance(value, Mapping):
        for name, item in value.items():
            yield from _numbers(item, join(pointer, name))
    elif isinstance(value, list | tuple):
        for index, item in enumerate(value):
            yield from _numbers(item, join(pointer, index))


def _without_serial(
    engine: EngineOnFile, answers: Mapping[str, object]
) -> dict[str, object]:
    """Leave out the serial, which the engine is known by, where it agrees."""
    kept = dict(answers)
    typed = kept.pop("serial", None)
    if typed is not None:
        _serial, number = read_serial(str(typed), pointer="/answers/serial")
        if number != engine.serial_number:
            detail = f"This engine's serial is {engine.serial}, not {typed}."
            remedy = "Leave the serial out of the answers."
            problem = Problem("/answers/serial", detail, "serial", remedy=remedy)
            raise BadInput([problem])
    return kept


def _refuse_untrue(desk: Desk, uow: UnitOfWork, engine: EngineOnFile) -> None:
    """Read the answers against the published revision and refuse contradictions."""
    # Read as typed, for it is what is typed that is written down.
    typed = replace(with_engine(Asked(engine=engine)), engine=None)
    stand = stand_at(desk, uow, engine.family, typed)
    refuse_clash(stand)


def _enter(
    desk: Desk, uow: UnitOfWork, acting: Acting, action: str, engine: EngineOnFile
) -> None:
    detail = {"version": engine.version, "answers": engine.answers}
    if engine.waived:
        detail["waived"] = engine.waived
    subject = f"{engine.family}.{engine.serial}"
    enter(desk, uow, acting, action=action, kind=KIND, subject=subject, detail=detail)
