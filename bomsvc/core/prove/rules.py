"""Rules: that never apply, or that follow from the others."""

from __future__ import annotations

from collections.abc import Iterator

from bomsvc.core.logic.budget import Unsettled
from bomsvc.core.logic.compiled import StandingRule
from bomsvc.core.logic.engine import Engine
from bomsvc.core.logic.gates import negated
from bomsvc.core.logic.pool import Pool
from bomsvc.core.logic.sentences import as_sentence
from bomsvc.core.logic.standing import Key, Lit
from bomsvc.core.prove.findings import Finding
from bomsvc.core.prove.ground import Ground
from bomsvc.core.prove.questions import not_proven, plain
from bomsvc.core.prove.subject import Subject


def check_rules(subject: Subject, ground: Ground) -> Iterator[Finding]:
    """Yield the rules that never apply and those that follow from the others."""
    without = _Without(ground)
    for rule in subject.catalogue.rules:
        members = [r for r in ground.compiled.model.rules if r.rule.code == rule.code]
        pointer = subject.pointer("rules", rule.code)
        because = as_sentence(rule.because)
        applies = _any(ground.possible((r.when,)) for r in members)
        if applies is None:
            yield not_proven(rule.code, pointer, "rule_never_applies")
        elif not applies:
            yield _never(rule.code, pointer, because, without, members)
        needed = without.breaks(members)
        if needed is None:
            yield not_proven(rule.code, pointer, "rule_redundant")
        elif not needed:
            detail = f"The other rules already see to it: {because}"
            yield plain("rule_redundant", rule.code, pointer, detail)


def _never(
    code: str,
    pointer: str,
    because: str,
    without: _Without,
    members: list[StandingRule],
) -> Finding:
    """Return the finding; a rule that forbids its own case is only noted."""
    if without.meets(members):
        detail = f"This rule only forbids the case it speaks of: {because}"
        return plain("rule_never_applies", code, pointer, detail, severity="note")
    detail = f"No valid build comes under this rule: {because}"
    return plain("rule_never_applies", code, pointer, detail)


def _any(verdicts: Iterator[bool | None]) -> bool | None:
    found = list(verdicts)
    return True if True in found else None if None in found else False


class _Without:
    """The revision without one rule: each rule stands under a switch of its own."""

    def __init__(self, ground: Ground) -> None:
        model = ground.compiled.model
        self._engine = Engine(
            model, (), Pool(model.core), solver="glucose4", budget=ground.budget
        )
        self._switches: dict[Key, int] = {}
        for rule in model.rules:
            switch = self._switches[rule.key] = self._engine.fresh()
            for clause in rule.clauses:
                self._engine.add([-switch, *self._engine.locals(clause)])

    def breaks(self, members: list[StandingRule]) -> bool | None:
        """Return whether a build that meets the other rules breaks this one."""
        broken = ((r.when, negated(r.then)) for r in members)
        return _any(self._possible(members, lits) for lits in broken)

    def meets(self, members: list[StandingRule]) -> bool:
        """Return whether a build that meets the other rules comes under this one."""
        return any(self._possible(members, (r.when,)) for r in members)

    def _possible(
        self, members: list[StandingRule], lits: tuple[Lit, ...]
    ) -> bool | None:
        left_out = {rule.key for rule in members}
        others = [s for key, s in self._switches.items() if key not in left_out]
        try:
            return self._engine.solve([*others, *self._engine.locals(lits)])
        except Unsettled:
            return None
