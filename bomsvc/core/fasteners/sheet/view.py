"""The drawings of a joint sheet as values in millimetres, before any picture."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction
from typing import Literal

from bomsvc.core.fasteners.bounds import runout_mm, usable_depth
from bomsvc.core.fasteners.candidates import figure, first_full_thread
from bomsvc.core.fasteners.names import find_screw_standard
from bomsvc.core.fasteners.sheet.rows import hole_of, letters_of
from bomsvc.core.fasteners.sheet.values import (
    Fastener,
    Letter,
    Mark,
    Measure,
    ScrewMap,
    SheetAsk,
    SheetGroup,
    SheetRow,
    Slice,
    StackView,
    TappedHole,
)
from bomsvc.core.fasteners.threads import Thread, get_thread
from bomsvc.core.fasteners.values import (
    ZERO,
    BlindHole,
    Chosen,
    NutSide,
    Screw,
    Stud,
    StudInto,
    TappedThrough,
)

# Proportions of a plain head and nut, in diameters, where no table has the head:
# for the picture only, from memory.
HEAD_HEIGHT = Fraction("0.65")
ACROSS = Fraction("1.6")
BASE_BELOW = Fraction("0.6")
"""Metal drawn below a blind hole, in diameters of the screw."""


def screw_map(ask: SheetAsk, rows: tuple[SheetRow, ...]) -> ScrewMap | None:
    """The joint from the head side; None where no hole has a place."""
    order = next((p.order for p in ask.passes if p.order), ())
    turns = {hole: turn for turn, hole in enumerate(order, start=1)}
    marks, unplaced = [], []
    for letter, group in zip(letters_of(ask.groups), ask.groups, strict=True):
        for hole in group.holes:
            if hole.at is None:
                unplaced.append(hole.number)
            else:
                turn = turns.get(hole.number)
                marks.append(Mark(hole.number, hole.at, letter, turn))
    if not marks:
        return None
    return ScrewMap(
        title=f"{ask.label}: screw map",
        outline=ask.outline,
        bores=ask.bores,
        marks=tuple(sorted(marks, key=lambda mark: mark.hole)),
        order=tuple(order),
        legend=tuple((row.letter, _legend(row)) for row in rows),
        unplaced=tuple(sorted(unplaced)),
    )


def stack_view(letter: Letter, group: SheetGroup) -> StackView:
    """One group's stack from the side, nominal, to scale."""
    chosen = group.sized.chosen
    thread = _thread_of(group)
    clamp = group.sized.clamp_mm[0]
    fastener = _fastener(group, chosen, thread) if chosen else None
    hole = _hole(group, clamp)
    return StackView(
        title=f"{group.label or group.sized.code}: stack",
        letter=letter,
        slices=tuple(_slices(group, thread, fastener, hole)),
        fastener=fastener,
        hole=hole,
        measures=tuple(sorted(_measures(group, fastener, hole))),
        caption=chosen.designation if chosen else "no screw fits",
    )


def _thread_of(group: SheetGroup) -> Thread:
    said = group.sized.chosen or group.stack.wanted
    assert said is not None, "a group has a screw or wants one"
    return get_thread(said.thread)


def _legend(row: SheetRow) -> str:
    part = f" ({row.part})" if row.part else ""
    return f"{row.hole_count} x {row.designation}{part}"


def _slices(
    group: SheetGroup,
    thread: Thread,
    fastener: Fastener | None,
    hole: TappedHole | None,
) -> Iterator[Slice]:
    top = ZERO
    for layer in group.stack.layers:
        kind: Literal["hard", "soft"] = "soft" if layer.soft else "hard"
        note = f"{layer.name} {figure(layer.mm)} mm"
        yield Slice(layer.name, top, top + layer.mm, kind, note)
        top += layer.mm
    into = group.stack.into
    if isinstance(into, NutSide):
        note = f"nut {figure(into.height_mm)} mm"
        yield Slice("nut", top, top + into.height_mm, "nut", note)
    else:
        assert hole is not None, "what is not a nut is a tapped hole"
        deepest = hole.drill_end
        if fastener is not None and not hole.through:
            deepest = max(deepest, fastener.tip)
        below = ZERO if hole.through else BASE_BELOW * thread.d_mm
        yield Slice("base", top, deepest + below, "base", _base_note(group))


def _base_note(group: SheetGroup) -> str:
    hole = hole_of(group)
    assert hole is not None, "a base has a tapped hole"
    return hole.material.replace("_", " ")


def _hole(group: SheetGroup, clamp: Fraction) -> TappedHole | None:
    hole = hole_of(group)
    if hole is None:
        return None
    hole_thread = get_thread(hole.thread)
    if isinstance(hole, TappedThrough):
        end = clamp + hole.thickness_mm
        return TappedHole(
            minor=hole_thread.internal_minor_mm,
            top=clamp,
            entry=hole.entry_mm,
            thread_end=end - hole.exit_mm,
            drill_end=end,
            through=True,
        )
    depth = usable_depth(hole, hole_thread)
    return TappedHole(
        minor=hole_thread.internal_minor_mm,
        top=clamp,
        entry=hole.entry_mm,
        thread_end=clamp + depth,
        drill_end=clamp + _drilled(hole, hole_thread, depth),
        through=False,
    )


