"""One full build: its answers, and the truth of any condition in it."""

from __future__ import annotations

from collections.abc import Iterator
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from bomsvc.core.logic.compiled import Compiled
from bomsvc.core.logic.serials import SERIAL
from bomsvc.core.logic.standing import TRUE, Key, Lit
from bomsvc.core.logic.tree import StandingOption

Answer = str | list[str] | int


class Build:
    """A full build. Whether it is valid is the maker's to say, not this class's.

    Equal builds have equal answers. `truth` may be called for any literal of the
    compiled revision.
    """

    def __init__(
        self, compiled: Compiled, core: NDArray[np.bool_], serial: int
    ) -> None:
        self._compiled = compiled
        self.core = core
        self.core.flags.writeable = False
        self.serial = serial
        self._gates: dict[int, bool] = {}

    def truth(self, lit: Lit) -> bool:
        """Return whether the literal's condition holds in this build."""
        value = self._value(abs(lit))
        return value if lit > 0 else not value

    @cached_property
    def answers(self) -> dict[Key, Answer]:
        """Every active option in the REST form: sets exact, serial a number."""
        return dict(self._active_answers())

    def choices(self, key: Key) -> tuple[str, ...]:
        """Return the choices of an option that hold, document order."""
        return tuple(
            code
            for code, lit in self._compiled.options[key].choices.items()
            if self.truth(lit)
        )

    def __eq__(self, other: object) -> bool:
        """Two builds are equal when they answer the same."""
        return isinstance(other, Build) and self.answers == other.answers

    def __hash__(self) -> int:
        return hash((self.serial, self.core.tobytes()))

    def __repr__(self) -> str:
        return f"Build({self.answers!r})"

    def _active_answers(self) -> Iterator[tuple[Key, Answer]]:
        for key, option in self._compiled.options.items():
            if key == SERIAL:
                yield key, self.serial
            elif self.truth(option.active):
                yield key, self._answer(option)

    def _answer(self, option: StandingOption) -> Answer:
        chosen = self.choices(option.key)
        return list(chosen) if option.option.choose == "any" else chosen[0]

    def _value(self, variable: int) -> bool:
        if variable < len(self.core):
            return variable == TRUE or bool(self.core[variable])
        value = self._gates.get(variable)
        if value is None:
            inputs = self._compiled.model.inputs_of(variable)
            value = all(self.truth(lit) for lit in inputs)
            self._gates[variable] = value
        return value


def serial_in(
    compiled: Compiled, core: NDArray[np.bool_], meant: tuple[int, int] | None
) -> int:
    """Return the least serial number of the build's interval that is meant."""
    choices = compiled.options[SERIAL].choices
    index = next(
        i for i, lit in enumerate(choices.values()) if bool(core[abs(lit)]) == (lit > 0)
    )
    first = compiled.intervals[index].first
    return first if meant is None else max(first, meant[0])
