"""What of a joint's stated tightening concerns the screws that come out."""

from __future__ import annotations

from collections.abc import Iterator, Set
from dataclasses import replace

from bomsvc.core.catalogue.entities import Joint, Pass, Tighten

STAYS_CLOSED = "Only these screws come out; the joint stays closed."


def tightening_of(joint: Joint, groups: Set[str], *, opened: bool) -> Tighten:
    """The passes and the loosening order for these groups' holes alone.

    Args:
        joint: The joint.
        groups: Codes of the groups that are there and whose screws come out.
        opened: The joint comes apart; else what its note says of sealing and fitting
            does not concern it.
    """
    stated = joint.tighten or Tighten()
    holes = {h.hole for g in joint.groups if g.code in groups for h in g.holes}
    return Tighten(
        passes=tuple(_passes(stated, groups, holes)),
        loosen_order=tuple(hole for hole in stated.loosen_order if hole in holes),
        note=stated.note if opened else STAYS_CLOSED,
    )


def _passes(stated: Tighten, groups: Set[str], holes: Set[int]) -> Iterator[Pass]:
    for one in stated.passes:
        named = tuple(code for code in one.groups if code in groups)
        order = tuple(hole for hole in one.order if hole in holes)
        if bool(named) == bool(one.groups) and bool(order) == bool(one.order):
            yield replace(one, groups=named, order=order)
