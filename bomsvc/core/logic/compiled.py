"""One revision compiled: clauses, gates and everything that stands, immutable.

`compile_catalogue` is deterministic and pure; keep its result by the catalogue's
digest. Solving happens elsewhere (`Reasoner`), on solvers made from this.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from functools import cached_property
from types import MappingProxyType

from bomsvc.core.catalogue.conditions import Condition
from bomsvc.core.catalogue.entities import Catalogue, Ref, Rule
from bomsvc.core.logic.gates import Clause, Gates, negated
from bomsvc.core.logic.naming import (
    NOBODY,
    Names,
    Namespaces,
    Owner,
    item_key,
    namespaces_of,
)
from bomsvc.core.logic.serials import SerialInterval, all_conditions, cut_serials
from bomsvc.core.logic.standing import FALSE, TRUE, Key, Lit, Standing
from bomsvc.core.logic.translate import Translator
from bomsvc.core.logic.tree import (
    OptionTree,
    StandingOption,
    StructureUnit,
    parents_first,
    plant_tree,
)
from bomsvc.core.logic.unroll import Unroller


@dataclass(frozen=True, slots=True)
class StandingRule:
    """A rule of one member: `holds` is the literal of "when implies then"."""

    key: Key
    rule: Rule
    member: int | None
    when: Lit
    then: Lit
    clauses: tuple[Clause, ...]
    """Clauses that make the rule hold, over core variables and gates."""


@dataclass(frozen=True)
class Model:
    """The compiled clauses and gates.

    Attributes:
        core: Variables 1..core are TRUE, the choices and the tree's helpers.
        gates: Inputs of each gate; gate `i` is variable `core + 1 + i`. A gate's
            inputs are core variables or earlier gates.
        structure: The option tree's clauses, by option.
        rules: Rules in document order, members of a series in order.
    """

    core: int
    gates: tuple[tuple[Lit, ...], ...]
    structure: tuple[StructureUnit, ...]
    rules: tuple[StandingRule, ...]

    @property
    def top(self) -> int:
        """The last gate's variable."""
        return self.core + len(self.gates)

    def inputs_of(self, lit: int) -> tuple[Lit, ...]:
        """Return a gate's inputs; () for a core variable."""
        index = abs(lit) - self.core - 1
        return self.gates[index] if index >= 0 else ()


@dataclass(frozen=True, eq=False)
class Compiled:
    """A revision ready for reasoning; equal digests compile to equal values."""

    catalogue: Catalogue
    standing: Standing
    model: Model
    options: Mapping[Key, StandingOption]
    intervals: tuple[SerialInterval, ...]
    thresholds: tuple[Lit, ...]
    names: Namespaces = field(repr=False)

    @property
    def digest(self) -> str:
        """The catalogue's digest."""
        return self.catalogue.digest

    def keys_from(
        self, ref: Ref, member: int | None, each: str | None
    ) -> tuple[Key, ...]:
        """Resolve a part's reference to positions, seen from where the part sits.

        Args:
            ref: The reference, as `includes` or `renew_with` name it.
            member: Member of the position the part sits in, or None.
            each: Series of that position, or None.
        """
        owner = NOBODY if each is None else Owner(each, member)
        return self.names.places.keys(ref, owner)

    @cached_property
    def option_order(self) -> tuple[Key, ...]:
        """Option keys in document order, parents before children, serial last."""
        return parents_first(self.options)

    @cached_property
    def rules(self) -> Mapping[Key, StandingRule]:
        """Rules by key."""
        return MappingProxyType({rule.key: rule for rule in self.model.rules})

    @cached_property
    def owner_of(self) -> Mapping[Lit, tuple[Key, str]]:
        """Choice literal -> (option key, choice code)."""
        return MappingProxyType(
            {
                lit: (key, code)
                for key, option in self.options.items()
                for code, lit in option.choices.items()
            }
        )


def compile_catalogue(
    catalogue: Catalogue, *, also_cut: Iterable[Condition] = ()
) -> Compiled:
    """Compile a catalogue that the reader has accepted.

    Deterministic: equal documents give equal variables, clauses and gates.

    Args:
        catalogue: The document.
        also_cut: Conditions that cut the serial number besides the document's own,
            so that two revisions can be compared interval by interval.
    """
    gates = Gates()
    intervals = cut_serials((*all_conditions(catalogue), *also_cut))
    tree = plant_tree(catalogue, intervals, gates)
    names = namespaces_of(catalogue)
    translator = Translator(tree, names.options, gates)
    rules = _standing_rules(catalogue, names.places, translator, gates)
    standing = Unroller(names, translator.literal, gates.all_of).standing(catalogue)
    return Compiled(
        catalogue=catalogue,
        standing=standing,
        model=Model(gates.core, gates.inputs(), tree.units, rules),
        options=MappingProxyType(dict(tree.options)),
        intervals=tree.intervals,
        thresholds=tree.thresholds,
        names=names,
    )


def _standing_rules(
    catalogue: Catalogue, names: Names, translator: Translator, gates: Gates
) -> tuple[StandingRule, ...]:
    found = []
    for rule in catalogue.rules:
        for owner in names.owners(rule.each):
            when = translator.literal(rule.when, owner)
            then = translator.literal(rule.then, owner)
            holds = gates.any_of((negated(when), then))
            clauses = tuple(_asserted(holds, gates))
            key = item_key(rule.code, owner.member)
            found.append(StandingRule(key, rule, owner.member, when, then, clauses))
    return tuple(found)


def _asserted(lit: Lit, gates: Gates) -> list[Clause]:
    """Return clauses that hold exactly when `lit` does, as plain as they can be."""
    if lit == TRUE:
        return []
    if lit == FALSE:
        return [(FALSE,)]
    inputs = gates.inputs_of(lit)
    if not inputs:
        return [(lit,)]
    if lit > 0:
        return [clause for inner in inputs for clause in _asserted(inner, gates)]
    return [tuple(-inner for inner in inputs)]


__all__ = [
    "Compiled",
    "Model",
    "OptionTree",
    "StandingOption",
    "StandingRule",
    "compile_catalogue",
]
