"""Joints: groups of holes, what they clamp, and how they are tightened."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from bomsvc.core.catalogue.entities import (
    Circle,
    Drawing,
    Group,
    HolePlace,
    Into,
    Joint,
    Layer,
    Pass,
    Ref,
    ScrewWanted,
    Stated,
    StudUse,
    Tighten,
)
from bomsvc.core.catalogue.finder import Finder
from bomsvc.core.catalogue.forms.records import Values
from bomsvc.core.catalogue.names import check_unique

FIGURES = ("torque_nm", "angle_deg", "loosen_deg", "stretch_mm")


def build_joint(values: Values, finder: Finder) -> Joint:
    """Return a joint; its groups have taken over its defaults."""
    each = finder.each(values)
    check_unique(values["groups"], "code", finder.reading)
    holes = _holes(values["groups"], finder)
    builder = _Groups(values, each, finder)
    return Joint(
        code=values["code"],
        label=values["label"],
        each=each,
        exists=finder.condition(values, "exists", each),
        seals=finder.refs(values, "seals", finder.names.position, each),
        groups=builder.built(),
        tighten=_tighten(values["tighten"], holes, finder),
        drawing=_drawing(values["drawing"]),
    )


@dataclass(slots=True)
class _Holes:
    """The holes of a joint by number, each with its group, and the groups' codes.

    `sound`: every hole could be read, so that the orders can be judged.
    """

    groups: tuple[str, ...]
    owners: dict[int, str]
    sound: bool


def _holes(groups: Sequence[Values], finder: Finder) -> _Holes:
    """Collect the holes; a number twice in the joint is reported."""
    found = _Holes(tuple(group["code"] for group in groups), {}, sound=True)
    for group in groups:
        found.sound &= group.sound
        for hole in group["holes"]:
            number = hole["hole"]
            if number in found.owners and hole.sound:
                says = f"hole {number} is already in group {found.owners[number]}"
                finder.reading.report(hole.at("hole"), "duplicate_hole", says)
                found.sound = False
            found.owners.setdefault(number, group["code"])
    return found


@dataclass(slots=True)
class _Groups:
    """Builds the groups of one joint."""

    joint: Values
    each: str | None
    finder: Finder

    def built(self) -> tuple[Group, ...]:
        screw = self._screw(self.joint)
        into = self._into(self.joint)
        groups = tuple(
            self._group(group, screw, into) for group in self.joint["groups"]
        )
        for group in self.joint["groups"]:
            self._drop_defaults(group)
        return groups

    def _group(
        self, values: Values, screw: ScrewWanted | None, into: Into | None
    ) -> Group:
        own_screw, own_into = self._screw(values), self._into(values)
        wanted = screw if own_screw is None else own_screw
        thread_goes = into if own_into is None else own_into
        stud = self._stud(values)
        self._check_complete(values, thread_goes, wanted, stud)
        return Group(
            code=values["code"],
            label=values["label"],
            exists=self.finder.condition(values, "exists", self.each),
            holes=tuple(self._hole(hole) for hole in values["holes"]),
            layers=tuple(self._layer(layer) for layer in values["layers"]),
            into=thread_goes or Into(),
            stud=stud,
            screw=wanted,
            stated=tuple(self._stated(stated) for stated in values["stated"]),
            engagement_mm=values["engagement_mm"],
            protrusion_mm=values["protrusion_mm"],
            threads=values["threads"] or self.joint["threads"],
        )

    def _drop_defaults(self, group: Values) -> None:
        """What a group says again after its joint is a default, and left out."""
        for name, record in (("screw", _SCREW_FIELDS), ("into", _INTO_FIELDS)):
            own, joints = group[name], self.joint[name]
            if own is None or joints is None:
                continue
            if all(own[field] == joints[field] for field in record):
                group[name] = None
        if group["threads"] == self.joint["threads"]:
            group["threads"] = None

    def _check_complete(
        self,
        values: Values,
        into: Into | None,
        screw: ScrewWanted | None,
        stud: StudUse | None,
    ) -> None:
        if not values.sound or not self.joint.sound:
            return
        for says in _what_is_missing(into, screw, stud, stated=bool(values["stated"])):
            self.finder.reading.report(values.place, "incomplete_group", says)

    def _hole(self, values: Values) -> HolePlace:
        if (values["x"] is None) != (values["y"] is None) and values.sound:
            says = "a hole is placed by x and y together; write both or neither"
            self.finder.reading.report(values.place, "missing_field", says)
        return HolePlace(values["hole"], values["x"], values["y"])

    def _layer(self, values: Values) -> Layer:
        position = self.finder.names.position
        ref = self.finder.ref(values["position"], values.at("position"), position)
        series = position.each.get(ref.code)
        if series != self.each and series in self.finder.names.series:
            says = (
                f"{ref.code} stands once for each {series}, but the layers of this "
                f"joint stand {self._standing}; give the joint `each: {series}`"
            )
            place = values.at("position")
            self.finder.reading.report(place, "foreign_series", says)
        return Layer(ref, values["pad"], values["per"], values["count"])

    @property
    def _standing(self) -> str:
        return "once" if self.each is None else f"once for each {self.each}"

    def _into(self, holder: Values) -> Into | None:
        values: Values | None = holder["into"]
        if values is None:
            return None
        if (values["position"] is None) != (values["hole"] is None) and values.sound:
            says = "a hole is named by position and hole together"
            self.finder.reading.report(values.place, "missing_field", says)
        return Into(
            position=self._optional_position(values, "position"),
            hole=values["hole"],
            nut=self._optional_position(values, "nut"),
        )

    def _optional_position(self, values: Values, name: str) -> Ref | None:
        return None if values[name] is None else self._position(values, name)

    def _position(self, values: Values, name: str) -> Ref:
        return self.finder.single(values, name, self.finder.names.position, self.each)

    def _stud(self, holder: Values) -> StudUse | None:
        values: Values | None = holder["stud"]
        if values is None:
            return None
        return StudUse(self._position(values, "position"), values["stays"])

    def _screw(self, holder: Values) -> ScrewWanted | None:
        values: Values | None = holder["screw"]
        if values is None:
            return None
        return ScrewWanted(
            values["standard"],
            values["thread"],
            values["property_class"],
            values["finish"],
        )

    def _stated(self, values: Values) -> Stated:
        when = self.finder.condition(values, "when", self.each)
        return Stated(self.finder.part(values, "part"), when)


_SCREW_FIELDS = ("standard", "thread", "property_class", "finish")
_INTO_FIELDS = ("position", "hole", "nut")


def _what_is_missing(
    into: Into | None,
    screw: ScrewWanted | None,
    stud: StudUse | None,
    *,
    stated: bool,
) -> list[str]:
    missing = []
    has_hole = into is not None and into.position is not None
    has_nut = into is not None and into.nut is not None
    if not has_hole and not has_nut:
        missing.append(
            "the group does not say what its threads go into: `into: {position, hole}` "
            "or `into: {nut: position}`, here or at the joint"
        )
    elif stud is not None and not (has_hole and has_nut):
        missing.append("a stud needs both: `into: {position, hole, nut}`")
    elif stud is None and has_hole and has_nut:
        missing.append(
            "a screw goes into a hole or a nut; both are only for a stud, named by "
            "`stud: {position}`"
        )
    if screw is None and stud is None and not stated:
        missing.append(
            "the group does not say its screw: `screw`, here or at the joint, "
            "`stated` or `stud`"
        )
    return missing


def _tighten(values: Values | None, holes: _Holes, finder: Finder) -> Tighten | None:
    if values is None:
        return None
    passes = tuple(_pass(each, holes, finder) for each in values["passes"])
    _check_order(values, "loosen_order", holes, (), finder)
    return Tighten(passes, values["loosen_order"], values["note"])


def _pass(values: Values, holes: _Holes, finder: Finder) -> Pass:
    given = [name for name in FIGURES if values[name] is not None]
    if len(given) != 1 and values.sound:
        shown = " and ".join(given) or "none"
        says = f"a pass has exactly one of {', '.join(FIGURES)}; here: {shown}"
        finder.reading.report(values.place, "one_figure", says)
    _check_groups(values, holes.groups, finder)
    _check_order(values, "order", holes, values["groups"], finder)
    return Pass(
        groups=values["groups"],
        order=values["order"],
        torque_nm=values["torque_nm"],
        angle_deg=values["angle_deg"],
        loosen_deg=values["loosen_deg"],
        stretch_mm=values["stretch_mm"],
    )


def _check_groups(values: Values, known: tuple[str, ...], finder: Finder) -> None:
    codes = frozenset(known)
    for index, group in enumerate(values["groups"]):
        if group and "" not in codes and group not in codes:
            says = f'the joint has no group "{group}"'
            place = values.at("groups", index)
            finder.reading.unknown(place, "unknown_group", group, says, known)
    finder.check_codes_once(values["groups"], values, "groups")


def _check_order(
    values: Values,
    name: str,
    holes: _Holes,
    groups: Sequence[str],
    finder: Finder,
) -> None:
    if not values.sound or not holes.sound:
        return
    for index, hole in enumerate(values[name]):
        group = holes.owners.get(hole)
        if group is None:
            numbers = ", ".join(map(str, sorted(holes.owners)[:40])) or "none"
            says = f"the joint has no hole {hole}; its holes: {numbers}"
        elif groups and group not in groups:
            says = f"hole {hole} is in group {group}, which this pass does not name"
        else:
            continue
        finder.reading.report(values.at(name, index), "unknown_hole", says)


def _drawing(values: Values | None) -> Drawing | None:
    if values is None:
        return None
    circles = tuple(Circle(c["x"], c["y"], c["d"]) for c in values["circles"])
    return Drawing(values["outline"], circles)
