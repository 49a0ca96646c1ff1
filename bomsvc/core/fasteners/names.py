"""Finding a standard or a property class by the name somebody wrote."""

from __future__ import annotations

from collections.abc import Iterable
from fractions import Fraction
from functools import lru_cache
from typing import NamedTuple, TypeVar

from bomsvc.core.fasteners.kinds import (
    INCH,
    ClassStandard,
    NutStandard,
    ScrewStandard,
    Standard,
    Strength,
    WasherStandard,
)
from bomsvc.core.fasteners.standards import REGISTRY
from bomsvc.core.fasteners.threads import Thread
from bomsvc.core.terms.problems import BadInput, Problem
from bomsvc.core.terms.words import nearest

S = TypeVar("S", bound=Standard)

# Withdrawn names still heard at the counter, and what took their place. The
# dimensions may differ (width across flats of M10, M12, M14, M22), so the old name
# is answered, never silently read as the new one. From memory.
REPLACED = {
    "DIN 912": "ISO 4762",
    "DIN 931": "ISO 4014",
    "DIN 933": "ISO 4017",
    "DIN 960": "ISO 8765",
    "DIN 961": "ISO 8676",
    "DIN 934": "ISO 4032",
    "DIN 6923": "ISO 4161",
    "DIN 125": "ISO 7089",
}

_CLASS_WORDS = ("SAE", "J429", "ASTM", "GRADE", "CLASS", "GR")

# A ksi in MPa, exactly: 1 lbf = 4.4482216152605 N and 1 in = 25.4 mm, by definition.
KSI_MPA = Fraction("4448.2216152605") / (INCH * INCH)


class PropertyClass(NamedTuple):
    """A property class or grade: its name, standard and metric peer."""

    code: str
    standard: ClassStandard
    metric_peer: str

    def strength(self, thread: Thread) -> Strength:
        """Least strengths for a thread's diameter, MPa."""
        return _strength(self, thread.d_mm)

    def __hash__(self) -> int:
        return hash(self.code)


@lru_cache(maxsize=256)
def _strength(wanted: PropertyClass, d_mm: Fraction) -> Strength:
    inch = wanted.standard.unit == "inch"
    unit, stress = (INCH, KSI_MPA) if inch else (Fraction(1), Fraction(1))
    for row in wanted.standard.rows:
        if row[0] == wanted.code and d_mm <= Fraction(row[2]) * unit:
            tensile, yielding, proof = (Fraction(text) * stress for text in row[3:6])
            return Strength(tensile, yielding, proof)
    raise AssertionError(f"{wanted.code} has no row for {d_mm} mm")


def of_kind(kind: type[S]) -> tuple[S, ...]:
    """The registered standards of one kind, in the order of the registry."""
    return tuple(s for s in REGISTRY if isinstance(s, kind))


@lru_cache(maxsize=1024)
def find_screw_standard(text: str) -> ScrewStandard | None:
    """Return the screw standard of this name ("ISO 4762", "iso4762"), or None."""
    return _find(ScrewStandard, text)


def get_screw_standard(text: str, pointer: str = "") -> ScrewStandard:
    """Return the screw standard of this name.

    Raises:
        BadInput: None is known by it; the problem names the nearest.
    """
    return _get(ScrewStandard, text, pointer, "standard of screws")


def get_nut_standard(text: str, pointer: str = "") -> NutStandard:
    """Return the nut standard of this name.

    Raises:
        BadInput: None is known by it; the problem names the nearest.
    """
    return _get(NutStandard, text, pointer, "standard of nuts")


def get_washer_standard(text: str, pointer: str = "") -> WasherStandard:
    """Return the washer standard of this name.

    Raises:
        BadInput: None is known by it; the problem names the nearest.
    """
    return _get(WasherStandard, text, pointer, "standard of washers")


@lru_cache(maxsize=256)
def find_class(text: str) -> PropertyClass | None:
    """Return the property class of this name ("10.9", "grade 8", "SAE 8"), or None."""
    key = _class_key(text)
    for standard in of_kind(ClassStandard):
        for code, peer in standard.metric_peer.items():
            if _class_key(code) == key:
                return PropertyClass(code, standard, peer)
    return None


def get_class(text: str, pointer: str = "") -> PropertyClass:
    """Return the property class of this name.

    Raises:
        BadInput: None is known by it; the problem names those that are.
    """
    found = find_class(text)
    if found is not None:
        return found
    known = class_codes()
    near = nearest(text, known)
    detail = f'"{text}" is no property class this service knows: {_or(known)}.'
    raise BadInput(
        [Problem(pointer, detail, code="unknown_property_class", remedy=near)]
    )


def class_codes() -> tuple[str, ...]:
    """Every known property class, in the order of the registry."""
    return tuple(
        code for standard in of_kind(ClassStandard) for code in standard.metric_peer
    )


def _find(kind: type[S], text: str) -> S | None:
    key = _standard_key(text)
    return next((s for s in of_kind(kind) if _standard_key(s.code) == key), None)


def _get(kind: type[S], text: str, pointer: str, what: str) -> S:
    found = _find(kind, text)
    if found is not None:
        return found
    known = [s.code for s in of_kind(kind)]
    near = _replacement(text, known) or nearest(text, known)
    hint = f" The nearest is {near}." if near else f" Known: {', '.join(known)}."
    detail = f'"{text}" is no {what} this service knows.{hint}'
    raise BadInput([Problem(pointer, detail, code="unknown_standard", remedy=near)])


def _replacement(text: str, known: Iterable[str]) -> str | None:
    key = _standard_key(text)
    for old, new in REPLACED.items():
        if _standard_key(old) == key and new in known:
            return new
    return None


@lru_cache(maxsize=1024)
def _standard_key(text: str) -> str:
    key = "".join(c for c in text.upper() if c.isalnum())
    for prefix in ("DINENISO", "ENISO", "DINISO", "BSENISO"):
        if key.startswith(prefix):
            return "ISO" + key.removeprefix(prefix)
    return key


def _class_key(text: str) -> str:
    key = text.upper().replace(",", ".")
    for word in _CLASS_WORDS:
        key = key.replace(word, " ")
    return "".join(key.split()).strip(".-")


def _or(words: Iterable[str]) -> str:
    *head, last = words
    return f"{', '.join(head)} or {last}"
