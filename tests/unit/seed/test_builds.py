"""Every valid build of the demo family is whole: one part per position."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Any

from bomsvc.core.logic.answers import read_answers
from bomsvc.core.logic.compiled import compile_catalogue
from bomsvc.core.logic.reasoner import Reasoner
from bomsvc.core.logic.standing import Lit

if TYPE_CHECKING:
    from tests.unit.seed.conftest import Demo


def rank_one(position: Any) -> list[Any]:
    return [one for one in position.fitments if one.fitment.rank == 1]


def test_each_of_many_builds_has_exactly_one_part_in_each_position(
    demo: Demo, some_builds: list[Any]
) -> None:
    assert len({str(build.answers) for build in some_builds}) > 450
    for build in some_builds:
        for key, position in demo.compiled.standing.positions.items():
            if not build.truth(position.exists) or position.position.fill == "several":
                continue
            fitted = sum(build.truth(one.applies) for one in rank_one(position))
            least = 1 if position.position.fill == "one" else 0
            assert least <= fitted <= 1, (key, build.answers)


def test_no_build_at_all_leaves_a_gap_or_an_overlap(demo: Demo) -> None:
    nothing = demo.known({})
    for key, position in demo.compiled.standing.positions.items():
        if position.position.fill == "several":
            continue
        lits = [position.exists, *(one.applies for one in rank_one(position))]
        cases = demo.reasoner.cases(nothing, lits, limit=256)
        assert cases.complete
        for exists, *fitted in cases.vectors:
            least = 1 if position.position.fill == "one" else 0
            assert not exists or least <= sum(fitted) <= 1, key


def test_every_fitment_is_used_by_some_build(demo: Demo) -> None:
    nothing = demo.known({})
    used: set[int] = set()
    for position in demo.compiled.standing.positions.values():
        for one in position.fitments:
            if demo.reasoner.possible(nothing, [one.applies]):
                used.add(one.index)
    assert used == set(range(len(demo.catalogue.fitments)))


def test_every_choice_is_open_while_nothing_is_known(demo: Demo) -> None:
    nothing = demo.known({})
    for key, option in demo.compiled.options.items():
        if key == "serial":
            continue
        states = demo.reasoner.states(nothing, list(option.choices.values()))
        assert set(states) == {"open"}, key


def test_every_rule_forbids_some_build(demo: Demo) -> None:
    """Waived alone, each rule lets a build through that keeps all the others."""
    rules = tuple(replace(r, strength="factory") for r in demo.catalogue.rules)
    compiled = compile_catalogue(replace(demo.catalogue, rules=rules))
    reasoner = Reasoner(compiled)
    for key, rule in compiled.rules.items():
        waived = read_answers(compiled, {}, waive=[key])
        assert reasoner.possible(waived, [rule.when, Lit(-rule.then)]), key
