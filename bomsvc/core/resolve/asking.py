"""What a scope asks of which place, and the demands of its jobs beside it."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from bomsvc.core.logic.standing import Key
from bomsvc.core.resolve.demand import (
    Call,
    Demand,
    GroupName,
    always,
    joined,
    where,
)
from bomsvc.core.resolve.disturbed import WholePlace
from bomsvc.core.resolve.layout import Layout, hole_positions
from bomsvc.core.resolve.lines import Reason
from bomsvc.core.resolve.maybe import demands_perhaps
from bomsvc.core.resolve.plans import Only, Planned, demands_of
from bomsvc.core.resolve.scope import Scope
from bomsvc.core.resolve.view import View

FITTED = always(Call("renew"))
"""Scopes of what is fitted take everything that sits there."""


@dataclass(frozen=True, slots=True)
class Asked:
    """The demands of a request by kind of place, in document order.

    `shown`: the joints that are opened or asked for by themselves. `planned` are the
    plans that the demands come from.
    """

    positions: Mapping[Key, Demand]
    groups: Mapping[Key, Mapping[GroupName, Demand]]
    steps: Mapping[Key, Demand]
    shown: frozenset[Key]
    planned: Planned | None


def asked_by(
    view: View,
    layout: Layout,
    scope: Scope,
    planned: Planned | None,
    *,
    pins: tuple[Key, ...] = (),
    only: Only | None = None,
) -> Asked:
    """Every demand of the scope and of its jobs' plans.

    `only`: of the plans, the places that matter to the caller; None: all.
    """
    demands: dict[WholePlace, Demand] = {}
    if planned is not None:
        jobs = scope.jobs
        demands = dict(
            demands_of(view, layout, planned, jobs, only=only)
            if planned.complete
            else demands_perhaps(view, layout, jobs, pins)
        )
    shown = frozenset({key for kind, key, _ in demands if kind == "joint"})
    for place, demand in _fitted(layout, scope):
        _add(demands, place, demand)
    return _sorted(layout, demands, shown.union(scope.joints), planned)


SITS = always(Call("check"))
"""Everything is looked at: what a part includes sits there like any other."""


def everything(layout: Layout) -> Asked:
    """A request that takes nothing and looks at all that sits on the engine."""
    standing = layout.compiled.standing
    return Asked(
        positions=dict.fromkeys(standing.positions, SITS),
        groups={
            key: {(key, group.code): SITS for group in joint.groups}
            for key, joint in standing.joints.items()
        },
        steps={},
        shown=frozenset(),
        planned=None,
    )


def with_more(layout: Layout, asked: Asked, more: Mapping[WholePlace, Demand]) -> Asked:
    """The same request with further demands."""
    demands: dict[WholePlace, Demand] = dict(more)
    for key, demand in asked.positions.items():
        _add(demands, ("position", key, ""), demand)
    for groups in asked.groups.values():
        for (key, code), demand in groups.items():
            _add(demands, ("joint", key, code), demand)
    for key, demand in asked.steps.items():
        _add(demands, ("step", key, ""), demand)
    shown = asked.shown.union(key for kind, key, _ in more if kind == "joint")
    return _sorted(layout, demands, shown, asked.planned)


def _add(demands: dict[WholePlace, Demand], place: WholePlace, demand: Demand) -> None:
    old = demands.get(place)
    demands[place] = demand if old is None else joined(demand, old)


def _sorted(
    layout: Layout,
    demands: Mapping[WholePlace, Demand],
    shown: frozenset[Key],
    planned: Planned | None,
) -> Asked:
    standing = layout.compiled.standing
    positions = {k: d for (kind, k, _), d in demands.items() if kind == "position"}
    steps = {k: d for (kind, k, _), d in demands.items() if kind == "step"}
    groups: dict[Key, dict[GroupName, Demand]] = {}
    for (kind, key, code), demand in demands.items():
        if kind == "joint":
            groups.setdefault(key, {})[key, code] = demand
    return Asked(
        positions={k: positions[k] for k in standing.positions if k in positions},
        groups={k: groups[k] for k in standing.joints if k in groups},
        steps={k: steps[k] for k in standing.steps if k in steps},
        shown=shown,
        planned=planned,
    )


def _fitted(layout: Layout, scope: Scope) -> Iterator[tuple[WholePlace, Demand]]:
    """Places of the scopes by position, section, whole and joint."""
    standing = layout.compiled.standing
    sections = [key for code in scope.sections for key in layout.sections[code]]
    keys = {*scope.positions, *sections}
    for key in standing.positions:
        if scope.whole or key in keys:
            yield ("position", key, ""), FITTED
    for key in standing.joints if scope.whole else scope.joints:
        yield from _joint(layout, key, asked=key in scope.joints)


def _joint(
    layout: Layout, key: Key, *, asked: bool
) -> Iterator[tuple[WholePlace, Demand]]:
    """The screws of a joint; where asked for by itself, its seals and hardware too."""
    joint = layout.compiled.standing.joints[key]
    why = (Reason(joint=key),)
    for group in joint.groups:
        yield ("joint", key, group.code), always(Call("renew", why))
    if not asked:
        return
    for seal in joint.seals:
        yield ("position", seal, ""), where(joint.exists, Call("renew", why))
    for group in joint.groups:
        stays = group.group.stud is not None and group.group.stud.stays
        for position in hole_positions(group):
            if position != group.stud or not stays:
                call = Call("renew", why, ((key, group.code),))
                yield ("position", position, ""), where(group.exists, call)
