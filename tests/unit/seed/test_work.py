"""The demo family's work: no forgotten gasket, no dead end, a sound order."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import TYPE_CHECKING, Any

import pytest

from bomsvc.core.logic.builds import Build
from bomsvc.core.logic.standing import Key, StandingJoint, StandingStep
from bomsvc.core.work import Plan, plan

if TYPE_CHECKING:
    from tests.unit.seed.conftest import Demo


class OneEngine:
    """What stands on one build."""

    def __init__(self, demo: Demo, build: Build) -> None:
        standing = demo.compiled.standing
        self.build = build
        self.positions = standing.positions
        self.parts = demo.parts
        self.keys_from = demo.compiled.keys_from
        self.all_steps = standing.steps
        self.steps: Mapping[Key, StandingStep] = {
            key: step
            for key, step in standing.steps.items()
            if build.truth(step.exists)
        }
        self.joints = {
            key: joint
            for key, joint in standing.joints.items()
            if build.truth(joint.exists)
        }

        self.freeing: dict[Key, list[Key]] = {key: [] for key in self.positions}
        for key, step in self.steps.items():
            for position in step.frees:
                self.freeing[position].append(key)
        self.filled = {
            key
            for key, position in self.positions.items()
            if any(build.truth(one.applies) for one in position.fitments)
        }

    def holds_a_part(self, position: Key) -> bool:
        return position in self.filled

    def clamped(self, joint: StandingJoint) -> dict[Key, list[tuple[str, bool]]]:
        """Parts that the joint's screws hold: per group, whether as a layer."""
        held: dict[Key, list[tuple[str, bool]]] = {}
        for group in joint.groups:
            if not self.build.truth(group.exists):
                continue
            for layer in group.layers:
                if self.holds_a_part(layer.position):
                    held.setdefault(layer.position, []).append((group.code, True))
            if group.into is not None:
                held.setdefault(group.into, []).append((group.code, False))
        return held

    def brought_by(self, position: Key) -> set[Key]:
        """Positions whose part comes with the part here, however far down."""
        found: set[Key] = set()
        waiting = [position]
        while waiting:
            standing = self.positions[waiting.pop()]
            for fitment in standing.fitments:
                if fitment.fitment.rank == 1 and self.build.truth(fitment.applies):
                    part = self.parts[fitment.fitment.part]
                    more = {
                        key
                        for ref in part.includes
                        for key in self.keys_from(
                            ref, standing.member, standing.position.each
                        )
                    }
                    waiting += more - found
                    found |= more
        return found

    def done_with(self, allowed: set[Key]) -> set[Key]:
        """Steps whose needs can be met with allowed steps alone."""
        done: set[Key] = set()
        waiting = sorted(allowed)
        while True:
            left = []
            for key in waiting:
                if self._met(key, done):
                    done.add(key)
                else:
                    left.append(key)
            if len(left) == len(waiting):
                return done
            waiting = left

    def _met(self, key: Key, done: set[Key]) -> bool:
        for need in self.steps[key].needs:
            if need in self.all_steps:
                if need in self.steps and need not in done:
                    return False
            elif self.holds_a_part(need) and done.isdisjoint(self.freeing[need]):
                return False
        return True


def forgotten(engine: OneEngine) -> Iterator[tuple[Key, Key, Key]]:
    """Step, part and joint: the part comes out while the joint is still closed."""
    for key, joint in engine.joints.items():
        held = engine.clamped(joint)
        for part, groups in held.items():
            others = {other for other in held if engine.holds_a_part(other)} - {part}
            if others and others <= engine.brought_by(part):
                continue
            loosening = all(layer for _, layer in groups)

            def leaves_closed(
                step: StandingStep,
                key: Key = key,
                groups: list[tuple[str, bool]] = groups,
                *,
                loosening: bool = loosening,
            ) -> bool:
                loose = loosening and all(
                    (key, code) in step.loosens for code, _ in groups
                )
                return key not in step.opens and not loose

            allowed = {k for k, step in engine.steps.items() if leaves_closed(step)}
            suspects = {k for k in allowed if part in engine.steps[k].frees}
            if suspects:
                for step in sorted(engine.done_with(allowed) & suspects):
                    yield step, part, key


