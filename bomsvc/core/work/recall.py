"""Values remembered by what making them asked, so that like cases share them.

A value made under some truth of literals depends only on those it asked about. They
are kept as a tree of questions in the order asked: finding a value again asks no
literal that making it would not have asked.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Generic, TypeVar

from bomsvc.core.logic.standing import Lit

Value = TypeVar("Value")
Truth = Callable[[Lit], bool]


@dataclass(slots=True)
class _Leaf(Generic[Value]):
    value: Value


@dataclass(slots=True)
class _Asked(Generic[Value]):
    lit: Lit
    then: dict[bool, _Leaf[Value] | _Asked[Value]] = field(default_factory=dict)


class Recall(Generic[Value]):
    """One thing's values by case; what makes it must ask in the same order always."""

    def __init__(self) -> None:
        self._start: dict[bool, _Leaf[Value] | _Asked[Value]] = {}

    def get(self, truth: Truth, make: Callable[[Truth], Value]) -> Value:
        """Return the value of this case, made by `make` where it is a new one.

        Args:
            truth: The case.
            make: Makes the value; asks the truth it is given.
        """
        node = self._start.get(True)
        while isinstance(node, _Asked):
            node = node.then.get(truth(node.lit))
        return self._grown(truth, make) if node is None else node.value

    def _grown(self, truth: Truth, make: Callable[[Truth], Value]) -> Value:
        asked: dict[Lit, bool] = {}

        def noted(lit: Lit) -> bool:
            if lit not in asked:
                asked[lit] = truth(lit)
            return asked[lit]

        value = make(noted)
        under, answer = self._start, True
        for lit, verdict in asked.items():
            node = under.get(answer)
            if not isinstance(node, _Asked):
                node = under[answer] = _Asked(lit)
            assert node.lit == lit, "the same thing asks in the same order"
            under, answer = node.then, verdict
        under[answer] = _Leaf(value)
        return value
