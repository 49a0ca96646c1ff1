"""P1 to P3: full builds, identify after a click, the list of a job half known."""

from __future__ import annotations

import random
from collections.abc import Iterator, Mapping
from dataclasses import replace
from functools import partial
from typing import Any

from ortools.sat.python import cp_model
from pysat.solvers import Glucose4

from bomsvc.core.catalogue.conditions import (
    Among,
    And,
    Condition,
    MemberIs,
    Never,
    Not,
    Or,
    SerialIs,
)
from bomsvc.core.catalogue.entities import Catalogue, Part, Section
from bomsvc.core.logic.answers import read_answers
from bomsvc.core.logic.compiled import Compiled, compile_catalogue
from bomsvc.core.logic.known import NOTHING
from bomsvc.core.logic.reasoner import Reasoner
from bomsvc.core.resolve import Scope, resolve
from scripts.benches.figures import (
    Figure,
    median,
    met,
    p50_p95_ms,
    timed,
    times,
    within_ms,
)
from tests.unit.logic.big_families import big_family

P2_GOALS = {60: (0.6, 2.0), 300: (8.0, 25.0), 1000: (40.0, 120.0)}
P3_LINES = {60: (1.0, 2.0), 300: (3.0, 6.0), 1000: (10.0, 20.0)}
"""Options -> median and 95th percentile, ms."""
P1_MS, P1_TIMES = 1.2, 40
P2_TIMES = {300: 10}
LINES = 200
LARGE = 1000


def figures() -> Iterator[Figure]:
    """Yield P1, then P2 and P3 at 60, 300 and 1,000 options."""
    yield full_build()
    for options in (60, 300, 1000):
        yield from clicks(options)
        yield half_known(options)


def full_build() -> Figure:
    """P1: 50,000 fitments on a full build against plain Python."""
    compiled = compile_catalogue(big_family(300, 50_000))
    reasoner = Reasoner(compiled)
    build = reasoner.witness(NOTHING)
    assert build is not None
    fitted = [f for p in compiled.standing.positions.values() for f in p.fitments]
    lits = tuple(f.applies for f in fitted)
    answers = build.answers
    conditions = [f.fitment.when for f in fitted if f.fitment.when is not None]
    reasoner.truths(build, lits)
    ours = median([timed(lambda: reasoner.truths(build, lits)) for _ in range(21)])
    plain = median(
        [timed(lambda: [holds(c, answers) for c in conditions]) for _ in range(5)]
    )
    return Figure(
        "P1",
        f"{len(lits):,} fitments on a full build",
        f"{ours * 1e3:.2f} ms",
        "<= 1.2 ms, >= 40x",
        f"plain Python {plain * 1e3:.0f} ms",
        times(plain, ours),
        met(ours * 1e3 <= P1_MS, plain / ours >= P1_TIMES),
    )


def holds(condition: Condition, answers: Mapping[str, Any]) -> bool:
    """Evaluate a condition on a full build, the plain way."""
    match condition:
        case Among(option, choices, _):
            found = answers.get(option)
            chosen = found if isinstance(found, list | tuple) else (found,)
            return any(choice in chosen for choice in choices)
        case Not(term):
            return not holds(term, answers)
        case And(terms):
            return all(holds(term, answers) for term in terms)
        case Or(terms):
            return any(holds(term, answers) for term in terms)
        case SerialIs(comparison, number):
            return _compare(int(answers["serial"]), comparison, number)
        case MemberIs():
            raise AssertionError("made families have no series")
        case _:
            return not isinstance(condition, Never)


def _compare(left: int, sign: str, right: int) -> bool:
    return {
        "<": left < right,
        "<=": left <= right,
        ">": left > right,
        ">=": left >= right,
        "=": left == right,
        "!=": left != right,
    }[sign]


