"""Two revisions in one model: every build of the one beside its like of the other.

Choices that both revisions have are one variable, so that conditions which did not
change are the same literal on both sides and need no question. A choice that only
one revision has cannot be part of a build valid in both where the other has its
option without it; an option that only one revision has is left free in the other.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import replace

import numpy as np

from bomsvc.core.catalogue.conditions import ALWAYS
from bomsvc.core.catalogue.entities import Catalogue, Rule
from bomsvc.core.logic.builds import Build
from bomsvc.core.logic.compiled import (
    Compiled,
    Model,
    StandingRule,
    compile_catalogue,
)
from bomsvc.core.logic.gates import Clause, Gates, negated
from bomsvc.core.logic.serials import SERIAL, all_conditions
from bomsvc.core.logic.standing import TRUE, Key, Lit
from bomsvc.core.logic.tree import StandingOption, StructureUnit
from bomsvc.core.prove.moved import moved


class Side:
    """One revision inside the joined model; `lit` translates its literals."""

    def __init__(
        self, compiled: Compiled, core: Mapping[int, Lit], gates: Gates
    ) -> None:
        self.compiled = compiled
        self._known: dict[int, Lit] = dict(core)
        for index, inputs in enumerate(compiled.model.gates):
            made = gates.all_of([self.lit(x) for x in inputs])
            self._known[compiled.model.core + 1 + index] = made

    def lit(self, lit: int) -> Lit:
        """Return the joined model's literal."""
        found = self._known[abs(lit)]
        return found if lit > 0 else negated(found)

    def tree(self) -> Iterator[Clause]:
        """Yield the option tree."""
        for unit in self.compiled.model.structure:
            yield from (self._clause(c) for c in unit.clauses)

    def rules(self) -> Iterator[StandingRule]:
        """Yield the rules, each under its own key and the revision's digest."""
        for rule in self.compiled.model.rules:
            yield replace(
                rule,
                key=f"{rule.key}@{self.compiled.digest}",
                when=self.lit(rule.when),
                then=self.lit(rule.then),
                clauses=tuple(self._clause(c) for c in rule.clauses),
            )

    def forms(self) -> Iterator[Clause]:
        """Yield what choices exclude each other, and what helper variables mean."""
        for unit in self.compiled.model.structure:
            if unit.kind == "serial":
                yield from (self._clause(c) for c in unit.clauses)
            elif unit.kind == "one":
                yield from (self._clause(c) for c in unit.clauses[1:])

    def demands(self) -> Iterator[Clause]:
        """Yield what a build of another revision may break: the tree and the rules."""
        for unit in self.compiled.model.structure:
            if unit.kind == "one":
                yield self._clause(unit.clauses[0])
            elif unit.kind == "under":
                yield from (self._clause(c) for c in unit.clauses)
        yield from self.rule_clauses()

    def rule_clauses(self) -> Iterator[Clause]:
        """Yield the rules."""
        for rule in self.compiled.model.rules:
            yield from (self._clause(c) for c in rule.clauses)

    def _clause(self, clause: Clause) -> Clause:
        return tuple(int(self.lit(x)) for x in clause)

    def build(self, build: Build) -> Build:
        """Return this revision's own build from one of the joined model."""
        core = self.compiled.model.core
        values = np.zeros(core + 1, dtype=np.bool_)
        for variable in range(1, core + 1):
            values[variable] = build.truth(self._known[variable])
        return Build(self.compiled, values, build.serial)


