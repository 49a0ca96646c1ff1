"""Use cases of a loose part: what it is, where it fits, and which engines take it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from bomsvc.core.logic.reasoner import Reasoner
from bomsvc.core.resolve.fits import (
    EngineFitPlace,
    EngineFits,
    FitPlace,
    Fits,
    fits,
    fits_engine,
)
from bomsvc.core.terms.problems import BadInput
from bomsvc.service.builds import Asked, Stand, reach, refuse_clash, settled, stand_at
from bomsvc.service.desk import Desk
from bomsvc.service.engines import get_engine
from bomsvc.service.parts import KnownPart, get_part
from bomsvc.service.ports import UnitOfWork
from bomsvc.service.records import EngineOnFile, RevisionHead
from bomsvc.service.refusals import Missing
from bomsvc.service.replies.fits import engine_fits_reply, fits_reply
from bomsvc.service.shapes import revision_name
from bomsvc.service.wording import Labels

Json = dict[str, object]
CLASHES = "What is on file contradicts the published revision."
MOST_ENGINES = 500
"""Engines on file looked at for one request; the others are had by asking on."""


@dataclass(frozen=True, slots=True)
class InFamily:
    """Where a part fits in the published revision of one family."""

    head: RevisionHead
    reasoner: Reasoner
    found: Fits

    @property
    def labels(self) -> Labels:
        """The labels of the revision."""
        return Labels(self.reasoner.compiled)

    def reply(self) -> Json:
        """Return the places in the shape of the reply."""
        reply = fits_reply(self.found, family=self.head.family)
        return {
            "family": self.head.family,
            "family_name": self.head.name,
            "revision": revision_name(self.head),
            "places": _named(self.labels, reply["places"], self.found.places),
            "sold_in": reply["sold_in"],
        }


@dataclass(frozen=True, slots=True)
class OnEngine:
    """Whether a part fits one engine on file, as its family's revision knows it."""

    engine: EngineOnFile
    stand: Stand
    found: EngineFits
    name: str

    @property
    def labels(self) -> Labels:
        """The labels of the revision."""
        return Labels(self.stand.reasoner.compiled)

    def reply(self) -> Json:
        """Return yes, no or what to ask in the shape of the reply."""
        reply = engine_fits_reply(self.found)
        places = _named(self.labels, reply["places"], self.found.places)
        return {
            "part": self.found.part,
            "name": self.name,
            "engine": self.engine.serial,
            "family": self.engine.family,
            "revision": self.stand.revision(),
            **reply,
            "places": places,
        }

    def row(self) -> Json:
        """Return the engine as one of many."""
        return {
            "serial": self.engine.serial,
            "family": self.engine.family,
            "unit_number": self.engine.unit_number,
            "answer": self.found.answer,
            "ask": [question.option for question in self.found.questions],
            "trouble": None,
        }


@dataclass(frozen=True, slots=True)
class Unreadable:
    """An engine on file that says what the published revision does not allow."""

    engine: EngineOnFile
    trouble: str

    def row(self) -> Json:
        """Return the engine as one of many."""
        return {
            "serial": self.engine.serial,
            "family": self.engine.family,
            "unit_number": self.engine.unit_number,
            "answer": None,
            "ask": [],
            "trouble": self.trouble,
        }


@dataclass(frozen=True, slots=True)
class PartFits:
    """A part, where it fits in each family, and the engines on file that take it.

    Attributes:
        part: What it is.
        families: Where it fits, in the order of family codes.
        engines: Engines on file that take it or may, in the order they came on
            file, and those that cannot be read.
        looked_at: How many engines on file were looked at.
        after: Key of the last engine looked at where there are more; else None.
    """

    part: KnownPart
    families: tuple[InFamily, ...]
    engines: tuple[OnEngine | Unreadable, ...]
    looked_at: int
    after: int | None

    def reply(self) -> Json:
        """Return everything in the shape of the reply."""
        first = self.part.first
        return {
            "part": first.number,
            "name": first.name,
            "kind": first.kind,
            "families": [family.reply() for family in self.families],
            "engines": [engine.row() for engine in self.engines],
            "engines_looked_at": self.looked_at,
            "engines_after": self.after,
        }


