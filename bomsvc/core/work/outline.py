"""Plans in outline: which steps, and what they disturb, for very many cases.

Comparing revisions plans each job in all its cases, and asks neither for the order of
the steps nor for the other way in. Cases with the same steps are one choice, and what
the chosen steps disturb depends on few conditions: both are remembered, so that like
cases have one plan.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

from bomsvc.core.logic.standing import Key
from bomsvc.core.work.case import Case, CaseStep
from bomsvc.core.work.choose import choose_best
from bomsvc.core.work.effects import effects_of
from bomsvc.core.work.planner import USUAL_SETTINGS, Numbered, plan
from bomsvc.core.work.recall import Recall, Truth
from bomsvc.core.work.shop import Revision, shop_of
from bomsvc.core.work.survey import Survey
from bomsvc.core.work.values import Plan, Stuck, UseDue, WorkSettings
from bomsvc.core.work.walk import settled_case_of


@dataclass(frozen=True, slots=True)
class _Choice:
    """The steps done, in code order; `bound`: no plan takes less.

    `among`: the steps that could be done. The choice is known by their identities,
    which nothing else may take while it is kept.
    """

    done: tuple[Key, ...]
    minutes: Decimal
    bound: Decimal
    among: tuple[CaseStep, ...]


class Outliner:
    """Outlines plans of one revision."""

    def __init__(
        self, revision: Revision, *, settings: WorkSettings = USUAL_SETTINGS
    ) -> None:
        self._revision = revision
        self._shop = shop_of(revision)
        self._settings = settings
        self._choices: dict[object, _Choice | None] = {}
        self._plans: dict[object, Recall[Plan]] = {}

    def outline(self, jobs: Sequence[Key], truth: Truth) -> Plan | Stuck:
        """Return the plan of a case, its steps in code order, nothing put in words.

        Args:
            jobs: Job keys.
            truth: What the case says of the conditions that a plan can depend on.
        """
        survey = Survey(self._shop, truth)
        case = settled_case_of(survey, truth, dict.fromkeys(jobs), ())
        among = tuple(case.steps.values())
        named = case.roots, tuple(map(id, among))
        if named not in self._choices:
            self._choices[named] = self._choose(case, among)
        choice = self._choices[named]
        if choice is None:
            return plan(self._revision, truth, jobs, settings=self._settings)
        steps = [case.steps[key] for key in choice.done]
        asked = case.renews, case.checks, choice.minutes, choice.bound
        recall = self._plans.setdefault((asked, *map(id, steps)), Recall())
        return recall.get(truth, lambda seen: self._plan(case, choice, seen))

    def _choose(self, case: Case, among: tuple[CaseStep, ...]) -> _Choice | None:
        numbered = Numbered(self._shop, case)
        chosen = choose_best(numbered.cover, self._settings)
        if chosen is None:
            return None
        return _Choice(
            numbered.keys_of(chosen.steps),
            numbered.minutes(chosen.minutes),
            numbered.minutes(chosen.bound),
            among,
        )

    def _plan(self, case: Case, choice: _Choice, truth: Truth) -> Plan:
        effects = effects_of(Survey(self._shop, truth), case, choice.done)
        steps = [case.steps[key].standing for key in choice.done]
        return Plan(
            done=choice.done,
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
            minutes=choice.minutes,
            optimal=choice.bound == choice.minutes,
            bound=choice.bound,
            other_way=None,
        )
