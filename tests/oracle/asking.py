"""Random answers: some that a build can give, some that nothing can agree with."""

from __future__ import annotations

import random
from typing import Any

from tests.oracle.answers import TRUST, Answers
from tests.oracle.builds import SERIAL_LAST, Build, Model, OptionAt, read_interval


def answers_of(rng: random.Random, model: Model, build: Build, share: float) -> Answers:
    """Answers in all forms that agree with the build, for a share of the options."""
    found: Answers = {}
    for option in model.options:
        if rng.random() < share:
            found[option.key] = _answer(rng, model, option, build)
    return found


def _answer(rng: random.Random, model: Model, option: OptionAt, build: Build) -> Any:
    if rng.random() < 0.05:
        return {"unseen": True}
    if option.key == "serial":
        return _serial(rng, model, build)
    value = build[option.key]
    if value is None:
        return {"fitted": False}
    if isinstance(value, frozenset):
        return _set_answer(rng, option, value)
    others = [choice for choice in option.choices if choice != value]
    if others and rng.random() < 0.2:
        return {"not": rng.sample(others, k=rng.randint(1, len(others)))}
    return value


def _set_answer(rng: random.Random, option: OptionAt, value: frozenset[str]) -> Any:
    if rng.random() < 0.5:
        return sorted(value)
    some = rng.sample(option.choices, k=rng.randint(1, len(option.choices)))
    return {choice: choice in value for choice in some}


def _serial(rng: random.Random, model: Model, build: Build) -> Any:
    low, high = read_interval(str(build["serial"]))
    number = rng.choice((low, high, (low + high) // 2))
    prefixes = model.doc["family"].get("serial", {}).get("prefixes", {})
    way = rng.random()
    for prefix, named in prefixes.items():
        key, _, choice = named.partition(".")
        if way < 0.4 and build[key] == choice and number >= 1000:
            return f"{prefix}{number}"
    if way < 0.6:
        last = rng.choice((number, min(number + 20_000, SERIAL_LAST)))
        return f"{number}.." if last == SERIAL_LAST else f"{number}..{last}"
    return str(number) if way < 0.7 else number


def mixed_answers(
    rng: random.Random, model: Model, one: Build, other: Build, share: float
) -> Answers:
    """Answers taken partly from one build and partly from another."""
    found = answers_of(rng, model, one, share)
    for key, answer in answers_of(rng, model, other, share).items():
        if rng.random() < 0.5:
            found[key] = answer
    return found


def sources_for(rng: random.Random, answers: Answers) -> dict[str, str]:
    """Sources for some of the answers."""
    return {key: rng.choice(TRUST) for key in answers if rng.random() < 0.6}


def any_build(rng: random.Random, model: Model, builds: list[Build]) -> Build:
    """A made-up build: each option's value from some valid build or other."""
    return {o.key: rng.choice(builds)[o.key] for o in model.options}
