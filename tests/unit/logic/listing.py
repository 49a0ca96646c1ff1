"""The slow way: every build written out, every question answered by looking.

Written from the meaning of the document alone; shares no code with the logic but
the entities and the condition values.
"""

from __future__ import annotations

import itertools
import operator
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field

from bomsvc.core.catalogue.conditions import (
    Always,
    Among,
    And,
    Condition,
    MemberIs,
    Never,
    Not,
    Or,
    SerialIs,
)
from bomsvc.core.catalogue.entities import Catalogue, Option, Rule

Chosen = frozenset[str] | None
"""The choices that hold; None: the option is not active."""
Listed = dict[str, Chosen]
LAST = 999_999_999
SIGNS: dict[str, Callable[[int, int], bool]] = {
    "<": operator.lt,
    "<=": operator.le,
    ">": operator.gt,
    ">=": operator.ge,
    "=": operator.eq,
    "!=": operator.ne,
}


@dataclass(frozen=True)
class At:
    key: str
    option: Option
    member: int | None


@dataclass
class Listing:
    """All builds of a family that meet its tree; `valid` also meets the rules."""

    catalogue: Catalogue
    waived: frozenset[str] = frozenset()
    places: list[At] = field(default_factory=list)
    valid: list[Listed] = field(default_factory=list)

    def __post_init__(self) -> None:
        for o in self.catalogue.options:
            for member in self.members(o.each):
                self.places.append(At(key_of(o.code, member), o, member))
        self.intervals = self._intervals()
        self.valid = [b for b in self._builds() if not self.broken(b)]

    def members(self, each: str | None) -> list[int | None]:
        if each is None:
            return [None]
        return list(range(1, self.catalogue.family.series[each] + 1))

    def broken(self, build: Listed) -> list[str]:
        return [
            key
            for key, r, member in self.rules()
            if key not in self.waived
            and self.holds(r.when, build, member, r.each)
            and not self.holds(r.then, build, member, r.each)
        ]

    def rules(self) -> Iterator[tuple[str, Rule, int | None]]:
        for r in self.catalogue.rules:
            for member in self.members(r.each):
                yield key_of(r.code, member), r, member

    def holds(
        self, c: Condition, build: Listed, member: int | None, own: str | None
    ) -> bool:
        match c:
            case Always():
                return True
            case Never():
                return False
            case Not(term):
                return not self.holds(term, build, member, own)
            case And(terms):
                return all(self.holds(t, build, member, own) for t in terms)
            case Or(terms):
                return any(self.holds(t, build, member, own) for t in terms)
            case SerialIs(sign, number):
                interval = serial_of(build)
                return SIGNS[sign](int(interval.split("..")[0]), number)
            case MemberIs(_, sign, number):
                assert member is not None
                return SIGNS[sign](member, number)
            case Among(code, choices, which):
                return self._among(code, choices, which, build, member)

    def _among(
        self,
        code: str,
        choices: tuple[str, ...],
        which: object,
        build: Listed,
        member: int | None,
    ) -> bool:
        each = next(o.each for o in self.catalogue.options if o.code == code)
        if each is None:
            keys = [code]
        elif isinstance(which, int):
            keys = [key_of(code, which)]
        elif which is None:
            keys = [key_of(code, member)]
        else:
            keys = [key_of(code, m) for m in self.members(each)]
        found = [bool((build[k] or frozenset()) & set(choices)) for k in keys]
        return any(found) if which == "any" else all(found)

    def _builds(self) -> Iterator[Listed]:
        for serial in self.intervals:
            for build in self._extend({}, list(self.places)):
                yield {**build, "serial": frozenset([serial])}

    def _extend(self, build: Listed, rest: list[At]) -> Iterator[Listed]:
        ready = next((p for p in rest if self._parent_settled(p, build)), None)
        if ready is None:
            assert not rest
            yield build
            return
        after = [p for p in rest if p is not ready]
        for chosen in self._values(ready, build):
            yield from self._extend({**build, ready.key: chosen}, after)

    def _parent_key(self, place: At) -> str | None:
        under = place.option.under
        if under is None:
            return None
        each = next(o.each for o in self.catalogue.options if o.code == under.option)
        if each is None:
            return under.option
        return key_of(under.option, under.member or place.member)

    def _parent_settled(self, place: At, build: Listed) -> bool:
        parent = self._parent_key(place)
        return parent is None or parent in build

    def _values(self, place: At, build: Listed) -> list[Chosen]:
        parent = self._parent_key(place)
        under = place.option.under
        if parent and under and under.choice not in (build[parent] or ()):
            return [None]
        codes = [c.code for c in place.option.choices]
        if place.option.choose == "one":
            return [frozenset([c]) for c in codes]
        sizes = range(len(codes) + 1)
        return [
            frozenset(some) for n in sizes for some in itertools.combinations(codes, n)
        ]

    def _intervals(self) -> list[str]:
        starts = {1}
        for c in self._all_conditions():
            starts |= _cuts(c)
        firsts = sorted(s for s in starts if 1 <= s <= LAST)
        ends = [*(f - 1 for f in firsts[1:]), LAST]
        pairs = zip(firsts, ends, strict=True)
        return [f"{a}..{'' if b == LAST else b}" for a, b in pairs]

    def _all_conditions(self) -> Iterator[Condition]:
        for r in self.catalogue.rules:
            yield from (r.when, r.then)
        yield from (p.exists for p in self.catalogue.positions)
        yield from (f.when for f in self.catalogue.fitments if f.when)


def serial_of(build: Listed) -> str:
    """The interval the build's serial number is in."""
    return next(iter(build["serial"] or ()))


def key_of(code: str, member: int | None) -> str:
    return code if member is None else f"{code}[{member}]"


def _cuts(c: Condition) -> set[int]:
    match c:
        case SerialIs(sign, n):
            at = {"<": {n}, ">=": {n}, "<=": {n + 1}, ">": {n + 1}}
            return at.get(sign, {n, n + 1})
        case Not(term):
            return _cuts(term)
        case And(terms) | Or(terms):
            return set().union(*map(_cuts, terms))
        case _:
            return set()


def rest_form(listing: Listing, build: Listed) -> dict[str, object]:
    """The build as REST answers, the serial as the least number of its interval."""
    answers: dict[str, object] = {}
    for place in listing.places:
        chosen = build[place.key]
        if chosen is None:
            continue
        if place.option.choose == "any":
            answers[place.key] = [
                c.code for c in place.option.choices if c.code in chosen
            ]
        else:
            (answers[place.key],) = chosen
    interval = serial_of(build)
    answers["serial"] = int(interval.split("..")[0])
    return answers


def value_literals(listing: Listing, build: Listed) -> dict[tuple[str, str], bool]:
    """(option key, choice) -> whether it holds."""
    truth = {
        (p.key, c.code): c.code in (build[p.key] or ())
        for p in listing.places
        for c in p.option.choices
    }
    for interval in listing.intervals:
        truth["serial", interval] = interval in (build["serial"] or ())
    return truth
