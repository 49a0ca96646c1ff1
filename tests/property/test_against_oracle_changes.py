"""Changes between two revisions are what comparing build by build shows."""

from __future__ import annotations

import copy
import random
from collections.abc import Sequence
from typing import Any

import pytest

from bomsvc.core.catalogue import Catalogue, read_catalogue
from bomsvc.core.logic.answers import read_answers
from bomsvc.core.prove.changes import Changed, Comparison
from bomsvc.core.prove.contents import Kind
from bomsvc.core.prove.outcomes import Aspect
from bomsvc.core.terms.json_text import read_json
from bomsvc.core.terms.problems import BadInput
from tests.oracle.builds import Build, Model, Tree, read_interval, read_model
from tests.oracle.builds import valid_builds as all_valid_builds
from tests.oracle.changes import (
    LIST_EDITS,
    STACK_EDITS,
    STUCK,
    Edit,
    Outcomes,
    a_fitment,
    some_minutes,
    words_only,
)
from tests.oracle.documents import Knobs, json_text
from tests.oracle.lists import keys_of
from tests.oracle.workshop import workshop_document

JOINTS = Knobs(options=4, positions=2, rules=1, joints=2, most_builds=60)
WORK = Knobs(options=3, positions=3, rules=1, joints=1, steps=3, jobs=2, most_builds=50)
MOST_STEPS = 6
JOINT_EDITS = (*LIST_EDITS[:4], *STACK_EDITS * 2)
JOB_EDITS = (*LIST_EDITS, *STACK_EDITS)
Named = tuple[Kind, str, Aspect]
"""Kind, key and what differs."""


def catalogue_of(tree: Tree) -> Catalogue:
    return read_catalogue(read_json(json_text(tree)))


def name_of(build: Build) -> tuple[tuple[str, str], ...]:
    return tuple(sorted((key, repr(value)) for key, value in build.items()))


def answers_to(build: Build) -> dict[str, Any]:
    """The build as a request names it."""
    found: dict[str, Any] = {}
    for key, value in build.items():
        if key == "serial":
            found[key] = read_interval(str(value))[0]
        elif isinstance(value, frozenset):
            found[key] = sorted(value)
        elif value is not None:
            found[key] = value
    return found


def outlines(tree: Tree) -> tuple[set[str], set[str]]:
    """The options and the serial intervals of a document's builds."""
    names = [dict(name_of(build)) for build in all_valid_builds(read_model(tree))]
    return set(names[0]), {name["serial"] for name in names}


def edited(tree: Tree, seed: int, edits: Sequence[Edit]) -> tuple[Tree, Catalogue]:
    """The first readable edit whose builds match those before one to one."""
    assert edits
    rng = random.Random(seed)  # noqa: S311 - repeatable, nothing secret
    before = outlines(tree)
    for _ in range(200):
        after = copy.deepcopy(tree)
        for _ in range(rng.randint(1, 2)):
            rng.choice(edits)(after, rng)
        try:
            catalogue = catalogue_of(after)
        except BadInput:
            continue
        if outlines(after) == before:
            return after, catalogue
    raise AssertionError("no edit of these can be compared")


def has_studs(tree: Tree) -> bool:
    """Whether opening a joint may tell a stud's fault, which the oracle leaves out."""
    groups = [group for joint in tree["joints"] for group in joint["groups"]]
    return any("stud" in group for group in groups)


def edits_for(tree: Tree, edits: Sequence[Edit]) -> Sequence[Edit]:
    """Without what alters a stud's stack: the slow look at screws leaves studs out."""
    if has_studs(tree):
        return [e for e in edits if e is not a_fitment and e not in STACK_EDITS]
    return edits


class Both:
    """The builds of both documents and what each of them comes to."""

    def __init__(self, before: Tree, after: Tree) -> None:
        self.models = read_model(before), read_model(after)
        self._outcomes = tuple(Outcomes(model) for model in self.models)
        one, other = (
            {name_of(build): build for build in all_valid_builds(model)}
            for model in self.models
        )
        self.builds = [(one[name], other[name]) for name in one if name in other]

    def keys(self, kind: str) -> list[str]:
        return list(
            dict.fromkeys(k for model in self.models for k in keys_of(model, kind))
        )

    def differing(self, named: Named) -> list[bool]:
        """Per build whether it differs there."""
        return [self._differs(named, *pair) for pair in self.builds]

    def all_named(self) -> list[Named]:
        named: list[Named] = [
            ("position", key, "list") for key in self.keys("positions")
        ]
        named += [("joint", key, "list") for key in self.keys("joints")]
        for key in self.keys("jobs"):
            named += [("job", key, "list"), ("job", key, "work")]
        return named

    def stuck(self, key: str) -> bool:
        """Whether the job has no way in, in some build."""
        return any(
            outcomes.work(key, build) == STUCK
            for pair in self.builds
            for outcomes, build in zip(self._outcomes, pair, strict=True)
        )

    def _differs(self, named: Named, one: Build, other: Build) -> bool:
        kind, key, aspect = named
        how = "work" if aspect == "work" else kind
        before, after = (
            getattr(outcomes, how)(key, build)
            for outcomes, build in zip(self._outcomes, (one, other), strict=True)
        )
        if aspect == "work" and (before is None or after is None):
            return False
        return bool(before != after)


