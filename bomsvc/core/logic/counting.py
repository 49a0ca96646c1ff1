"""How many builds remain, exactly: columns summed out one by one.

The work is known before it is done, so a budget refuses rather than stops midway.
Whole numbers beyond 63 bits are carried as residues and put together by the Chinese
remainder theorem. (R. Dechter, "Bucket elimination: a unifying framework for
reasoning", Artificial Intelligence 113, 1999.)
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import reduce
from math import prod

import numpy as np
from numpy.typing import NDArray

from bomsvc.core.logic.columns import Columns, Relation, TooWide, spread
from bomsvc.core.logic.compiled import Compiled
from bomsvc.core.logic.domains import Domain
from bomsvc.core.logic.gates import Clause

Whole = NDArray[np.int64]
Scope = tuple[int, ...]

_RULE_CELLS = 1 << 16
"""The widest table of one clause."""
_PLAIN_BITS = 62
"""Up to so many bits a count is carried as it is."""
_PRIME_BITS = 30
_LARGEST_RESIDUE = (1 << 31) - 1
"""Products of two residues stay within 62 bits."""


def count_builds(
    compiled: Compiled, domain: Domain, clauses: Sequence[Clause], *, cells: int
) -> int | None:
    """Return the number of remaining builds, serial intervals as choices.

    Args:
        compiled: The revision.
        domain: What is possible under what is known; it must be exact.
        clauses: The clauses of the rules in force.
        cells: Table cells that the whole count may fill.

    Returns:
        The exact number, or None when it would take more.
    """
    try:
        columns = Columns(compiled, domain, cells=_RULE_CELLS)
        relations = columns.relations(clauses)
    except TooWide:
        return None
    order = _elimination(columns.sizes, [r.scope for r in relations])
    moduli = _moduli(prod(columns.sizes))
    if order.cells * len(moduli) > cells:
        return None
    residues = _sum_out(columns.sizes, relations, order.columns, moduli)
    return _chinese(residues, moduli)


@dataclass(frozen=True, slots=True)
class _Order:
    columns: tuple[int, ...]
    cells: int


def _elimination(sizes: Sequence[int], scopes: Sequence[Scope]) -> _Order:
    """Return a greedy order: the column whose table is smallest goes first."""
    near: list[set[int]] = [set() for _ in sizes]
    for scope in scopes:
        for column in scope:
            near[column].update(scope)
    for column, around in enumerate(near):
        around.discard(column)
    cost = {c: sizes[c] * prod(sizes[n] for n in near[c]) for c in range(len(sizes))}
    order, cells = [], 0
    while cost:
        column = min(cost, key=lambda c: (cost[c], c))
        order.append(column)
        cells += cost.pop(column)
        around = near[column]
        for other in around:
            near[other] |= around
            near[other] -= {other, column}
            cost[other] = sizes[other] * prod(sizes[n] for n in near[other])
    return _Order(tuple(order), cells)


def _moduli(most: int) -> tuple[int, ...]:
    """Return primes whose product is over `most`; (0,) when no residue is needed."""
    if most.bit_length() <= _PLAIN_BITS:
        return (0,)
    count = most.bit_length() // _PRIME_BITS + 1
    primes: list[int] = []
    candidate = _LARGEST_RESIDUE
    while len(primes) < count:
        if _is_prime(candidate):
            primes.append(candidate)
        candidate -= 2
    return tuple(primes)


def _is_prime(number: int) -> bool:
    """Return whether an odd number under 2**31 is prime.

    Source: G. Jaeschke, "On strong pseudoprimes to several bases", Mathematics of
    Computation 61, 1993: bases 2, 3, 5, 7 decide every number below 3215031751.
    """
    odd, twos = number - 1, 0
    while odd % 2 == 0:
        odd, twos = odd // 2, twos + 1
    for base in (2, 3, 5, 7):
        power = pow(base, odd, number)
        if power in (1, number - 1):
            continue
        if not any(
            (power := power * power % number) == number - 1 for _ in range(twos)
        ):
            return False
    return True


def _sum_out(
    sizes: Sequence[int],
    relations: Sequence[Relation],
    order: Sequence[int],
    moduli: Sequence[int],
) -> list[int]:
    """Return the sum over all values of the product of all tables, per modulus.

    Tables carry the moduli as their first axis.
    """
    when = {column: index for index, column in enumerate(order)}
    waiting: list[list[tuple[Scope, Whole]]] = [[] for _ in order]
    totals = np.ones(len(moduli), dtype=np.int64)
    modulus = np.array(moduli, dtype=np.int64)
    for relation in relations:
        first = min(when[column] for column in relation.scope)
        table = np.repeat(relation.allowed[None].astype(np.int64), len(moduli), axis=0)
        waiting[first].append((relation.scope, table))
    for index, column in enumerate(order):
        scope, table = _product(waiting[index], column, sizes, modulus)
        rest = tuple(c for c in scope if c != column)
        summed = _reduced(table.sum(axis=1 + scope.index(column)), modulus)
        if rest:
            waiting[min(when[c] for c in rest)].append((rest, summed))
        else:
            totals = _reduced(totals * summed, modulus)
    return [int(total) for total in totals]


def _product(
    tables: Sequence[tuple[Scope, Whole]],
    column: int,
    sizes: Sequence[int],
    modulus: Whole,
) -> tuple[Scope, Whole]:
    scope = tuple(sorted({column, *(c for own, _ in tables for c in own)}))
    shape = [len(modulus), *(sizes[c] for c in scope)]
    product = np.ones(shape, dtype=np.int64)
    for own, table in tables:
        product *= spread(table, (-1, *own), (-1, *scope))
        product = _reduced(product, modulus)
    return scope, product


def _reduced(table: Whole, modulus: Whole) -> Whole:
    if modulus[0] == 0:
        return table
    residues: Whole = table % modulus.reshape(-1, *[1] * (table.ndim - 1))
    return residues


def _chinese(residues: Sequence[int], moduli: Sequence[int]) -> int:
    if moduli[0] == 0:
        return residues[0]
    whole = prod(moduli)

    def part(pair: tuple[int, int]) -> int:
        residue, modulus = pair
        others = whole // modulus
        return residue * others * pow(others, -1, modulus)

    return reduce(int.__add__, map(part, zip(residues, moduli, strict=True))) % whole
