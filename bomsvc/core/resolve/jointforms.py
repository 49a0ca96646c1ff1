"""An opened or asked joint as the reply shows it: its groups, screws and passes."""

from __future__ import annotations

from bomsvc.core.catalogue.entities import Pass
from bomsvc.core.fasteners.sheet import JointSheet
from bomsvc.core.logic.standing import Key, StandingGroup
from bomsvc.core.resolve.figures import stack_figures
from bomsvc.core.resolve.items import Item
from bomsvc.core.resolve.layout import Layout
from bomsvc.core.resolve.lines import GroupForm, JointForm, PassForm, State
from bomsvc.core.resolve.openings import candidates_in
from bomsvc.core.resolve.sheets import Names
from bomsvc.core.resolve.stack import Fitted
from bomsvc.core.resolve.studies import JointStudy, Study
from bomsvc.core.resolve.tightening import tightening_of

_DRAWN_MOST = 8
"""Combinations of parts whose sheets are compared, drawn for the purpose."""


def joint_form(layout: Layout, study: JointStudy) -> JointForm | None:
    """The joint over its cases, with the groups that are asked for.

    None where no remaining build disturbs any of them.
    """
    joint = study.joint.joint
    groups = {group.code: group for group in study.joint.groups}
    found = [
        _group_form(layout, study, groups[s.place.group or ""], s)
        for s in study.groups
        if any(study.asked[s.place.group or ""])
    ]
    if not found:
        return None
    settled = all(form.state == "certain" for form in found)
    shown = {form.group for form in found}
    tighten = tightening_of(joint, shown, opened=study.opened)
    sheet = _sheet(layout, study) if settled else None
    return JointForm(
        joint=study.joint.key,
        label=joint.label,
        state="certain" if settled else "open",
        groups=tuple(found),
        passes=tuple(_pass(p) for p in tighten.passes),
        loosen_order=tighten.loosen_order,
        note=tighten.note,
        svg=None if sheet is None else sheet.map_svg,
        cautions=() if sheet is None else sheet.cautions,
        sheet=sheet,
    )


def _sheet(layout: Layout, study: JointStudy) -> JointSheet | None:
    """The sheet, where every case comes to the same one, whatever parts make it."""
    different = list(dict.fromkeys(study.combinations))
    if len(different) > _DRAWN_MOST:
        return None
    asked = frozenset(code for code, rows in study.asked.items() if all(rows))
    names = _names_of_place(layout, study) if len(different) > 1 else ()
    first, *others = (
        layout.sheets.of(
            study.joint, combination, asked, opened=study.opened, names=names
        )
        for combination in different
    )
    return first if all(other == first for other in others) else None


def _names_of_place(layout: Layout, study: JointStudy) -> Names:
    """By which name of its place a part goes that is another one in other cases."""
    positions = layout.compiled.standing.positions
    groups = {group.code: group for group in study.joint.groups}
    sitting: dict[Key, dict[Fitted, None]] = {}
    for situation in (s for each in study.combinations for s in each):
        layers = groups[situation.group].layers
        for layer, fitted in zip(layers, situation.layers, strict=True):
            sitting.setdefault(layer.position, {})[fitted] = None
    return tuple(
        (layout.parts[number].name, positions[key].position.label)
        for key, cases in sitting.items()
        if len(cases) > 1
        for number in dict.fromkeys(part for fitted in cases for part, _ in fitted)
    )


def _group_form(
    layout: Layout, joint: JointStudy, group: StandingGroup, study: Study
) -> GroupForm:
    rows = joint.asked[group.code]
    figures = stack_figures(layout, joint, group.code)
    screws = {(i.part, i.wanted): i for items in study.different for i in items}
    always = study.complete and all(rows)
    same = always and len(screws) <= 1 and _alike(study)
    only = next(iter(screws.values())) if len(screws) == 1 else None
    state: State = "certain" if same else "open"
    return GroupForm(
        group=group.code,
        label=group.group.label,
        state=state,
        holes=tuple(hole.hole for hole in group.group.holes),
        threads=group.group.threads,
        part=only.part if only and same else None,
        wanted=only.wanted if only and same else None,
        screw=figures.tightest() if same else None,
        cases=figures.worded(),
        candidates=()
        if same
        else candidates_in(study.different, complete=study.complete),
    )


def _alike(study: Study) -> bool:
    """Whether every case takes the same screw, or every case none (studs)."""
    return len({tuple(_name(i) for i in items) for items in study.different}) == 1


def _name(item: Item) -> tuple[str | None, str | None]:
    return (item.part, item.wanted)


def _pass(stated: Pass) -> PassForm:
    return PassForm(
        groups=stated.groups,
        order=stated.order,
        torque_nm=stated.torque_nm,
        angle_deg=stated.angle_deg,
        loosen_deg=stated.loosen_deg,
        stretch_mm=stated.stretch_mm,
    )
