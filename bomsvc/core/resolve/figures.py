"""The figures of a screw over its stacks: one form, or one per condition."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from bomsvc.core.catalogue.conditions import Condition, MemberIs, print_condition
from bomsvc.core.fasteners.values import SizedGroup
from bomsvc.core.logic.standing import Key, Lit
from bomsvc.core.resolve.items import Item, ItemKey
from bomsvc.core.resolve.layout import Layout
from bomsvc.core.resolve.lines import FigureCase
from bomsvc.core.resolve.studies import JointStudy, Study
from bomsvc.core.resolve.view import Vector
from bomsvc.core.resolve.worded import (
    all_hold,
    any_holds,
    condition_for,
    joint_conditions,
)


@dataclass(frozen=True, slots=True)
class Figures:
    """Sized forms with the conditions under which they stand, in case order."""

    cases: tuple[tuple[Condition | None, SizedGroup], ...]

    def tightest(self) -> SizedGroup | None:
        """The form with the least margin; the first of equals."""
        if len(self.cases) == 1:
            return self.cases[0][1]
        return min((form for _, form in self.cases), key=_room, default=None)

    def alike(self, other: Figures) -> bool:
        """Whether both have the same forms under the same conditions."""
        return len(self.cases) == len(other.cases) and all(
            _same(ours[1], theirs[1]) and ours[0] == theirs[0]
            for ours, theirs in zip(self.cases, other.cases, strict=True)
        )

    def worded(self) -> tuple[FigureCase, ...]:
        """The cases with their conditions in canonical text; one needs no telling."""
        if len(self.cases) < 2:  # noqa: PLR2004 - two stacks are several
            return ()
        return tuple(
            FigureCase("always" if when is None else print_condition(when), form)
            for when, form in self.cases
        )


def different(forms: Iterable[SizedGroup]) -> list[SizedGroup]:
    """The forms, each once, in order.

    Equal forms are mostly one object (`SizedJoints`), so few are left to compare.
    """
    objects = list({id(form): form for form in forms}.values())
    return objects if len(objects) == 1 else list(dict.fromkeys(objects))


def _same(one: SizedGroup, other: SizedGroup) -> bool:
    return one is other or one == other


def _room(form: SizedGroup) -> tuple[int, object]:
    # A form without margins failed or is a stud: it is the one to look at.
    return (0, 0) if form.margins is None else (1, form.margins.least())


def figures_of(layout: Layout, study: Study, key: ItemKey) -> Figures:
    """The figures of one screw of a group, over the cases that take it."""
    rows = [
        (vector, item.figures)
        for vector, items in zip(study.vectors, study.items, strict=True)
        for item in items
        if item.key == key and item.figures is not None
    ]
    return _figures(layout, study, rows)


def stack_figures(layout: Layout, study: JointStudy, group: str) -> Figures:
    """The figures of a group, stud or screw, over the cases that ask for it."""
    cases = zip(study.vectors, study.sized, study.asked[group], strict=True)
    rows = [
        (vector, form)
        for vector, sized, asked in cases
        if asked and isinstance(form := sized[group], SizedGroup)
    ]
    return _figures(layout, study, rows)


def _figures(
    layout: Layout,
    study: Study | JointStudy,
    rows: Sequence[tuple[Vector, SizedGroup]],
) -> Figures:
    forms = different(form for _, form in rows)
    if len(forms) <= 1:
        return Figures(tuple((None, form) for form in forms))
    key = study.joint.key if isinstance(study, JointStudy) else study.place.key
    lits, vectors, texts = readable(layout, key, study.lits, [v for v, _ in rows])
    return Figures(
        tuple(
            (
                condition_for(lits, vectors, [_same(f, form) for _, f in rows], texts),
                form,
            )
            for form in forms
        )
    )


def readable(
    layout: Layout, joint: Key, lits: Sequence[Lit], vectors: Sequence[Vector]
) -> tuple[list[Lit], list[Vector], dict[Lit, Condition]]:
    """The columns whose condition the joint itself states."""
    standing = layout.compiled.standing
    texts = layout.conditions.get(
        joint,
        lambda: joint_conditions(
            standing.joints[joint], standing.positions, layout.sets
        ),
    )
    columns = [
        column for column, lit in enumerate(lits) if lit in texts or Lit(-lit) in texts
    ]
    cut = [tuple(vector[c] for c in columns) for vector in vectors]
    return [lits[c] for c in columns], cut, texts


def figures_of_members(
    layout: Layout, contributions: Sequence[tuple[Study, ItemKey]]
) -> Figures:
    """The figures of a screw that several members of a series take."""
    each = [(study, figures_of(layout, study, key)) for study, key in contributions]
    first = each[0][1]
    if all(figures.alike(first) for _, figures in each):
        return first
    found: dict[SizedGroup, list[Condition]] = {}
    for study, figures in each:
        standing = layout.compiled.standing.joints[study.place.key]
        assert standing.joint.each is not None
        assert standing.member is not None
        member = MemberIs(standing.joint.each, "=", standing.member)
        for when, form in figures.cases:
            both = member if when is None else all_hold((member, when))
            found.setdefault(form, []).append(both)
    return Figures(tuple((any_holds(whens), form) for form, whens in found.items()))


def candidate_figures(items: Sequence[Item]) -> SizedGroup | None:
    """The tightest figures among the items of one candidate."""
    forms = different(i.figures for i in items if i.figures is not None)
    if len(forms) == 1:
        return forms[0]
    return min(forms, key=_room, default=None)
