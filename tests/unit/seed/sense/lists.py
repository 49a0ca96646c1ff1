"""What the counter's lists hold: each thing once, as it is sold, and new where due."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from bomsvc.core.logic.standing import Key
from bomsvc.core.resolve import Resolved
from tests.unit.seed.sense.engine import Engine, Listed


def every_list(engine: Engine) -> tuple[Listed, ...]:
    """Every job on the usual boat with raw water, and on the heaviest build."""
    return engine.listed


def single_use_parts_that_go_in_again(
    engine: Engine, listed: Iterable[Listed]
) -> list[str]:
    return list(dict.fromkeys(_again(engine, listed)))


def _again(engine: Engine, listed: Iterable[Listed]) -> Iterator[str]:
    for build, job, plan, found in listed:
        new = _places(found, "renew")
        brought = {one.position for one in plan.included}
        for freed in plan.freed:
            for fitted in engine.fitted_at(build, freed.position):
                single = fitted.part.reuse == "single"
                if single and freed.position not in new | brought:
                    yield f"{job}: {fitted.part.number} at {freed.position} not renewed"


def _places(found: Resolved, need: str) -> set[Key]:
    return {
        place.key
        for line in found.lines
        if line.need == need
        for place in line.places
        if place.kind == "position"
    }


def parts_ordered_outside_their_set(
    engine: Engine, listed: Iterable[Listed]
) -> list[str]:
    """What is sold as part of a set is ordered as the set."""
    return list(dict.fromkeys(_outside_set(engine, listed)))


def _outside_set(engine: Engine, listed: Iterable[Listed]) -> Iterator[str]:
    for _, job, _, found in listed:
        ordered = {order.part for order in found.orders}
        for line in found.lines:
            if line.part is None or line.need != "renew" or line.state != "certain":
                continue
            sold = engine.parts[line.part].sold_as
            if sold is not None and (
                sold.number not in ordered or line.part in ordered - {sold.number}
            ):
                yield f"{job}: {line.part} is not ordered as {sold.number}"


def parts_listed_beside_what_includes_them(
    engine: Engine, listed: Iterable[Listed]
) -> list[str]:
    return [
        f"{job}: {one.position} comes with {one.by} and is listed again"
        for _, job, plan, found in listed
        for one in plan.included
        if one.position in _places(found, "renew")
    ]


def alternates_that_are_listed(engine: Engine, listed: Iterable[Listed]) -> list[str]:
    """Rank 2 and up is offered beside a line, never listed by itself."""
    first = {f.fitment.part for f in engine.fitments() if f.fitment.rank == 1}
    later = {f.fitment.part for f in engine.fitments() if f.fitment.rank > 1} - first
    return [
        f"{job}: {line.part} is an alternate"
        for _, job, _, found in listed
        for line in found.lines
        if line.part in later
    ]


def lists_with_faults(engine: Engine, listed: Iterable[Listed]) -> list[str]:
    return [
        f"{job}: {fault.at}: {fault.detail}"
        for _, job, _, found in listed
        for fault in (*found.faults, *found.warnings)
    ]
