"""Which builds a condition holds in, in the shortest true words.

A term restricts some options to some of their values. A prime term cannot be
widened without letting in a build where the condition fails; a cover is a set of
prime terms that together are the condition, none of them to spare. All under the
rules: what no build has does not count. (W. Quine, "A way to simplify truth
functions", American Mathematical Monthly 62, 1955; here with many-valued options.)
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from bomsvc.core.logic.in_force import Assumptions, InForce
from bomsvc.core.logic.standing import Key, Lit
from bomsvc.core.logic.values import Variable, variables_of

Term = tuple["Limited", ...]


@dataclass(frozen=True, slots=True)
class Limited:
    """An option, or one choice of an `any` option, held to some of its values.

    Attributes:
        option: The option's key.
        choices: Choices allowed, document order.
        absent: Whether not being there is allowed. For a choice of an `any`
            option: that it is not there.
        code: The choice of an `any` option that is spoken of, else "".
    """

    option: Key
    choices: tuple[str, ...]
    absent: bool
    code: str = ""


@dataclass(frozen=True, slots=True)
class Cover:
    """Terms that together say when a condition holds.

    `complete` False: there are more; what is listed is still true. One empty term:
    always. No terms: never.
    """

    terms: tuple[Term, ...]
    complete: bool


def find_cover(
    rules: InForce, assumptions: Assumptions, lit: Lit, keys: Sequence[Key], limit: int
) -> Cover:
    """Return an irredundant cover of `lit` by prime terms over options `keys`.

    Args:
        rules: The rules in force.
        assumptions: What is known; it must be consistent.
        lit: The condition.
        keys: Options that decide it.
        limit: At most so many terms.
    """
    domain = rules.domain(assumptions)
    assert domain is not None, "a cover is asked of consistent answers only"
    search = _Cover(rules, assumptions, lit, variables_of(rules.compiled, keys, domain))
    cubes, complete = search.primes(limit)
    return Cover(
        tuple(_term(search.variables, cube) for cube in search.spare_none(cubes)),
        complete,
    )


Cube = tuple[frozenset[int] | None, ...]
"""Per variable the indexes of the values allowed; None: all."""


class _Cover:
    def __init__(
        self,
        rules: InForce,
        assumptions: Assumptions,
        lit: Lit,
        variables: Sequence[Variable],
    ) -> None:
        self.variables = variables
        self._engine = rules.conditions
        self._given = list(assumptions)
        self._lit = self._engine.local(lit)

    def primes(self, limit: int) -> tuple[list[Cube], bool]:
        """Return prime terms that cover the condition, at most `limit`."""
        cubes: list[Cube] = []
        with self._engine.guarded() as guard:
            while self._engine.solve([*self._given, self._lit, guard]):
                if len(cubes) == limit:
                    return cubes, False
                cubes.append(self._widened(self._point(guard)))
                outside = self._lits(cubes[-1])
                self._engine.add([-guard, *(-lit for lit in outside)])
        return cubes, True

    def spare_none(self, cubes: list[Cube]) -> list[Cube]:
        """Drop terms that the others cover, the last ones first."""
        kept = list(cubes)
        for cube in reversed(cubes):
            others = [other for other in kept if other is not cube]
            if self._covered(cube, others):
                kept = others
        return kept

    def _covered(self, cube: Cube, others: Sequence[Cube]) -> bool:
        with self._engine.guarded() as guard:
            for other in others:
                self._engine.add([-guard, *(-lit for lit in self._lits(other))])
            assumed = [*self._given, self._lit, guard, *self._lits(cube)]
            return not self._engine.solve(assumed)

    def _point(self, guard: int) -> Cube:
        """Return the values of the first build not covered, dearest values first."""
        fixed = [*self._given, self._lit, guard]
        point: list[frozenset[int] | None] = []
        for variable in self.variables:
            for index in variable.dearest_first:
                lits = variable.held_to(frozenset((index,)))
                if self._engine.solve([*fixed, *lits]):
                    fixed += lits
                    point.append(frozenset((index,)))
                    break
        return tuple(point)

    def _widened(self, cube: Cube) -> Cube:
        """Return a prime term around the point: drop options, then add values."""
        for place in reversed(range(len(cube))):
            cube = self._try(cube, place, None)
        for place, variable in enumerate(self.variables):
            for index in range(len(variable.values)):
                values = cube[place]
                if values is not None and index not in values:
                    cube = self._try(cube, place, values | {index})
        return cube

    def _try(self, cube: Cube, place: int, values: frozenset[int] | None) -> Cube:
        wider = (*cube[:place], values, *cube[place + 1 :])
        assumed = [*self._given, -self._lit, *self._lits(wider)]
        return cube if self._engine.solve(assumed) else wider

    def _lits(self, cube: Cube) -> list[int]:
        return [
            lit
            for variable, values in zip(self.variables, cube, strict=True)
            if values is not None
            for lit in variable.held_to(values)
        ]


def _term(variables: Sequence[Variable], cube: Cube) -> Term:
    return tuple(
        Limited(
            variable.option,
            tuple(
                code
                for index, code in enumerate(variable.values)
                if code is not None and index in values
            ),
            absent=any(variable.values[index] is None for index in values),
            code=variable.code,
        )
        for variable, values in zip(variables, cube, strict=True)
        if values is not None
    )