class Joined:
    """The joined model while it is made; read `compiled` when all gates are in.

    Attributes:
        gates: Where comparisons make their literals.
        before, after: The two revisions.
    """

    def __init__(self, before: Catalogue, after: Catalogue) -> None:
        cuts = (*all_conditions(before), *all_conditions(after))
        one = compile_catalogue(before, also_cut=cuts)
        other = compile_catalogue(after, also_cut=cuts)
        self.gates = Gates()
        for _ in range(one.model.core - 1):
            self.gates.fresh()
        same = _same_choices(one, other)
        core: dict[int, Lit] = {}
        for variable in range(1, other.model.core + 1):
            core[variable] = same.get(variable) or self.gates.fresh()
        self.before = Side(
            one, {v: Lit(v) for v in range(1, one.model.core + 1)}, self.gates
        )
        self.after = Side(other, core, self.gates)

    def compiled(self, *, both: bool = True, given: Lit = TRUE) -> Compiled:
        """Return the model as a revision: options of both, builds valid in both.

        Args:
            both: False for builds valid in the one before, whatever the other says.
            given: Only builds in which this holds.
        """
        clauses, rules = list(self.before.tree()), list(self.before.rules())
        if both:
            clauses += [*self.after.tree(), *self.unshared()]
            rules += self.after.rules()
        else:
            clauses += [*self.after.forms(), *self._unknown_before()]
        if given != TRUE:
            rules.append(_asserting(given))
        unit = StructureUnit("serial", "serial", tuple(clauses))
        model = Model(self.gates.core, self.gates.inputs(), (unit,), tuple(rules))
        return replace(self.before.compiled, model=model, options=self._options())

    def revisions(self, model: Compiled) -> tuple[Compiled, Compiled]:
        """Return both revisions with their conditions in the joined model."""
        before, after = (
            replace(
                side.compiled,
                model=model.model,
                options=model.options,
                standing=moved(side.compiled.standing, side.lit),
            )
            for side in (self.before, self.after)
        )
        return before, after

    def waived(self, names: Iterable[str]) -> tuple[Key, ...]:
        """Return the model's rules by the names that each revision has for them.

        A rule of a series goes by its code as well, for all members.
        """
        asked = set(names)
        return tuple(
            f"{rule.key}@{side.compiled.digest}"
            for side in (self.before, self.after)
            for rule in side.compiled.model.rules
            if rule.key in asked or rule.rule.code in asked
        )

    def _options(self) -> dict[Key, StandingOption]:
        """Return the options of both, the serial number last."""
        options = {
            **self.before.compiled.options,
            **{key: self._moved(option) for key, option in self.only_after()},
        }
        serial = options.pop(SERIAL)
        return {**options, SERIAL: serial}

    def only_after(self) -> Iterator[tuple[Key, StandingOption]]:
        """Yield the options that only the later revision has."""
        for key, option in self.after.compiled.options.items():
            if key not in self.before.compiled.options:
                yield key, option

    def _moved(self, option: StandingOption) -> StandingOption:
        lit = self.after.lit
        choices = {code: lit(choice) for code, choice in option.choices.items()}
        return replace(option, active=lit(option.active), choices=choices)

    def unshared(self) -> Iterator[Clause]:
        """Yield that choices of which the other revision knows nothing do not hold."""
        yield from self.unknown_after()
        yield from self._unknown_before()

    def unknown_after(self) -> Iterator[Clause]:
        """Yield that choices the later revision took out do not hold."""
        yield from _none_of_its_own(self.before, self.after)

    def _unknown_before(self) -> Iterator[Clause]:
        yield from _none_of_its_own(self.after, self.before)

    def free_after(self) -> frozenset[int]:
        """Return the variables of options that only the later revision has."""
        own = {key for key, _ in self.only_after()}
        lits = [
            lit
            for key, option in self.after.compiled.options.items()
            if key in own
            for lit in option.choices.values()
        ]
        for unit in self.after.compiled.model.structure:
            if unit.option in own:
                lits += [helper for helper, _ in unit.helpers]
        return frozenset(abs(self.after.lit(lit)) for lit in lits)


def _asserting(lit: Lit) -> StandingRule:
    """Return a rule that leaves only the builds in which the literal holds."""
    rule = Rule(code="given", then=ALWAYS, because="The builds that are looked at.")
    return StandingRule(rule.code, rule, None, TRUE, lit, ((int(lit),),))


def _none_of_its_own(here: Side, there: Side) -> Iterator[Clause]:
    for key, option in here.compiled.options.items():
        other = there.compiled.options.get(key)
        if other is None or key == SERIAL:
            continue
        for code, lit in option.choices.items():
            if code not in other.choices:
                yield (-int(here.lit(lit)),)


def _same_choices(one: Compiled, other: Compiled) -> dict[int, Lit]:
    """Return, per variable of the later revision, the earlier one's of its meaning."""
    same: dict[int, Lit] = {int(TRUE): TRUE}
    pairs = [
        (lit, one.options[key].choices[code])
        for key, option in other.options.items()
        if key in one.options
        for code, lit in option.choices.items()
        if code in one.options[key].choices
    ]
    pairs += list(zip(other.thresholds, one.thresholds, strict=True))
    for theirs, ours in pairs:
        if theirs > 0:
            same.setdefault(int(theirs), ours)
    return same
