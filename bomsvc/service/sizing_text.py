"""Joints typed on a command line or into one field, read into a sizing request.

    34+-0.2                        a layer, mm (or inch), tolerance both ways
    0.8+0.1-0.05,soft,free=1.1     a gasket
    washer=ISO 7089                a washer of the screw's size
    blind,threaded=24,drilled=31.3,entry=1+-0.25,material=grey_iron
    through,thickness=24+-0.2,entry=1,exit=1,protrusion=5,material=steel
    nut,height=8.22+-0.18          nut,standard=ISO 4032

Numbers may be decimals or, as inch sizes are, fractions: `3/8`, `1-3/4`. The plus
and minus sign may also be typed as one sign.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from fractions import Fraction
from typing import NoReturn, Protocol

from bomsvc.core.terms.pointers import join
from bomsvc.core.terms.problems import BadInput, Problem
from bomsvc.core.terms.words import nearest

Request = dict[str, object]

_SIGN = re.compile(r"\+/-|\+-|\N{PLUS-MINUS SIGN}")
_NUMBER = r"(?:\d+-)?\d+/\d+|\d+(?:\.\d+)?|\.\d+"
_SIZE = re.compile(
    rf"({_NUMBER})\s*(?:=\s*({_NUMBER})|\+\s*({_NUMBER})\s*-\s*({_NUMBER})"
    rf"|\+\s*({_NUMBER})|-\s*({_NUMBER}))?\Z"
)
_LAYER_WORDS = ("soft", "free", "name", "washer")
_FORMS: dict[str, tuple[tuple[str, ...], tuple[str, ...]]] = {
    "blind": (("threaded", "drilled", "entry"), ("material", "strength")),
    "through": (
        ("thickness", "entry", "exit", "protrusion"),
        ("material", "strength"),
    ),
    "nut": (("height", "protrusion"), ("standard",)),
}
_TOLERANCES = {
    "entry": ("entry_tol", "entry_plus", "entry_minus"),
    "thickness": ("thickness_tol", "thickness_plus", "thickness_minus"),
    "height": ("tol", "plus", "minus"),
}


def request_from_text(
    *,
    standard: str,
    thread: str,
    property_class: str,
    layers: Sequence[str],
    into: str,
    inch: bool = False,
    engagement: str | None = None,
    lengths: Sequence[str] = (),
) -> Request:
    """Build the request of `POST /fasteners/size` from typed text.

    Raises:
        BadInput: What cannot be read, every text of it, with the spot underlined.
    """
    unit, problems = "in" if inch else "mm", _Problems()
    request: Request = {
        "standard": standard,
        "thread": thread,
        "property_class": property_class,
        "layers": [
            problems.keep(parse_layer, text, join("/layers", index), unit)
            for index, text in enumerate(layers)
        ],
        "into": problems.keep(parse_into, into, "/into", unit),
    }
    if inch:
        request["units"] = "inch"
    if engagement is not None:
        field = f"engagement_{unit}"
        request[field] = problems.keep(_bare, engagement, join("", field), unit)
    if lengths:
        field = f"lengths_{unit}"
        request[field] = [
            problems.keep(_bare, text, join("", field, index), unit)
            for index, text in enumerate(lengths)
        ]
    problems.raise_any()
    return request


def parse_layer(text: str, pointer: str = "/layers/0", unit: str = "mm") -> Request:
    """Read one layer.

    Raises:
        BadInput: It cannot be read; the detail underlines the spot.
    """
    layer: Request = {}
    for start, word in _words(text):
        name, equals, value = (part.strip() for part in word.partition("="))
        if not equals and word == "soft":
            layer["soft"] = True
        elif not equals:
            _put_size(
                layer, (unit, "tol", "plus", "minus"), word, (text, start, pointer)
            )
        elif name in ("name", "washer"):
            layer[name] = value
        elif name == "free":
            spot = text, start + word.index("=") + 1, pointer
            layer[f"free_{unit}"] = _number(value, spot)
        else:
            _unknown(name, _LAYER_WORDS, (text, start, pointer))
    return layer


def parse_into(text: str, pointer: str = "/into", unit: str = "mm") -> Request:
    """Read what the thread goes into.

    Raises:
        BadInput: It cannot be read; the detail underlines the spot.
    """
    (_, form), *rest = _words(text) or [(0, "")]
    if form not in _FORMS:
        _unknown(form, tuple(_FORMS), (text, 0, pointer))
    sizes, others = _FORMS[form]
    into: Request = {"form": form}
    for start, word in rest:
        name, equals, value = (part.strip() for part in word.partition("="))
        spot = text, start, pointer
        inner = text, start + len(word) - len(value), pointer
        if not equals or name not in (*sizes, *others):
            _unknown(name, (*sizes, *others), spot)
        elif name == "strength":
            into["strength_mpa"] = _number(value, inner)
        elif name in others:
            into[name] = value
        else:
            names = _TOLERANCES.get(name, ())
            _put_size(into, (f"{name}_{unit}", *names), value, inner)
    return into


def parse_number(text: str, pointer: str = "") -> Fraction:
    """Read a length as people type it: "34.5", "3/8", "1-3/4".

    Raises:
        BadInput: It is no number.
    """
    return _number(text.strip(), (text, 0, pointer))


Spot = tuple[str, int, str]
"""The whole text, where in it, and the pointer of the field."""


class _Reader(Protocol):
    def __call__(self, text: str, pointer: str, unit: str, /) -> object: ...


class _Problems:
    def __init__(self) -> None:
        self.found: list[Problem] = []

    def keep(self, read: _Reader, text: str, pointer: str, unit: str) -> object:
        try:
            return read(text, pointer, unit)
        except BadInput as bad:
            self.found.extend(bad.problems)
            return None

    def raise_any(self) -> None:
        if self.found:
            raise BadInput(self.found)


def _bare(text: str, pointer: str, _unit: str) -> Fraction:
    return parse_number(text, pointer)


def _words(text: str) -> list[tuple[int, str]]:
    found, start = [], 0
    for word in text.split(","):
        if word.strip():
            found.append((start + len(word) - len(word.lstrip()), word.strip()))
        start += len(word) + 1
    return found


def _put_size(into: Request, names: tuple[str, ...], value: str, spot: Spot) -> None:
    match = _SIZE.match(_SIGN.sub("=", value))
    if match is None:
        _refuse(spot, value, f'"{value}" is no size; sizes are as 34 or 34+-0.2.')
    size, both, plus, minus, only_plus, only_minus = match.groups()
    into[names[0]] = _number(size, spot)
    given = {1: both, 2: plus or only_plus, 3: minus or only_minus}
    for index, text in given.items():
        if text is None:
            continue
        if len(names) == 1:
            _refuse(spot, value, f"{names[0]} has no tolerance.")
        into[names[index]] = _number(text, spot)


def _number(text: str, spot: Spot) -> Fraction:
    if not re.fullmatch(_NUMBER, text) or re.search(r"/0+\Z", text):
        _refuse(spot, text, f'"{text}" is no number.')
    if "/" not in text:
        return Fraction(text)
    whole, _, rest = text.rpartition("-")
    return Fraction(rest) + (Fraction(whole) if whole else 0)


def _unknown(name: str, known: tuple[str, ...], spot: Spot) -> NoReturn:
    near = nearest(name, known)
    hint = f" Is {near} meant?" if near else ""
    detail = f'"{name}" is none of {", ".join(known)}.{hint}'
    _refuse(spot, name, detail, remedy=near)


def _refuse(
    spot: Spot, word: str, detail: str, *, remedy: str | None = None
) -> NoReturn:
    text, start, pointer = spot
    underline = " " * start + "^" * max(1, len(word))
    told = f"{detail}\n  {text}\n  {underline}"
    raise BadInput([Problem(pointer, told, code="unreadable", remedy=remedy)])
