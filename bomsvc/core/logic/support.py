"""Which options a condition speaks of, by its form."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from bomsvc.core.logic.compiled import Compiled
from bomsvc.core.logic.serials import SERIAL
from bomsvc.core.logic.standing import TRUE, Key, Lit


class Support:
    """Finds the options of conditions; keep one per compiled revision."""

    def __init__(self, compiled: Compiled) -> None:
        self._model = compiled.model
        self._order = {key: i for i, key in enumerate(compiled.options)}
        self._owner = _owners(compiled)
        self._gates: dict[int, frozenset[Key]] = {}

    def of(self, lits: Iterable[Lit]) -> tuple[Key, ...]:
        """Return the options named by the literals' conditions, document order."""
        keys = {key for lit in lits for key in self._of(abs(lit))}
        return tuple(sorted(keys, key=self._order.__getitem__))

    def _of(self, variable: int) -> frozenset[Key]:
        if variable <= self._model.core:
            owner = self._owner.get(variable)
            return frozenset() if owner is None else frozenset((owner,))
        found = self._gates.get(variable)
        if found is None:
            inputs = self._model.inputs_of(variable)
            found = frozenset().union(*(self._of(abs(lit)) for lit in inputs))
            self._gates[variable] = found
        return found


def _owners(compiled: Compiled) -> Mapping[int, Key]:
    """Return core variable -> its option; the tree's helpers included."""
    owners = {
        abs(lit): key
        for key, option in compiled.options.items()
        for lit in option.choices.values()
    }
    owners.update((threshold, SERIAL) for threshold in compiled.thresholds)
    for unit in compiled.model.structure:
        owners.update((helper, unit.option) for helper, _ in unit.helpers)
    owners.pop(TRUE, None)
    return owners
