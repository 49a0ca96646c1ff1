"""Changes between two revisions are those that comparing build by build shows."""

from __future__ import annotations

import copy
import random
from typing import Any

import pytest

from bomsvc.core.catalogue import Catalogue, read_catalogue
from bomsvc.core.prove.changes import Comparison
from bomsvc.core.terms.json_text import read_json
from tests.oracle.builds import Model, read_model, valid_builds
from tests.oracle.documents import Knobs, Tree, document, json_text
from tests.oracle.lists import fitted, keys_of

PLAIN = Knobs(options=4, positions=4, rules=2, most_builds=100)
SERIALS = (1, 21_000, 30_000, 210_000)


def edited(tree: Tree, rng: random.Random) -> Tree:
    """The document with a few fitments and rules changed."""
    after = copy.deepcopy(tree)
    for _ in range(rng.randint(1, 2)):
        fitment = rng.choice(after["fitments"])
        change = rng.choice(("when", "part", "qty"))
        if change == "when":
            fitment.pop("when", None)
        elif change == "part":
            fitment["part"] = rng.choice(after["parts"])["number"]
        else:
            fitment["qty"] = "7"
    if after["rules"] and rng.random() < 0.5:
        after["rules"].pop()
    return after


def catalogue_of(tree: Tree) -> Catalogue:
    return read_catalogue(read_json(json_text(tree)))


def named(model: Model, build: Any) -> tuple[tuple[str, str], ...]:
    """A build by its choices, the serial by its interval's first number."""
    return tuple(sorted((key, repr(value)) for key, value in build.items()))


def sitting(model: Model, key: str, build: Any) -> list[Any]:
    return sorted(fitted(model, key, build))


def comparable(tree: Tree, seed: int) -> Tree:
    """The first edit whose builds can be matched one to one with those before.

    An edit may cut the serial number otherwise, or leave no build with an option.
    """
    rng = random.Random(seed)  # noqa: S311 - repeatable, nothing secret
    before = outlines(tree)
    return next(
        after
        for after in (edited(tree, rng) for _ in range(200))
        if outlines(after) == before
    )


def outlines(tree: Tree) -> tuple[set[str], set[str]]:
    """The options and the serial intervals of a document's builds."""
    model = read_model(tree)
    builds = {named(model, build): build for build in valid_builds(model)}
    return {key for key, _ in next(iter(builds))}, one_serials(builds)


@pytest.mark.parametrize("seed", range(60))
def test_positions_differ_where_some_build_of_both_shows_it(seed: int) -> None:
    tree = document(seed, PLAIN)
    after = comparable(tree, seed)
    one, other = read_model(tree), read_model(after)
    ours = {named(one, b): b for b in valid_builds(one)}
    theirs = {named(other, b): b for b in valid_builds(other)}
    both = ours.keys() & theirs.keys()
    expected = {
        key
        for key in keys_of(one, "positions")
        for name in both
        if sitting(one, key, ours[name]) != sitting(other, key, theirs[name])
    }
    changes = Comparison(catalogue_of(tree), catalogue_of(after)).changes()
    found = {place.at for place in changes.places if place.kind == "position"}
    # A change of an alternate is a change of the position too.
    ranked = {f["position"] for f in tree["fitments"] if f.get("rank", 1) > 1}
    assert {k for k in found ^ expected if k.partition("[")[0] not in ranked} == set()
    assert {one.valid_in for one in changes.one_only} == {
        *(["before"] if ours.keys() - theirs.keys() else []),
        *(["after"] if theirs.keys() - ours.keys() else []),
    }


def one_serials(builds: Any) -> set[str]:
    return {dict(name)["serial"] for name in builds}


@pytest.mark.parametrize("seed", range(40))
def test_a_revision_does_not_differ_from_itself(seed: int) -> None:
    catalogue = catalogue_of(document(seed, PLAIN))
    changes = Comparison(catalogue, catalogue).changes()
    assert (changes.lists, changes.places, changes.one_only) == ({}, (), ())
