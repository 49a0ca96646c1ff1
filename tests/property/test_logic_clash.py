"""A clash is irreducible, its repairs are all least ones, waivers really help."""

from __future__ import annotations

from itertools import combinations

from hypothesis import given, settings
from hypothesis import strategies as st

from bomsvc.core.logic.answers import read_answers
from bomsvc.core.logic.known import Entry
from bomsvc.core.logic.reasoner import Reasoner
from tests.unit.logic.asking import Ask, agrees, random_ask
from tests.unit.logic.listing import Listed, Listing, value_literals

seeds = st.integers(0, 10**9)
many = settings(max_examples=100, deadline=None)


def clashing(seed: int) -> Ask | None:
    """Answers that contradict each other: most are stated, so many draws do."""
    ask = random_ask(seed, share=0.9)
    return None if ask.left else ask


def says(ask: Ask, build: Listed, entry: Entry) -> bool:
    """Whether a listed build is as the statement says, by its meaning."""
    if entry.key == "serial":
        return agrees(build, {"serial": ask.answers["serial"]})
    if entry.name != entry.key:
        code = entry.name.rpartition(".")[2]
        return agrees(build, {entry.key: {code: bool(entry.typed)}})
    return agrees(build, {entry.key: ask.answers[entry.key]})


def some_build(ask: Ask, builds: list[Listed], names: set[str]) -> bool:
    entries = [e for e in ask.known.entries if e.name in names]
    return any(all(says(ask, b, e) for e in entries) for b in builds)


def builds_under(ask: Ask, rules: set[str]) -> list[Listed]:
    listing = ask.listing
    return [b for b in listing._builds() if not set(listing.broken(b)) & rules]


@many
@given(seeds)
def test_the_answers_and_rules_named_clash_and_none_of_them_can_be_spared(
    seed: int,
) -> None:
    ask = clashing(seed)
    if ask is None:
        return
    clash = ask.reasoner.clash(ask.known)
    rules, answers = set(clash.rules), set(clash.answers)
    assert not some_build(ask, builds_under(ask, rules), answers)
    for name in answers:
        assert some_build(ask, builds_under(ask, rules), answers - {name})
    for key in rules:
        assert some_build(ask, builds_under(ask, rules - {key}), answers)


@many
@given(seeds)
def test_repairs_are_exactly_the_least_sets_of_answers_to_give_up(seed: int) -> None:
    ask = clashing(seed)
    if ask is None:
        return
    found = ask.reasoner.clash(ask.known).repairs
    names = [e.name for e in ask.known.entries]
    least = least_sets(
        names,
        lambda gone: some_build(ask, ask.listing.valid, set(names) - set(gone)),
    )
    assert len(found) == min(10, len(least))
    assert {frozenset(drop) for drop in found} <= least
    assert len(set(found)) == len(found)


@many
@given(seeds)
def test_waivers_are_exactly_the_least_sets_of_factory_rules_that_help(
    seed: int,
) -> None:
    ask = clashing(seed)
    if ask is None:
        return
    found = ask.reasoner.clash(ask.known).waivers
    keys = [k for k, r, _ in ask.listing.rules() if r.strength == "factory"]

    def helps(gone: tuple[str, ...]) -> bool:
        loose = Listing(ask.listing.catalogue, frozenset(gone))
        return any(agrees(b, ask.answers) for b in loose.valid)

    least = least_sets(keys, helps)
    assert {frozenset(keys) for keys in found} <= least
    assert len(found) == min(10, len(least))
    for waived in found:
        known = read_answers(ask.compiled, ask.answers, waive=waived)
        assert Reasoner(ask.compiled).consistent(known)


def least_sets(items: list[str], helps) -> set[frozenset[str]]:  # type: ignore[no-untyped-def] # noqa: ANN001
    for size in range(len(items) + 1):
        found = {frozenset(some) for some in combinations(items, size) if helps(some)}
        if found:
            return found
    return set()


@many
@given(seeds)
def test_the_first_repair_spares_the_most_trusted_statement_that_can_be_spared(
    seed: int,
) -> None:
    ask = clashing(seed)
    if ask is None:
        return
    repairs = ask.reasoner.clash(ask.known).repairs
    distrust = {e.name: e.distrust for e in ask.known.entries}
    dearest = [min((distrust[n] for n in drop), default=99) for drop in repairs]
    assert dearest == sorted(dearest, reverse=True)


@many
@given(seeds)
def test_a_reason_forces_its_choice_and_no_item_of_it_can_be_spared(seed: int) -> None:
    ask = random_ask(seed, share=0.5)
    if not ask.left:
        return
    truths = [value_literals(ask.listing, b) for b in ask.left]
    for key, option in ask.compiled.options.items():
        for code, lit in option.choices.items():
            why = ask.reasoner.why(ask.known, lit)
            seen = {t[key, code] for t in truths}
            if why.state == "open":
                assert seen == {True, False}
                continue
            assert seen == {why.state == "certain"}
            _forced(ask, why.reasons, (key, code), why.state == "certain")


def _forced(ask: Ask, reasons, choice, value) -> None:  # type: ignore[no-untyped-def] # noqa: ANN001
    answers = {r.name for r in reasons if r.kind == "answer"}
    rules = {r.name for r in reasons if r.kind == "rule"}

    def other_value(names: set[str], keys: set[str]) -> bool:
        entries = [e for e in ask.known.entries if e.name in names]
        return any(
            value_literals(ask.listing, b)[choice] != value
            for b in builds_under(ask, keys)
            if all(says(ask, b, e) for e in entries)
        )

    assert not other_value(answers, rules)
    for name in answers:
        assert other_value(answers - {name}, rules)
    for key in rules:
        assert other_value(answers, rules - {key})
