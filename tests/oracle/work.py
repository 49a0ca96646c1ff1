"""Plans and lists of jobs: every subset of the steps is tried.

Reading taken:
- A position, step or joint that does not exist in the build asks for nothing;
  nor does a position in which nothing sits there.
- Opening a joint frees its seals, and the nuts, washers and studs of its groups
  (a stud that stays excepted); loosening a group frees its nuts and washers.
- What a renewed part brings along (`includes`) is new too, so what has to be
  renewed with it is renewed; it need not be freed itself.
- A seal is a position that some joint of this build names in `seals`.
- The order: a step's needed steps come before it, and for each needed position
  one of the steps that free it comes before it.
- Ties: least minutes, fewest steps, then the sorted list of (code, member).
- The other way in is the best plan that lacks at least one chosen step.
- Screws of opened joints and loosened groups that may be reused are `check`
  lines; nuts and washers that may be reused are not listed.
- A screw that the catalogue lacks is renewed.
- A position that is renewed is not also checked, nor one that a renewed part
  brings along.
"""

from __future__ import annotations

import itertools
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from decimal import Decimal
from fractions import Fraction
from typing import Any

from tests.oracle.builds import Build, Model, code_and_member, key_of
from tests.oracle.joints import (
    groups_of,
    hole_needs,
    loose_hardware,
    mm,
    screw_needs,
    seen_from,
    sits,
    stud_positions,
)
from tests.oracle.lists import (
    Needs,
    exists,
    fitted,
    item,
    keys_named,
    keys_of,
    part_positions,
)


@dataclass
class Step:
    """A step that exists in the build, with what exists of its references."""

    key: str
    minutes: Fraction
    frees: set[str] = field(default_factory=set)
    opens: set[str] = field(default_factory=set)
    loosens: set[tuple[str, str]] = field(default_factory=set)
    needs_steps: set[str] = field(default_factory=set)
    needs_positions: set[str] = field(default_factory=set)
    then: set[str] = field(default_factory=set)


@dataclass
class Asked:
    """What the jobs ask for in the build."""

    renew: set[str] = field(default_factory=set)
    reseal: set[str] = field(default_factory=set)
    do: set[str] = field(default_factory=set)
    check: set[str] = field(default_factory=set)


@dataclass
class Setting:
    """All that a plan depends on, in one build."""

    steps: dict[str, Step]
    asked: Asked
    seals: dict[str, set[str]]
    loose: dict[tuple[str, str], set[str]]
    groups: dict[str, list[str]]
    single: set[str]
    renew_with: dict[str, set[str]]
    includes: dict[str, set[str]]
    studs: dict[str, set[str]]

    def signature(self) -> str:
        """The same text for two builds in which the plan must be the same."""
        return repr(
            [
                *(_sorted(vars(step)) for step in self.steps.values()),
                _sorted(vars(self.asked)),
                _sorted(self.seals),
                _sorted(self.loose),
                sorted(self.single),
                _sorted(self.renew_with),
                _sorted(self.includes),
                _sorted(self.studs),
            ]
        )


def _sorted(table: Mapping[Any, Any]) -> list[tuple[Any, Any]]:
    return [
        (name, sorted(value) if isinstance(value, set) else value)
        for name, value in table.items()
    ]


@dataclass(frozen=True)
class Plan:
    """A set of steps with its minutes."""

    steps: tuple[str, ...]
    minutes: Fraction


def _existing(
    model: Model, kind: str, names: Iterable[str], owner: str, own_kind: str,
    build: Build,
) -> set[str]:  # fmt: skip
    code, member = code_and_member(owner)
    each = item(model, own_kind, code).get("each")
    return {
        key
        for name in names
        for key in keys_named(model, kind, name, each, member)
        if _there(model, kind, key, build)
    }


def _there(model: Model, kind: str, key: str, build: Build) -> bool:
    """Whether the item is there to be worked on: a position holds something."""
    if kind == "positions":
        return bool(fitted(model, key, build))
    return exists(model, kind, key, build)


def _loosened(model: Model, key: str, names: list[str], build: Build
              ) -> set[tuple[str, str]]:  # fmt: skip
    found = set()
    for name in names:
        joint, _, group = name.rpartition(".")
        for one in _existing(model, "joints", [joint], key, "steps", build):
            if any(g["code"] == group for g in groups_of(model, one, build)):
                found.add((one, group))
    return found


def _step(model: Model, key: str, build: Build) -> Step:
    entry = item(model, "steps", code_and_member(key)[0])
    step_codes = {other["code"] for other in model.doc["steps"]}
    needs = entry.get("needs", [])
    steps = [n for n in needs if code_and_member(n)[0] in step_codes]
    positions = [n for n in needs if n not in steps]

    def there(kind: str, names: list[str]) -> set[str]:
        return _existing(model, kind, names, key, "steps", build)

    return Step(
        key,
        mm(entry.get("minutes_off", 0)) + mm(entry.get("minutes_on", 0)),
        there("positions", entry.get("frees", [])),
        there("joints", entry.get("opens", [])),
        _loosened(model, key, entry.get("loosens", []), build),
        there("steps", steps),
        there("positions", positions),
        there("steps", entry.get("then", [])),
    )