def clicks(options: int) -> Iterator[Figure]:
    """P2: what is still possible after each click of a walk through a family."""
    compiled = compile_catalogue(big_family(options))
    walks = list(_walks(Reasoner(compiled), runs=6 if options < LARGE else 3))
    reasoner = Reasoner(compiled)
    reasoner.identify(NOTHING)
    # Each click is new to this reasoner, so nothing comes from memory.
    ours = [timed(partial(_click, reasoner, a)) for a in walks if a]
    sample = [a for a in walks if a][:: max(1, len(walks) // 12)]
    more = P2_TIMES.get(options, 0)
    backbone = [timed(partial(plain_backbone, compiled, a)) for a in sample]
    yield Figure(
        "P2",
        f"identify after a click, {options} options ({len(walks)} clicks)",
        p50_p95_ms(ours),
        _goal(P2_GOALS[options]) + (f", {more}x backbone" if more else ""),
        f"plain backbone by SAT {median(backbone) * 1e3:.1f} ms",
        times(median(backbone), median(ours)),
        met(
            within_ms(ours, *P2_GOALS[options]),
            median(backbone) / median(ours) >= more,
        ),
    )
    if options < LARGE:
        cp_sat = timed(lambda: cp_sat_once(compiled))
        yield Figure(
            "P2",
            f"the same beside one CP-SAT call, {options} options",
            f"{median(ours) * 1e3:.2f} ms",
            "for comparison",
            f"CP-SAT {cp_sat * 1e3:.1f} ms",
            times(cp_sat, median(ours)),
        )


def _walks(reasoner: Reasoner, *, runs: int) -> Iterator[dict[str, object]]:
    """Yield growing answers: each click answers one option that is still open."""
    for run in range(runs):
        draw = random.Random(run)
        answers: dict[str, object] = {}
        while len(answers) <= len(reasoner.compiled.options) // 3:
            yield dict(answers)
            found = reasoner.identify(read_answers(reasoner.compiled, answers))
            still = [
                (option.option.key, choice.code)
                for option in found.options
                for choice in option.choices
                if choice.state == "open" and option.option.option.choose == "one"
            ]
            if not still:
                break
            key, code = draw.choice(still)
            answers[key] = code


def clauses(compiled: Compiled) -> list[list[int]]:
    """Return everything a plain solver needs: tree, rules and conditions."""
    model = compiled.model
    units = [c for unit in model.structure for c in unit.clauses]
    rules = [c for rule in model.rules for c in rule.clauses]
    found = [[1], *map(list, units), *map(list, rules)]
    for index, inputs in enumerate(model.gates):
        gate = model.core + 1 + index
        found += [[-gate, int(lit)] for lit in inputs]
        found.append([gate, *(-int(lit) for lit in inputs)])
    return found


def _click(reasoner: Reasoner, answers: Mapping[str, object]) -> None:
    reasoner.identify(read_answers(reasoner.compiled, answers))


def plain_backbone(compiled: Compiled, answers: Mapping[str, object]) -> int:
    """Ask a solver about every choice in turn; return how many are possible."""
    assumed = [int(lit) for lit in read_answers(compiled, answers).assumptions]
    with Glucose4(bootstrap_with=clauses(compiled)) as solver:
        lits = [int(lit) for lit in compiled.owner_of]
        each = [*lits, *(-lit for lit in lits)]
        return sum(bool(solver.solve(assumptions=[*assumed, lit])) for lit in each)


def cp_sat_once(compiled: Compiled) -> None:
    """Solve the family's clauses once with OR-Tools CP-SAT."""
    model = cp_model.CpModel()
    made: dict[int, cp_model.IntVar] = {}

    def literal(lit: int) -> Any:  # noqa: ANN401 - OR-Tools has no public type for it
        variable = made.setdefault(abs(lit), model.new_bool_var(str(abs(lit))))
        return variable if lit > 0 else variable.negated()

    for clause in clauses(compiled):
        model.add_bool_or([literal(lit) for lit in clause])
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    solver.solve(model)


def _with_parts(catalogue: Catalogue) -> Catalogue:
    """Return the family with the parts and sections that its lists name."""
    numbers = dict.fromkeys(fitment.part for fitment in catalogue.fitments)
    codes = dict.fromkeys(position.section for position in catalogue.positions)
    return replace(
        catalogue,
        parts=tuple(Part(n, f"part {n}") for n in numbers),
        sections=tuple(Section(code, code) for code in codes),
    )


def half_known(options: int) -> Figure:
    """P3: 200 lines and the next question on a tenth of the answers."""
    compiled = compile_catalogue(_with_parts(big_family(options, LINES)))
    reasoner = Reasoner(compiled)
    scope = Scope(positions=tuple(compiled.standing.positions))
    walks = [a for a in _walks(reasoner, runs=2) if len(a) >= options // 10][:20]
    knowns = [read_answers(compiled, answers) for answers in walks]
    lits = tuple(
        fitment.applies
        for position in compiled.standing.positions.values()
        for fitment in position.fitments
    )
    states = [timed(partial(reasoner.states, k, lits)) for k in knowns]
    whole = [timed(partial(resolve, reasoner, k, scope)) for k in knowns]
    return Figure(
        "P3",
        f"states of {len(lits)} lines, {options} options",
        p50_p95_ms(states),
        _goal(P3_LINES[options]),
        f"whole reply with questions {p50_p95_ms(whole)}",
        verdict=met(within_ms(states, *P3_LINES[options])),
    )


def _goal(goal: tuple[float, float]) -> str:
    return f"{goal[0]:g} / {goal[1]:g} ms"
