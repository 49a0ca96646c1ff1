"""The joint sheet: for a joint on one engine, which screw goes where and how."""

from __future__ import annotations

from collections.abc import Iterator

from bomsvc.core.fasteners.candidates import figure
from bomsvc.core.fasteners.cautions import ON_TORQUES, TEXTS, sealant_text
from bomsvc.core.fasteners.names import find_class, find_screw_standard
from bomsvc.core.fasteners.sheet.rows import letters_of, mix_notes, rows_of
from bomsvc.core.fasteners.sheet.screw_map import map_svg
from bomsvc.core.fasteners.sheet.stack_section import stack_svg
from bomsvc.core.fasteners.sheet.values import (
    JointSheet,
    SheetAsk,
    SheetGroup,
    SheetRow,
    TighteningPass,
)
from bomsvc.core.fasteners.sheet.view import screw_map, stack_view
from bomsvc.core.fasteners.threads import find_thread
from bomsvc.core.fasteners.torque import overstress
from bomsvc.core.fasteners.values import Finding


def joint_sheet(ask: SheetAsk) -> JointSheet:
    """Make the sheet of a joint: table, passes, notes and drawings.

    The drawings are values (for a workbook or a PDF) and SVG text (for a page).
    """
    rows = rows_of(ask)
    drawn = screw_map(ask, rows)
    letters = letters_of(ask.groups)
    stacks = tuple(
        stack_view(letter, group)
        for letter, group in zip(letters, ask.groups, strict=True)
    )
    return JointSheet(
        code=ask.code,
        label=ask.label,
        rows=rows,
        passes=tuple(_passes(ask)),
        loosen_order=ask.loosen_order,
        notes=tuple(_notes(ask, rows)),
        deviations=tuple(_deviations(ask)),
        findings=tuple(dict.fromkeys(_findings(ask))),
        cautions=_cautions(ask),
        screw_map=drawn,
        stacks=stacks,
        map_svg=None if drawn is None else map_svg(drawn, key=f"{ask.code}-map"),
        stack_svgs=tuple(
            stack_svg(view, key=f"{ask.code}-stack-{index}")
            for index, view in enumerate(stacks, start=1)
        ),
    )


def _passes(ask: SheetAsk) -> Iterator[str]:
    letters = {
        group.sized.code: letter.letter
        for letter, group in zip(letters_of(ask.groups), ask.groups, strict=True)
    }
    for index, one in enumerate(ask.passes, start=1):
        named = dict.fromkeys(letters.get(code, code) for code in one.groups)
        who = f"{', '.join(named)}: " if named else ""
        order = ", ".join(str(hole) for hole in one.order)
        turn = f", in the order {order}" if order else ""
        yield f"Pass {index}: {who}{_figure(one)}{turn}"


def _figure(one: TighteningPass) -> str:
    if one.torque_nm is not None:
        return f"{figure(one.torque_nm)} N.m"
    if one.angle_deg is not None:
        return f"turn {figure(one.angle_deg)} degrees further"
    if one.loosen_deg is not None:
        return f"loosen {figure(one.loosen_deg)} degrees"
    if one.stretch_mm is not None:
        return f"to a stretch of {figure(one.stretch_mm)} mm"
    return "by hand"


def _notes(ask: SheetAsk, rows: tuple[SheetRow, ...]) -> Iterator[str]:
    yield from mix_notes(rows, ask)
    if ask.note:
        yield ask.note
    if ask.loosen_order:
        order = ", ".join(str(hole) for hole in ask.loosen_order)
        yield f"Loosen in the order {order}."
    if not ask.passes:
        yield "The catalogue states no tightening: take it from the maker's manual."
    bare = [str(h.number) for g in ask.groups for h in g.holes if h.at is None]
    if bare:
        yield f"Holes without a place on the map: {', '.join(bare)}."


def _deviations(ask: SheetAsk) -> Iterator[str]:
    for group in ask.groups:
        where = group.label or group.sized.code
        yield from (f"{where}: {said}" for said in group.deviations)


def _findings(ask: SheetAsk) -> Iterator[Finding]:
    for group in ask.groups:
        yield from group.sized.findings
        for one in ask.passes:
            if not one.groups or group.sized.code in one.groups:
                yield from _overstressed(group, one)


def _overstressed(group: SheetGroup, one: TighteningPass) -> tuple[Finding, ...]:
    chosen = group.sized.chosen
    if chosen is None or one.torque_nm is None:
        return ()
    standard = find_screw_standard(chosen.standard)
    thread, wanted = find_thread(chosen.thread), find_class(chosen.property_class)
    if standard is None or thread is None or wanted is None:
        return ()
    return overstress(one.torque_nm, standard, thread, wanted)


def _cautions(ask: SheetAsk) -> tuple[str, ...]:
    codes = [code for group in ask.groups for code in group.sized.cautions]
    ordered = [*codes, *ON_TORQUES]
    last = [code for code in ordered if code == "local_practice"]
    listed = dict.fromkeys([code for code in ordered if code not in last] + last)
    return tuple(_caution(ask, code) for code in listed)


def _caution(ask: SheetAsk, code: str) -> str:
    """The sentence of a code; of sealant, which of the holes it is about."""
    wet = [
        hole.number
        for group in ask.groups
        if "sealant_on_thread" in group.sized.cautions
        for hole in group.holes
    ]
    if code == "sealant_on_thread" and wet:
        return sealant_text(ask.label, wet)
    return TEXTS[code]
