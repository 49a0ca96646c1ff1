"""Random answers and what they mean, for comparing the logic with the listing."""

from __future__ import annotations

import random
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from bomsvc.core.catalogue.entities import Catalogue
from bomsvc.core.logic.answers import read_answers
from bomsvc.core.logic.compiled import Compiled, compile_catalogue
from bomsvc.core.logic.known import Known
from bomsvc.core.logic.reasoner import Reasoner
from bomsvc.core.logic.standing import Lit
from tests.unit.logic.families import random_family, repeatable
from tests.unit.logic.listing import LAST, Listed, Listing, serial_of

SOURCES = ["plate", "records", "our_work", "seen", "measured", "usual", "guess"]
SERIALS: list[object] = [7, "600..", {"from": 500, "to": 950}, "900", "..499"]


def random_answers(
    rng: random.Random, listing: Listing, share: float = 0.4
) -> dict[str, Any]:
    answers: dict[str, Any] = {}
    for place in listing.places:
        if rng.random() > share:
            continue
        codes = [c.code for c in place.option.choices]
        if place.option.choose == "one":
            forms: list[Any] = [
                rng.choice(codes),
                rng.choice(codes),
                {"not": [rng.choice(codes)]},
                {"fitted": rng.random() < 0.5},
            ]
        else:
            forms = [
                [c for c in codes if rng.random() < 0.5],
                {rng.choice(codes): rng.random() < 0.5},
            ]
        answers[place.key] = rng.choice(forms)
    if rng.random() < share:
        answers["serial"] = rng.choice(SERIALS)
    return answers


def agrees(build: Listed, answers: Mapping[str, Any]) -> bool:
    """Whether a listed build is what the answers say."""
    return all(
        _serial_agrees(build, value) if key == "serial" else _agrees(build[key], value)
        for key, value in answers.items()
    )


def _agrees(chosen: frozenset[str] | None, value: Any) -> bool:
    there = chosen or frozenset()
    match value:
        case str():
            return chosen == frozenset([value])
        case list():
            return there == frozenset(value)
        case {"not": codes}:
            return not there & set(codes)
        case {"fitted": fitted}:
            return bool((chosen is not None) == fitted)
    return all((code in there) == said for code, said in value.items())


def _serial_agrees(build: Listed, value: Any) -> bool:
    first, last = _ends(serial_of(build))
    if isinstance(value, dict):
        low, high = value.get("from", 1), value.get("to", LAST)
    elif isinstance(value, str):
        low, high = _ends(value) if ".." in value else (int(value), int(value))
    else:
        low = high = value
    return bool(first <= high and low <= last)


def _ends(text: str) -> tuple[int, int]:
    first, last = text.split("..")
    return int(first or 1), int(last or LAST)


@dataclass
class Ask:
    """A random family with random answers, and all that remains by listing."""

    listing: Listing
    compiled: Compiled
    reasoner: Reasoner
    answers: dict[str, Any]
    known: Known
    left: list[Listed]


def random_ask(
    seed: int, *, share: float = 0.4, most_options: int = 4, solver: str = "glucose4"
) -> Ask:
    catalogue = random_family(seed, most_options=most_options)
    return ask_about(catalogue, repeatable(seed), share=share, solver=solver)


def ask_about(
    catalogue: Catalogue,
    rng: random.Random,
    *,
    share: float = 0.4,
    solver: str = "glucose4",
) -> Ask:
    listing = Listing(catalogue)
    compiled = compile_catalogue(catalogue)
    answers = random_answers(rng, listing, share)
    sources = {key: rng.choice(SOURCES) for key in answers if rng.random() < 0.6}
    known = read_answers(compiled, answers, sources=sources)
    left = [b for b in listing.valid if agrees(b, answers)]
    return Ask(
        listing, compiled, Reasoner(compiled, solver=solver), answers, known, left
    )


def conditions_of(ask: Ask) -> list[tuple[Lit, list[bool]]]:
    """Every fitment and position: its literal, and its truth in each build left."""
    found = []
    holds = ask.listing.holds
    for p in ask.compiled.standing.positions.values():
        own = (p.member, p.position.each)
        there = [holds(p.position.exists, b, *own) for b in ask.left]
        found.append((p.exists, there))
        for f in p.fitments:
            when = f.fitment.when
            truths = [
                t and (when is None or holds(when, b, *own))
                for t, b in zip(there, ask.left, strict=True)
            ]
            found.append((f.applies, truths))
    return found
