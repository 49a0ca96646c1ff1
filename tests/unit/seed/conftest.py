"""The demo family, read and compiled once for all statements about it."""

from __future__ import annotations

import csv
import json
import random
from pathlib import Path
from typing import Any

import pytest

from bomsvc.core.catalogue import Catalogue
from bomsvc.core.logic.answers import read_answers
from bomsvc.core.logic.builds import Build
from bomsvc.core.logic.compiled import Compiled, compile_catalogue
from bomsvc.core.logic.known import Known
from bomsvc.core.logic.reasoner import Reasoner
from bomsvc.core.logic.standing import Lit
from bomsvc.core.resolve import Resolved, read_scope, resolve
from bomsvc.intake.document import read_document
from tests.unit.seed.sense.engine import Engine

SEED = Path(__file__).parents[3] / "seed"


class Demo:
    """The family as the counter meets it."""

    def __init__(self, text: str | None = None) -> None:
        on_disk = SEED / "catalogues/whimbrel.yaml"
        self.text = on_disk.read_text(encoding="utf-8") if text is None else text
        self.catalogue: Catalogue = read_document(self.text.encode(), "yaml")
        self.compiled: Compiled = compile_catalogue(self.catalogue)
        self.reasoner = Reasoner(self.compiled)
        self.parts = {part.number: part for part in self.catalogue.parts}

    def known(self, answers: dict[str, Any]) -> Known:
        return read_answers(self.compiled, answers)

    def lists(self, answers: dict[str, Any], **scope: Any) -> Resolved:
        """The list of a scope for what is known."""
        asked = read_scope(self.compiled, scope)
        found = resolve(self.reasoner, self.known(answers), asked)
        assert isinstance(found, Resolved), found
        return found

    def any_build(self, draw: random.Random) -> Build:
        """A valid build, each option drawn among what is still possible."""
        lits: list[Lit] = []
        nothing = self.known({})
        for option in draw.sample(
            list(self.compiled.options.values()), len(self.compiled.options)
        ):
            choices = list(option.choices.values())
            if option.option.choose == "any":
                drawn = [lit if draw.random() < 0.4 else Lit(-lit) for lit in choices]
            else:
                drawn = draw.sample(choices, len(choices))[:3]
            for lit in drawn:
                if self.reasoner.possible(nothing, [*lits, lit]):
                    lits.append(lit)
                    if option.option.choose == "one":
                        break
        build = self.reasoner.witness(nothing, lits)
        assert build is not None
        return build


@pytest.fixture(scope="session")
def demo() -> Demo:
    return Demo()


@pytest.fixture(scope="session")
def sense(whimbrel: Catalogue) -> Engine:
    """The family under the sense checks."""
    return Engine(whimbrel)


@pytest.fixture(scope="session")
def engines() -> list[dict[str, Any]]:
    with (SEED / "engines.csv").open(encoding="utf-8", newline="") as rows:
        return [
            {
                **row,
                "answers": json.loads(row["answers"]),
                "sources": json.loads(row["sources"]),
            }
            for row in csv.DictReader(rows)
        ]


@pytest.fixture(scope="session")
def some_builds(demo: Demo) -> list[Build]:
    """Five hundred valid builds, the same ones each time."""
    draw = random.Random(20_26)  # noqa: S311 (nothing secret is drawn)
    return [demo.any_build(draw) for _ in range(500)]


@pytest.fixture(scope="session")
def a_build_of_each_choice(demo: Demo) -> list[Build]:
    """The usual build that has it, for every choice."""
    nothing = demo.known({})
    found = [
        demo.reasoner.witness(nothing, [lit])
        for option in demo.compiled.options.values()
        if option.member is None
        for lit in option.choices.values()
    ]
    return list(dict.fromkeys(build for build in found if build is not None))
