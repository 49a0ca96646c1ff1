"""Candidates stand as the editor wrote them: standard, 0.25, 0.50."""

from __future__ import annotations

from bomsvc.core.logic.answers import read_answers
from bomsvc.core.logic.compiled import compile_catalogue
from bomsvc.core.logic.reasoner import Reasoner
from bomsvc.core.resolve import Resolved, read_scope, resolve
from bomsvc.core.resolve.lines import OpenPlace
from bomsvc.intake.document import read_document

# The choices stand in another order than the fitments and the uses.
DOCUMENT = """
format: 1
family: {code: dipper, name: Dipper, note: invented}
options:
  - code: size
    label: Journal size
    known: measured
    choices:
      - {code: us25, label: Undersize 0.25 mm}
      - {code: us50, label: Undersize 0.50 mm}
      - {code: std, label: Standard}
  - code: well
    label: Well
    ask: Where is the well?
    choices: [{code: front, label: Front}, {code: rear, label: Rear}]
  - code: guard
    label: Guard
    ask: Is it there?
    choices: [{code: there, label: There}, {code: none, label: None}]
rules:
  - {code: r1, when: size = us25, then: well = rear, because: Reground at the rear.}
sections: [{code: engine, label: Engine}]
positions:
  - {code: shell, label: Shell, section: engine}
  - {code: guard, label: Guard, section: engine, fill: optional}
parts:
  - {number: S0, name: Shell standard}
  - {number: S25, name: Shell 0.25 under}
  - {number: S50, name: Shell 0.50 under}
  - {number: G, name: Guard}
  - {number: OIL, name: Oil, kind: fluid, unit: LTR}
fitments:
  - {position: shell, part: S0, when: size = std}
  - {position: shell, part: S25, when: size = us25}
  - {position: shell, part: S50, when: size = us50}
  - {position: guard, part: G, when: guard = there}
joints: []
steps:
  - code: shell_off
    label: Shell off
    frees: [shell]
    minutes_off: 1
    minutes_on: 1
    uses:
      - {part: OIL, qty: 9, when: size = us25}
      - {part: OIL, qty: 2, when: size = std}
      - {part: OIL, qty: 5, when: size = us50}
  - {code: guard_off, label: Guard off, frees: [guard], minutes_off: 1, minutes_on: 1}
jobs:
  - {code: shells, label: Renew the shells, renew: [shell, guard]}
"""
REASONER = Reasoner(compile_catalogue(read_document(DOCUMENT, "yaml")))


def listed() -> Resolved:
    compiled = REASONER.compiled
    scope = read_scope(compiled, {"jobs": ["shells"]})
    found = resolve(REASONER, read_answers(compiled, {}), scope)
    assert isinstance(found, Resolved)
    return found


def opened(code: str) -> OpenPlace:
    return next(one for one in listed().open if one.place.key == code)


def test_sizes_stand_in_the_order_of_their_fitments() -> None:
    candidates = opened("shell").candidates
    assert [c.parts[0].part for c in candidates] == ["S0", "S25", "S50"]


def test_open_lines_stand_in_the_same_order() -> None:
    found = [ln.part for ln in listed().lines if str(ln.places[0]) == "shell"]
    assert found == ["S0", "S25", "S50"]


def test_quantities_of_a_fluid_stand_in_the_order_of_the_uses() -> None:
    candidates = opened("shell_off").candidates
    assert [int(c.parts[0].qty) for c in candidates] == [9, 2, 5]


def test_nothing_at_all_is_named_last() -> None:
    assert [len(c.parts) for c in opened("guard").candidates] == [1, 0]
