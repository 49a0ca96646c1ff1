"""Every name of a document, and the checks of what refers to them."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field

from bomsvc.core.catalogue.conditions import OptionWords, Vocabulary
from bomsvc.core.catalogue.forms.records import Values
from bomsvc.core.catalogue.reading import Place, Reading
from bomsvc.core.terms.words import part_identity

_REFERENCE = re.compile(r"([^\[\].]+)(?:\[([^\[\]]*)\])?(?:\.(.*))?\Z", re.DOTALL)
_DIGITS = re.compile(r"[0-9]{1,9}\Z")


@dataclass(frozen=True, slots=True)
class Kind:
    """A list of named items that may stand once per member of a series.

    Attributes:
        says: What the items are called, in the singular.
        each: Code to series, or None for an item that stands once.
        readable: The list could be read at all; otherwise nobody can tell what
            is missing from it.
    """

    says: str
    each: Mapping[str, str | None]
    readable: bool = True
    codes: tuple[str, ...] = field(init=False)
    """The codes, in document order."""

    def __post_init__(self) -> None:
        object.__setattr__(self, "codes", tuple(self.each))


@dataclass(slots=True)
class Names:
    """The names of one document.

    Broken codes are among them, so that only their own place reports them.
    `unreadable` names the lists that could not be read at all.
    """

    series: dict[str, int]
    options: dict[str, OptionWords]
    sections: dict[str, None]
    position: Kind
    joint: Kind
    step: Kind
    position_or_step: Kind
    groups: dict[str, dict[str, None]]
    parts: dict[str, str]
    unreadable: frozenset[str]
    vocabulary: Vocabulary = field(init=False)
    part_numbers: tuple[str, ...] = field(init=False)
    series_names: tuple[str, ...] = field(init=False)

    def __post_init__(self) -> None:
        self.vocabulary = Vocabulary(self.options, self.series)
        self.part_numbers = tuple(self.parts.values())
        self.series_names = tuple(self.series)


def split_reference(text: str) -> tuple[str, str | None, str | None]:
    """Split `code[member].rest` into its parts; the last two may be absent."""
    match = _REFERENCE.match(text)
    if match is None:
        return text, None, None
    return match[1], match[2], match[3]


def member_number(text: str) -> int | None:
    """Return a member written in brackets as a number, None if it is none."""
    return int(text) if _DIGITS.match(text) else None


def names_of(
    document: Values, reading: Reading, unreadable: frozenset[str] = frozenset()
) -> Names:
    """Collect all names; a name given twice is reported at the later place."""
    positions, steps = document["positions"], document["steps"]
    for items in (
        document["options"],
        document["rules"],
        document["sections"],
        (*positions, *steps),
        document["joints"],
        document["jobs"],
    ):
        check_unique(items, "code", reading)
    joints = document["joints"]
    position = _kind("position", positions, readable="positions" not in unreadable)
    step = _kind("step", steps, readable="steps" not in unreadable)
    return Names(
        series=dict(document["family"]["series"]),
        options={v["code"]: _words(v) for v in document["options"] if v["code"]},
        sections={v["code"]: None for v in document["sections"] if v["code"]},
        position=position,
        joint=_kind("joint", joints, readable="joints" not in unreadable),
        step=step,
        position_or_step=Kind(
            "position or step",
            {**step.each, **position.each},
            position.readable and step.readable,
        ),
        groups={
            joint["code"]: {group["code"]: None for group in joint["groups"]}
            for joint in joints
        },
        parts=_parts(document["parts"], reading),
        unreadable=unreadable,
    )


def check_unique(items: Iterable[Values], name: str, reading: Reading) -> None:
    """Report every item whose code an earlier one has."""
    seen: dict[str, Place] = {}
    for item in items:
        code = item[name]
        if code and code in seen:
            says = f'the {name} "{code}" is already used at {seen[code].pointer}'
            reading.report(item.at(name), "duplicate_code", says)
        seen.setdefault(code, item.place)


def _kind(says: str, items: Sequence[Values], *, readable: bool) -> Kind:
    each = {item["code"]: item["each"] for item in items if item["code"]}
    return Kind(says, each, readable)


def _words(option: Values) -> OptionWords:
    choices = tuple(choice["code"] for choice in option["choices"])
    return OptionWords(choices, option["each"])


def _parts(parts: Iterable[Values], reading: Reading) -> dict[str, str]:
    """Identity to the number as the list of parts spells it."""
    found: dict[str, str] = {}
    places: dict[str, Place] = {}
    for part in parts:
        identity = part_identity(part["number"])
        if identity and identity in found:
            says = (
                f'the part number "{part["number"]}" is already used at '
                f"{places[identity].pointer}"
            )
            reading.report(part.at("number"), "duplicate_code", says)
        if identity:
            found.setdefault(identity, part["number"])
        places.setdefault(identity, part.place)
    return found
