"""Planning: the least minutes for a job, beside taking the first way in each time.

The design gives no figure for planning by itself; a plan has to fit into the time of
a list (P3, 3 ms at 300 options), so that is held against the graphs that engines
have. The thickets are hard cases on purpose: what is told there is whether the plan
was proven least, and how far it may be from it.
"""

from __future__ import annotations

import time
from collections.abc import Callable, Iterator
from dataclasses import dataclass

from bomsvc.core.logic.standing import Key, Lit
from bomsvc.core.work import Plan, plan, plan_literals
from scripts.benches.figures import Figure, median, met, times, within_ms
from scripts.benches.made_engines import Engine, engine, thicket

P3_MS = 3.0, 6.0
"""Median and 95th percentile of a list at 300 options."""


@dataclass(frozen=True)
class Trial:
    """A name, how to make the engine from a seed, how many seeds, and the goal.

    `goal_ms`: median and 95th percentile; None where the plans are to be proven
    least and the time is only told.
    """

    name: str
    make: Callable[[int], tuple[Engine, list[Key]]]
    seeds: int
    goal_ms: tuple[float, float] | None = None


TRIALS = (
    Trial("engine, 90 steps, 1 job", lambda s: engine(s, 90, 1), 20, P3_MS),
    Trial("engine, 90 steps, 40 jobs", lambda s: engine(s, 90, 40), 20),
    Trial("engine, 2,000 steps, 40 jobs", lambda s: engine(s, 2000, 40), 5),
    Trial("thicket, 90 steps, 40 jobs", lambda s: thicket(s, 90, 40), 20),
    Trial("thicket, 300 steps, 10 jobs", lambda s: thicket(s, 300, 10), 10),
    Trial("thicket, 2,000 steps, 1 job", lambda s: thicket(s, 2000, 1), 5),
    Trial("thicket, 2,000 steps, 10 jobs", lambda s: thicket(s, 2000, 10), 5),
    Trial(
        "thicket, 2,000 steps, 10 jobs, layered",
        lambda s: thicket(s, 2000, 10, span=40),
        5,
    ),
    Trial(
        "thicket, 2,000 steps, 10 jobs, deep",
        lambda s: thicket(s, 2000, 10, span=100, needs=(1, 1)),
        5,
    ),
    Trial(
        "thicket, 600 steps, 3 jobs, deep, 2 needs",
        lambda s: thicket(s, 600, 3, span=60, needs=(1, 2)),
        5,
    ),
    Trial(
        "thicket, 2,000 steps, 3 jobs, deep, 2 needs",
        lambda s: thicket(s, 2000, 3, span=200, needs=(1, 2)),
        5,
    ),
)


def figures() -> Iterator[Figure]:
    """Yield one figure per kind of engine."""
    for trial in TRIALS:
        yield _figure(trial)


def _figure(trial: Trial) -> Figure:
    ours: list[float] = []
    floors: list[float] = []
    plans: list[Plan] = []
    for seed in range(trial.seeds):
        made, jobs = trial.make(seed)
        plan_literals(made, jobs)  # as in a service: the revision is kept ready
        start = time.process_time()
        found = plan(made, _everything, jobs)
        ours.append(time.process_time() - start)
        start = time.process_time()
        first_ways(made, jobs)
        floors.append(time.process_time() - start)
        if isinstance(found, Plan):
            plans.append(found)
    proven = sum(map(_is_proven, plans))
    goals = [proven == len(plans)]
    told = f"proven least {proven} of {len(plans)}"
    if trial.goal_ms is not None:
        goals.append(within_ms(ours, *trial.goal_ms))
    if proven < len(plans):
        told += f", widest gap {max(map(_gap, plans)):.0%}"
    return Figure(
        "work",
        f"{trial.name}; {told}",
        f"{median(ours) * 1e3:.1f} ms, worst {max(ours) * 1e3:.1f}",
        "all proven"
        + (
            f", {trial.goal_ms[0]:g} / {trial.goal_ms[1]:g} ms" if trial.goal_ms else ""
        ),
        f"first ways {median(floors) * 1e3:.2f} ms",
        f"costs {times(median(ours), median(floors))}",
        met(*goals),
    )


def first_ways(made: Engine, jobs: list[Key]) -> set[Key]:
    """Take the first step that frees what is asked, and so on; nothing is weighed.

    Nor is it seen whether steps wait on one another: it is a floor, not a plan.
    """
    frees: dict[Key, Key] = {}
    for key, step in made.steps.items():
        for position in step.frees:
            frees.setdefault(position, key)
    taken: set[Key] = set()
    waiting = [position for job in jobs for position in made.jobs[job].renew]
    while waiting:
        asked = waiting.pop()
        step_key = asked if asked in made.steps else frees.get(asked)
        if step_key is not None and step_key not in taken:
            taken.add(step_key)
            waiting += [*made.steps[step_key].needs, *made.steps[step_key].then]
    return taken


def _is_proven(found: Plan) -> bool:
    return found.optimal and (found.other_way is None or found.other_way.optimal)


def _gap(found: Plan) -> float:
    return float((found.minutes - found.bound) / (found.minutes or 1))


def _everything(lit: Lit) -> bool:
    """Every literal holds."""
    return lit > 0
