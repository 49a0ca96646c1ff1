"""Large made families for speed: options in a tree, rules, serials, fitments.

Shaped like the families of the logic study: two to six choices an option, three in
ten nested, about 0.8 rules an option between near neighbours with a few far ones,
serial break-points. Repeatable: the same size and seed give the same family.
"""

from __future__ import annotations

import random

from bomsvc.core.catalogue.conditions import (
    Among,
    And,
    Condition,
    Not,
    Or,
    SerialIs,
)
from bomsvc.core.catalogue.entities import (
    Catalogue,
    Choice,
    Fitment,
    Option,
    Position,
    Ref,
    Rule,
    Under,
)
from tests.unit.logic.families import catalogue_of, repeatable

NESTED = 0.3
RULES_PER_OPTION = 0.8
FAR = 0.05
BREAKS = 6


def big_family(options: int, fitments: int = 0, seed: int = 1) -> Catalogue:
    """A family with so many options and about so many fitments, with builds."""
    rng = repeatable(f"{options} {seed}")
    made: list[Option] = []
    for index in range(options):
        made.append(_option(rng, index, made))
    standard = _standard_build(made)
    rules = tuple(
        _rule(rng, index, made, standard)
        for index in range(round(options * RULES_PER_OPTION))
    )
    positions, fitted = _fitments(rng, made, fitments)
    return catalogue_of(*made, rules=rules, positions=positions, fitments=fitted)


def _option(rng: random.Random, index: int, before: list[Option]) -> Option:
    count = rng.choice([2, 2, 3, 3, 4, 5, 6])
    choices = tuple(Choice(f"c{k}", f"choice {k}", f"as {k}") for k in range(count))
    under = None
    if before and rng.random() < NESTED:
        parent = rng.choice(before[-12:])
        under = Under(parent.code, rng.choice(parent.choices).code)
    choose = "any" if rng.random() < 0.05 else "one"
    code = f"o{index}"
    return Option(code, f"Option {index}", choices, choose, under, ask=f"Which {code}?")  # type: ignore[arg-type]


def _standard_build(options: list[Option]) -> dict[str, str | None]:
    """A build that every rule keeps, so that the family has builds."""
    build: dict[str, str | None] = {}
    for option in options:
        under = option.under
        active = under is None or build[under.option] == under.choice
        one = option.choose == "one"
        build[option.code] = option.choices[0].code if active and one else None
    return build


def _rule(
    rng: random.Random,
    index: int,
    options: list[Option],
    standard: dict[str, str | None],
) -> Rule:
    """A rule between neighbours (a few far apart) that the standard build keeps."""
    while True:
        first = rng.randrange(len(options))
        far = rng.random() < FAR
        reach = len(options) if far else 8
        near = options[max(0, first - reach) : first + reach + 1]
        count = rng.choice([2, 2, 3])
        terms = [_leaf(rng, rng.choice(near), negate=0.3) for _ in range(count)]
        if rng.random() < 0.06:
            terms[0] = SerialIs(">=", 1000 * rng.randint(1, BREAKS))
        when = terms[0] if count == 2 else And(tuple(terms[:-1]))
        then = terms[-1]
        if not _holds(when, standard) or _holds(then, standard):
            return Rule(f"r{index}", then, f"reason {index}", when)


def _leaf(rng: random.Random, option: Option, *, negate: float) -> Condition:
    codes = [c.code for c in option.choices]
    some = tuple(rng.sample(codes, rng.randint(1, max(1, len(codes) - 1))))
    term = Among(option.code, some)
    return Not(term) if rng.random() < negate else term


def _holds(condition: Condition, build: dict[str, str | None]) -> bool:
    match condition:
        case Among(code, choices, _):
            return build[code] in choices
        case Not(term):
            return not _holds(term, build)
        case And(terms):
            return all(_holds(term, build) for term in terms)
        case SerialIs():
            return False
    raise AssertionError(condition)


def _fitments(
    rng: random.Random, options: list[Option], count: int
) -> tuple[tuple[Position, ...], tuple[Fitment, ...]]:
    """Positions of four fitments each; one position looks at two to four options."""
    positions: list[Position] = []
    fitments: list[Fitment] = []
    while len(fitments) < count:
        code = f"p{len(positions)}"
        positions.append(Position(code, f"Position {code}", "top"))
        first = rng.randrange(len(options))
        near = options[max(0, first - 6) : first + 7]
        looked_at = rng.sample(near, min(len(near), rng.choice([2, 2, 3, 4])))
        for _ in range(4):
            number = f"P{len(fitments)}"
            when = _when(rng, looked_at)
            fitments.append(Fitment(Ref(code), number, when=when))
    return tuple(positions), tuple(fitments)


def _when(rng: random.Random, options: list[Option]) -> Condition:
    terms = tuple(_conjunction(rng, options) for _ in range(rng.randint(1, 2)))
    return terms[0] if len(terms) == 1 else Or(terms)


def _conjunction(rng: random.Random, options: list[Option]) -> Condition:
    looked_at = rng.sample(options, rng.randint(1, len(options)))
    terms = tuple(_leaf(rng, option, negate=0.1) for option in looked_at)
    return terms[0] if len(terms) == 1 else And(terms)
