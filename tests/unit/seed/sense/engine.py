"""The demo engine under the sense checks: builds to look at, and what each has.

A check is a plain function of an `Engine` that returns complaints, one sentence
each, beginning with the place. No complaint: the data make sense.
"""

from __future__ import annotations

import random
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from functools import cached_property
from typing import Any

from bomsvc.core.catalogue.entities import Catalogue, Group, Joint, Part
from bomsvc.core.fasteners.values import Shelf, SizedGroup
from bomsvc.core.logic.answers import read_answers
from bomsvc.core.logic.builds import Build
from bomsvc.core.logic.compiled import Compiled, compile_catalogue
from bomsvc.core.logic.known import NOTHING
from bomsvc.core.logic.reasoner import Reasoner
from bomsvc.core.logic.standing import Key, Lit, StandingFitment
from bomsvc.core.resolve import Resolved, read_scope, resolve
from bomsvc.core.resolve.sizing import CombinationReader, SizedJoints, joint_literals
from bomsvc.core.resolve.stack import screw_of
from bomsvc.core.resolve.view import View
from bomsvc.core.work import Plan, plan

DUTIES = (
    {"use": "pump"},
    {"use": "boat"},
    {"use": "boat", "cooling": "raw"},
    {"use": "harvester"},
)
SEALING = frozenset({"gasket", "seal"})
UNWEIGHED = frozenset({"tool", "fluid", "sealant"})


@dataclass(frozen=True, slots=True)
class Fitted:
    """What sits in a position of one build, rank 1."""

    position: Key
    part: Part
    qty: Decimal

    @property
    def mass_kg(self) -> Decimal:
        return self.qty * (self.part.mass_kg or Decimal(0))


@dataclass(frozen=True, slots=True)
class Case:
    """A group of a joint with one stack that some valid build has."""

    joint: Joint
    group: Group
    sized: SizedGroup

    @property
    def place(self) -> str:
        return f"{self.joint.code}.{self.group.code}"


Answers = Mapping[str, Any]
Listed = tuple[Build, Key, Plan, Resolved]
"""A job on a build: its plan and its list."""


