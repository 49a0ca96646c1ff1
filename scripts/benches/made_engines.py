"""Generated engines, invented, for the bench of the planner.

*Engine*: layers of steps as on an engine, each position under one or two others,
some with a second way in. *Thicket*: every position freed by three steps, each of
which needs positions nearer the outside; a hard case on purpose.
"""

from __future__ import annotations

from decimal import Decimal
from random import Random

from bomsvc.core.catalogue import entities as e
from bomsvc.core.logic.standing import (
    TRUE,
    Key,
    Standing,
    StandingFitment,
    StandingJob,
    StandingJoint,
    StandingPosition,
    StandingStep,
)


class Engine:
    """Items added one by one; a revision as the planner reads it."""

    def __init__(self) -> None:
        self.positions: dict[Key, StandingPosition] = {}
        self.joints: dict[Key, StandingJoint] = {}
        self.steps: dict[Key, StandingStep] = {}
        self.jobs: dict[Key, StandingJob] = {}
        self._parts: dict[str, e.Part] = {}

    @property
    def catalogue(self) -> e.Catalogue:
        """A document with nothing but the parts."""
        parts = tuple(self._parts.values())
        family = e.Family("bench", "Bench")
        return e.Catalogue(family, (), (), (), (), parts, (), (), (), (), "")

    @property
    def standing(self) -> Standing:
        """Everything added."""
        return Standing(self.positions, self.joints, self.steps, self.jobs, {}, {})

    def keys_from(
        self, ref: e.Ref, member: int | None, each: str | None
    ) -> tuple[Key, ...]:
        """Resolve a part's reference."""
        return (str(ref),)

    def position(self, key: Key) -> None:
        """Add a position with one part of its own."""
        self._parts[key] = e.Part(key, key, mass_kg=Decimal(1))
        fitment = StandingFitment(0, e.Fitment(e.Ref(key), key), key, TRUE)
        position = e.Position(key, key, "engine")
        self.positions[key] = StandingPosition(key, position, None, TRUE, (fitment,))

    def joint(self, key: Key, seal: Key) -> None:
        """Add a joint with one seal."""
        self.position(seal)
        self.joints[key] = StandingJoint(
            key, e.Joint(key, key), None, TRUE, (seal,), ()
        )

    def step(
        self,
        key: Key,
        minutes: tuple[int, int],
        *,
        frees: tuple[Key, ...] = (),
        opens: tuple[Key, ...] = (),
        needs: tuple[Key, ...] = (),
        then: tuple[Key, ...] = (),
    ) -> None:
        """Add a step that always exists."""
        off, on = map(Decimal, minutes)
        step = e.Step(key, key, minutes_off=off, minutes_on=on)
        self.steps[key] = StandingStep(
            key, step, None, TRUE, frees, opens, (), needs, then, (), ()
        )

    def job(self, key: Key, renew: tuple[Key, ...]) -> None:
        """Add a job that renews positions."""
        job = e.Job(key, key)
        self.jobs[key] = StandingJob(key, job, None, TRUE, renew, (), (), ())


def engine(seed: int, steps: int, jobs: int) -> tuple[Engine, list[Key]]:
    """Layers of positions, a joint with a seal each, some with a second way in."""
    rng = Random(seed)
    made = Engine()
    made.step("refill", (0, 15))
    count = steps * 3 // 4
    for n in range(count):
        made.position(f"p{n}")
        made.joint(f"j{n}", f"seal{n}")
    for n in range(steps - 1):
        place = n if n < count else rng.randrange(count)
        over = rng.sample(range(place), min(place, rng.randint(0, 2)))
        made.step(
            f"s{n}",
            (rng.randrange(5, 60, 5), rng.randrange(5, 60, 5)),
            frees=(f"p{place}",),
            opens=(f"j{place}",),
            needs=tuple(f"p{o}" for o in over),
            then=("refill",) if rng.randrange(10) == 0 else (),
        )
    for n in range(jobs):
        made.job(f"job{n}", (f"p{rng.randrange(count)}",))
    return made, list(made.jobs)


def thicket(
    seed: int, steps: int, jobs: int, *, span: int = 0, needs: tuple[int, int] = (0, 2)
) -> tuple[Engine, list[Key]]:
    """Three steps free each position; each needs from and to so many positions.

    `span`: needs lie at most so many positions further out; 0: anywhere, so that
    steps may wait on one another in circles.
    """
    rng = Random(seed)
    made = Engine()
    count = steps // 3
    for n in range(count):
        made.position(f"p{n}")
    for n in range(steps):
        place = n % count
        nearer = range(max(0, place - span), place) if span else range(count)
        over = rng.sample(nearer, min(len(nearer), rng.randint(*needs)))
        made.step(
            f"s{n}",
            (rng.randrange(1, 60), rng.randrange(1, 60)),
            frees=(f"p{place}",),
            needs=tuple(f"p{o}" for o in over),
        )
    inner = count * 3 // 4 if span else 0
    for n in range(jobs):
        made.job(f"job{n}", (f"p{rng.randrange(inner, count)}",))
    return made, list(made.jobs)
