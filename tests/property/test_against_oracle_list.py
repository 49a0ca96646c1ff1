"""Lists say what looking at every remaining build says."""

from __future__ import annotations

import random
from collections.abc import Callable, Iterable
from dataclasses import dataclass, field
from decimal import Decimal
from fractions import Fraction
from functools import cache
from typing import Any

import pytest

from bomsvc.core.catalogue import read_catalogue
from bomsvc.core.logic.answers import read_answers
from bomsvc.core.logic.compiled import compile_catalogue
from bomsvc.core.logic.reasoner import Reasoner
from bomsvc.core.resolve.lines import OpenPlace, Resolved
from bomsvc.core.resolve.lines import Place as ServicePlace
from bomsvc.core.resolve.resolving import resolve
from bomsvc.core.resolve.scope import read_scope
from bomsvc.core.terms.json_text import read_json
from tests.oracle.answers import decides_irreducibly, remaining
from tests.oracle.asking import answers_of
from tests.oracle.builds import (
    Build,
    Model,
    Tree,
    code_and_member,
    read_interval,
    read_model,
)
from tests.oracle.builds import valid_builds as all_valid_builds
from tests.oracle.documents import Knobs, document, json_text
from tests.oracle.joints import fitted_needs, holes_at, joint_needs, whole_needs
from tests.oracle.lists import (
    Needs,
    Place,
    certain,
    keys_named,
    keys_of,
    open_places,
    orders,
    outcomes,
    position_scope,
)
from tests.oracle.work import Plan, best_plan, setting_of
from tests.oracle.work_lists import job_needs
from tests.oracle.workshop import workshop_document

PLAIN = Knobs(options=5, positions=5, rules=2, most_builds=200, variety=True)
JOINTS = Knobs(options=4, positions=2, rules=1, joints=2, most_builds=80)
WORK = Knobs(options=3, positions=3, rules=1, joints=1, steps=3, jobs=2, most_builds=60)
MOST_STEPS = 8


@cache
def both(seed: int, knobs: Knobs) -> tuple[Model, Reasoner]:
    make = workshop_document if knobs.joints else document
    tree = make(seed, knobs)
    catalogue = read_catalogue(read_json(json_text(tree)))
    return read_model(tree), Reasoner(compile_catalogue(catalogue))


def place_of(place: ServicePlace) -> Place:
    kind = "group" if place.kind == "joint" else place.kind
    return kind, str(place)


def part_of(part: str | None, wanted: str | None) -> str:
    if part is not None:
        return part
    fits = wanted is not None and " x " in wanted
    return f"wanted: {wanted}" if fits else "wanted: nothing fits"


@dataclass
class Lines:
    """Certain lines: (need, part, joint and group of a screw) -> quantity, places."""

    found: dict[tuple[str, str, str], tuple[Decimal, frozenset[Place]]] = field(
        default_factory=dict
    )

    def add(self, need: str, part: str, qty: Decimal, places: Iterable[Place]) -> None:
        places = frozenset(places)
        key = need, part, owner_of(places)
        before, others = self.found.get(key, (Decimal(0), frozenset()))
        self.found[key] = before + qty, others | places


def owner_of(places: frozenset[Place]) -> str:
    """The joint's code and group that a screw line belongs to; else nothing."""
    owners = set()
    for kind, key in places:
        joint, _, group = key.rpartition(".")
        owners.add(f"{code_and_member(joint)[0]}.{group}" if kind == "group" else "")
    assert len(owners) == 1
    return owners.pop()


def expected_lines(over: list[Needs]) -> Lines:
    lines = Lines()
    for (need, part, place), qty in certain(over).items():
        lines.add(need, part, qty, [place])
    return lines


def found_lines(found: Resolved) -> Lines:
    lines = Lines()
    for line in found.lines:
        if line.state == "certain":
            part = part_of(line.part, line.wanted)
            places = [place_of(place) for place in line.places]
            assert (line.need, part, owner_of(frozenset(places))) not in lines.found
            assert line.take == (line.qty if line.need == "renew" else 0)
            lines.add(line.need, part, line.qty, places)
    return lines


def check_list(
    model: Model, found: Resolved, left: list[Build], over: list[Needs]
) -> None:
    """The whole list of a scope, over all remaining builds."""
    assert found_lines(found).found == expected_lines(over).found
    assert {one.part: one.qty for one in found.orders} == orders(model, certain(over))
    differing = open_places(over)
    assert found.certain == (not differing)
    assert {place_of(one.place) for one in found.open} == set(differing)
    check_open_lines(found, over)
    for one in found.open:
        check_open(one, left, over)
    check_waiting(model, found)