class Engine:
    """One document, compiled, with builds of it that are the same each time.

    A copy with a planted fault looks at few builds (`only` what is known of them)
    and at few jobs (`menu`), so that each fault is found quickly.
    """

    def __init__(
        self,
        catalogue: Catalogue,
        *,
        only: Sequence[Answers] = (),
        menu: Sequence[str] = (),
    ) -> None:
        self.catalogue = catalogue
        self._only = only
        self._menu = menu
        self._plans: dict[tuple[Build, tuple[Key, ...]], Plan] = {}
        self.parts = {part.number: part for part in catalogue.parts}

    @cached_property
    def compiled(self) -> Compiled:
        return compile_catalogue(self.catalogue)

    @cached_property
    def reasoner(self) -> Reasoner:
        return Reasoner(self.compiled)

    @cached_property
    def usual(self) -> list[Build]:
        """The usual build of each duty; afloat, with either cooler."""
        asked = self._only or DUTIES
        known = (read_answers(self.compiled, one) for one in asked)
        builds = (self.reasoner.witness(one) for one in known)
        return [build for build in builds if build is not None]

    @cached_property
    def of_each_choice(self) -> list[Build]:
        """The usual build that has it, for every choice of every option."""
        if self._only:
            return self.usual
        found = [
            self.reasoner.witness(NOTHING, [lit])
            for option in self.compiled.options.values()
            if option.member is None
            for lit in option.choices.values()
        ]
        return list(dict.fromkeys(build for build in found if build is not None))

    @cached_property
    def drawn(self) -> list[Build]:
        """A hundred valid builds, drawn with a fixed seed."""
        if self._only:
            return self.usual
        draw = random.Random(45_102)  # noqa: S311 (nothing secret is drawn)
        return [self._drawn(draw) for _ in range(100)]

    @cached_property
    def extremes(self) -> list[Build]:
        """The lightest and the heaviest build."""
        return self.usual if self._only else [self._extreme(-1), self._extreme(1)]

    @cached_property
    def spread(self) -> list[Build]:
        """Usual builds, the lightest and the heaviest, and some that were drawn."""
        return list(dict.fromkeys([*self.usual, *self.extremes, *self.drawn[:5]]))

    def _extreme(self, sign: int) -> Build:
        """The lightest (-1) or heaviest (1) build, option by option."""
        lits: list[Lit] = []
        best = self.reasoner.witness(NOTHING)
        for option in self.compiled.options.values():
            tried = [
                (sign * self.mass_kg(build), -place, lit, build)
                for place, lit in enumerate(option.choices.values())
                if (build := self.reasoner.witness(NOTHING, [*lits, lit])) is not None
            ]
            if tried and option.option.choose == "one" and option.key != "serial":
                _, _, lit, best = max(tried, key=lambda one: one[:2])
                lits.append(lit)
        assert best is not None
        return best

    def _drawn(self, draw: random.Random) -> Build:
        lits: list[Lit] = []
        options = list(self.compiled.options.values())
        for option in draw.sample(options, len(options)):
            choices = list(option.choices.values())
            if option.option.choose == "any":
                drawn = [lit if draw.random() < 0.4 else Lit(-lit) for lit in choices]
            else:
                drawn = draw.sample(choices, len(choices))[:3]
            for lit in drawn:
                if self.reasoner.possible(NOTHING, [*lits, lit]):
                    lits.append(lit)
                    if option.option.choose == "one":
                        break
        build = self.reasoner.witness(NOTHING, lits)
        assert build is not None
        return build

    def fitted(self, build: Build) -> Iterator[Fitted]:
        for key in self.compiled.standing.positions:
            yield from self.fitted_at(build, key)

    def fitted_at(self, build: Build, position: Key) -> Iterator[Fitted]:
        for one in self.compiled.standing.positions[position].fitments:
            if one.fitment.rank == 1 and build.truth(one.applies):
                part = self.parts[one.fitment.part]
                yield Fitted(position, part, one.fitment.qty)

    def weighed(self, build: Build) -> Iterator[Fitted]:
        """What is put on the scale: dry, and nothing that another part includes."""
        included = set(self._included(build))
        for fitted in self.fitted(build):
            if fitted.position not in included and fitted.part.kind not in UNWEIGHED:
                yield fitted

    def _included(self, build: Build) -> Iterator[Key]:
        for fitted in self.fitted(build):
            owner = self.compiled.standing.positions[fitted.position]
            for ref in fitted.part.includes:
                yield from self.compiled.keys_from(
                    ref, owner.member, owner.position.each
                )

    def fitments(self) -> Iterator[StandingFitment]:
        for position in self.compiled.standing.positions.values():
            yield from position.fitments

    def mass_kg(self, build: Build) -> Decimal:
        """Dry: what is fitted, without tools, fluids and sealants."""
        return sum((f.mass_kg for f in self.weighed(build)), Decimal(0))

    def jobs(self, build: Build) -> list[Key]:
        """The menu of a build; of jobs in a series each member."""
        standing = self.compiled.standing.jobs.values()
        return [
            job.key
            for job in standing
            if build.truth(job.exists)
            and (not self._menu or job.job.code in self._menu)
        ]

    def menu(self, build: Build) -> list[Key]:
        """The menu of a build; of jobs in a series the fourth member only.

        It is behind the front head, and the main bearing with the thrust washers.
        """
        jobs = self.jobs(build)
        return [key for key in jobs if "[" not in key or key.endswith("[4]")]

    def planned(self, build: Build, jobs: Iterable[Key]) -> Plan:
        key = (build, tuple(jobs))
        if key not in self._plans:
            found = plan(self.compiled, build.truth, key[1])
            assert isinstance(found, Plan), found
            self._plans[key] = found
        return self._plans[key]

    def lists(self, build: Build, **scope: Any) -> Resolved:
        """The list of a scope on a build that is known in full."""
        known = read_answers(self.compiled, build.answers)
        found = resolve(self.reasoner, known, read_scope(self.compiled, scope))
        assert isinstance(found, Resolved), found
        return found

    @cached_property
    def listed(self) -> tuple[Listed, ...]:
        """Every job's list on the usual boat with raw water, and the heaviest build."""
        (boat, *_) = self.usual[-2:]
        return tuple(
            (build, job, self.planned(build, [job]), self.lists(build, jobs=[job]))
            for build in dict.fromkeys([boat, self.extremes[-1]])
            for job in self.menu(build)
        )

    @cached_property
    def cases(self) -> list[Case]:
        """Every group of every joint with every stack that some build has."""
        return list(dict.fromkeys(self._cases()))

    def _cases(self) -> Iterator[Case]:
        screws = tuple(screw_of(p) for p in self.catalogue.parts if p.screw)
        sizes = SizedJoints(self.parts, Shelf(screws))
        positions = self.compiled.standing.positions
        view = View(self.reasoner, NOTHING)
        for standing in self.compiled.standing.joints.values():
            groups = {group.code: group for group in standing.joint.groups}
            lits = view.open_among(joint_literals(standing, positions))
            reader = CombinationReader(standing, positions, lits, view)
            found = view.cases(lits, limit=10_000)
            assert found.complete, standing.key
            for combination in dict.fromkeys(map(reader.read, found.vectors)):
                for code, sized in sizes.of(standing.joint, combination).items():
                    assert isinstance(sized, SizedGroup), (standing.key, sized)
                    yield Case(standing.joint, groups[code], sized)


def hours(minutes: Decimal) -> Decimal:
    return minutes / 60


def text_of(build: Build) -> str:
    """The build in a few words, for a complaint."""
    shown = ("use", "output", "plant", "sump", "pan", "drive", "cooling", "serial")
    return ", ".join(str(build.answers[key]) for key in shown if key in build.answers)
