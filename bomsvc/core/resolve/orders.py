"""What the lines come to as orders: parts sold as sets, parts not to be had."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from decimal import ROUND_CEILING, Decimal

from bomsvc.core.catalogue.entities import Part, SoldAs
from bomsvc.core.resolve.lines import Fault, Line, Order, OrderLine

_WHOLE = Decimal(1)


def plain_order(part: Part | None, take: Decimal) -> Order | None:
    """The order for a line by itself, for a part that is not sold in a set.

    Nothing is ordered for a line that takes nothing, has no number, or is not to
    be had.
    """
    if part is None or take == 0 or part.sold_as or part.not_sold is not None:
        return None
    return Order(part.number, take)


def with_sets(lines: Sequence[Line], parts: Mapping[str, Part]) -> list[Line]:
    """The lines, those of parts sold only in sets with their orders.

    Certain lines share their sets: a set is ordered as many times as the scarcest
    of its contents requires, over all certain lines. An open line is ordered for
    by itself, since it may not be taken at all.
    """
    certain = [line for line in lines if line.state == "certain"]
    shared = _sets(certain, parts)
    return [_with_set(line, parts, shared) for line in lines]


def _with_set(
    line: Line, parts: Mapping[str, Part], shared: Mapping[str, Decimal]
) -> Line:
    if line.part is None or line.take == 0:
        return line
    sold_as = parts[line.part].sold_as
    if sold_as is None:
        return line
    sets = shared if line.state == "certain" else _sets([line], parts)
    return replace(line, order=Order(sold_as.number, sets[sold_as.number]))


def _sets(lines: Iterable[Line], parts: Mapping[str, Part]) -> dict[str, Decimal]:
    """Set number to how many of it the lines require."""
    taken: dict[str, Decimal] = {}
    for line in lines:
        if line.part is not None and line.take > 0:
            taken[line.part] = taken.get(line.part, Decimal(0)) + line.take
    sets: dict[str, Decimal] = {}
    for number, qty in taken.items():
        sold_as = parts[number].sold_as
        if sold_as is not None:
            needed = sets_for(sold_as, number, qty)
            sets[sold_as.number] = max(needed, sets.get(sold_as.number, needed))
    return sets


def sets_for(sold_as: SoldAs, number: str, qty: Decimal) -> Decimal:
    """How many sets it takes to have so many of one of its contents."""
    return _rounded_up(qty / _content(sold_as, number))


def _content(sold_as: SoldAs, number: str) -> Decimal:
    """How many of the part one set holds; a set that is silent holds one."""
    held = sum((c.qty for c in sold_as.contents if c.part == number), Decimal(0))
    return held or _WHOLE


def _rounded_up(qty: Decimal) -> Decimal:
    return qty.to_integral_value(rounding=ROUND_CEILING)


def order_lines(lines: Sequence[Line]) -> tuple[OrderLine, ...]:
    """The certain lines' orders, each number once, in order of the lines."""
    found: dict[str, OrderLine] = {}
    for line in lines:
        if line.state == "open" or line.order is None or line.part is None:
            continue
        part, qty = line.order.part, line.order.qty
        known = found.get(part)
        if known is None:
            found[part] = OrderLine(part, qty, (line.part,))
        elif part == line.part:
            # Sold singly: each line orders its own.
            found[part] = replace(known, qty=known.qty + qty)
        else:
            names = tuple(dict.fromkeys((*known.contains, line.part)))
            found[part] = replace(known, contains=names)
    return tuple(found.values())


def not_sold_faults(lines: Iterable[Line], parts: Mapping[str, Part]) -> list[Fault]:
    """A part that has to be renewed and is not to be had."""
    found: dict[Fault, None] = {}
    for line in lines:
        part = None if line.part is None else parts[line.part]
        if part is None or part.not_sold is None or part.sold_as is not None:
            continue
        if line.need == "renew":
            detail = f"{part.number} ({part.name}) is not sold: {part.not_sold}"
            when = line.why[0].when if line.state == "open" and line.why else None
            found[Fault("part_not_sold", str(line.places[0]), detail, when)] = None
    return list(found)
