"""Conditions about conditions: gates on top of a compiled revision's own.

Checks put their questions as literals of an extended model, so that one solver, one
table and one counter-example search serve every check.
"""

from __future__ import annotations

from dataclasses import replace

from bomsvc.core.logic.compiled import Compiled, Model
from bomsvc.core.logic.gates import Gates, negated
from bomsvc.core.logic.standing import Lit


class Circuit(Gates):
    """Makes further gates after the model's; equal ones are the same literal."""

    def __init__(self, model: Model) -> None:
        super().__init__()
        self.core = model.core
        self._inputs = list(model.gates)
        self._known = {
            inputs: Lit(model.core + 1 + index)
            for index, inputs in enumerate(model.gates)
        }

    def implied(self, when: Lit, then: Lit) -> Lit:
        """Return the literal of "when implies then"."""
        return self.any_of((negated(when), then))


def extended(compiled: Compiled, circuit: Circuit) -> Compiled:
    """Return the revision with the circuit's gates; its own literals stay."""
    if len(circuit.inputs()) == len(compiled.model.gates):
        return compiled
    return replace(compiled, model=replace(compiled.model, gates=circuit.inputs()))
