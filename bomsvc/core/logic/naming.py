"""Keys of items that stand once per member of a series, and references to them."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from bomsvc.core.catalogue.entities import Catalogue, Ref
from bomsvc.core.logic.standing import Key


@dataclass(frozen=True, slots=True)
class Owner:
    """Who a condition or reference belongs to: a member of a series, or nobody."""

    series: str | None = None
    member: int | None = None


NOBODY = Owner()


def item_key(code: str, member: int | None) -> Key:
    """Return `main_upper[4]`, or the bare code without a member."""
    return code if member is None else f"{code}[{member}]"


class Names:
    """The items of one namespace, with the series each of them stands in."""

    def __init__(
        self, series: Mapping[str, int], each: Iterable[tuple[str, str | None]]
    ) -> None:
        self._series = series
        self._each = dict(each)

    def owners(self, each: str | None) -> tuple[Owner, ...]:
        """Return one owner per member of the series, or nobody for none."""
        if each is None:
            return (NOBODY,)
        return tuple(Owner(each, m) for m in range(1, self._series[each] + 1))

    def keys(self, ref: Ref, owner: Owner = NOBODY) -> tuple[Key, ...]:
        """Resolve a reference seen from `owner`: same member, one, or all."""
        each = self._each[ref.code]
        if each is None:
            return (ref.code,)
        if ref.member is not None:
            return (item_key(ref.code, ref.member),)
        if each == owner.series:
            return (item_key(ref.code, owner.member),)
        return tuple(item_key(ref.code, o.member) for o in self.owners(each))


@dataclass(frozen=True, slots=True)
class Namespaces:
    """The document's namespaces; positions and steps share one."""

    options: Names
    places: Names
    joints: Names
    jobs: Names


def namespaces_of(catalogue: Catalogue) -> Namespaces:
    """Return where each code of the document stands."""
    series = catalogue.family.series
    places = [(p.code, p.each) for p in catalogue.positions]
    places += [(s.code, s.each) for s in catalogue.steps]
    return Namespaces(
        options=Names(series, ((o.code, o.each) for o in catalogue.options)),
        places=Names(series, places),
        joints=Names(series, ((j.code, j.each) for j in catalogue.joints)),
        jobs=Names(series, ((j.code, j.each) for j in catalogue.jobs)),
    )
