"""Reading what a screw by hand is asked for: screw, layers, and what it goes into."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from fractions import Fraction
from typing import NamedTuple, TypeVar

from bomsvc.core.fasteners.bounds import usable_depth
from bomsvc.core.fasteners.candidates import figure
from bomsvc.core.fasteners.engagement import MATERIALS
from bomsvc.core.fasteners.kinds import ScrewStandard
from bomsvc.core.fasteners.names import (
    PropertyClass,
    get_class,
    get_nut_standard,
    get_screw_standard,
    get_washer_standard,
    of_kind,
)
from bomsvc.core.fasteners.threads import Thread, get_thread
from bomsvc.core.fasteners.values import (
    BlindHole,
    Layer,
    Material,
    NutSide,
    TappedThrough,
)
from bomsvc.core.terms.pointers import join
from bomsvc.core.terms.problems import BadInput
from bomsvc.service.sizing_fields import LONGEST_MM, Fields, Problems

T = TypeVar("T")

MOST_LAYERS = 40
MOST_LENGTHS = 200

_MATERIALS: tuple[Material, ...] = tuple(MATERIALS)
_STRENGTH_MPA = Fraction(20), Fraction(3000)


class Asked(NamedTuple):
    """The kind of screw a request names."""

    standard: ScrewStandard
    thread: Thread
    property_class: PropertyClass


def read_units(request: Mapping[str, object], problems: Problems) -> str:
    """Whether lengths are typed in mm or inches; mm where that is wrong or absent."""
    fields = Fields(request, "", problems)
    return fields.choice("units", ("mm", "inch"), required=False) or "mm"


def read_asked(top: Fields) -> tuple[Asked | None, Thread | None]:
    """The kind of screw a request names, and its thread; None where a word is wrong."""
    standard = _named(top, "standard", get_screw_standard)
    thread = _named(top, "thread", get_thread)
    property_class = _named(top, "property_class", get_class)
    if standard is None or thread is None or property_class is None:
        return None, thread
    asked = Asked(standard, thread, property_class)
    return (asked if _is_made(asked, top.problems) else None), thread


def _named(fields: Fields, name: str, get: Callable[[str, str], T]) -> T | None:
    text = fields.text(name)
    if text is None:
        return None
    try:
        return get(text, join(fields.pointer, name))
    except BadInput as bad:
        fields.problems.found.extend(bad.problems)
        return None


def _is_made(asked: Asked, problems: Problems) -> bool:
    standard, wanted = asked.standard, asked.thread
    made = True
    if standard.size(wanted.short) is None:
        problems.add("/thread", _not_made(standard, wanted), code="not_made")
        made = False
    if asked.property_class.code not in standard.classes:
        problems.add(
            "/property_class",
            f"{standard.code} is not made in {asked.property_class.code}; it is made "
            f"in {', '.join(standard.classes)}.",
            code="not_made",
            remedy=standard.classes[0],
        )
        made = False
    return made


def _not_made(standard: ScrewStandard, wanted: Thread) -> str:
    others = [
        other.code
        for other in of_kind(ScrewStandard)
        if other.head == standard.head and other.size(wanted.short) is not None
    ] or [s.code for s in of_kind(ScrewStandard) if s.size(wanted.short) is not None]
    same = ", ".join(standard.sizes())
    hint = f" {wanted.short} is made as {' or '.join(others)}." if others else ""
    return f"{standard.code} is not made in {wanted.short}; it is made in {same}.{hint}"


def read_layers(top: Fields, shank: Thread | None) -> tuple[Layer, ...]:
    """The clamped layers from the head to the thread, those that could be read."""
    raw = top.items("layers", required=True, most=MOST_LAYERS)
    if "layers" in top.raw and not raw and isinstance(top.raw["layers"], list | tuple):
        top.problems.add("/layers", "At least one layer is clamped.", code="required")
    layers = [
        _layer(item, join("/layers", index), top, shank)
        for index, item in enumerate(raw)
    ]
    total = sum((layer.mm + layer.plus for layer in layers if layer), Fraction(0))
    if total > LONGEST_MM:
        top.problems.add(
            "/layers",
            f"The layers come to {figure(total)} mm together; at most "
            f"{figure(LONGEST_MM)} mm.",
            code="out_of_range",
        )
    return tuple(layer for layer in layers if layer is not None)


def _layer(
    item: object, pointer: str, top: Fields, shank: Thread | None
) -> Layer | None:
    if not isinstance(item, Mapping):
        top.problems.add(pointer, "A layer is an object with its thickness.")
        return None
    fields = Fields(item, pointer, top.problems, inch=top.inch)
    layer = _plain(fields) if item.get("washer") is None else _washer(fields, shank)
    fields.refuse_unknown()
    return layer


def _plain(fields: Fields) -> Layer | None:
    number = fields.pointer.rsplit("/", 1)[-1]
    name = fields.text("name", required=False) or f"layer {int(number) + 1}"
    mm = fields.plain_length(fields.suffix, required=True, positive=True)
    plus, minus = fields.tolerances(mm)
    soft = fields.flag("soft")
    free = fields.length("free", positive=True)
    fields.allow(("washer",))
    return None if mm is None else Layer(name, mm, plus, minus, soft, free)


def _washer(fields: Fields, shank: Thread | None) -> Layer | None:
    standard = _named(fields, "washer", get_washer_standard)
    if standard is None or shank is None:
        return None
    figures = standard.thickness(shank.shank)
    if figures is None:
        _not_for(fields, "washer", standard.code, shank)
        return None
    nominal, least, greatest = figures
    name = fields.text("name", required=False) or standard.code
    return Layer(name, nominal, greatest - nominal, nominal - least)


def _not_for(fields: Fields, name: str, code: str, shank: Thread) -> None:
    fields.problems.add(
        join(fields.pointer, name),
        f"{code} is not made for {shank.shank}.",
        code="not_made",
    )


def read_into(
    top: Fields, shank: Thread | None
) -> tuple[BlindHole | TappedThrough | NutSide | None, Fraction | None]:
    """What the thread goes into, and the limit of its projection beyond, mm."""
    raw = top.part("into")
    if raw is None:
        return None, None
    fields = Fields(raw, "/into", top.problems, inch=top.inch)
    form = fields.choice("form", ("blind", "through", "nut"))
    if form is None:
        return None, None
    into: BlindHole | TappedThrough | NutSide | None
    if form == "blind":
        into, protrusion = _blind(fields, shank), None
    else:
        into = _through(fields, shank) if form == "through" else _nut(fields, shank)
        protrusion = fields.length("protrusion")
    fields.refuse_unknown()
    return into, protrusion


def _blind(fields: Fields, shank: Thread | None) -> BlindHole | None:
    threaded = fields.length("threaded", positive=True)
    drilled = fields.length("drilled", positive=True)
    entry = fields.length("entry", default=Fraction(0)) or Fraction(0)
    plus, minus = _entry_tolerances(fields, entry)
    material, strength = _material(fields)
    if not _has_depth(fields, threaded, drilled) or material is None:
        return None
    hole = BlindHole(
        thread=shank.designation if shank else "",
        material=material,
        threaded_mm=threaded,
        drilled_mm=drilled,
        entry_mm=entry,
        entry_plus=plus,
        entry_minus=minus,
        strength_mpa=strength,
    )
    if shank is not None and usable_depth(hole, shank) <= entry + plus:
        _no_thread_left(fields, hole, shank)
    return hole


def _has_depth(
    fields: Fields, threaded: Fraction | None, drilled: Fraction | None
) -> bool:
    name = f"threaded_{fields.suffix}"
    other = f"drilled_{fields.suffix}"
    if threaded is None and drilled is None:
        if fields.raw.get(name) is None and fields.raw.get(other) is None:
            fields.problems.add(
                join(fields.pointer, name),
                f"A blind hole needs {name}, or {other}.",
                code="required",
            )
        return False
    if threaded is not None and drilled is not None and threaded > drilled:
        fields.problems.add(
            join(fields.pointer, name),
            f"{name} is deeper than {other}.",
            code="out_of_range",
        )
        return False
    return True


def _no_thread_left(fields: Fields, hole: BlindHole, shank: Thread) -> None:
    depth = usable_depth(hole, shank)
    how = "" if hole.threaded_mm is not None else " (drilled depth less the run-out)"
    fields.problems.add(
        fields.pointer,
        f"The hole has {figure(depth)} mm of thread{how}, all of it within the entry.",
        code="out_of_range",
    )


def _through(fields: Fields, shank: Thread | None) -> TappedThrough | None:
    thickness = fields.length("thickness", required=True, positive=True)
    names = ("thickness_tol", "thickness_plus", "thickness_minus")
    plus, minus = fields.named_tolerances(names, thickness)
    entry = fields.length("entry", default=Fraction(0)) or Fraction(0)
    entry_plus, entry_minus = _entry_tolerances(fields, entry)
    leaving = fields.length("exit", default=Fraction(0)) or Fraction(0)
    material, strength = _material(fields)
    if thickness is None or material is None:
        return None
    if thickness - minus <= entry + entry_plus + leaving:
        fields.problems.add(
            fields.pointer,
            "Entry and exit leave no thread in this thickness.",
            code="out_of_range",
        )
    return TappedThrough(
        thread=shank.designation if shank else "",
        material=material,
        thickness_mm=thickness,
        thickness_plus=plus,
        thickness_minus=minus,
        entry_mm=entry,
        entry_plus=entry_plus,
        entry_minus=entry_minus,
        exit_mm=leaving,
        strength_mpa=strength,
    )


def _nut(fields: Fields, shank: Thread | None) -> NutSide | None:
    if fields.raw.get("standard") is not None:
        return _standard_nut(fields, shank)
    height = fields.length("height", required=True, positive=True)
    plus, minus = fields.tolerances(height)
    fields.allow(("standard",))
    return None if height is None else NutSide(height, plus, minus)


def _standard_nut(fields: Fields, shank: Thread | None) -> NutSide | None:
    standard = _named(fields, "standard", get_nut_standard)
    if standard is None or shank is None:
        return None
    heights = standard.height(shank.shank)
    if heights is None:
        _not_for(fields, "standard", standard.code, shank)
        return None
    return NutSide(heights[1], Fraction(0), heights[1] - heights[0])


def _entry_tolerances(fields: Fields, entry: Fraction) -> tuple[Fraction, Fraction]:
    names = ("entry_tol", "entry_plus", "entry_minus")
    return fields.named_tolerances(names, entry)


def _material(fields: Fields) -> tuple[Material | None, Fraction | None]:
    material = fields.choice("material", _MATERIALS)
    return material, fields.ratio("strength_mpa", *_STRENGTH_MPA, default=None)


def read_hole_material(top: Fields) -> tuple[Material | None, Fraction | None]:
    """Material and strength of a hole that a torque is asked for, if any."""
    if top.raw.get("hole") is None:
        top.allow(("hole",))
        return None, None
    raw = top.part("hole")
    if raw is None:
        return None, None
    fields = Fields(raw, "/hole", top.problems, inch=top.inch)
    material, strength = _material(fields)
    fields.refuse_unknown()
    return material, strength


def read_lengths(top: Fields) -> tuple[Fraction, ...]:
    """The lengths at hand, mm, ascending, each once; empty: the standard's own."""
    field = f"lengths_{top.suffix}"
    if top.raw.get(field) in ([], ()):
        # Whoever says that no length is at hand is not offered the standard's own.
        detail = f"{field} names no length; name those at hand, or leave it out."
        top.problems.add(join("", field), detail, code="required")
    found = []
    for index, item in enumerate(top.items(field, required=False, most=MOST_LENGTHS)):
        one = Fields({str(index): item}, join("", field), top.problems, inch=top.inch)
        found.append(one.plain_length(str(index), required=True, positive=True))
    return tuple(sorted({length for length in found if length is not None}))
