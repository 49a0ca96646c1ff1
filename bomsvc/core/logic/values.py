"""Options as variables over their possible values, one of them "not there"."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from bomsvc.core.logic.compiled import Compiled
from bomsvc.core.logic.domains import Domain
from bomsvc.core.logic.gates import negated
from bomsvc.core.logic.standing import Key, Lit
from bomsvc.core.logic.tree import StandingOption


@dataclass(frozen=True, slots=True)
class Variable:
    """An option, or one choice of an `any` option.

    Attributes:
        option: The option's key.
        values: Possible choice codes, document order; None: not there.
        excluding: Per value the literal that excludes it.
        dearest_first: Indexes of the values, the usual one first.
        code: The choice of an `any` option, else "".
    """

    option: Key
    values: tuple[str | None, ...]
    excluding: tuple[Lit, ...]
    dearest_first: tuple[int, ...]
    code: str = ""

    def held_to(self, values: frozenset[int]) -> list[Lit]:
        """Return the literals that exclude every other value."""
        return [x for index, x in enumerate(self.excluding) if index not in values]


def variables_of(
    compiled: Compiled, keys: Sequence[Key], domain: Domain
) -> tuple[Variable, ...]:
    """Return the options' variables; those with one value only are left out."""
    made = [v for key in keys for v in _variables(compiled.options[key], domain)]
    return tuple(v for v in made if len(v.values) > 1)


def _variables(option: StandingOption, domain: Domain) -> Iterator[Variable]:
    if option.option.choose == "one":
        yield _one(option, domain)
        return
    for code, lit in option.choices.items():
        if domain.may(lit) and domain.may(-lit):
            order = (0, 1) if code in option.usual else (1, 0)
            yield Variable(option.key, (code, None), (negated(lit), lit), order, code)


def _one(option: StandingOption, domain: Domain) -> Variable:
    values: list[str | None] = [
        code for code, lit in option.choices.items() if domain.may(lit)
    ]
    excluding = [negated(option.choices[code]) for code in values if code is not None]
    if domain.may(-option.active):
        values.append(None)
        excluding.append(option.active)
    usual = [i for i, code in enumerate(values) if code in option.usual]
    order = (*usual, *(i for i in range(len(values)) if i not in usual))
    return Variable(option.key, tuple(values), tuple(excluding), order)
