"""Covers say exactly when; completing keeps the most usual choices."""

from __future__ import annotations

from collections.abc import Mapping

from hypothesis import given, settings
from hypothesis import strategies as st

from bomsvc.core.logic.cover_words import cover_condition
from bomsvc.core.logic.covers import Limited, Term
from tests.unit.logic.asking import Ask, conditions_of, random_ask
from tests.unit.logic.listing import Listed, serial_of

seeds = st.integers(0, 10**9)
many = settings(max_examples=80, deadline=None)


def meets(build: Listed, term: Term) -> bool:
    return all(_allowed(build, limited) for limited in term)


def _allowed(build: Listed, limited: Limited) -> bool:
    chosen = build[limited.option]
    if limited.code:
        return (limited.code in (chosen or ())) != limited.absent
    if chosen is None:
        return limited.absent
    return bool(chosen & set(limited.choices))


@many
@given(seeds)
def test_a_cover_holds_in_exactly_the_builds_where_its_condition_holds(
    seed: int,
) -> None:
    ask = random_ask(seed, share=0.2)
    if not ask.left:
        return
    for lit, truths in conditions_of(ask):
        cover = ask.reasoner.cover(ask.known, lit)
        assert cover.complete
        covered = [any(meets(b, t) for t in cover.terms) for b in ask.left]
        assert covered == truths
        written = cover_condition(ask.compiled, cover)
        holds = [ask.listing.holds(written, b, None, None) for b in ask.left]
        assert holds == truths


@many
@given(seeds)
def test_no_term_of_a_cover_can_be_spared_or_widened(seed: int) -> None:
    ask = random_ask(seed, share=0.2)
    if not ask.left:
        return
    for lit, truths in conditions_of(ask)[:4]:
        terms = ask.reasoner.cover(ask.known, lit).terms
        for term in terms:
            others = [t for t in terms if t is not term]
            spared = [any(meets(b, t) for t in others) for b in ask.left]
            assert spared != truths
            for wider in _wider(ask, term):
                assert any(
                    meets(b, wider) and not held
                    for b, held in zip(ask.left, truths, strict=True)
                )


def _wider(ask: Ask, term: Term) -> list[Term]:
    """The term without one of its options, or with one more value."""
    found = [tuple(x for x in term if x is not y) for y in term]
    for place, limited in enumerate(term):
        if limited.code:
            continue
        for more in _one_more(ask, limited):
            found.append((*term[:place], more, *term[place + 1 :]))
    return found


def _one_more(ask: Ask, limited: Limited) -> list[Limited]:
    seen = {b[limited.option] for b in ask.left}
    codes = {c for chosen in seen if chosen for c in chosen} - set(limited.choices)
    more = [
        Limited(limited.option, (*limited.choices, c), limited.absent) for c in codes
    ]
    if None in seen and not limited.absent:
        more.append(Limited(limited.option, limited.choices, absent=True))
    return more


@many
@given(seeds)
def test_a_limited_cover_is_true_as_far_as_it_goes(seed: int) -> None:
    ask = random_ask(seed, share=0.1)
    if not ask.left:
        return
    for lit, truths in conditions_of(ask):
        whole = ask.reasoner.cover(ask.known, lit)
        part = ask.reasoner.cover(ask.known, lit, limit=1)
        covered = [any(meets(b, t) for t in part.terms) for b in ask.left]
        pairs = list(zip(truths, covered, strict=True))
        assert all(held or not shown for held, shown in pairs)
        assert part.complete == (truths == covered)
        if part.complete:
            assert part == whole


@many
@given(seeds)
def test_completing_keeps_as_many_usual_choices_as_any_build_left(seed: int) -> None:
    ask = random_ask(seed, share=0.3)
    completed = ask.reasoner.complete(ask.known)
    assert (completed is None) == (not ask.left)
    if completed is None:
        return
    answers = completed.build.answers
    (build,) = [b for b in ask.left if _same(b, answers)]
    assert _unusual(ask, build) == min(_unusual(ask, b) for b in ask.left)


def _unusual(ask: Ask, build: Listed) -> int:
    return sum(
        build[key] is not None and build[key] != frozenset(option.usual)
        for key, option in ask.compiled.options.items()
        if key != "serial"
    )


def _same(build: Listed, answers: Mapping[str, object]) -> bool:
    for key, chosen in build.items():
        if key == "serial":
            first, last = serial_of(build).split("..")
            serial = int(str(answers[key]))
            if not int(first) <= serial <= int(last or 10**9):
                return False
        elif chosen is None:
            if key in answers:
                return False
        else:
            said = answers[key]
            assert isinstance(said, str | list)
            if chosen != frozenset([said] if isinstance(said, str) else said):
                return False
    return True


@many
@given(seeds)
def test_completing_marks_what_was_answered_what_follows_and_what_is_usual(
    seed: int,
) -> None:
    ask = random_ask(seed, share=0.3)
    completed = ask.reasoner.complete(ask.known)
    if completed is None:
        return
    for key, how in completed.how.items():
        values = {b[key] for b in ask.left}
        if how in ("answered", "follows"):
            assert len(values - {None}) == 1
        else:
            assert len(values) > 1 or key == "serial"
        if how == "answered":
            assert key in ask.answers or ask.known.serial
