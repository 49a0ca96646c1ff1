"""A full build straight from complete answers, without solving."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from bomsvc.core.logic.answers import read_answers
from bomsvc.core.logic.builds import Build, serial_in
from bomsvc.core.logic.compiled import Compiled
from bomsvc.core.logic.domains import Flags
from bomsvc.core.logic.known import Known
from bomsvc.core.logic.serials import SERIAL
from bomsvc.core.logic.standing import TRUE, Lit
from bomsvc.core.logic.tree import StandingOption
from bomsvc.core.terms.pointers import join
from bomsvc.core.terms.problems import BadInput, Problem


def build_from(compiled: Compiled, answers: Mapping[str, object]) -> Build:
    """Return the full build that the answers describe.

    Raises:
        BadInput: An answer cannot be read, an active option is not fully
            answered, or an inactive option has a choice.
    """
    known = read_answers(compiled, answers)
    core = core_values(compiled, known.stated)
    checks = (_wrong(o, core, known) for o in compiled.options.values())
    problems = [problem for problem in checks if problem is not None]
    if problems:
        raise BadInput(problems)
    return Build(compiled, core, serial_in(compiled, core, known.serial))


def core_values(compiled: Compiled, chosen: frozenset[Lit]) -> Flags:
    """Return core values with exactly these choices, the tree's helpers settled."""
    core = np.zeros(compiled.model.core + 1, dtype=np.bool_)
    core[TRUE] = True
    for option in compiled.options.values():
        for lit in option.choices.values():
            if lit in chosen:
                core[abs(lit)] = lit > 0
    for unit in compiled.model.structure:
        for helper, inputs in unit.helpers:
            core[helper] = any(core[lit] for lit in inputs)
    return core


def _wrong(option: StandingOption, core: Flags, known: Known) -> Problem | None:
    chosen = sum(lit in known.stated for lit in option.choices.values())
    if not _holds(core, option.active):
        return _inactive(option) if chosen else None
    if option.key == SERIAL:
        answered = chosen == 1 or len(option.choices) == 1
        answered = answered and known.serial is not None
    elif option.option.choose == "one":
        answered = chosen == 1
    else:
        lits = option.choices.values()
        answered = all(x in known.stated or -x in known.stated for x in lits)
    return None if answered else _unanswered(option)


def _inactive(option: StandingOption) -> Problem:
    return Problem(
        join("/answers", option.key),
        f"'{option.key}' is not on this engine, so it has no choice.",
        "option_inactive",
        remedy='{"fitted": false}',
    )


def _unanswered(option: StandingOption) -> Problem:
    words = ", ".join(option.choices)
    return Problem(
        join("/answers", option.key),
        f"A full build needs a definite answer to '{option.key}': {words}.",
        "option_unanswered",
    )


def _holds(core: Flags, lit: Lit) -> bool:
    return bool(core[abs(lit)]) == (lit > 0)
