"""The serial number as choices: every comparison in the document cuts the range."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from bomsvc.core.catalogue.conditions import And, Condition, Not, Or, SerialIs
from bomsvc.core.catalogue.entities import Catalogue

SERIAL = "serial"
SERIAL_MIN = 1
SERIAL_MAX = 999_999_999


@dataclass(frozen=True, slots=True)
class SerialInterval:
    """Serial numbers from `first` to `last`, both included."""

    first: int
    last: int

    @property
    def code(self) -> str:
        """`21000..21043`; the last interval has no end: `30000..`."""
        end = "" if self.last == SERIAL_MAX else str(self.last)
        return f"{self.first}..{end}"

    @property
    def label(self) -> str:
        """The interval in words."""
        if self.first == SERIAL_MIN and self.last == SERIAL_MAX:
            return "any serial number"
        if self.first == SERIAL_MIN:
            return f"up to {self.last}"
        if self.last == SERIAL_MAX:
            return f"from {self.first}"
        return f"{self.first} to {self.last}"


def cut_serials(conditions: Iterable[Condition]) -> tuple[SerialInterval, ...]:
    """Return the intervals between all comparisons, in rising order.

    Within one interval every comparison of the document has one answer.
    """
    starts = {SERIAL_MIN}
    for comparison in _comparisons(conditions):
        starts.update(_starts(comparison))
    firsts = sorted(s for s in starts if SERIAL_MIN <= s <= SERIAL_MAX)
    lasts = [first - 1 for first in firsts[1:]] + [SERIAL_MAX]
    return tuple(map(SerialInterval, firsts, lasts))


def all_conditions(catalogue: Catalogue) -> Iterator[Condition]:
    """Yield every condition of the document, in document order."""
    for rule in catalogue.rules:
        yield from (rule.when, rule.then)
    yield from (position.exists for position in catalogue.positions)
    yield from (f.when for f in catalogue.fitments if f.when is not None)
    for joint in catalogue.joints:
        yield joint.exists
        for group in joint.groups:
            yield group.exists
            yield from (stated.when for stated in group.stated)
    for step in catalogue.steps:
        yield step.exists
        yield from (use.when for use in step.uses)
    yield from (job.exists for job in catalogue.jobs)


def _comparisons(conditions: Iterable[Condition]) -> Iterator[SerialIs]:
    waiting = list(conditions)
    while waiting:
        match waiting.pop():
            case SerialIs() as comparison:
                yield comparison
            case Not(term):
                waiting.append(term)
            case And(terms) | Or(terms):
                waiting.extend(terms)
            case _:
                pass


def _starts(comparison: SerialIs) -> tuple[int, ...]:
    number = comparison.number
    match comparison.comparison:
        case "<" | ">=":
            return (number,)
        case "<=" | ">":
            return (number + 1,)
        case _:
            return (number, number + 1)
