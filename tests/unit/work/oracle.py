"""Every subset of the steps, tried one after another: slow, and easy to believe.

Written from the rules of the work, sentence by sentence, on the plain dictionaries
of a `World`; it shares nothing with the planner but the meaning.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from decimal import Decimal
from itertools import combinations

from bomsvc.core.logic.standing import Lit
from tests.unit.work.worlds import Spec, World, seen_from, split

Truth = Callable[[Lit], bool]


@dataclass
class Naive:
    """One build of a world, with jobs to do and steps that must be among them."""

    world: World
    truth: Truth
    jobs: Iterable[str]
    pins: Iterable[str] = ()

    def holds(self, spec: Spec) -> bool:
        return self.truth(Lit(spec.get("exists", 1)))

    def steps(self) -> list[str]:
        """Steps of this build in code order."""
        found = [k for k, s in self.world.steps.items() if self.holds(s)]
        return sorted(found, key=lambda k: (split(k)[0], split(k)[1] or 0))

    def parts_in(self, position: str) -> list[str]:
        spec = self.world.positions[position]
        if not self.holds(spec):
            return []
        return [part for part, lit in spec.get("fitments", ()) if self.truth(Lit(lit))]

    def groups(self, joint: str) -> dict[str, Spec]:
        spec = self.world.joints[joint]
        return {
            code: group
            for code, group in spec.get("groups", {}).items()
            if self.truth(Lit(group.get("exists", spec.get("exists", 1))))
        }

    def joints(self, names: Iterable[str]) -> set[str]:
        return {name for name in names if self.holds(self.world.joints[name])}

    def freed(self, done: Iterable[str]) -> set[str]:
        """Filled positions that these steps free."""
        found: set[str] = set()
        for key in done:
            found |= self.freed_outright(key) | self.loose_singles(key)
        return {p for p in found if self.parts_in(p)}

    def freed_outright(self, key: str) -> set[str]:
        """What the step names, and what its joints and groups let go."""
        step = self.world.steps[key]
        found = set(step.get("frees", ()))
        for joint in self.joints(step.get("opens", ())):
            found |= set(self.world.joints[joint].get("seals", ()))
            for group in self.groups(joint).values():
                found |= self.hardware(group)
                if "stud" in group and not group.get("stays"):
                    found.add(group["stud"])
        for joint, code in step.get("loosens", ()):
            if code in self.groups(joint):
                seals = set(self.world.joints[joint].get("seals", ()))
                found |= self.hardware(self.groups(joint)[code]) - seals
        return found

    def loose_singles(self, key: str) -> set[str]:
        """Clamped single-use layers that come off only with the joint."""
        layers = self.clamped_singles([key])
        return {p for p in layers if not any(map(self.frees(p), self.steps()))}

    def frees(self, position: str) -> Callable[[str], bool]:
        return lambda key: position in self.freed_outright(key)

    def hardware(self, group: Spec) -> set[str]:
        found = {p for p, per in group.get("layers", ()) if per == "hole"}
        return found | ({group["nut"]} if "nut" in group else set())

    def opened(self, done: Iterable[str]) -> set[str]:
        names = [j for key in done for j in self.world.steps[key].get("opens", ())]
        return self.joints(names)

    def is_single(self, position: str) -> bool:
        parts = self.parts_in(position)
        return any(self.world.parts[p].get("reuse") == "single" for p in parts)

    def is_seal(self, position: str) -> bool:
        everywhere = self.joints(self.world.joints)
        return any(
            position in self.world.joints[j].get("seals", ()) for j in everywhere
        )

    def asked(self, what: str) -> list[str]:
        jobs = [self.world.jobs[job] for job in self.jobs]
        return [k for job in jobs if self.holds(job) for k in job.get(what, ())]

    def clamped_singles(self, done: Iterable[str]) -> set[str]:
        """Single-use layers of opened joints."""
        return {
            position
            for joint in self.opened(done)
            for group in self.groups(joint).values()
            for position, _ in group.get("layers", ())
            if self.is_single(position)
        }

    def renewed(self, done: Iterable[str]) -> set[str]:
        done = list(done)
        freed = self.freed(done)
        whole = {p for p in self.asked("renew") if self.parts_in(p)}
        for joint in self.opened(done):
            seals = self.world.joints[joint].get("seals", ())
            whole |= {p for p in seals if self.parts_in(p)}
        whole |= {p for p in freed if self.is_seal(p)}
        singles = {p for p in freed if self.is_single(p)}
        singles |= self.clamped_singles(done)
        found = singles | whole
        for position in whole:
            found |= self.due_with(position, singles_only=False)
        for position in singles:
            found |= self.due_with(position, singles_only=True)
        return found

    def due_with(self, position: str, *, singles_only: bool) -> set[str]:
        """Return what is renewed with one position and comes with nothing new."""
        found = self.followers(position, "renew_with", singles_only=singles_only)
        brought = self.followers(position, "includes", singles_only=singles_only)
        while True:
            more: set[str] = set()
            for position in found | brought:
                more |= self.followers(position, "renew_with")
            bring: set[str] = set()
            for position in found | brought:
                bring |= self.followers(position, "includes")
            if more <= found and bring <= brought:
                return found - brought
            found |= more
            brought |= bring

    def followers(
        self, position: str, what: str, *, singles_only: bool = False
    ) -> set[str]:
        parts = [
            part
            for part in self.parts_in(position)
            if not singles_only or self.world.parts[part].get("reuse") == "single"
        ]
        found = {
            other
            for part in parts
            for name in self.world.parts[part].get(what, ())
            for other in seen_from(self.world, name, split(position)[1])
        }
        return {p for p in found if self.parts_in(p)}

    def in_order(self, done: Iterable[str]) -> bool:
        """Whether the steps can be done one after another, needs first."""
        left, before = set(done), set[str]()
        while left:
            ready = {key for key in left if self.needs_met(key, before)}
            if not ready:
                return False
            before |= ready
            left -= ready
        return True

    def needs_met(self, key: str, before: set[str]) -> bool:
        off = self.freed(before - {key})
        for need in self.world.steps[key].get("needs", ()):
            if need in self.world.steps:
                if need in self.steps() and need not in before:
                    return False
            elif self.parts_in(need) and need not in off:
                return False
        return True

    def does_the_jobs(self, done: Iterable[str]) -> bool:
        """Whether the set is closed, in an order that exists, and does the jobs."""
        done = set(done)
        there = set(self.steps())
        wanted = {*self.asked("do"), *self.pins} & there
        owed = {t for k in done for t in self.world.steps[k].get("then", ())} & there
        return (
            wanted | owed <= done
            and self.joints(self.asked("reseal")) <= self.opened(done)
            and self.renewed(done) <= self.freed(done)
            and self.in_order(done)
        )

    def cost(self, done: Iterable[str]) -> Decimal:
        specs = [self.world.steps[k] for k in done]
        total = Decimal(0)
        for spec in specs:
            total += Decimal(spec.get("off", 0)) + Decimal(spec.get("on", 0))
        return total

    def plans(self) -> Iterator[tuple[str, ...]]:
        """All sets that do the jobs: fewest minutes, then steps, then code order."""
        steps = self.steps()
        subsets = [
            tuple(steps[n] for n in chosen)
            for size in range(len(steps) + 1)
            for chosen in combinations(range(len(steps)), size)
        ]
        # Subsets come by size and then in code order; the sort is stable.
        for subset in sorted(subsets, key=self.cost):
            if self.does_the_jobs(subset):
                yield subset
