"""Small random families for the logic's tests: trees, series, serials, rules."""

from __future__ import annotations

import random
from dataclasses import dataclass

from bomsvc.core.catalogue.conditions import (
    ALWAYS,
    NEVER,
    Among,
    And,
    Condition,
    MemberIs,
    Not,
    Or,
    SerialIs,
)
from bomsvc.core.catalogue.entities import (
    Catalogue,
    Choice,
    Family,
    Fitment,
    Option,
    Position,
    Prefix,
    Ref,
    Rule,
    Under,
)

SERIES = "cylinder"


def catalogue_of(
    *options: Option,
    rules: tuple[Rule, ...] = (),
    positions: tuple[Position, ...] = (),
    fitments: tuple[Fitment, ...] = (),
    series: dict[str, int] | None = None,
    prefixes: tuple[Prefix, ...] = (),
) -> Catalogue:
    family = Family("whimbrel", "Whimbrel", series=series or {}, prefixes=prefixes)
    return Catalogue(
        family=family,
        options=options,
        rules=rules,
        sections=(),
        positions=positions,
        parts=(),
        fitments=fitments,
        joints=(),
        steps=(),
        jobs=(),
        digest="0" * 64,
    )


def option(code: str, *choices: str, **more: object) -> Option:
    made = tuple(Choice(c, f"the {c} one", f"look for {c}") for c in choices)
    more.setdefault("ask", f"Which {code}?")
    return Option(code, code.replace("_", " ").capitalize(), made, **more)  # type: ignore[arg-type]


def rule(
    code: str, when: Condition, then: Condition, strength: str = "factory"
) -> Rule:
    return Rule(code, then, f"because of {code}", when, None, strength)  # type: ignore[arg-type]


def is_(code: str, *choices: str, member: int | str | None = None) -> Among:
    return Among(code, choices, member)  # type: ignore[arg-type]


def repeatable(seed: int | str) -> random.Random:
    """A source of test data that is the same every time; nothing secret."""
    return random.Random(seed)  # noqa: S311 - test data


@dataclass
class Draw:
    """A repeatable source of small choices."""

    rng: random.Random

    def chance(self, part: float) -> bool:
        return self.rng.random() < part

    def count(self, low: int, high: int) -> int:
        return self.rng.randint(low, high)

    def one(self, items: list[Option]) -> Option:
        return self.rng.choice(items)


def random_family(seed: int, *, most_options: int = 4) -> Catalogue:
    """A family small enough to list its builds: at most a few thousand."""
    draw = Draw(repeatable(seed))
    options = _options(draw, draw.count(2, most_options))
    rules = tuple(
        Rule(
            f"r{i}",
            random_condition(draw, options, depth=2, own=each),
            f"because of r{i}",
            ALWAYS if draw.chance(0.3) else random_condition(draw, options, 1, each),
            each,
            "physical" if draw.chance(0.2) else "factory",
        )
        for i in range(draw.count(0, 4))
        for each in [SERIES if draw.chance(0.25) else None]
    )
    positions = (
        Position("slot", "Slot", "top", exists=random_condition(draw, options, 1)),
        Position(
            "row", "Row", "top", SERIES, random_condition(draw, options, 1, SERIES)
        ),
    )
    fitments = tuple(
        Fitment(
            Ref(code),
            f"P{i}",
            when=random_condition(draw, options, 2, SERIES if code == "row" else None),
        )
        for i, code in enumerate(["slot", "slot", "slot", "row", "row"])
    )
    return catalogue_of(
        *options,
        rules=rules,
        positions=positions,
        fitments=fitments,
        series={SERIES: 2},
        prefixes=(Prefix("N", options[0].code, options[0].choices[0].code),)
        if options[0].each is None
        else (),
    )


def _options(draw: Draw, count: int) -> list[Option]:
    options: list[Option] = []
    for i in range(count):
        choices = tuple(
            Choice(f"c{k}", f"choice {k}", f"looks like {k}")
            for k in range(draw.count(1, 3))
        )
        each = SERIES if draw.chance(0.2) else None
        choose = "any" if draw.chance(0.25) else "one"
        measured = draw.chance(0.15)
        options.append(
            Option(
                f"o{i}",
                f"Option {i}",
                choices,
                choose,  # type: ignore[arg-type]
                _under(draw, options, each),
                each,
                "measured" if measured else "build",
                None if draw.chance(0.2) else f"Which o{i}?",
                _usual(draw, choices, choose),
            )
        )
    if draw.chance(0.3):
        draw.rng.shuffle(options)
    return options


def _usual(
    draw: Draw, choices: tuple[Choice, ...], choose: str
) -> tuple[str, ...] | None:
    if draw.chance(0.5):
        return None
    codes = [c.code for c in choices]
    if choose == "one":
        return (draw.rng.choice(codes),)
    return tuple(c for c in codes if draw.chance(0.5))


def _under(draw: Draw, options: list[Option], each: str | None) -> Under | None:
    parents = [o for o in options if o.each in (None, each)]
    if not parents or draw.chance(0.5):
        return None
    parent = draw.one(parents)
    return Under(parent.code, draw.rng.choice(parent.choices).code)


def random_condition(
    draw: Draw, options: list[Option], depth: int, own: str | None = None
) -> Condition:
    """A condition over the options, seen from a member of `own` where given."""
    if depth and draw.chance(0.6):
        terms = tuple(
            random_condition(draw, options, depth - 1, own)
            for _ in range(draw.count(2, 3))
        )
        return And(terms) if draw.chance(0.5) else Or(terms)
    if draw.chance(0.25):
        return Not(random_condition(draw, options, depth and depth - 1, own))
    return _leaf(draw, options, own)


def _leaf(draw: Draw, options: list[Option], own: str | None) -> Condition:
    if draw.chance(0.04):
        return ALWAYS if draw.chance(0.5) else NEVER
    if draw.chance(0.12):
        sign = draw.rng.choice(["<", "<=", ">", ">=", "=", "!="])
        return SerialIs(sign, draw.rng.choice([1, 500, 501, 900, 999_999_999]))  # type: ignore[arg-type]
    if own and draw.chance(0.15):
        sign = draw.rng.choice(["<", "<=", ">", ">=", "=", "!="])
        return MemberIs(own, sign, draw.count(0, 3))  # type: ignore[arg-type]
    chosen = draw.one(options)
    codes = [c.code for c in chosen.choices]
    some = tuple(draw.rng.sample(codes, draw.count(1, len(codes))))
    member = None
    if chosen.each and (own != chosen.each or draw.chance(0.5)):
        member = draw.rng.choice([1, 2, "all", "any"])
    return Among(chosen.code, some, member)  # type: ignore[arg-type]