def _drilled(hole: BlindHole, thread: Thread, depth: Fraction) -> Fraction:
    if hole.drilled_mm is not None:
        return hole.drilled_mm
    return depth + runout_mm(thread.pitch_mm)


def _fastener(group: SheetGroup, chosen: Chosen, thread: Thread) -> Fastener:
    into = group.stack.into
    if isinstance(into, StudInto):
        return _stud(into, group.sized.clamp_mm[0], thread)
    standard = find_screw_standard(chosen.standard)
    assert standard is not None, "a chosen screw has a known standard"
    size = standard.size(thread.short)
    height = size.height_mm if size else HEAD_HEIGHT * thread.d_mm
    across = size.across_mm if size else ACROSS * thread.d_mm
    wide = size.head_mm if size and size.head_mm else across
    stated = group.stack.stated[0] if chosen.origin == "stated" else None
    screw = stated or _as_screw(chosen)
    return Fastener(
        d=thread.d_mm,
        root=thread.root_mm,
        pitch=thread.pitch_mm,
        head=standard.head,
        head_height=height,
        head_width=wide if standard.head == "socket" else across,
        washer_face=wide,
        top=ZERO,
        tip=chosen.length_mm,
        thread_from=first_full_thread(screw, standard, thread),
    )


def _as_screw(chosen: Chosen) -> Screw:
    return Screw(
        chosen.part,
        chosen.standard,
        chosen.thread,
        chosen.length_mm,
        chosen.property_class,
        fully_threaded=chosen.fully_threaded or None,
    )


def _stud(into: StudInto, clamp: Fraction, thread: Thread) -> Fastener:
    stud: Stud = into.stud
    nut_thread = get_thread(stud.nut_thread)
    top = clamp + stud.set_mm - stud.length_mm
    return Fastener(
        d=thread.d_mm,
        root=thread.root_mm,
        pitch=thread.pitch_mm,
        head="nut",
        head_height=into.nut.height_mm,
        head_width=ACROSS * thread.d_mm,
        washer_face=ACROSS * thread.d_mm,
        top=top,
        tip=clamp + stud.set_mm,
        thread_from=clamp,
        stud_thread_to=min(clamp, 2 * nut_thread.pitch_mm),
    )


def _measures(
    group: SheetGroup, fastener: Fastener | None, hole: TappedHole | None
) -> Iterator[Measure]:
    nominal, least, greatest = group.sized.clamp_mm
    spread = f"{figure(least)} to {figure(greatest)}"
    spreads = () if least == greatest else (spread,)
    yield Measure(ZERO, nominal, (f"clamp {figure(nominal)} mm", *spreads))
    if fastener is None:
        return
    if hole is not None:
        yield from _in_hole(group, fastener, hole)
    yield from _tip(group, fastener)


def _in_hole(
    group: SheetGroup, fastener: Fastener, hole: TappedHole
) -> Iterator[Measure]:
    engaged, need = group.sized.engagement_mm, group.sized.need
    if engaged is not None and need is not None:
        start = hole.top + hole.entry
        end = min(fastener.tip - 2 * fastener.pitch, hole.thread_end)
        told = f"{figure(engaged[0])} engaged", f"{figure(need.mm)} needed"
        yield Measure(start, max(start, end), told)
    if not hole.through:
        gap = hole.thread_end - fastener.tip
        low, high = sorted((fastener.tip, hole.thread_end))
        word = "to last thread" if gap >= 0 else "past last thread"
        yield Measure(low, high, (f"{figure(abs(gap))} mm", word))


def _tip(group: SheetGroup, fastener: Fastener) -> Iterator[Measure]:
    tip, into = group.sized.tip_mm, group.stack.into
    if tip is None:
        return
    told = tip_told(*tip)
    if isinstance(into, StudInto):
        low, high = sorted((fastener.top, -into.nut.height_mm))
    else:
        low, high = sorted((group.sized.clamp_mm[0] + _beyond(group), fastener.tip))
    yield Measure(low, high, told)


def tip_told(least: Fraction, most: Fraction) -> tuple[str, str]:
    """Say how far the tip comes out, or how far it stays inside."""
    if most <= 0:
        return f"tip {figure(-most)}", f"to {figure(-least)} inside"
    if least < 0:
        return f"tip {figure(-least)} inside", f"to {figure(most)} beyond"
    return f"tip {figure(least)}", f"to {figure(most)} beyond"


def _beyond(group: SheetGroup) -> Fraction:
    into = group.stack.into
    if isinstance(into, NutSide):
        return into.height_mm
    assert isinstance(into, TappedThrough), "a tip shows beyond a nut or a part"
    return into.thickness_mm