def part_fits(
    desk: Desk, number: str, *, family: str | None = None, after: int = 0
) -> PartFits:
    """Say where a part fits, and which engines on file take it.

    Args:
        desk: The service's ports.
        number: The part's number, in any spelling of the same identity.
        family: Only this family.
        after: Key of the last engine on file that was looked at before.

    Raises:
        Missing: No published revision (of the family) has the part.
    """
    with desk.store.read() as uow:
        part = _part(uow, number, family)
        revisions = [reach(desk, uow, code, None) for code in part.families]
        filed = uow.engines.listed(family=family, after=after, limit=MOST_ENGINES + 1)
        seen = filed[:MOST_ENGINES]
        stands = [
            _stand_or_trouble(desk, uow, engine)
            for _key, engine in seen
            if engine.family in part.families
        ]
    numbers = _numbers(part)
    with settled():
        places = tuple(
            InFamily(head, reasoner, fits(reasoner, numbers[head.family]))
            for head, reasoner in revisions
        )
        engines = [_told(engine, stand, part) for engine, stand in stands]
    more = len(filed) > MOST_ENGINES
    return PartFits(
        part=part,
        families=places,
        engines=tuple(e for e in engines if not _is_no(e)),
        looked_at=len(seen),
        after=seen[-1][0] if more else None,
    )


def engine_fits(
    desk: Desk, number: str, *, serial: str, family: str | None = None
) -> OnEngine:
    """Say whether a part fits an engine on file: yes, no, or what to ask.

    Raises:
        Missing: The part or the engine is not known.
        Conflict: Several engines on file have this serial.
        Clashing: What is on file contradicts the published revision.
    """
    with desk.store.read() as uow:
        part = get_part(uow, number)
        engine = get_engine(uow, serial, family)
        stand = stand_at(desk, uow, engine.family, Asked(engine=engine))
    refuse_clash(stand)
    with settled():
        return _on_engine(engine, stand, part)


def _part(uow: UnitOfWork, number: str, family: str | None) -> KnownPart:
    """Return the part, as the family alone has it where one is named."""
    part = get_part(uow, number)
    if family is None:
        return part
    own = tuple(entry for entry in part.entries if entry.family == family)
    if not own:
        known = ", ".join(part.families)
        raise Missing(
            f"{part.first.number} is no part of {family!r}.",
            remedy=f"It is a part of: {known}.",
        )
    return KnownPart(own)


def _stand_or_trouble(
    desk: Desk, uow: UnitOfWork, engine: EngineOnFile
) -> tuple[EngineOnFile, Stand | str]:
    try:
        stand = stand_at(desk, uow, engine.family, Asked(engine=engine))
    except BadInput as bad:
        return engine, bad.problems[0].detail
    return engine, stand


def _told(
    engine: EngineOnFile, stand: Stand | str, part: KnownPart
) -> OnEngine | Unreadable:
    if isinstance(stand, str):
        return Unreadable(engine, stand)
    if not stand.reasoner.consistent(stand.known):
        return Unreadable(engine, CLASHES)
    return _on_engine(engine, stand, part)


def _on_engine(engine: EngineOnFile, stand: Stand, part: KnownPart) -> OnEngine:
    first = part.first
    number = _numbers(part).get(engine.family)
    if number is None:
        # The engine's family does not have the part at all.
        found = EngineFits(first.number, "no", (), (), ())
    else:
        found = fits_engine(stand.reasoner, stand.known, number)
    return OnEngine(engine, stand, found, first.name)


def _numbers(part: KnownPart) -> dict[str, str]:
    """Return the number as each family writes it."""
    return {entry.family: entry.number for entry in part.entries}


def _is_no(one: OnEngine | Unreadable) -> bool:
    return isinstance(one, OnEngine) and one.found.answer == "no"


def _named(
    labels: Labels, shown: object, places: Sequence[FitPlace | EngineFitPlace]
) -> list[Json]:
    """Name each place as people do: with its member and the holes."""
    assert isinstance(shown, list)
    return [
        {**form, "where": labels.place(place.place)}
        for form, place in zip(shown, places, strict=True)
    ]
