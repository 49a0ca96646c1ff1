"""The option tree as clauses: choices, activity, exactly-one, serial intervals."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import combinations, pairwise
from typing import Literal

from bomsvc.core.catalogue.entities import Catalogue, Choice, Option, Ref
from bomsvc.core.logic.gates import Clause, Gates, negated
from bomsvc.core.logic.naming import Names, Owner, item_key
from bomsvc.core.logic.serials import SERIAL, SerialInterval
from bomsvc.core.logic.standing import TRUE, Key, Lit

_LARGEST_PAIRWISE = 6
"""Up to so many choices every pair excludes each other; above, a ladder does."""


@dataclass(frozen=True, slots=True)
class StandingOption:
    """An option of one member; `choices` in document order.

    Attributes:
        key: `main_size[4]`, or the bare code.
        option: The document's option; for the serial number a made one.
        member: Member of the option's series, or None.
        active: True exactly when the option is active.
        choices: Choice code -> literal.
        usual: The usual choices, the default applied: first choice for `one`,
            none for `any`.
    """

    key: Key
    option: Option
    member: int | None
    active: Lit
    choices: Mapping[str, Lit]
    usual: tuple[str, ...]

    def label_of(self, choice: str) -> str:
        """Return the label of a choice."""
        return next(c.label for c in self.option.choices if c.code == choice)


StructureKind = Literal["one", "under", "serial"]
Helpers = tuple[tuple[Lit, tuple[Lit, ...]], ...]


@dataclass(frozen=True, slots=True)
class StructureUnit:
    """The clauses that one option's form contributes.

    `one`: at most one choice, and one when active. `under`: a choice holds only
    when the option is active. `serial`: the intervals in order.

    `helpers` are the unit's own variables: each is the OR of the literals beside
    it, in an order in which those are known.
    """

    option: Key
    kind: StructureKind
    clauses: tuple[Clause, ...]
    helpers: Helpers = ()


@dataclass(frozen=True, slots=True)
class OptionTree:
    """Every standing option by key in document order, the serial number last."""

    options: Mapping[Key, StandingOption]
    units: tuple[StructureUnit, ...]
    intervals: tuple[SerialInterval, ...]
    thresholds: tuple[Lit, ...]
    """`thresholds[k]`: the serial is in interval `k` or above; the first is TRUE."""


def plant_tree(
    catalogue: Catalogue, intervals: Sequence[SerialInterval], gates: Gates
) -> OptionTree:
    """Allocate the core variables and write the tree's clauses."""
    names = Names(
        catalogue.family.series, ((o.code, o.each) for o in catalogue.options)
    )
    choices = _choice_literals(catalogue, names, gates)
    serial, thresholds, unit = _serial_option(intervals, gates)
    options: dict[Key, StandingOption] = {}
    units: list[StructureUnit] = []
    for option in catalogue.options:
        for owner in names.owners(option.each):
            standing = _standing_option(option, owner, names, choices)
            options[standing.key] = standing
            units.extend(_units(standing, gates))
    options[SERIAL] = serial
    return OptionTree(options, (*units, unit), tuple(intervals), thresholds)


def _choice_literals(
    catalogue: Catalogue, names: Names, gates: Gates
) -> dict[Key, dict[str, Lit]]:
    return {
        item_key(option.code, owner.member): {
            choice.code: gates.fresh() for choice in option.choices
        }
        for option in catalogue.options
        for owner in names.owners(option.each)
    }


def _standing_option(
    option: Option,
    owner: Owner,
    names: Names,
    choices: Mapping[Key, Mapping[str, Lit]],
) -> StandingOption:
    key = item_key(option.code, owner.member)
    return StandingOption(
        key=key,
        option=option,
        member=owner.member,
        active=_activity(option, owner, names, choices),
        choices=choices[key],
        usual=_usual(option),
    )


def _activity(
    option: Option,
    owner: Owner,
    names: Names,
    choices: Mapping[Key, Mapping[str, Lit]],
) -> Lit:
    under = option.under
    if under is None:
        return TRUE
    (parent,) = names.keys(Ref(under.option, under.member), owner)
    return choices[parent][under.choice]


