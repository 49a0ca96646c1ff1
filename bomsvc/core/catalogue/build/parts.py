"""Parts: their engineering data."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Literal

from bomsvc.core.catalogue.build.tolerances import tolerance
from bomsvc.core.catalogue.entities import (
    Content,
    Hole,
    NutData,
    Pad,
    Part,
    ReuseLimit,
    ScrewData,
    SoldAs,
    StudData,
)
from bomsvc.core.catalogue.finder import Finder
from bomsvc.core.catalogue.forms.records import Values


def build_parts(listed: Sequence[Values], finder: Finder) -> tuple[Part, ...]:
    """Return all parts, each ordered as itself or as a part that is."""
    parts = tuple(build_part(values, finder) for values in listed)
    sold = {
        part.number: part.sold_as.number
        for part in parts
        if part.sold_as is not None and part.sold_as.number != part.number
    }
    ends: dict[str, str | None] = {}
    for values, part in zip(listed, parts, strict=True):
        set_number = sold.get(part.number)
        if set_number in sold:
            end = _ordered_in_the_end(part.number, sold, ends)
            _refuse_chain(values["sold_as"], set_number, end, finder)
    return parts


def build_part(values: Values, finder: Finder) -> Part:
    """Return a part; its positions are seen from wherever it sits."""
    _check_contradictions(values, finder)
    position = finder.names.position
    return Part(
        number=values["number"],
        name=values["name"],
        kind=values["kind"],
        unit=values["unit"],
        mass_kg=values["mass_kg"],
        reuse=_reuse(values["reuse"], finder),
        sold_as=_sold_as(values, finder),
        not_sold=values["not_sold"],
        includes=finder.refs(values, "includes", position, None),
        renew_with=finder.refs(values, "renew_with", position, None),
        keep_matched=values["keep_matched"],
        hand=values["hand"],
        cautions=values["cautions"],
        pads={code: _pad(pad, finder) for code, pad in values["pads"].items()},
        holes={code: _hole(hole, finder) for code, hole in values["holes"].items()},
        screw=_screw(values["screw"]),
        nut=_nut(values["nut"], finder),
        stud=_stud(values["stud"], finder),
    )


def _check_contradictions(values: Values, finder: Finder) -> None:
    made = [name for name in ("screw", "nut", "stud") if values[name] is not None]
    if len(made) > 1:
        says = f"a part is one of screw, nut and stud, not {' and '.join(made)}"
        finder.reading.report(values.at(made[1]), "contradiction", says)
    if values["sold_as"] is not None and values["not_sold"] is not None:
        says = "sold_as says how to get this part, not_sold that it is not to be had"
        finder.reading.report(values.at("not_sold"), "contradiction", says)


def _reuse(
    reuse: Literal["freely", "single"] | Values, finder: Finder
) -> Literal["freely", "single"] | ReuseLimit:
    if not isinstance(reuse, Values):
        return reuse
    limit = ReuseLimit(reuse["max_length_mm"], reuse["max_uses"], reuse["inspect"])
    if limit == ReuseLimit() and reuse.sound:
        says = (
            "a limit of reuse is due: max_length_mm, max_uses or inspect; "
            "without a limit write freely"
        )
        finder.reading.report(reuse.place, "missing_field", says)
    return limit


def _sold_as(values: Values, finder: Finder) -> SoldAs | None:
    sold: Values | None = values["sold_as"]
    if sold is None:
        return None
    number = finder.part(sold, "number")
    if number and number == values["number"]:
        says = "a part cannot be sold as itself; name the set that is ordered"
        finder.reading.report(sold.at("number"), "contradiction", says)
    return SoldAs(number, _contents(sold, values["number"], finder))


def _contents(sold: Values, number: str, finder: Finder) -> tuple[Content, ...]:
    before = finder.reading.count
    contents = tuple(
        Content(finder.part(content, "part"), content["qty"])
        for content in sold["contents"]
    )
    # A content that nobody could find may well be this part, misspelled.
    readable = sold.sound and number and finder.reading.count == before
    if readable and all(content.part != number for content in contents):
        says = (
            f'the contents do not have "{number}" itself; say how many of it '
            "the set holds"
        )
        finder.reading.report(sold.at("contents"), "contradiction", says, remedy=number)
    return contents


def _ordered_in_the_end(
    number: str, sold: Mapping[str, str], ends: dict[str, str | None]
) -> str | None:
    """Return what a part is ordered as, chain by chain; None where they go round.

    Args:
        number: The part.
        sold: Part number -> the number it is sold as.
        ends: What is known of such chains already; filled in.
    """
    passed: dict[str, None] = {}
    while number in sold and number not in ends and number not in passed:
        passed[number] = None
        number = sold[number]
    end = None if number in passed else ends.get(number, number)
    ends.update(dict.fromkeys(passed, end))
    return end


def _refuse_chain(
    sold: Values, set_number: str, end: str | None, finder: Finder
) -> None:
    if end is None:
        says = (
            f'"{set_number}" is itself sold as another part, in a circle; '
            "what is ordered has no sold_as"
        )
    else:
        says = (
            f'"{set_number}" is itself sold as another part; name what is ordered '
            f'in the end, "{end}", with its contents'
        )
    finder.reading.report(sold.at("number"), "contradiction", says, remedy=end)


def _pad(values: Values, finder: Finder) -> Pad:
    plus, minus = tolerance(values, "mm", finder)
    return Pad(
        mm=values["mm"],
        plus=plus,
        minus=minus,
        soft=values["soft"],
        free_mm=values["free_mm"],
    )


def _hole(values: Values, finder: Finder) -> Hole:
    _check_depth(values, finder)
    entry = tolerance(values, "entry_mm", finder, "entry_")
    thickness = tolerance(values, "thickness_mm", finder, "thickness_")
    return Hole(
        thread=values["thread"],
        form=values["form"],
        material=values["material"],
        threaded_mm=values["threaded_mm"],
        drilled_mm=values["drilled_mm"],
        entry_mm=values["entry_mm"],
        entry_plus=entry[0],
        entry_minus=entry[1],
        thickness_mm=values["thickness_mm"],
        thickness_plus=thickness[0],
        thickness_minus=thickness[1],
        exit_mm=values["exit_mm"],
        strength_mpa=values["strength_mpa"],
        breaks_into=values["breaks_into"],
    )


def _check_depth(values: Values, finder: Finder) -> None:
    if not values.sound:
        return
    threaded, drilled = values["threaded_mm"], values["drilled_mm"]
    if values["form"] == "through" and values["thickness_mm"] is None:
        says = "a through hole needs thickness_mm, the thickness of the part there"
        finder.reading.report(values.place, "missing_field", says)
    if values["form"] == "blind" and threaded is None and drilled is None:
        says = "a blind hole needs threaded_mm or drilled_mm"
        finder.reading.report(values.place, "missing_field", says)
    if threaded is not None and drilled is not None and threaded > drilled:
        says = f"threaded_mm {threaded} is deeper than drilled_mm {drilled}"
        finder.reading.report(values.at("threaded_mm"), "contradiction", says)


def _screw(values: Values | None) -> ScrewData | None:
    if values is None:
        return None
    return ScrewData(
        standard=values["standard"],
        thread=values["thread"],
        length_mm=values["length_mm"],
        property_class=values["property_class"],
        finish=values["finish"],
        fully_threaded=values["fully_threaded"],
        thread_mm=values["thread_mm"],
        preferred=values["preferred"],
    )


def _nut(values: Values | None, finder: Finder) -> NutData | None:
    if values is None:
        return None
    plus, minus = tolerance(values, "height_mm", finder)
    return NutData(
        values["standard"], values["thread"], values["height_mm"], plus, minus
    )


def _stud(values: Values | None, finder: Finder) -> StudData | None:
    if values is None:
        return None
    length = tolerance(values, "length_mm", finder)
    set_end = tolerance(values, "set_mm", finder, "set_")
    return StudData(
        hole_thread=values["hole_thread"],
        nut_thread=values["nut_thread"],
        property_class=values["property_class"],
        length_mm=values["length_mm"],
        plus=length[0],
        minus=length[1],
        set_mm=values["set_mm"],
        set_plus=set_end[0],
        set_minus=set_end[1],
    )
