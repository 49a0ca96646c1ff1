"""Builds spliced from known ones are builds; the pool never changes an answer."""

from __future__ import annotations

import numpy as np
import pytest

from bomsvc.core.logic.answers import read_answers
from bomsvc.core.logic.builds import Build
from bomsvc.core.logic.compiled import compile_catalogue
from bomsvc.core.logic.known import Known
from bomsvc.core.logic.reasoner import Reasoner
from tests.unit.logic.big_families import big_family
from tests.unit.logic.families import random_family, repeatable


def walked(seed: int, options: int) -> tuple[Reasoner, list[Known]]:
    """A reasoner that has been asked along a walk of random possible answers."""
    catalogue = random_family(seed) if options < 10 else big_family(options, seed=seed)
    compiled = compile_catalogue(catalogue)
    reasoner = Reasoner(compiled)
    rng = repeatable(seed)
    answers: dict[str, object] = {}
    walk = [read_answers(compiled, answers)]
    while len(walk) < 12 and reasoner.consistent(walk[-1]):
        open_ones = [
            (o.option.key, c.code)
            for o in reasoner.identify(walk[-1]).options
            for c in o.choices
            if c.state == "open" and o.option.option.choose == "one"
        ]
        if not open_ones:
            break
        key, code = rng.choice(open_ones)
        answers[key] = code
        walk.append(read_answers(compiled, answers))
    return reasoner, walk


@pytest.mark.parametrize(
    ("seed", "options"), [(s, o) for s in range(3) for o in (4, 40)]
)
def test_spliced_builds_keep_every_rule_and_every_answer(
    seed: int, options: int
) -> None:
    reasoner, walk = walked(seed, options)
    for known in walk:
        if not reasoner.consistent(known):
            continue
        rules = reasoner._rules(known)
        domain = rules.domain(known.assumptions)
        assert domain is not None
        settled = (~domain.can_fail).astype(np.int8) - ~domain.can_hold
        values = rules.residual.spliced(rules.pool, settled, 64)
        for column in values.T:
            build = Build(reasoner.compiled, column.copy(), 1)
            assert reasoner.broken_rules(build) == ()
            assert all(build.truth(lit) for lit in known.assumptions)
            again = reasoner.full({**build.answers, "serial": _serial(build)})
            assert again.core.tolist() == column.tolist()


def _serial(build: Build) -> str:
    (code,) = build.choices("serial")
    return code


@pytest.mark.parametrize("seed", range(6))
def test_a_walk_of_answers_finds_what_a_fresh_start_finds(seed: int) -> None:
    reasoner, walk = walked(seed, 40)
    for known in walk:
        fresh = Reasoner(reasoner.compiled)
        assert fresh.identify(known) == reasoner.identify(known)
