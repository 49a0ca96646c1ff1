"""Jobs whose cases are too many to plan: said to be what may matter, never more."""

from __future__ import annotations

from decimal import Decimal

from bomsvc.core.logic.answers import read_answers
from bomsvc.core.logic.compiled import compile_catalogue
from bomsvc.core.logic.reasoner import Reasoner
from bomsvc.core.resolve import Clashing, Resolved, read_scope, resolve
from bomsvc.intake.document import read_document

BRACKETS = 9
"""Independent brackets, each there or not: 512 cases, above the 256 planned."""


def document() -> str:
    codes = [f"bracket_{n}" for n in range(BRACKETS)]
    options = "\n".join(
        f"  - {{code: o{n}, label: Bracket {n}, ask: Is it there?, "
        f"choices: [{{code: none, label: No}}, {{code: there, label: Yes}}]}}"
        for n in range(BRACKETS)
    )
    positions = "\n".join(
        f"  - {{code: {code}, label: Bracket, section: engine, exists: o{n} = there}}"
        for n, code in enumerate(codes)
    )
    fitments = "\n".join(f"  - {{position: {code}, part: B}}" for code in codes)
    steps = "\n".join(
        f"  - {{code: off_{n}, label: Off, exists: o{n} = there, "
        f"frees: [bracket_{n}], minutes_off: {n + 1}, uses: [{{part: G}}]}}"
        for n in range(BRACKETS)
    )
    return f"""
format: 1
family: {{code: dipper, name: Dipper, note: invented}}
options:
{options}
rules: []
sections: [{{code: engine, label: Engine}}]
positions:
  - {{code: cover, label: Cover, section: engine}}
{positions}
parts:
  - {{number: B, name: Bracket, reuse: single}}
  - {{number: C, name: Cover}}
  - {{number: G, name: Grease, kind: sealant}}
fitments:
  - {{position: cover, part: C}}
{fitments}
joints: []
steps:
{steps}
  - {{code: cover_off, label: Cover off, frees: [cover], needs: [{", ".join(codes)}]}}
jobs:
  - {{code: cover_job, label: Renew the cover, renew: [cover]}}
"""


REASONER = Reasoner(compile_catalogue(read_document(document(), "yaml")))


def listed(**answers: str) -> Resolved:
    known = read_answers(REASONER.compiled, answers)
    scope = read_scope(REASONER.compiled, {"jobs": ["cover_job"]})
    found = resolve(REASONER, known, scope)
    assert not isinstance(found, Clashing)
    return found


def test_beyond_the_budget_the_work_is_only_what_may_matter() -> None:
    found = listed()
    assert found.work is not None
    assert found.work.basis == "may_matter"
    assert not found.certain


def test_what_the_job_names_is_certain_all_the_same() -> None:
    states = {str(p): line.state for line in listed().lines for p in line.places}
    assert states["cover"] == "certain"
    assert states["bracket_0"] == "open"
    assert states["off_8"] == "open"
    assert len(states) == 1 + 2 * BRACKETS


def test_the_questions_lead_out_of_it() -> None:
    found = listed()
    assert {q.option for q in found.questions} == {f"o{n}" for n in range(BRACKETS)}


def test_one_answer_brings_it_within_the_budget_and_exact() -> None:
    found = listed(o0="there")
    assert found.work is not None
    assert found.work.basis == "exact"
    assert found.work.minutes == (Decimal(1), Decimal(sum(range(BRACKETS + 1))))
    states = {str(p): line.state for line in found.lines for p in line.places}
    assert states["bracket_0"] == "certain"
    assert states["bracket_1"] == "open"
    (one,) = [o for o in found.open if str(o.place) == "bracket_3"]
    assert one.decided_by == ("o3",)
