"""Options: valid builds at all, dead and forced choices, options without effect."""

from __future__ import annotations

from collections.abc import Iterator

from bomsvc.core.logic.budget import Unsettled
from bomsvc.core.logic.deciding import Outcomes
from bomsvc.core.logic.known import NOTHING
from bomsvc.core.logic.reasoner import Reasoner
from bomsvc.core.logic.sentences import choice_fact, option_name
from bomsvc.core.logic.serials import SERIAL
from bomsvc.core.logic.standing import TRUE, Key, Lit
from bomsvc.core.logic.support import Support
from bomsvc.core.logic.twins import Twins
from bomsvc.core.prove.effects import outcome_literals
from bomsvc.core.prove.findings import Finding
from bomsvc.core.prove.ground import Ground
from bomsvc.core.prove.questions import not_proven, plain
from bomsvc.core.prove.subject import Subject
from bomsvc.core.resolve.lines import Resolved
from bomsvc.core.resolve.resolving import resolve
from bomsvc.core.resolve.scope import Scope

_TOGETHER = 8
"""Conditions asked about at once: one that shows an effect is enough."""


def check_choices(subject: Subject, ground: Ground) -> Iterator[Finding]:
    """Yield the choices that no build, or every build, has."""
    options = subject.compiled.options
    pairs = [(key, code) for key, o in options.items() for code in o.choices]
    lits = [options[key].choices[code] for key, code in pairs]
    never = ground.never(lits)
    always = ground.never([Lit(-lit) for lit in lits])
    for (key, code), dead, forced in zip(pairs, never, always, strict=True):
        at, pointer = f"{key}.{code}", _choice_pointer(subject, key, code)
        fact = choice_fact(subject.compiled, key, code)
        if dead is None or forced is None:
            yield not_proven(at, pointer, "dead_choice")
        elif dead:
            detail = f"No valid build has it: {fact}."
            if key == SERIAL:
                detail = f"No valid build has a serial number in {code}."
            yield plain("dead_choice", at, pointer, detail)
        elif forced and key != SERIAL:
            detail = f"Every valid build has it: {fact}. The option asks nothing."
            yield plain("forced_choice", at, pointer, detail)


def _choice_pointer(subject: Subject, key: Key, code: str) -> str:
    if key == SERIAL:
        return "/family/serial"
    option = subject.compiled.options[key].option
    index = [choice.code for choice in option.choices].index(code)
    return subject.pointer("options", option.code, "choices", index)


def check_idle_options(subject: Subject, ground: Ground) -> Iterator[Finding]:
    """Yield the options that change nothing.

    An option changes something when a rule names it, another option hangs from it,
    or two builds that differ in it alone differ in what sits, is sized, or is done.
    """
    named = set(_named_by_rules(subject)) | _parents(subject)
    waiting = [k for k in subject.compiled.options if k != SERIAL and k not in named]
    if not waiting:
        return
    effects = _Effects(subject, ground)
    for key in waiting:
        verdict = effects.may_change(key)
        option = subject.compiled.options[key].option
        pointer = subject.pointer("options", option.code)
        if verdict is None:
            yield not_proven(key, pointer, "idle_option")
        elif not verdict:
            name = option_name(subject.compiled, key)
            detail = (
                f"{name} changes nothing: no part, screw or step depends on it, "
                "no rule names it and nothing hangs from it."
            )
            yield plain("idle_option", key, pointer, detail)


def _named_by_rules(subject: Subject) -> tuple[Key, ...]:
    rules = subject.compiled.model.rules
    lits = [lit for rule in rules for lit in (rule.when, rule.then)]
    return Support(subject.compiled).of(lits)


def _parents(subject: Subject) -> set[Key]:
    owner, options = subject.compiled.owner_of, subject.compiled.options
    return {owner[o.active][0] for o in options.values() if o.active != TRUE}


class _Effects:
    """Which outcomes name an option, and whether the option shows in one."""

    def __init__(self, subject: Subject, ground: Ground) -> None:
        self._keys = tuple(subject.compiled.options)
        self._named = _named_outcomes(subject)
        self._twins = Twins(
            subject.compiled,
            subject.compiled.model.rules,
            solver="glucose4",
            budget=ground.budget,
        )

    def may_change(self, key: Key) -> bool | None:
        """Return whether two builds that differ here alone differ in an outcome.

        None: not settled within the budget.
        """
        others = [other for other in self._keys if other != key]
        lits = self._named.get(key, [])
        for start in range(0, len(lits), _TOGETHER):
            places = [Outcomes((lit,)) for lit in lits[start : start + _TOGETHER]]
            try:
                with self._twins.differing((), places) as differ:
                    if differ(others):
                        return True
            except Unsettled:
                return None
        return False


def _named_outcomes(subject: Subject) -> dict[Key, list[Lit]]:
    """Return, per option, the distinct conditions that name it."""
    support = Support(subject.compiled)
    named: dict[Key, list[Lit]] = {}
    for lit in dict.fromkeys(outcome_literals(subject)):
        for key in support.of((lit,)):
            named.setdefault(key, []).append(lit)
    return named


def check_unaskable(subject: Subject, ground: Ground) -> Iterator[Finding]:
    """Yield options that a job's list depends on and that nobody can tell.

    With nothing known, the options that decide an open place are chosen so that
    what can be asked comes first; one that cannot be asked, measured or read and is
    still among them leaves a list open for good.
    """
    unaskable = set(_unaskable(subject))
    if not unaskable:
        return
    reasoner = Reasoner(subject.compiled, budget=ground.budget)
    seen: set[Key] = set()
    for key in subject.standing.jobs:
        try:
            found = resolve(reasoner, NOTHING, Scope(jobs=(key,)))
        except Unsettled:
            job = subject.standing.jobs[key].job
            yield not_proven(key, subject.pointer("jobs", job.code), "option_unaskable")
            continue
        assert isinstance(found, Resolved), "nothing is known, so nothing clashes"
        wanted = {k for place in found.open for k in place.decided_by}
        for option in sorted((wanted & unaskable) - seen):
            seen.add(option)
            yield _unaskable_finding(subject, option, key)


def _unaskable(subject: Subject) -> Iterator[Key]:
    read = {prefix.option for prefix in subject.catalogue.family.prefixes}
    for key, standing in subject.compiled.options.items():
        option = standing.option
        told = option.ask is not None or option.known == "measured"
        if key != SERIAL and not told and option.code not in read:
            yield key


def _unaskable_finding(subject: Subject, key: Key, job: Key) -> Finding:
    name = option_name(subject.compiled, key)
    label = subject.standing.jobs[job].job.label
    detail = (
        f"The list of the job {label!r} depends on {name}, which cannot be asked, "
        "measured or read from the serial number. Give the option a question."
    )
    option = subject.compiled.options[key].option
    return plain(
        "option_unaskable", key, subject.pointer("options", option.code), detail
    )
