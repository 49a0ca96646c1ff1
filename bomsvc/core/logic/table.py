"""Many conditions at once: gates as a table of literal indexes, read by NumPy.

Gates are laid out by depth and number of inputs, so one row of the table is a
gather of whole columns and an AND. The same table evaluates one build (booleans),
sixty-four builds at once (words), or what is possible under partial knowledge.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import TypeVar

import numpy as np
from numpy.typing import NDArray

from bomsvc.core.logic.compiled import Model
from bomsvc.core.logic.standing import Lit

Scalar = TypeVar("Scalar", np.bool_, np.uint64)
Rows = NDArray[np.intp]


@dataclass(frozen=True, slots=True)
class _Band:
    """Gates of one depth and width: their slots, and each input's column."""

    start: int
    stop: int
    columns: tuple[Rows, ...]


class Table:
    """Evaluates `lits`, in order; immutable, safe to share between threads.

    Core values come as an array over variables 0..core (index 0 unused), with any
    trailing shape: booleans for one build, 64-bit words for many.
    """

    def __init__(self, model: Model, lits: Sequence[Lit]) -> None:
        self._core = model.core
        cone = _cone(model, lits)
        order = _by_depth_and_width(model, cone)
        self._slots = model.core + 1 + len(cone)
        slot = {gate: model.core + 1 + i for i, (_, gate) in enumerate(order)}
        self._bands = self._laid_out(model, order, slot)
        self._wanted = np.array([self._index(lit, slot) for lit in lits], dtype=np.intp)

    def truths(self, core: NDArray[np.bool_]) -> NDArray[np.bool_]:
        """Return every literal's truth in one build."""
        return self._values(core)

    def truths_in(self, core: NDArray[np.uint64]) -> NDArray[np.uint64]:
        """Return every literal's truth in many builds, a bit each."""
        return self._values(core)

    def _values(self, core: NDArray[Scalar]) -> NDArray[Scalar]:
        values = np.empty((2 * self._slots, *core.shape[1:]), dtype=core.dtype)
        values[: self._core + 1] = core
        values[self._slots : self._slots + self._core + 1] = ~core
        for band in self._bands:
            out = values[band.start : band.stop]
            _conjoin(values, band.columns, out)
            np.invert(
                out, out=values[self._slots + band.start : self._slots + band.stop]
            )
        return values.take(self._wanted, axis=0)

    def possible(
        self, can_hold: NDArray[np.bool_], can_fail: NDArray[np.bool_]
    ) -> tuple[NDArray[np.bool_], NDArray[np.bool_]]:
        """Return which literals may hold and which may fail, as far as form tells.

        Kleene's strong logic on exact domains of the core variables: a False is
        proven, a True is only not yet refuted.
        """
        values = np.empty(2 * self._slots, dtype=np.bool_)
        values[: self._core + 1] = can_hold
        values[self._slots : self._slots + self._core + 1] = can_fail
        for band in self._bands:
            _conjoin(values, band.columns, values[band.start : band.stop])
            self._disjoin_negations(values, band)
        opposite = (self._wanted + self._slots) % (2 * self._slots)
        return values[self._wanted], values[opposite]

    def _disjoin_negations(self, values: NDArray[np.bool_], band: _Band) -> None:
        out = values[self._slots + band.start : self._slots + band.stop]
        out[:] = False
        for column in band.columns:
            out |= values[(column + self._slots) % (2 * self._slots)]

    def _laid_out(
        self,
        model: Model,
        order: Sequence[tuple[tuple[int, int], int]],
        slot: dict[int, int],
    ) -> tuple[_Band, ...]:
        grouped: dict[tuple[int, int], list[int]] = defaultdict(list)
        for shape, gate in order:
            grouped[shape].append(gate)
        bands = []
        for gates in grouped.values():
            rows = [
                [self._index(lit, slot) for lit in model.inputs_of(gate)]
                for gate in gates
            ]
            start = slot[gates[0]]
            columns = tuple(np.array(c, dtype=np.intp) for c in zip(*rows, strict=True))
            bands.append(_Band(start, start + len(gates), columns))
        return tuple(bands)

    def _index(self, lit: int, slot: dict[int, int]) -> int:
        variable = abs(lit)
        place = variable if variable <= self._core else slot[variable]
        return place if lit > 0 else place + self._slots


def _conjoin(
    values: NDArray[Scalar], columns: tuple[Rows, ...], out: NDArray[Scalar]
) -> None:
    values.take(columns[0], axis=0, out=out, mode="clip")
    for column in columns[1:]:
        np.bitwise_and(out, values.take(column, axis=0, mode="clip"), out=out)


def _cone(model: Model, lits: Iterable[int]) -> set[int]:
    """Return every gate that the literals rest on."""
    found: set[int] = set()
    waiting = [abs(lit) for lit in lits if abs(lit) > model.core]
    while waiting:
        gate = waiting.pop()
        if gate not in found:
            found.add(gate)
            waiting.extend(
                abs(lit) for lit in model.inputs_of(gate) if abs(lit) > model.core
            )
    return found


def _by_depth_and_width(
    model: Model, cone: set[int]
) -> list[tuple[tuple[int, int], int]]:
    depth: dict[int, int] = {}
    shaped = []
    for gate in sorted(cone):
        inputs = model.inputs_of(gate)
        depth[gate] = 1 + max(depth.get(abs(lit), 0) for lit in inputs)
        shaped.append(((depth[gate], len(inputs)), gate))
    shaped.sort()
    return shaped