def _usual(option: Option) -> tuple[str, ...]:
    if option.usual is not None:
        return option.usual
    return (option.choices[0].code,) if option.choose == "one" else ()


def _units(option: StandingOption, gates: Gates) -> list[StructureUnit]:
    units = []
    lits = tuple(option.choices.values())
    if option.option.choose == "one":
        excluding, helpers = _at_most_one(lits, gates)
        clauses = (_some(option.active, lits), *excluding)
        units.append(StructureUnit(option.key, "one", clauses, helpers))
    if option.active != TRUE:
        within = tuple((negated(lit), option.active) for lit in lits)
        units.append(StructureUnit(option.key, "under", within))
    return units


def _some(active: Lit, lits: tuple[Lit, ...]) -> Clause:
    return lits if active == TRUE else (negated(active), *lits)


def _at_most_one(
    lits: Sequence[Lit], gates: Gates
) -> tuple[tuple[Clause, ...], Helpers]:
    if len(lits) <= _LARGEST_PAIRWISE:
        return tuple((-a, -b) for a, b in combinations(lits, 2)), ()
    return _ladder(lits, gates)


def _ladder(lits: Sequence[Lit], gates: Gates) -> tuple[tuple[Clause, ...], Helpers]:
    """Return clauses over helpers "one of the first k holds" (both directions).

    Both directions keep the helpers functions of the choices, so that counting
    and comparing builds is not disturbed.
    """
    clauses: list[Clause] = []
    helpers = []
    so_far = lits[0]
    for lit in lits[1:-1]:
        after = gates.fresh()
        helpers.append((after, (so_far, lit)))
        clauses.append((-so_far, -lit))
        clauses += [(-so_far, after), (-lit, after), (-after, so_far, lit)]
        so_far = after
    clauses.append((-so_far, -lits[-1]))
    return tuple(clauses), tuple(helpers)


def _serial_option(
    intervals: Sequence[SerialInterval], gates: Gates
) -> tuple[StandingOption, tuple[Lit, ...], StructureUnit]:
    thresholds = [TRUE, *(gates.fresh() for _ in intervals[1:])]
    clauses: list[Clause] = [
        (-above, below) for below, above in pairwise(thresholds) if below != TRUE
    ]
    lits = {}
    for index, interval in enumerate(intervals):
        lit, defining = _interval_literal(index, thresholds, gates)
        lits[interval.code] = lit
        clauses += defining
    choices = tuple(Choice(i.code, i.label) for i in intervals)
    option = Option(SERIAL, "Serial number", choices, ask="What is the serial number?")
    standing = StandingOption(SERIAL, option, None, TRUE, lits, (intervals[0].code,))
    unit = StructureUnit(
        SERIAL, "serial", tuple(clauses), _falling(thresholds, list(lits.values()))
    )
    return standing, tuple(thresholds), unit


def _falling(thresholds: Sequence[Lit], inside: Sequence[Lit]) -> Helpers:
    """Return each threshold as "the next one, or just here", from the last down."""
    return tuple(
        (thresholds[k], (thresholds[k + 1], inside[k]))
        for k in range(len(thresholds) - 2, 0, -1)
    )


def _interval_literal(
    index: int, thresholds: Sequence[Lit], gates: Gates
) -> tuple[Lit, list[Clause]]:
    low = thresholds[index]
    if index + 1 == len(thresholds):
        return low, []
    high = thresholds[index + 1]
    if low == TRUE:
        return negated(high), []
    inside = gates.fresh()
    return inside, [(-inside, low), (-inside, -high), (inside, -low, high)]


def parents_first(options: Mapping[Key, StandingOption]) -> tuple[Key, ...]:
    """Return document order, except that a parent comes before its children."""
    parent_of = {lit: key for key, o in options.items() for lit in o.choices.values()}
    parent_of.pop(TRUE, None)
    placed: dict[Key, None] = {}

    def place(key: Key) -> None:
        if key in placed:
            return
        parent = parent_of.get(options[key].active)
        if parent is not None:
            place(parent)
        placed[key] = None

    for key in options:
        place(key)
    return tuple(placed)
