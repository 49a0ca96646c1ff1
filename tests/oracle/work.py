"""Plans of jobs: every subset of the steps is tried.

Reading taken:
- Opening a joint frees its seals, and the nuts, washers and studs of its groups
  (a stud that stays excepted); loosening a group frees its nuts and washers.
- What a renewed part brings along (`includes`) is new too, so what has to be
  renewed with it is renewed; it need not be freed itself. Nor need anything else
  that is brought along: of all that is new with one renewed position, over
  `renew_with` and `includes`, only what none of it brings has to be renewed.
- A position renewed whole for one reason and for its single-use parts for another
  draws along what either would.
- A seal is a position that some joint of this build names in `seals`.
- The order: a step's needed steps come before it, and for each needed position
  one of the steps that free it comes before it.
- Where only a single-use part among several of a position is freed, only that part
  is renewed.
- A single-use part clamped in a joint is renewed when the joint is opened. It has
  to come off; where no step of the build frees it, opening the joint does.
- Ties: least minutes, fewest steps, then the sorted list of (code, member).
- The other way in is the best plan that lacks at least one chosen step.
"""

from __future__ import annotations

import itertools
from collections.abc import Iterable
from dataclasses import dataclass
from fractions import Fraction

from tests.oracle.builds import code_and_member, key_of
from tests.oracle.workplace import Setting, is_single, setting_of


@dataclass(frozen=True)
class Plan:
    """A set of steps with its minutes."""

    steps: tuple[str, ...]
    minutes: Fraction


def opened(setting: Setting, done: Iterable[str]) -> set[str]:
    """The joints that the steps open."""
    return {joint for key in done for joint in setting.steps[key].opens}


def undone_groups(setting: Setting, done: Iterable[str]) -> set[tuple[str, str]]:
    """The groups whose screws come out, by opening or loosening."""
    done = list(done)
    groups = {pair for key in done for pair in setting.steps[key].loosens}
    for joint in opened(setting, done):
        groups |= {(joint, group) for group in setting.groups[joint]}
    return groups


def freed(setting: Setting, done: Iterable[str]) -> set[str]:
    """The positions that the steps free."""
    done = list(done)
    found = {position for key in done for position in setting.steps[key].frees}
    for joint in opened(setting, done):
        found |= setting.seals[joint] | setting.studs[joint]
    for pair in undone_groups(setting, done):
        found |= setting.loose[pair]
    return found


def comes_off(setting: Setting, done: Iterable[str]) -> set[str]:
    """The positions freed, with clamped single-use parts that nothing else frees."""
    done = list(done)
    clamped = {key for j in opened(setting, done) for key in setting.clamped[j]}
    return freed(setting, done) | (clamped - freed(setting, setting.steps))


def renewed(setting: Setting, done: Iterable[str]) -> set[str]:
    """The positions of which something is renewed when these steps are done."""
    whole, single = renewed_parts(setting, done)
    return whole | single


def renewed_parts(setting: Setting, done: Iterable[str]) -> tuple[set[str], set[str]]:
    """Positions renewed whole, and those of which only single-use parts are."""
    done = list(done)
    out = comes_off(setting, done)
    clamped = {key for j in opened(setting, done) for key in setting.clamped[j]}
    all_seals = {key for keys in setting.seals.values() for key in keys}
    whole = set(setting.asked.renew) | (out & all_seals)
    single = (out & setting.single) | clamped
    first = [(setting.renew_with[key], setting.includes[key]) for key in whole]
    first += [
        (setting.renew_with_single[key], setting.includes_single[key]) for key in single
    ]
    for named, inside in first:
        whole |= drawn_along(setting, named, inside)
    return whole, single - whole


def drawn_along(setting: Setting, named: set[str], inside: set[str]) -> set[str]:
    """What is renewed because of one renewed position and comes with none of it.

    `named` is renewed with the position, `inside` comes with it.
    """
    named, inside = set(named), set(inside)
    new = set[str]()
    while waiting := (named | inside) - new:
        new |= waiting
        for key in waiting:
            named |= setting.renew_with[key]
            inside |= setting.includes[key]
    return named - inside


def brought_along(setting: Setting, whole: set[str], single: set[str]) -> set[str]:
    """The positions whose parts come with renewed ones, however far down."""
    found = {other for key in single for other in setting.includes_single[key]}
    waiting = [*whole, *found]
    while waiting:
        more = setting.includes[waiting.pop()] - found
        found |= more
        waiting += more
    return found


def can_be_ordered(setting: Setting, done: Iterable[str]) -> bool:
    """Whether the steps can be done one after the other, needs first."""
    waiting, finished = set(done), set[str]()
    while waiting:
        out = comes_off(setting, finished)
        ready = {
            key
            for key in waiting
            if setting.steps[key].needs_steps <= finished
            and setting.steps[key].needs_positions <= out
        }
        if not ready:
            return False
        finished |= ready
        waiting -= ready
    return True


def does_it(setting: Setting, done: Iterable[str]) -> bool:
    """Whether the steps do all that is asked and owed."""
    done = set(done)
    out = comes_off(setting, done)
    return (
        setting.asked.do <= done
        and setting.asked.reseal <= opened(setting, done)
        and all(
            setting.steps[key].needs_steps <= done
            and setting.steps[key].then <= done
            and setting.steps[key].needs_positions <= out
            for key in done
        )
        and renewed(setting, done) <= out
        and can_be_ordered(setting, done)
    )


def _ranked(setting: Setting) -> list[tuple[Fraction, int, list[tuple[str, int]]]]:
    """All subsets of the steps, best first."""
    keys = [(code, member or 0) for code, member in map(code_and_member, setting.steps)]
    found = []
    for size in range(len(keys) + 1):
        for subset in itertools.combinations(sorted(keys), size):
            minutes = sum(
                (setting.steps[key_of(c, m or None)].minutes for c, m in subset),
                Fraction(0),
            )
            found.append((minutes, size, list(subset)))
    return sorted(found)


def _first(setting: Setting, pinned: set[str], not_all_of: set[str] | None
           ) -> Plan | None:  # fmt: skip
    for minutes, _, subset in _ranked(setting):
        steps = tuple(key_of(code, member or None) for code, member in subset)
        if not pinned <= set(steps):
            continue
        if not_all_of is not None and not_all_of <= set(steps):
            continue
        if does_it(setting, steps):
            return Plan(steps, minutes)
    return None


def best_plan(setting: Setting, pinned: Iterable[str] = ()) -> Plan | None:
    """The plan of least minutes, or None where there is no way in."""
    return _first(setting, set(pinned) & set(setting.steps), None)


def other_way(setting: Setting, plan: Plan) -> Plan | None:
    """The best plan that leaves out some step of the chosen one; no pin binds it."""
    return _first(setting, set(), set(plan.steps))


__all__ = [
    "Plan",
    "Setting",
    "best_plan",
    "brought_along",
    "can_be_ordered",
    "comes_off",
    "does_it",
    "freed",
    "is_single",
    "opened",
    "other_way",
    "renewed",
    "renewed_parts",
    "setting_of",
    "undone_groups",
]
