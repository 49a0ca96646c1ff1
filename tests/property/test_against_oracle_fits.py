"""Where a part fits, in words, is where it sits in some valid build."""

from __future__ import annotations

import pytest

from bomsvc.core.resolve.fits import fits
from tests.oracle.builds import Build, Model, code_and_member
from tests.oracle.builds import valid_builds as all_valid_builds
from tests.oracle.conditions import parse_condition
from tests.oracle.joints import groups_of, screw_needs
from tests.oracle.lists import Place, fitted, item, keys_of
from tests.property.test_against_oracle_list import JOINTS, both, place_of

Spot = tuple[str, Place]


def sitting(model: Model, build: Build) -> set[tuple[str, Spot]]:
    """Every part that sits in the build, with its role and place."""
    found: set[tuple[str, Spot]] = set()
    for position in keys_of(model, "positions"):
        for rank, role in ((1, "fitted"), (2, "alternate")):
            for part, _ in fitted(model, position, build, rank):
                found.add((part, (role, ("position", position))))
    for joint in keys_of(model, "joints"):
        groups = groups_of(model, joint, build)
        for _, part, place in screw_needs(model, joint, groups, build):
            found.add((part, ("screw", place)))
    return found


def holds_at(model: Model, text: str, place: Place, build: Build) -> bool:
    """Whether a condition holds, seen from the place's own member."""
    kind, key = place
    code, member = code_and_member(
        key if kind == "position" else key.rpartition(".")[0]
    )
    owner = item(model, "positions" if kind == "position" else "joints", code)
    return model.test(parse_condition(text), build, owner.get("each"), member)


def check_fits(seed: int) -> int:
    """Compare all parts of a document; the number of places looked at."""
    model, reasoner = both(seed, JOINTS)
    builds = all_valid_builds(model)
    there = [sitting(model, build) for build in builds]
    seen = 0
    for part in [entry["number"] for entry in model.doc["parts"]]:
        found: dict[Spot, set[int]] = {}
        for fit in fits(reasoner, part).places:
            assert fit.complete
            place = place_of(fit.place)
            role = "screw" if fit.role == "stated" else fit.role
            found.setdefault((role, place), set()).update(
                index
                for index, build in enumerate(builds)
                if holds_at(model, fit.when, place, build)
            )
        expected: dict[Spot, set[int]] = {}
        for index, parts in enumerate(there):
            for number, spot in parts:
                if number == part:
                    expected.setdefault(spot, set()).add(index)
        assert found == expected
        seen += len(found)
    return seen


@pytest.mark.parametrize("seed", range(40))
def test_a_part_fits_where_some_valid_build_has_it(seed: int) -> None:
    check_fits(seed)


def test_the_generated_parts_fit_in_many_places() -> None:
    assert sum(check_fits(seed) for seed in range(6)) > 60


@pytest.mark.long
@pytest.mark.parametrize("start", range(1_000, 3_000, 50))
def test_many_parts_fit_where_some_valid_build_has_them(start: int) -> None:
    for seed in range(start, start + 50):
        check_fits(seed)
        both.cache_clear()
