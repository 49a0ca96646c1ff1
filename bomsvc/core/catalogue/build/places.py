"""Sections, positions and fitments."""

from __future__ import annotations

from collections.abc import Iterable

from bomsvc.core.catalogue.build.tree import report_circles
from bomsvc.core.catalogue.conditions import ALWAYS, ANY_OWNER
from bomsvc.core.catalogue.entities import Fitment, Position, Section
from bomsvc.core.catalogue.finder import Finder
from bomsvc.core.catalogue.forms.records import Values


def build_sections(sections: Iterable[Values], finder: Finder) -> tuple[Section, ...]:
    """Return the sections; a circle by `under` is reported."""
    records = tuple(sections)
    for values in records:
        _check_section(values, "under", finder)
    above = {v["code"]: v["under"] for v in records if v["under"]}
    report_circles(above, {v["code"]: v for v in records}, "under", finder)
    return tuple(Section(v["code"], v["label"], v["under"]) for v in records)


def _check_section(values: Values, name: str, finder: Finder) -> None:
    code, known = values[name], finder.names.sections
    readable = "sections" not in finder.names.unreadable
    if code and code not in known and readable:
        says = f'there is no section "{code[:60]}"'
        finder.reading.unknown(values.at(name), "unknown_section", code, says, known)


def build_position(values: Values, finder: Finder) -> Position:
    """Return a position."""
    each = finder.each(values)
    _check_section(values, "section", finder)
    return Position(
        code=values["code"],
        label=values["label"],
        section=values["section"],
        each=each,
        exists=finder.condition(values, "exists", each),
        fill=values["fill"],
        note=values["note"],
    )


def build_fitment(values: Values, finder: Finder) -> Fitment:
    """Return a fitment; its condition is seen from the position's series."""
    position = finder.ref(
        values["position"], values.at("position"), finder.names.position
    )
    owner = finder.names.position.each.get(position.code, ANY_OWNER)
    when = finder.condition(values, "when", owner)
    return Fitment(
        position=position,
        part=finder.part(values, "part"),
        qty=values["qty"],
        when=None if when == ALWAYS else when,
        rank=values["rank"],
        note=values["note"],
    )
