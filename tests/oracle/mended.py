"""Whether jobs can be done at all, and whether they could, were some faults mended.

Mended: the position comes off by itself, the joint opens by itself, the step waits
for nothing and owes nothing.
"""

from __future__ import annotations

import itertools
from collections.abc import Collection, Iterable
from dataclasses import replace

from tests.oracle.work import (
    Setting,
    can_be_ordered,
    comes_off,
    opened,
    renewed,
)

Cause = tuple[str, str]
NOTHING: frozenset[Cause] = frozenset()


def cannot_be_done(setting: Setting, causes: Collection[Cause] = NOTHING) -> bool:
    """Whether no set of steps does what is asked; every one is tried."""
    apart = _without_what_is_mended(setting, causes)
    keys = list(setting.steps)
    return not any(
        _does_it(apart, set(subset), causes)
        for size in range(len(keys), -1, -1)
        for subset in itertools.combinations(keys, size)
    )


def _at(causes: Collection[Cause], code: str) -> set[str]:
    return {at for cause, at in causes if cause == code}


def _without_what_is_mended(setting: Setting, causes: Collection[Cause]) -> Setting:
    off, free = _at(causes, "position_stuck"), _at(causes, "needs_cycle")
    steps = {
        key: replace(step, needs_steps=set(), needs_positions=set(), then=set())
        if key in free
        else replace(step, needs_positions=step.needs_positions - off)
        for key, step in setting.steps.items()
    }
    return replace(setting, steps=steps)


def _does_it(setting: Setting, done: set[str], causes: Collection[Cause]) -> bool:
    owing = done - _at(causes, "needs_cycle")
    off = comes_off(setting, done) | _at(causes, "position_stuck")
    return (
        setting.asked.do <= done
        and setting.asked.reseal
        <= opened(setting, done) | _at(causes, "joint_never_opened")
        and _met(setting, done)
        and renewed(setting, owing) <= off
        and can_be_ordered(setting, done)
    )


def _met(setting: Setting, done: Iterable[str]) -> bool:
    done = set(done)
    out = comes_off(setting, done)
    return all(
        setting.steps[key].needs_steps | setting.steps[key].then <= done
        and setting.steps[key].needs_positions <= out
        for key in done
    )
