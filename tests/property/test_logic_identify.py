"""Identify, cases, least builds and counts agree with writing out every build."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from bomsvc.core.logic.known import NOTHING
from bomsvc.core.logic.witness import preferred
from tests.unit.logic.asking import Ask, conditions_of, random_ask
from tests.unit.logic.listing import Listed, rest_form, value_literals

seeds = st.integers(0, 10**9)
many = settings(max_examples=100, deadline=None)


@many
@given(seeds)
def test_a_choice_is_open_exactly_when_some_builds_left_have_it_and_some_not(
    seed: int,
) -> None:
    ask = random_ask(seed)
    found = ask.reasoner.identify(ask.known)
    assert found.consistent == bool(ask.left)
    if not ask.left:
        states = {c.state for o in found.options for c in o.choices}
        assert states == {None}
        assert found.clash is not None
        return
    truths = [value_literals(ask.listing, b) for b in ask.left]
    meaning = {
        "chosen": {True},
        "follows": {True},
        "open": {True, False},
        "excluded": {False},
    }
    for option in found.options:
        for choice in option.choices:
            assert choice.state is not None
            seen = {t[option.option.key, choice.code] for t in truths}
            assert seen == meaning[choice.state]


@many
@given(seeds)
def test_an_option_is_active_exactly_when_all_builds_left_have_it(seed: int) -> None:
    ask = random_ask(seed)
    if not ask.left:
        return
    active = {
        o.option.key: o.active
        for o in ask.reasoner.identify(ask.known).options
        if o.option.key != "serial"
    }
    for key, state in active.items():
        seen = {b[key] is not None for b in ask.left}
        meaning = {"yes": {True}, "no": {False}, "open": {True, False}}
        assert state is not None
        assert seen == meaning[state]


@many
@given(seeds)
def test_conditions_are_certain_excluded_or_open_as_the_builds_say(seed: int) -> None:
    ask = random_ask(seed)
    pairs = conditions_of(ask)
    states = ask.reasoner.states(ask.known, [lit for lit, _ in pairs])
    for state, (lit, truths) in zip(states, pairs, strict=True):
        assert ask.reasoner.certain(ask.known, lit) == all(truths)
        assert ask.reasoner.possible(ask.known, (lit,)) == any(truths)
        if ask.left:
            meaning = {"certain": {True}, "excluded": {False}, "open": {True, False}}
            assert set(truths) == meaning[state]
        else:
            assert state == "excluded"


@many
@given(seeds)
def test_cases_are_all_truth_vectors_in_order_and_the_first_ones_when_cut(
    seed: int,
) -> None:
    ask = random_ask(seed, share=0.2)
    pairs = conditions_of(ask)
    lits = [lit for lit, _ in pairs]
    expected = sorted(
        set(zip(*(truths for _, truths in pairs), strict=True)), reverse=True
    )
    found = ask.reasoner.cases(ask.known, lits, limit=max(len(expected), 1))
    assert found.complete
    assert list(found.vectors) == expected
    for limit in {1, len(expected) // 2, len(expected) - 1}:
        if 0 < limit < len(expected):
            cut = ask.reasoner.cases(ask.known, lits, limit=limit)
            assert not cut.complete
            assert list(cut.vectors) == expected[:limit]


@many
@given(seeds)
def test_the_witness_is_the_least_build_left_usual_choices_first(seed: int) -> None:
    ask = random_ask(seed)
    witness = ask.reasoner.witness(ask.known)
    if not ask.left:
        assert witness is None
        return
    assert witness is not None
    least = min(ask.left, key=lambda b: _rank(ask, b))
    expected = rest_form(ask.listing, least)
    expected["serial"] = witness.answers["serial"]
    assert witness.answers == expected
    first = int(next(iter(least["serial"] or ())).split("..")[0])
    meant = ask.known.serial or (1, 1)
    assert witness.serial == max(first, meant[0])


def _rank(ask: Ask, build: Listed) -> list[int]:
    truth = value_literals(ask.listing, build)
    rank: list[int] = []
    for key in ask.compiled.option_order:
        option = ask.compiled.options[key]
        code_of = {lit: code for code, lit in option.choices.items()}
        if key != "serial" and build[key] is None:
            rank.append(99)
        elif option.option.choose == "one":
            held = [truth[key, code_of[lit]] for lit in preferred(option)]
            rank.append(held.index(True))
        else:
            usual = [truth[key, c] == (c in option.usual) for c in option.choices]
            rank += [not kept for kept in usual]
    return rank


@many
@given(seeds)
def test_a_witness_written_out_is_the_same_build_and_breaks_no_rule(seed: int) -> None:
    ask = random_ask(seed)
    witness = ask.reasoner.witness(ask.known)
    if witness is None:
        return
    again = ask.reasoner.full(witness.answers)
    assert again == witness
    assert ask.reasoner.broken_rules(again) == ()
    lits = [lit for lit, _ in conditions_of(ask)]
    assert ask.reasoner.truths(again, lits) == tuple(map(witness.truth, lits))


@many
@given(seeds)
def test_the_count_is_the_number_of_builds_left(seed: int) -> None:
    ask = random_ask(seed, share=0.25)
    assert ask.reasoner.count(ask.known) == len(ask.left)


@pytest.mark.parametrize("seed", range(40))
def test_a_full_build_that_breaks_a_rule_says_which(seed: int) -> None:
    ask = random_ask(seed)
    for build in _all_builds(ask)[:60]:
        broken = ask.listing.broken(build)
        full = ask.reasoner.full(rest_form(ask.listing, build))
        assert list(ask.reasoner.broken_rules(full)) == broken
        assert (not broken) == (build in ask.listing.valid)


def _all_builds(ask: Ask) -> list[Listed]:
    return list(ask.listing._builds())


def test_without_answers_every_valid_build_remains() -> None:
    ask = random_ask(11)
    assert ask.reasoner.count(NOTHING) == len(ask.listing.valid)