def asked_of(model: Model, jobs: list[str], build: Build) -> Asked:
    """What the named jobs ask for, where they exist."""
    asked = Asked()
    for name in jobs:
        for key in keys_named(model, "jobs", name, None, None):
            if not exists(model, "jobs", key, build):
                continue
            entry = item(model, "jobs", code_and_member(key)[0])
            for kind, field_name, into in (
                ("positions", "renew", asked.renew),
                ("joints", "reseal", asked.reseal),
                ("steps", "do", asked.do),
                ("positions", "check", asked.check),
            ):
                names = entry.get(field_name, [])
                into |= _existing(model, kind, names, key, "jobs", build)
    return asked


def setting_of(model: Model, jobs: list[str], build: Build) -> Setting:
    """What there is to work on in the build."""
    steps = {
        key: _step(model, key, build)
        for key in keys_of(model, "steps")
        if exists(model, "steps", key, build)
    }
    seals, loose, groups, studs = {}, {}, {}, {}
    for joint in keys_of(model, "joints"):
        if not exists(model, "joints", joint, build):
            continue
        names = item(model, "joints", code_and_member(joint)[0])["seals"]
        seals[joint] = {
            key
            for name in names
            for key in seen_from(model, joint, name)
            if _there(model, "positions", key, build)
        }
        groups[joint] = [group["code"] for group in groups_of(model, joint, build)]
        studs[joint] = {
            key
            for group in groups_of(model, joint, build)
            for key in stud_positions(model, joint, group)
        }
        for group in groups_of(model, joint, build):
            loose[joint, group["code"]] = {
                key
                for key in loose_hardware(model, joint, group)
                if _there(model, "positions", key, build)
            } - studs[joint]
    positions = [k for k in keys_of(model, "positions")
                 if _there(model, "positions", k, build)]  # fmt: skip
    single = {
        key
        for key in positions
        for part, _ in fitted(model, key, build)
        if item(model, "parts", part).get("reuse") == "single"
    }
    asked = asked_of(model, jobs, build)
    renew_with, includes = (
        {key: _tied(model, key, how, build) for key in positions}
        for how in ("renew_with", "includes")
    )
    return Setting(
        steps, asked, seals, loose, groups, single, renew_with, includes, studs
    )


def _tied(model: Model, key: str, how: str, build: Build) -> set[str]:
    """Positions tied to what sits in a position, if something sits there."""
    return {
        other
        for part, _ in fitted(model, key, build)
        for other in part_positions(model, part, how, key)
        if _there(model, "positions", other, build)
    }


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


def renewed(setting: Setting, done: Iterable[str]) -> set[str]:
    """The positions that are renewed when these steps are done."""
    done = list(done)
    out = freed(setting, done)
    all_seals = {key for keys in setting.seals.values() for key in keys}
    found = set(setting.asked.renew) | (out & all_seals) | (out & setting.single)
    while True:
        new = found | brought_along(setting, found)
        more = {other for key in new for other in setting.renew_with[key]} - found
        if not more:
            return found
        found |= more


def brought_along(setting: Setting, renew: Iterable[str]) -> set[str]:
    """The positions whose parts come with renewed ones, however far down."""
    found, waiting = set[str](), list(renew)
    while waiting:
        more = setting.includes[waiting.pop()] - found
        found |= more
        waiting += more
    return found


def can_be_ordered(setting: Setting, done: Iterable[str]) -> bool:
    """Whether the steps can be done one after the other, needs first."""
    waiting, finished = set(done), set[str]()
    while waiting:
        out = freed(setting, finished)
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
    out = freed(setting, done)
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


def other_way(setting: Setting, plan: Plan, pinned: Iterable[str] = ()) -> Plan | None:
    """The best plan that leaves out some step of the chosen one."""
    return _first(setting, set(pinned) & set(setting.steps), set(plan.steps))


def job_needs(model: Model, setting: Setting, plan: Plan, build: Build) -> Needs:
    """What the planned work needs in the build."""
    out = sorted(undone_groups(setting, plan.steps))
    renew = renewed(setting, plan.steps)
    brought = brought_along(setting, renew)
    per_hole = hole_needs(model, out, build)
    counted = {place[1] for _, _, place in per_hole}
    needs: Needs = {n: q for n, q in per_hole.items() if n[2][1] in renew - brought}
    for key in renew - brought - counted:
        _fitted_needs(model, "renew", key, build, needs)
    for key in setting.asked.check - renew - brought:
        _fitted_needs(model, "check", key, build, needs)
    for joint, code in out:
        here = [g for g in groups_of(model, joint, build) if g["code"] == code]
        for (_, part, place), qty in screw_needs(model, joint, here, build).items():
            needs[_screw_need(model, part), part, place] = qty
    _used_needs(model, plan, build, needs)
    return needs


def _fitted_needs(
    model: Model, need: str, position: str, build: Build, needs: Needs
) -> None:
    for part, qty in sits(model, position, build):
        key = (need, part, ("position", position))
        needs[key] = needs.get(key, Decimal(0)) + qty


def _screw_need(model: Model, part: str) -> str:
    if part.startswith("wanted:"):
        return "renew"
    reuse = item(model, "parts", part).get("reuse", "freely")
    return "renew" if reuse == "single" else "check"


def _used_needs(model: Model, plan: Plan, build: Build, needs: Needs) -> None:
    for step in plan.steps:
        code, member = code_and_member(step)
        entry = item(model, "steps", code)
        for use in entry.get("uses", []):
            if model.holds(use.get("when"), build, entry, member):
                key = ("renew", use["part"], ("step", step))
                needs[key] = needs.get(key, Decimal(0)) + Decimal(use["qty"])
