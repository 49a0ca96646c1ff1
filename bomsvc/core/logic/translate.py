"""From a condition to the literal that is true exactly when it holds."""

from __future__ import annotations

import operator
from bisect import bisect_left
from collections.abc import Callable, Mapping

from bomsvc.core.catalogue.conditions import (
    Always,
    Among,
    And,
    Comparison,
    Condition,
    MemberIs,
    Never,
    Not,
    Or,
    SerialIs,
)
from bomsvc.core.catalogue.entities import Ref
from bomsvc.core.logic.gates import Gates, negated
from bomsvc.core.logic.naming import NOBODY, Names, Owner
from bomsvc.core.logic.standing import FALSE, TRUE, Key, Lit
from bomsvc.core.logic.tree import OptionTree

_COMPARE: Mapping[Comparison, Callable[[int, int], bool]] = {
    "<": operator.lt,
    "<=": operator.le,
    ">": operator.gt,
    ">=": operator.ge,
    "=": operator.eq,
    "!=": operator.ne,
}


class Translator:
    """Translates conditions, seen from their owner, each distinct one once."""

    def __init__(self, tree: OptionTree, names: Names, gates: Gates) -> None:
        self._choices = {key: o.choices for key, o in tree.options.items()}
        self._each = {o.option.code: o.option.each for o in tree.options.values()}
        self._names = names
        self._gates = gates
        self._firsts = [interval.first for interval in tree.intervals]
        self._thresholds = tree.thresholds
        self._known: dict[tuple[Condition, Owner], Lit] = {}

    def literal(self, condition: Condition, owner: Owner = NOBODY) -> Lit:
        """Return the condition's literal; TRUE or FALSE when its form decides it."""
        known = self._known.get((condition, owner))
        if known is None:
            known = self._translate(condition, owner)
            self._known[condition, owner] = known
        return known

    def _translate(self, condition: Condition, owner: Owner) -> Lit:
        match condition:
            case Always():
                return TRUE
            case Never():
                return FALSE
            case Among():
                return self._among(condition, owner)
            case SerialIs():
                return self._serial(condition)
            case MemberIs():
                assert owner.member is not None, "a series is named only inside it"
                holds = _COMPARE[condition.comparison](owner.member, condition.number)
                return TRUE if holds else FALSE
            case Not(term):
                return negated(self.literal(term, owner))
            case And(terms):
                return self._gates.all_of([self.literal(t, owner) for t in terms])
            case Or(terms):
                return self._gates.any_of([self.literal(t, owner) for t in terms])

    def _among(self, condition: Among, owner: Owner) -> Lit:
        member = condition.member
        ref = Ref(condition.option, member if isinstance(member, int) else None)
        seen_from = NOBODY if isinstance(member, str) else owner
        keys = self._names.keys(ref, seen_from)
        each = [self._one_of(key, condition.choices) for key in keys]
        if member == "any":
            return self._gates.any_of(each)
        return self._gates.all_of(each)

    def _one_of(self, key: Key, choices: tuple[str, ...]) -> Lit:
        lits = self._choices[key]
        return self._gates.any_of([lits[choice] for choice in choices])

    def _serial(self, condition: SerialIs) -> Lit:
        number = condition.number
        match condition.comparison:
            case ">=":
                return self._from(number)
            case ">":
                return self._from(number + 1)
            case "<":
                return negated(self._from(number))
            case "<=":
                return negated(self._from(number + 1))
        equal = self._gates.all_of(
            [self._from(number), negated(self._from(number + 1))]
        )
        return equal if condition.comparison == "=" else negated(equal)

    def _from(self, number: int) -> Lit:
        """Return the literal of `serial >= number`."""
        index = bisect_left(self._firsts, number)
        return self._thresholds[index] if index < len(self._firsts) else FALSE
