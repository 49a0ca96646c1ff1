"""Plans in outline: which steps, and what they disturb, for very many cases.

Comparing revisions plans each job in all its cases, and asks neither for the order of
the steps nor for the other way in. What a step asks for depends on few conditions,
and the best set of steps on the integers alone: both are remembered.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence

from bomsvc.core.logic.standing import Key, Lit, StandingStep
from bomsvc.core.work.case import CaseStep
from bomsvc.core.work.choose import Chosen, choose
from bomsvc.core.work.cover import Cover
from bomsvc.core.work.effects import effects_of
from bomsvc.core.work.planner import USUAL_SETTINGS, Numbered, plan
from bomsvc.core.work.shop import Revision, shop_of
from bomsvc.core.work.survey import Settled, Survey
from bomsvc.core.work.values import Plan, Stuck, UseDue, WorkSettings
from bomsvc.core.work.walk import Walk

Truth = Callable[[Lit], bool]


class Outliner:
    """Outlines plans of one revision."""

    def __init__(
        self, revision: Revision, *, settings: WorkSettings = USUAL_SETTINGS
    ) -> None:
        self._revision = revision
        self._settings = settings
        self._chosen: dict[Cover, Chosen | None] = {}
        self._read: dict[Key, tuple[Lit, ...]] = {}
        self._steps: dict[object, CaseStep] = {}

    def outline(self, jobs: Sequence[Key], settled: Settled, truth: Truth
                ) -> Plan | Stuck:  # fmt: skip
        """Return the plan of a case, its steps in code order, nothing put in words.

        Args:
            jobs: Job keys.
            settled: What the case says of a condition; None: nothing, and the plan
                does not depend on it.
            truth: The same, for the conditions it does say something of.
        """
        survey = Survey(shop_of(self._revision), truth)
        case = _Remembering(self, survey, settled).case(dict.fromkeys(jobs), ())
        numbered = Numbered(survey.shop, case)
        chosen = self._choose(numbered.cover)
        if chosen is None:
            return plan(self._revision, truth, jobs, settings=self._settings)
        done = numbered.keys_of(chosen.steps)
        effects = effects_of(survey, case, done)
        steps = [case.steps[key].standing for key in done]
        minutes = numbered.minutes(chosen.minutes)
        bound = numbered.minutes(chosen.bound)
        return Plan(
            done=done,
            steps=(),
            opened=effects.opened,
            loosened=effects.loosened,
            freed=effects.freed,
            renewed=effects.renewed,
            included=effects.included,
            checked=effects.checked,
            uses=tuple(UseDue(step.key, use) for step in steps for use in step.uses),
            tools=(),
            cautions=(),
            lifting=(),
            minutes=minutes,
            optimal=bound == minutes,
            bound=bound,
            other_way=None,
        )

    def step(self, key: Key, settled: Settled, make: Callable[[], CaseStep]
             ) -> CaseStep:  # fmt: skip
        """Return a step of the case, made once for all cases it is alike in."""
        case = key, tuple(map(settled, self._literals(key)))
        found = self._steps.get(case)
        if found is None:
            found = self._steps[case] = make()
        return found

    def _literals(self, key: Key) -> tuple[Lit, ...]:
        """Return every condition that what the step asks for can depend on."""
        found = self._read.get(key)
        if found is None:
            survey = Survey(shop_of(self._revision), lambda _: None)
            Walk(survey).step(survey.shop.standing.steps[key])
            found = self._read[key] = survey.open_literals
        return found

    def _choose(self, cover: Cover) -> Chosen | None:
        if cover not in self._chosen:
            self._chosen[cover] = choose(cover, self._settings)
        return self._chosen[cover]


class _Remembering(Walk):
    """Walks a case with the steps that other cases have made."""

    def __init__(self, outliner: Outliner, survey: Survey, settled: Settled) -> None:
        super().__init__(survey)
        self._outliner = outliner
        self._settled = settled

    def step(self, step: StandingStep) -> CaseStep:
        make = super().step
        return self._outliner.step(step.key, self._settled, lambda: make(step))
