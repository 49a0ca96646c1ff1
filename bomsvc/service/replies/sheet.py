"""A joint sheet as a plain tree for JSON; the drawings travel as SVG text."""

from __future__ import annotations

from fractions import Fraction

from bomsvc.core.fasteners.sheet.values import JointSheet, ScrewMap, SheetRow
from bomsvc.service.replies.size import number, torque_form

Json = dict[str, object]


def sheet_form(sheet: JointSheet) -> Json:
    """The sheet: table, passes, notes, findings, cautions, map and stacks."""
    return {
        "joint": sheet.code,
        "label": sheet.label,
        "rows": [_row(row) for row in sheet.rows],
        "passes": list(sheet.passes),
        "loosen_order": list(sheet.loosen_order),
        "notes": list(sheet.notes),
        "deviations": list(sheet.deviations),
        "findings": [
            {"code": f.code, "severity": f.severity, "detail": f.detail}
            for f in sheet.findings
        ],
        "cautions": list(sheet.cautions),
        "map": None if sheet.screw_map is None else _map(sheet.screw_map),
        "svg": sheet.map_svg,
        "stacks": [
            {"title": view.title, "letter": view.letter.letter, "svg": svg}
            for view, svg in zip(sheet.stacks, sheet.stack_svgs, strict=True)
        ],
    }


def _row(row: SheetRow) -> Json:
    least = row.least_margin_mm
    return {
        "letter": row.letter.letter,
        "shape": row.letter.shape,
        "groups": list(row.groups),
        "labels": list(row.labels),
        "designation": row.designation,
        "size": row.size,
        "property_class": row.property_class,
        "holes": list(row.holes),
        "hole_count": row.hole_count,
        "part": row.part,
        "part_name": row.part_name,
        "least_margin_mm": None if least is None else number(least),
        "margins": dict(row.margins),
        "threads": row.condition,
        "reuse": row.reuse,
        "estimate": None if row.estimate is None else torque_form(row.estimate),
        "trouble": list(row.trouble),
    }


def _map(drawn: ScrewMap) -> Json:
    return {
        "outline": [_point(point) for point in drawn.outline],
        "bores": [{"at": _point(b.at), "d_mm": number(b.d_mm)} for b in drawn.bores],
        "marks": [
            {
                "hole": mark.hole,
                "at": _point(mark.at),
                "letter": mark.letter.letter,
                "shape": mark.letter.shape,
                "turn": mark.turn,
            }
            for mark in drawn.marks
        ],
        "unplaced": list(drawn.unplaced),
    }


def _point(point: tuple[Fraction, Fraction]) -> list[int | float]:
    return [number(point[0]), number(point[1])]
