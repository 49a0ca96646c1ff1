"""Looking up what an item refers to: conditions, series, positions, parts.

Every look-up reports what it cannot find and gives a stand-in, and leaves the
canonical spelling in the record's values.
"""

from __future__ import annotations

from collections.abc import Sequence

from bomsvc.core.catalogue.conditions import (
    ALWAYS,
    Condition,
    ConditionError,
    print_condition,
    read_condition,
)
from bomsvc.core.catalogue.entities import GroupRef, Ref
from bomsvc.core.catalogue.forms.records import Values
from bomsvc.core.catalogue.names import Kind, Names, member_number, split_reference
from bomsvc.core.catalogue.reading import Place, Reading
from bomsvc.core.terms.words import part_identity

NOWHERE = Ref("")
"""Stands where a reference could not be found."""


class Finder:
    """Looks up names for one reading; conditions are read once per text."""

    def __init__(self, names: Names, reading: Reading) -> None:
        self.names = names
        self.reading = reading
        self._conditions: dict[tuple[str, str | None], _Read] = {}
        self._identities: dict[str, str] = {}
        # Without the options or the series no condition can be judged.
        self._blind = bool(names.unreadable & {"options", "series"})

    def condition(
        self, values: Values, name: str, owner_series: str | None
    ) -> Condition:
        """Return what a field's condition says, seen from an item of that series."""
        text: str = values[name]
        if text in ("always", "") or self._blind:
            return ALWAYS
        read = self._read(text, owner_series)
        for error in read.errors:
            self.reading.report(
                values.at(name), "bad_condition", str(error), remedy=error.remedy
            )
        values[name] = read.canonical
        return read.condition

    def _read(self, text: str, owner_series: str | None) -> _Read:
        key = (text, owner_series)
        read = self._conditions.get(key)
        if read is None:
            found = read_condition(
                text,
                self.names.vocabulary,
                owner_series=owner_series,
                suggest=self.reading.nearest,
            )
            read = self._conditions[key] = _Read(text, found)
        return read

    def each(self, values: Values) -> str | None:
        """Return the series that an item stands once per member of."""
        series: str | None = values["each"]
        readable = "series" not in self.names.unreadable
        if series and series not in self.names.series and readable:
            says = f'the family has no series "{series[:40]}"'
            self.reading.unknown(
                values.at("each"),
                "unknown_series",
                series,
                says,
                self.names.series_names,
            )
        return series or None

    def part(self, values: Values, name: str) -> str:
        """Return a part's number as the list of parts spells it."""
        text: str = values[name]
        spelled = self._spelled(text)
        if spelled is None:
            if "parts" not in self.names.unreadable:
                says = f'the list of parts has no "{text}"'
                known = self.names.part_numbers
                self.reading.unknown(values.at(name), "unknown_part", text, says, known)
            return text
        values[name] = spelled
        return spelled

    def _spelled(self, text: str) -> str | None:
        if not text:
            return text
        identity = self._identities.get(text)
        if identity is None:
            identity = self._identities[text] = part_identity(text)
        return self.names.parts.get(identity)

    def refs(
        self, values: Values, name: str, kind: Kind, owner_series: str | None
    ) -> tuple[Ref, ...]:
        """Return the references of a list; from outside, bare means all members."""
        texts: Sequence[str] = values[name]
        if not texts:
            return ()
        found = tuple(
            self.ref(text, values.at(name, index), kind)
            for index, text in enumerate(texts)
        )
        self._check_once(found, values, name, kind, owner_series)
        return found

    def ref(self, text: str, place: Place, kind: Kind) -> Ref:
        """Return one reference, `code` or `code[member]`."""
        if not text:
            return NOWHERE
        code, member, rest = split_reference(text)
        if rest is not None:
            says = f'"{text[:60]}" is not a {kind.says}; write its code alone'
            self.reading.report(place, "bad_reference", says)
            return NOWHERE
        return self._ref(code, member, place, kind)

    def _ref(self, code: str, member: str | None, place: Place, kind: Kind) -> Ref:
        if code not in kind.each and not kind.readable:
            return NOWHERE
        if code not in kind.each:
            says = f'there is no {kind.says} "{code[:60]}"'
            self.reading.unknown(
                place, f"unknown_{kind.says.split()[0]}", code, says, kind.codes
            )
            return NOWHERE
        if member is None:
            return Ref(code)
        return Ref(code, self.member(code, member, kind.each[code], place))

    def member(
        self, code: str, member: str, series: str | None, place: Place
    ) -> int | None:
        """Return the number of a member in brackets, once it is known to exist."""
        if series is None:
            says = f"{code} stands only once; leave out [{member[:40]}]"
            self.reading.report(place, "no_member", says)
            return None
        number = member_number(member)
        last = self.names.series.get(series)
        if number is None:
            says = f"[{member[:40]}] is not a member; write a number, or {code} for all"
            self.reading.report(place, "no_member", says)
        elif last is not None and not 1 <= number <= last:
            says = f"there is no {code}[{number}]; {series} goes from 1 to {last}"
            self.reading.report(place, "no_member", says)
            return None
        return number

    def single(
        self, values: Values, name: str, kind: Kind, owner_series: str | None
    ) -> Ref:
        """Return a reference that must mean one item, not all of a series."""
        place = values.at(name)
        ref = self.ref(values[name], place, kind)
        series = kind.each.get(ref.code)
        many = series != owner_series and series in self.names.series
        if ref.member is None and many:
            says = (
                f"{ref.code} stands once for each {series}; which one: {ref.code}[n]?"
            )
            self.reading.report(place, "which_member", says)
        return ref

    def group_refs(self, values: Values, name: str) -> tuple[GroupRef, ...]:
        """Return references `joint.group` or `joint[member].group`."""
        return tuple(
            self._group_ref(text, values.at(name, index))
            for index, text in enumerate(values[name])
        )

    def _group_ref(self, text: str, place: Place) -> GroupRef:
        if not text:
            return GroupRef(NOWHERE, "")
        code, member, group = split_reference(text)
        if not group:
            says = f'"{text[:60]}" is not a group; write joint.group, as in pan_rail.a'
            self.reading.report(place, "bad_reference", says)
            return GroupRef(NOWHERE, "")
        joint = self._ref(code, member, place, self.names.joint)
        known = self.names.groups.get(joint.code)
        if known is not None and "" not in known and group not in known:
            says = f'{joint.code} has no group "{group[:60]}"'
            self.reading.unknown(place, "unknown_group", group, says, known)
        return GroupRef(joint, group)

    def check_codes_once(self, codes: Sequence[str], values: Values, name: str) -> None:
        """Report a code that is named twice in a list."""
        seen: set[str] = set()
        for index, code in enumerate(codes):
            if code and code in seen:
                says = f"{code} is named twice in this list; leave it out here"
                self.reading.report(values.at(name, index), "named_twice", says)
            seen.add(code)

    def _check_once(
        self,
        found: Sequence[Ref],
        values: Values,
        name: str,
        kind: Kind,
        owner_series: str | None,
    ) -> None:
        """Report an item named twice, also one of those that a bare code means."""
        bare = {ref.code for ref in found if ref.member is None}
        seen: set[Ref] = set()
        for index, ref in enumerate(found):
            own = kind.each.get(ref.code) == owner_series
            covered = ref.member is not None and ref.code in bare and not own
            if ref.code and (covered or ref in seen):
                says = f"{ref} is named twice in this list; leave it out here"
                self.reading.report(values.at(name, index), "named_twice", says)
            seen.add(ref)


class _Read:
    """A condition's text as read: its meaning and canonical text, or its errors."""

    __slots__ = ("canonical", "condition", "errors")

    def __init__(
        self, text: str, found: Condition | tuple[ConditionError, ...]
    ) -> None:
        if isinstance(found, tuple):
            self.condition: Condition = ALWAYS
            self.canonical = text
            self.errors = found
        else:
            self.condition = found
            self.canonical = print_condition(found)
            self.errors = ()
