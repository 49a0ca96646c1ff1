"""What there is to work on in one build of a document.

Reading taken:
- A position, step or joint that does not exist in the build asks for nothing;
  nor does a position in which nothing sits there.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from fractions import Fraction
from typing import Any

from tests.oracle.builds import Build, Model, code_and_member
from tests.oracle.joints import (
    groups_of,
    loose_hardware,
    mm,
    seen_from,
    stud_positions,
)
from tests.oracle.lists import (
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
    renew_with_single: dict[str, set[str]]
    includes_single: dict[str, set[str]]
    studs: dict[str, set[str]]
    clamped: dict[str, set[str]] = field(default_factory=dict)

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
                _sorted(self.renew_with_single),
                _sorted(self.includes_single),
                _sorted(self.studs),
                _sorted(self.clamped),
            ]
        )


def _sorted(table: Mapping[Any, Any]) -> list[tuple[Any, Any]]:
    return [
        (name, sorted(value) if isinstance(value, set) else value)
        for name, value in table.items()
    ]


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
        if is_single(model, part)
    }
    asked = asked_of(model, jobs, build)

    def tied(how: str, *, once: bool) -> dict[str, set[str]]:
        return {k: _tied(model, k, how, build, once=once) for k in positions}

    return Setting(
        steps,
        asked,
        seals,
        loose,
        groups,
        single,
        renew_with=tied("renew_with", once=False),
        includes=tied("includes", once=False),
        renew_with_single=tied("renew_with", once=True),
        includes_single=tied("includes", once=True),
        studs=studs,
        clamped={joint: _clamped(model, joint, build) & single for joint in seals},
    )


def _clamped(model: Model, joint: str, build: Build) -> set[str]:
    """The positions that are layers of the joint's groups."""
    return {
        key
        for group in groups_of(model, joint, build)
        for layer in group["layers"]
        for key in seen_from(model, joint, layer["position"])
        if _there(model, "positions", key, build)
    }


def is_single(model: Model, part: str) -> bool:
    """Whether the part is never used twice."""
    return bool(item(model, "parts", part).get("reuse") == "single")


def _tied(model: Model, key: str, how: str, build: Build, *, once: bool) -> set[str]:
    """Positions tied to what sits in a position (`once`: to its single-use parts)."""
    return {
        other
        for part, _ in fitted(model, key, build)
        if not once or is_single(model, part)
        for other in part_positions(model, part, how, key)
        if _there(model, "positions", other, build)
    }