def check(before: Tree, after: Tree, catalogue: Catalogue) -> int:
    """Every place differs in just the builds that show it; return how many do."""
    both = Both(before, after)
    comparison = Comparison(catalogue_of(before), catalogue)
    changes = comparison.changes()
    found = {(p.kind, p.at, p.differs): p for p in changes.places}
    skipped = {key for key in both.keys("jobs") if both.stuck(key)}
    named = [one for one in both.all_named() if one[1] not in skipped]
    expected = {one: both.differing(one) for one in named}
    differing = {one for one, verdicts in expected.items() if any(verdicts)}
    listed = {one for one in found if one[1] not in skipped and one in set(named)}
    assert listed == differing
    for one in differing:
        check_condition(both.models[0], both, found[one], expected[one])
    check_engines(comparison, both, named, expected)
    return len(differing)


def check_condition(
    model: Model, both: Both, place: Changed, verdicts: list[bool]
) -> None:
    """The condition holds in just the differing builds, the sample among them."""
    assert place.settled
    assert place.build is not None
    assert place.example is not None
    assert place.example.before != place.example.after
    shown = [one for one, _ in both.builds if answers_to(one) == dict(place.build)]
    index = next(i for i, (one, _) in enumerate(both.builds) if one in shown)
    assert verdicts[index]
    assert place.condition is not None
    holds = [
        model.test(model.condition(place.condition), one, None, None)
        for one, _ in both.builds
    ]
    if place.complete:
        assert holds == verdicts
    else:
        assert all(v for v, h in zip(verdicts, holds, strict=True) if h)


def check_engines(
    comparison: Comparison,
    both: Both,
    named: list[Named],
    expected: dict[Named, list[bool]],
) -> None:
    """A fully known engine meets just the differences of its own build."""
    for index, (build, _) in enumerate(both.builds[:6]):
        known = read_answers(comparison.reasoner.compiled, answers_to(build))
        touched = {
            (t.kind, t.at, t.differs): t.state for t in comparison.touched(known)
        }
        here = {one for one in named if expected[one][index]}
        assert {one for one in touched if one in set(named)} == here
        assert {touched[one] for one in here} <= {"certain"}


@pytest.mark.parametrize("seed", range(40))
def test_joints_differ_where_some_build_of_both_shows_it(seed: int) -> None:
    tree = workshop_document(seed, JOINTS)
    check(tree, *edited(tree, seed, edits_for(tree, JOINT_EDITS)))


@pytest.mark.parametrize("seed", range(40))
def test_jobs_differ_where_some_build_of_both_shows_it(seed: int) -> None:
    tree = workshop_document(seed, WORK)
    if len(keys_of(read_model(tree), "steps")) > MOST_STEPS or has_studs(tree):
        return
    check(tree, *edited(tree, seed, edits_for(tree, JOB_EDITS)))


@pytest.mark.parametrize("seed", range(40, 70))
def test_other_minutes_alter_a_list_only_by_another_way_in(seed: int) -> None:
    tree = workshop_document(seed, WORK)
    if not 0 < len(keys_of(read_model(tree), "steps")) <= MOST_STEPS:
        return
    check(tree, *edited(tree, seed, (some_minutes,)))


@pytest.mark.parametrize("seed", range(20))
def test_words_alone_change_no_list(seed: int) -> None:
    tree = workshop_document(seed, WORK)
    _, catalogue = edited(tree, seed, (words_only,))
    changes = Comparison(catalogue_of(tree), catalogue).changes()
    assert [(p.kind, p.at, p.differs) for p in changes.places] == []
    assert changes.lists


def test_the_edits_mostly_change_something() -> None:
    counts = []
    for seed in range(10):
        tree = workshop_document(seed, JOINTS)
        edits = edits_for(tree, JOINT_EDITS)
        counts.append(check(tree, *edited(tree, seed, edits)))
    assert sum(map(bool, counts)) >= 5


@pytest.mark.long
@pytest.mark.parametrize("start", range(1_000, 2_000, 20))
def test_many_changes_are_what_some_build_of_both_shows(start: int) -> None:
    for seed in range(start, start + 20):
        tree = workshop_document(seed, JOINTS)
        check(tree, *edited(tree, seed, edits_for(tree, JOINT_EDITS)))
        tree = workshop_document(seed, WORK)
        steps = len(keys_of(read_model(tree), "steps"))
        if steps <= MOST_STEPS and not has_studs(tree):
            check(tree, *edited(tree, seed, edits_for(tree, JOB_EDITS)))
            if tree["steps"]:
                check(tree, *edited(tree, seed, (some_minutes,)))