def check_waiting(model: Model, found: Resolved) -> None:
    """What cannot be asked is waited for; only the measured counts as settled."""
    measured = {option.key for option in model.options if option.measured}
    unasked = {option.key for option in model.options if not option.asked}
    only_measured = [set(one.decided_by) <= measured for one in found.open]
    assert found.certain_but_measured == (bool(found.open) and all(only_measured))
    for one, waits in zip(found.open, only_measured, strict=True):
        if waits or set(one.decided_by) <= unasked:
            assert one.waits_on == one.decided_by


def check_open_lines(found: Resolved, over: list[Needs]) -> None:
    """Every contribution that only some builds have is an open line by itself."""
    sure = certain(over)
    expected = {
        (need, part, place, qty)
        for needs in over
        for (need, part, place), qty in needs.items()
        if (need, part, place) not in sure
    }
    lines = [line for line in found.lines if line.state == "open"]
    as_found = [
        (line.need, part_of(line.part, line.wanted), place_of(place), line.qty)
        for line in lines
        for place in line.places
    ]
    assert len(as_found) == len(lines)
    assert {one[:3] for one in as_found} == {one[:3] for one in expected}
    assert set(as_found) <= expected


def check_open(one: OpenPlace, left: list[Build], over: list[Needs]) -> None:
    """Candidates are the outcomes; the options named decide it, none to spare."""
    place = place_of(one.place)
    results = outcomes(over)[place]
    sure = {(n, p, q) for (n, p, where), q in certain(over).items() if where == place}
    found = {
        frozenset(
            (part.need, part_of(part.part, part.wanted), part.qty)
            for part in candidate.parts
        )
        for candidate in one.candidates
    }
    assert {outcome - sure for outcome in found} == {
        outcome - sure for outcome in results
    }
    assert decides_irreducibly(left, list(one.decided_by), list(results))
    assert set(one.waits_on) in (set(), set(one.decided_by))


# --- scopes ----------------------------------------------------------------


def positions_asked(rng: random.Random, model: Model) -> tuple[Tree, Any]:
    way = rng.randrange(4)
    if way == 3:
        return mixed_asked(rng, model)
    if way == 0:
        return {"whole": True}, lambda build: whole_needs(model, build)
    if way == 1:
        named = rng.sample(keys_of(model, "positions"), k=2)
        raw: Tree = {"positions": named}
        scope = position_scope(model, positions=named)
    else:
        raw = {"sections": [rng.choice(("engine", "front"))]}
        scope = position_scope(model, sections=raw["sections"])
    return raw, lambda build: fitted_needs(model, scope, build)


def mixed_asked(rng: random.Random, model: Model) -> tuple[Tree, Any]:
    """Positions, a section and a joint together: each thing once."""
    hardware = {key for build in all_valid_builds(model)[:1]
                for key in holes_at(model, build)}  # fmt: skip
    keys = [key for key in keys_of(model, "positions") if key not in hardware]
    raw: Tree = {"positions": rng.sample(keys, k=1), "sections": ["front"]}
    scope = position_scope(model, positions=raw["positions"], sections=["front"])
    joints = [joint["code"] for joint in model.doc.get("joints", [])][:1]
    if not joints:
        return raw, lambda build: fitted_needs(model, scope, build)
    raw["joints"] = joints
    opened = keys_named(model, "joints", joints[0], None, None)
    return (
        raw,
        lambda build: (
            joint_needs(model, opened, build) | fitted_needs(model, scope, build)
        ),
    )


def joints_asked(rng: random.Random, model: Model) -> tuple[Tree, Any]:
    named = rng.sample([joint["code"] for joint in model.doc["joints"]], k=1)
    keys = [k for name in named for k in keys_named(model, "joints", name, None, None)]
    return {"joints": named}, lambda build: joint_needs(model, keys, build)


