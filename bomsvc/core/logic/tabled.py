"""Cases of the deciding options read off one joint table, without solving."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from bomsvc.core.logic.counting import Joint
from bomsvc.core.logic.deciding import Outcomes, is_open
from bomsvc.core.logic.domains import Domain, Flags
from bomsvc.core.logic.in_force import InForce
from bomsvc.core.logic.sampling import Case, outcome_of
from bomsvc.core.logic.serials import SERIAL
from bomsvc.core.logic.standing import TRUE, Key, Lit
from bomsvc.core.logic.weighing import Filed, weight_of

_CELLS = 1 << 18
"""The largest joint table, and the work to make it."""

Rows = NDArray[np.intp]


def tabled_cases(
    rules: InForce,
    domain: Domain,
    keys: Sequence[Key],
    places: Sequence[Outcomes],
    limits: tuple[int, int],
    *,
    filed: Filed = (),
) -> tuple[tuple[Case, ...], bool] | None:
    """Return the cases of the options `keys`, and whether these are all.

    Args:
        rules: The rules in force.
        domain: What is possible; exact.
        keys: Options that decide the places' outcomes.
        places: The places.
        limits: All cases up to the first number, else as many as the second, evenly
            spaced in document order.
        filed: What engines on file say of the options `keys`.

    Returns:
        None when the joint table would be over its budget.
    """
    options = rules.compiled.options
    named = rules.support.of(lit for place in places for lit in place.lits)
    others = [k for k in named if k not in keys and is_open(options[k], domain)]
    joint = rules.counter.joint(domain, [*keys, *others], cells=_CELLS)
    if joint is None:
        return None
    rows, complete = _rows(joint, keys, limits)
    core = _core(rules, domain, joint, rows)
    lits = tuple(lit for place in places for lit in place.lits)
    truths = rules.table(lits).truths(core).T.tolist()
    at = {column: place for place, column in enumerate(joint.scope)}
    cases = [
        Case(
            {
                key: tuple(int(row[at[c]]) for c in joint.columns[key] if c in at)
                for key in keys
            },
            outcome_of(places, truth),
            weight_of(filed, values),
        )
        for row, truth, values in zip(rows, truths, core.T, strict=True)
    ]
    return tuple(cases), complete


def _rows(
    joint: Joint, keys: Sequence[Key], limits: tuple[int, int]
) -> tuple[Rows, bool]:
    """Return value numbers per row over the joint's columns, one row per case.

    Of the combinations that are one case, the first stands for all.
    """
    chosen = {column for key in keys for column in joint.columns[key]}
    first = [i for i, column in enumerate(joint.scope) if column in chosen]
    rest = [i for i in range(len(joint.scope)) if i not in first]
    order = [*first, *rest]
    table = joint.together.transpose(order)
    shape = table.shape
    flat = table.reshape(int(np.prod(shape[: len(first)], dtype=np.int64)), -1)
    cases = np.flatnonzero(flat.any(axis=1))
    most, sampled = limits
    complete = len(cases) <= most
    if not complete:
        cases = cases[np.arange(sampled) * len(cases) // sampled]
    whole = cases * flat.shape[1] + flat[cases].argmax(axis=1)
    numbers = np.array(np.unravel_index(whole, shape), dtype=np.intp).reshape(
        len(order), -1
    )
    return numbers[np.argsort(order)].T, complete


def _core(rules: InForce, domain: Domain, joint: Joint, rows: Rows) -> Flags:
    """Return core values, one column per row; what is not in the joint is unset."""
    core = np.repeat((domain.can_hold & ~domain.can_fail)[:, None], len(rows), axis=1)
    for place, values in enumerate(joint.values):
        for number, lit in enumerate(values):
            core[abs(lit), rows[:, place] == number] = lit > 0
    _set_thresholds(rules, core)
    core[TRUE] = True
    return core


def _set_thresholds(rules: InForce, core: Flags) -> None:
    """Set "this interval or above" from the intervals, the last one down."""
    inside = list(rules.compiled.options[SERIAL].choices.values())
    thresholds = rules.compiled.thresholds
    above = np.zeros(core.shape[1], dtype=np.bool_)
    for lit, threshold in zip(reversed(inside), reversed(thresholds), strict=True):
        above = above | _held(core, lit)
        if threshold != TRUE:
            core[threshold] = above


def _held(core: Flags, lit: Lit) -> Flags:
    held: Flags = core[abs(lit)]
    return held if lit > 0 else ~held