def test_no_part_comes_out_while_its_joint_is_closed(
    demo: Demo, a_build_of_each_choice: list[Build], some_builds: list[Build]
) -> None:
    for build in [*a_build_of_each_choice, *some_builds[:20]]:
        assert list(forgotten(OneEngine(demo, build))) == [], build.answers


def test_the_check_finds_a_gasket_that_is_forgotten(demo: Demo) -> None:
    """Front cover off without opening its joint: the check must say so."""
    text = demo.text.replace("    opens: [front_cover_rim]\n", "")
    careless = type(demo)(text)
    build = careless.reasoner.witness(careless.known({}))
    assert build is not None
    found = list(forgotten(OneEngine(careless, build)))
    assert ("front_cover_off", "front_cover", "front_cover_rim") in found


def test_every_joint_is_opened_by_some_step_of_each_build(
    demo: Demo, a_build_of_each_choice: list[Build]
) -> None:
    for build in a_build_of_each_choice:
        engine = OneEngine(demo, build)
        opened = {joint for step in engine.steps.values() for joint in step.opens}
        assert set(engine.joints) <= opened


def test_every_step_can_be_done_on_the_engine_it_is_for(
    demo: Demo, a_build_of_each_choice: list[Build]
) -> None:
    for build in a_build_of_each_choice:
        engine = OneEngine(demo, build)
        assert engine.done_with(set(engine.steps)) == set(engine.steps)


def order_of(demo: Demo, answers: dict[str, Any], *jobs: str) -> dict[str, int]:
    """Place of each refit step in the work order."""
    build = demo.reasoner.witness(demo.known(answers))
    assert build is not None
    found = plan(demo.compiled, build.truth, jobs)
    assert isinstance(found, Plan)
    return {step.key: step.order for step in found.steps if step.phase == "refit"}


@pytest.mark.parametrize(
    ("job", "before", "after"),
    [
        ("reseal_sump", "pan_off", "refill_oil"),
        ("reseal_gear_case", "front_cover_off", "refill_oil"),
        ("reseal_gear_case", "set_timing", "front_cover_off"),
        ("renew_gears", "crank_gear_off", "set_timing"),
        ("renew_front_head_gasket", "set_valves", "rocker_cover_off"),
        ("renew_front_head_gasket", "upper_hose_off", "refill_coolant"),
        ("renew_injection_pump", "injection_pump_off", "bleed_fuel"),
        ("renew_injection_pump", "set_pump", "test_run"),
        ("renew_damper", "refill_coolant", "test_run"),
    ],
)
def test_what_is_filled_or_set_waits_for_what_must_be_back_on(
    demo: Demo, job: str, before: str, after: str
) -> None:
    answers = {"use": "pump", "damper": "viscous", "drive": "none", "sump": "rear"}
    refit = order_of(demo, answers, job)
    assert refit[before] < refit[after]


def test_a_sump_comes_off_from_below_unless_the_engine_is_in_a_boat(
    demo: Demo,
) -> None:
    assert "pan_off" in order_of(demo, {"use": "pump"}, "reseal_sump")
    boat = order_of(demo, {"use": "boat"}, "reseal_sump")
    assert {"pan_off_raised", "engine_raise"} <= set(boat)


def test_a_rubber_damper_is_pulled_with_the_radiator_in_place(demo: Demo) -> None:
    rubber = {"use": "pump", "damper": "rubber"}
    viscous = {"use": "pump", "damper": "viscous"}
    assert "damper_off_short" in order_of(demo, rubber, "renew_damper")
    assert "radiator_off" in order_of(demo, viscous, "renew_damper")
