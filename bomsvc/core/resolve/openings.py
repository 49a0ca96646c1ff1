"""Open places: what each may take, and which options decide it."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from decimal import Decimal

from bomsvc.core.logic.deciding import Outcomes, can_be_asked
from bomsvc.core.logic.questions import ToMeasure
from bomsvc.core.logic.standing import Key
from bomsvc.core.resolve.figures import candidate_figures
from bomsvc.core.resolve.items import Item, ItemKey, in_document_order
from bomsvc.core.resolve.lines import (
    Candidate,
    CandidatePart,
    OpenPlace,
)
from bomsvc.core.resolve.listing import Deciding
from bomsvc.core.resolve.studies import Study
from bomsvc.core.resolve.view import View


class Decisions:
    """Which options decide a place, each partition of cases asked about once."""

    def __init__(self, view: View) -> None:
        self._view = view
        self._kept: dict[object, tuple[Key, ...]] = {}
        options = view.reasoner.compiled.options
        self._measured = frozenset(
            key for key, o in options.items() if o.option.known == "measured"
        )
        self._beyond = frozenset(
            key for key, o in options.items() if not can_be_asked(o, view.known)
        )

    def of(self, outcomes: Sequence[Outcomes]) -> Deciding:
        """The deciding options; `waits_on` where none of them can be asked."""
        decided_by = self._deciding(outcomes)
        waits = bool(decided_by) and self._beyond.issuperset(decided_by)
        return Deciding(decided_by, decided_by if waits else ())

    def measured_only(self, deciding: Deciding) -> bool:
        """Whether only measuring is left to settle the place."""
        keys = deciding.decided_by
        return bool(keys) and self._measured.issuperset(keys)

    def to_measure(
        self, deciding: Deciding, outcomes: Sequence[Outcomes]
    ) -> tuple[ToMeasure, ...]:
        """The measured options among those that decide, with their bands."""
        if self._measured.isdisjoint(deciding.decided_by):
            return ()
        return self._view.reasoner.to_measure(self._view.known, outcomes)

    def _deciding(self, outcomes: Sequence[Outcomes]) -> tuple[Key, ...]:
        key = tuple(partition(one) for one in outcomes)
        if key not in self._kept:
            found = self._view.reasoner.deciding(self._view.known, outcomes)
            self._kept[key] = found
        return self._kept[key]


def partition(outcomes: Outcomes) -> object:
    """What makes two outcomes the same question."""
    return (outcomes.lits, tuple((outcomes.classes or {}).items()))


def different_outcomes(outcomes: Iterable[Outcomes]) -> list[Outcomes]:
    """The outcomes, each partition once, in order."""
    return list({partition(one): one for one in outcomes}.values())


def open_place(study: Study, deciding: Deciding) -> OpenPlace | None:
    """The place as an open entry; None where every case takes the same."""
    certain = study.certain()
    if certain.issuperset(study.taken()):
        return None
    rows = [
        tuple(i for i in items if i.key not in certain) for items in study.different
    ]
    candidates = candidates_in(rows, complete=study.complete)
    return OpenPlace(
        place=study.place,
        candidates=candidates,
        decided_by=deciding.decided_by,
        waits_on=deciding.waits_on,
        take_all=_take_all(candidates),
    )


def candidates_in(
    rows: Iterable[tuple[Item, ...]], *, complete: bool
) -> tuple[Candidate, ...]:
    """Each different set of items as a candidate, in document order.

    Beyond the budget (`complete` False) nobody has shown that something is always
    taken: nothing at all then stays a candidate.
    """
    found: dict[tuple[ItemKey, ...], list[Item]] = {}
    for items in in_document_order(rows):
        found.setdefault(tuple(i.key for i in items), []).extend(items)
    if not complete:
        found.setdefault((), [])
    return tuple(
        Candidate(tuple(_part(key) for key in keys), candidate_figures(items))
        for keys, items in found.items()
    )


def _part(key: ItemKey) -> CandidatePart:
    need, part, wanted, qty = key
    return CandidatePart(need, part, qty, wanted)


def _take_all(candidates: Iterable[Candidate]) -> tuple[CandidatePart, ...]:
    """Of each part to be renewed as many as any candidate takes."""
    most: dict[tuple[str | None, str | None], Decimal] = {}
    for candidate in candidates:
        for part in candidate.parts:
            if part.need == "renew":
                name = (part.part, part.wanted)
                most[name] = max(part.qty, most.get(name, part.qty))
    return tuple(
        CandidatePart("renew", part, qty, wanted)
        for (part, wanted), qty in most.items()
    )