class JobsAsked:
    """What jobs need, build by build; plans are kept by what they depend on."""

    def __init__(self, model: Model, jobs: list[str], pinned: tuple[str, ...]) -> None:
        self.model, self.jobs, self.pinned = model, jobs, pinned
        self.plans: dict[str, Plan | None] = {}

    def plan(self, build: Build) -> Plan | None:
        setting = setting_of(self.model, self.jobs, build)
        signature = setting.signature()
        if signature not in self.plans:
            self.plans[signature] = best_plan(setting, self.pinned)
        return self.plans[signature]

    def __call__(self, build: Build) -> Needs:
        plan = self.plan(build)
        assert plan is not None
        setting = setting_of(self.model, self.jobs, build)
        return job_needs(self.model, setting, plan, build)


def some_answers(rng: random.Random, model: Model) -> Tree:
    build = rng.choice(all_valid_builds(model))
    share = rng.choice((0.0, 0.3, 0.6, 0.9, 1.0))
    if share == 1.0:
        return {
            key: sorted(value)
            if isinstance(value, frozenset)
            else read_interval(str(value))[0]
            if key == "serial"
            else value
            for key, value in build.items()
            if value is not None
        }
    return answers_of(rng, model, build, share)


def resolved(
    reasoner: Reasoner,
    answers: Tree,
    raw: Tree,
    *,
    waive: tuple[str, ...] = (),
    pinned: tuple[str, ...] = (),
) -> Resolved:
    known = read_answers(reasoner.compiled, answers, waive=waive)
    scope = read_scope(reasoner.compiled, raw)
    found = resolve(reasoner, known, scope, by_way_of=pinned)
    assert isinstance(found, Resolved)
    return found


def check_scope(
    seed: int, knobs: Knobs, ask: Callable[[random.Random, Model], tuple[Tree, Any]]
) -> None:
    rng = random.Random(seed)  # noqa: S311 - repeatable, nothing secret
    model, reasoner = both(seed, knobs)
    answers = some_answers(rng, model)
    raw, needs_of = ask(rng, model)
    rules = dict.fromkeys(r.code for r in model.rules if r.factory)
    waive = tuple(code for code in rules if rng.random() < 0.2)
    left = remaining(model, answers, waive)
    found = resolved(reasoner, answers, raw, waive=waive)
    check_list(model, found, left, [needs_of(build) for build in left])


def check_jobs(seed: int) -> bool:
    rng = random.Random(seed)  # noqa: S311 - repeatable, nothing secret
    model, reasoner = both(seed, WORK)
    if len(keys_of(model, "steps")) > MOST_STEPS:
        return False
    jobs = keys_of(model, "jobs")
    jobs = rng.sample(jobs, k=rng.randint(1, len(jobs)))
    answers = some_answers(rng, model)
    left = remaining(model, answers)
    steps = keys_of(model, "steps")
    pinned = (rng.choice(steps),) if rng.random() < 0.2 else ()
    asked = JobsAsked(model, jobs, pinned)
    plans = [asked.plan(build) for build in left]
    found = resolved(reasoner, answers, {"jobs": jobs}, pinned=pinned)
    if None in plans:
        stuck = {"position_stuck", "needs_cycle", "joint_never_opened"}
        assert stuck & {fault.code for fault in found.faults}
        return False
    assert found.work is not None
    assert found.work.basis == "exact"
    minutes = [plan.minutes for plan in plans if plan is not None]
    least, most = found.work.minutes
    assert (Fraction(least), Fraction(most)) == (min(minutes), max(minutes))
    check_list(model, found, left, [asked(build) for build in left])
    return True


@pytest.mark.parametrize("seed", range(120))
def test_what_is_fitted_agrees_with_every_build(seed: int) -> None:
    check_scope(seed, PLAIN, positions_asked)


@pytest.mark.parametrize("seed", range(80))
def test_joints_and_their_hardware_agree_with_every_build(seed: int) -> None:
    check_scope(seed, JOINTS, joints_asked)
    check_scope(seed, JOINTS, positions_asked)


@pytest.mark.parametrize("seed", range(120))
def test_what_jobs_take_agrees_with_every_build(seed: int) -> None:
    check_jobs(seed)


def test_the_generated_jobs_are_mostly_possible() -> None:
    assert sum(check_jobs(seed) for seed in range(30)) >= 12


@pytest.mark.long
@pytest.mark.parametrize("start", range(1_000, 6_000, 50))
def test_many_lists_agree_with_every_build(start: int) -> None:
    for seed in range(start, start + 50):
        check_scope(seed, PLAIN, positions_asked)
        check_scope(seed, JOINTS, joints_asked)
        check_scope(seed, JOINTS, positions_asked)
        check_jobs(seed)
        both.cache_clear()
