"""Parts and sections as somebody reads them: no doubles, nothing left over."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterator
from dataclasses import replace

from bomsvc.core.catalogue.entities import Part, ScrewData
from tests.unit.seed.sense.engine import Case, Engine

Kind = tuple[str, str, str, str | None]

BROWSED_MOST = 40
"""Positions that a person still finds their way in: common practice, no source."""


def parts_that_are_alike(engine: Engine) -> list[str]:
    """Two numbers for one thing, name and all."""
    first: dict[str, str] = {}
    complaints = []
    for part in engine.catalogue.parts:
        number = first.setdefault(_data(part), part.number)
        if number != part.number:
            complaints.append(f"{part.number} {part.name}: the same as {number}")
    return complaints


def _data(part: Part) -> str:
    return repr(replace(part, number=""))


def names_of_several_parts(engine: Engine) -> list[str]:
    """A clerk tells parts apart by their names."""
    names = Counter(part.name.casefold() for part in engine.catalogue.parts)
    return [
        f"{part.number} {part.name}: {names[part.name.casefold()]} parts have the name"
        for part in engine.catalogue.parts
        if names[part.name.casefold()] > 1
    ]


SIZE = re.compile(r"\bM(\d+)(?:x(\d+\.\d+))?(?:x(\d+))?\b")
"""M16x140, M18x1.5, M10: a pitch has a decimal point, a length has none."""


def names_that_tell_another_size(engine: Engine) -> list[str]:
    """What a fastener's name says of its size is what its data say."""
    complaints = []
    for part in engine.catalogue.parts:
        data = part.screw or part.nut or part.stud
        said = SIZE.search(part.name)
        if data is None:
            continue
        thread = str(getattr(data, "thread", "") or getattr(data, "nut_thread", ""))
        length = getattr(data, "length_mm", None)
        if said is None:
            complaints.append(f"{part.number} {part.name}: tells no size")
        elif f"M{said[1]}" != thread.split("x")[0] or (
            length is not None and said[3] != str(length)
        ):
            complaints.append(f"{part.number} {part.name}: is {thread}, {length} mm")
    return complaints


def screws_with_two_numbers(engine: Engine) -> list[str]:
    """One size, class, finish and reuse has one number."""
    first: dict[str, str] = {}
    complaints = []
    for part in engine.catalogue.parts:
        if part.screw is None:
            continue
        number = first.setdefault(repr((part.screw, part.reuse)), part.number)
        if number != part.number:
            complaints.append(f"{part.number} {part.name}: the same size as {number}")
    return complaints


def parts_that_nothing_uses(engine: Engine) -> list[str]:
    used = set(_used(engine))
    return [
        f"{part.number} {part.name}: nothing uses it"
        for part in engine.catalogue.parts
        if part.number not in used
    ]


def _used(engine: Engine) -> Iterator[str]:
    for fitment in engine.catalogue.fitments:
        yield fitment.part
    for part in engine.catalogue.parts:
        if part.sold_as is not None:
            yield part.sold_as.number
            yield from (content.part for content in part.sold_as.contents)
    for step in engine.catalogue.steps:
        yield from (use.part for use in step.uses)
    for case in engine.cases:
        yield from (stated.part for stated in case.group.stated)
    asked = {kind for case in engine.cases for kind in _asked_for(case)}
    for part in engine.catalogue.parts:
        if part.screw is not None and asked & set(_kinds(part.screw)):
            yield part.number


def _asked_for(case: Case) -> Iterator[Kind]:
    """The kinds of screw that the group takes, of whatever length."""
    wanted = case.group.screw
    for standard in wanted.standard if wanted else ():
        assert wanted is not None
        yield (standard, wanted.thread, wanted.property_class, wanted.finish)


def _kinds(screw: ScrewData) -> Iterator[Kind]:
    """The kinds that a screw on the shelf serves: of its finish, or of any."""
    for finish in {screw.finish, None}:
        yield (screw.standard, screw.thread, screw.property_class, finish)


def sections_of_no_use(engine: Engine) -> list[str]:
    """A section holds something, and no more than a person can browse."""
    holds = Counter(position.section for position in engine.catalogue.positions)
    above = {section.under for section in engine.catalogue.sections}
    complaints = []
    for section in engine.catalogue.sections:
        if not holds[section.code] and section.code not in above:
            complaints.append(f"{section.code}: nothing is in it")
        if holds[section.code] > BROWSED_MOST:
            complaints.append(f"{section.code}: {holds[section.code]} positions")
    return complaints


def labels_of_several(engine: Engine) -> list[str]:
    """Positions, jobs and sections are picked by their labels."""
    complaints = []
    for kind in ("positions", "jobs", "sections", "joints", "options"):
        labels = Counter(one.label for one in getattr(engine.catalogue, kind))
        complaints += [f"{kind}: {n} are “{k}”" for k, n in labels.items() if n > 1]
    return complaints
