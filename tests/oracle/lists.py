"""What a build holds, and what is certain of it over many builds.

Reading taken:
- By positions, sections or the whole, every fitted part is needed as `renew`.
- A section takes in the sections beneath it.
- `includes`: a listed part brings what sits in those positions, so they are not
  listed again; only when the including part is itself listed; one step deep.
- A set is ordered as often as the scarcest of its contents requires, over all that
  is certainly renewed; what is listed or ordered under one number is added up.
- A contribution is (need, part, place); it is certain when every remaining build
  has it with the same quantity.
"""

from __future__ import annotations

from collections.abc import Iterable
from decimal import ROUND_CEILING, Decimal
from typing import Any

from tests.oracle.builds import Build, Model, Tree, code_and_member, key_of

# (need, part, place) -> quantity; a place is ("position", key) and the like.
Place = tuple[str, str]
Need = tuple[str, str, Place]
Needs = dict[Need, Decimal]


def item(model: Model, kind: str, code: str) -> Tree:
    """The item of that list and code."""
    field = "number" if kind == "parts" else "code"
    return next(entry for entry in model.doc[kind] if entry[field] == code)


def keys_named(
    model: Model, kind: str, name: str, each: str | None, member: int | None
) -> list[str]:
    """The members that a name in a list means, seen from a member of `each`."""
    code, index = code_and_member(name)
    own = item(model, kind, code).get("each")
    if index is not None or own is None:
        return [name]
    if own == each:
        return [key_of(code, member)]
    return [key_of(code, m) for m in model.members(own)]


def keys_of(model: Model, kind: str) -> list[str]:
    """All members of all items of a list, in document order."""
    return [
        key_of(entry["code"], member)
        for entry in model.doc.get(kind, [])
        for member in model.members(entry.get("each"))
    ]


def exists(model: Model, kind: str, key: str, build: Build) -> bool:
    """Whether the item at that member exists in the build."""
    code, member = code_and_member(key)
    entry = item(model, kind, code)
    return model.holds(entry.get("exists"), build, entry, member)


def fitted(model: Model, position: str, build: Build, rank: int = 1
           ) -> list[tuple[str, Decimal]]:  # fmt: skip
    """Parts and quantities that sit in a position, in document order."""
    if not exists(model, "positions", position, build):
        return []
    code, member = code_and_member(position)
    place = item(model, "positions", code)
    return [
        (fitment["part"], Decimal(fitment.get("qty", "1")))
        for fitment in model.doc.get("fitments", [])
        if fitment["position"] == code
        and fitment.get("rank", 1) == rank
        and model.holds(fitment.get("when"), build, place, member)
    ]


def part_positions(model: Model, part: str, name: str, position: str) -> list[str]:
    """The positions a part's `includes` or `renew_with` means from where it sits."""
    code, member = code_and_member(position)
    each = item(model, "positions", code).get("each")
    return [
        key
        for other in item(model, "parts", part).get(name, [])
        for key in keys_named(model, "positions", other, each, member)
    ]


def position_scope(
    model: Model, *, positions: Iterable[str] = (), sections: Iterable[str] = (),
    whole: bool = False,
) -> list[str]:  # fmt: skip
    """The members of positions a scope names, in document order."""
    named = {
        key
        for name in positions
        for key in keys_named(model, "positions", name, None, None)
    }
    under = set(sections)
    for section in model.doc.get("sections", []):
        # Sections stand after the ones they are under in generated documents.
        if section.get("under") in under:
            under.add(section["code"])
    return [
        key
        for key in keys_of(model, "positions")
        if whole
        or key in named
        or item(model, "positions", code_and_member(key)[0])["section"] in under
    ]


def without_included(model: Model, scope: list[str], build: Build) -> list[str]:
    """The positions of the scope that no other listed part brings along."""
    brought = {
        other
        for position in scope
        for part, _ in fitted(model, position, build)
        for other in part_positions(model, part, "includes", position)
    }
    return [position for position in scope if position not in brought]


def certain(over: list[Needs]) -> Needs:
    """The contributions that every build has with the same quantity."""
    first = over[0]
    return {
        need: qty
        for need, qty in first.items()
        if all(needs.get(need) == qty for needs in over)
    }


def outcomes(over: list[Needs]) -> dict[Place, list[frozenset[tuple[Any, ...]]]]:
    """For each place, what each build puts there: (need, part, quantity)."""
    places = {place for needs in over for _, _, place in needs}
    return {
        place: [
            frozenset(
                (need, part, qty)
                for (need, part, where), qty in needs.items()
                if where == place
            )
            for needs in over
        ]
        for place in sorted(places)
    }


def open_places(over: list[Needs]) -> dict[Place, list[frozenset[tuple[Any, ...]]]]:
    """The places at which the remaining builds differ."""
    return {
        place: results
        for place, results in outcomes(over).items()
        if len(set(results)) > 1
    }


def orders(model: Model, sure: Needs) -> dict[str, Decimal]:
    """What the certain contributions come to as orders."""
    taken: dict[str, Decimal] = {}
    for (need, part, _), qty in sure.items():
        if need == "renew" and not part.startswith("wanted:"):
            taken[part] = taken.get(part, Decimal(0)) + qty
    direct: dict[str, Decimal] = {}
    sets: dict[str, Decimal] = {}
    for part, qty in taken.items():
        sold_as = item(model, "parts", part).get("sold_as")
        if sold_as is None:
            direct[part] = qty
            continue
        (held,) = (Decimal(c["qty"]) for c in sold_as["contents"] if c["part"] == part)
        number = sold_as["number"]
        needed = (qty / held).to_integral_value(ROUND_CEILING)
        sets[number] = max(needed, sets.get(number, needed))
    return {
        number: direct.get(number, Decimal(0)) + sets.get(number, Decimal(0))
        for number in {*direct, *sets}
    }
