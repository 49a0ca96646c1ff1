"""The build after a conversion: what was asked, what follows, what has to be asked.

Options that nobody mentions stay as they are where the rules allow. They are kept
in document order, parents before children: of two that cannot both stay, the
earlier one does. What cannot stay either follows from the rest or comes back as a
question. The serial number is the engine's own and always stays: changes that it
does not allow are a clash, which names the rule that would have to be waived.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Literal

from bomsvc.core.logic.known import Entry, Known
from bomsvc.core.logic.reasoner import Reasoner
from bomsvc.core.logic.standing import Key, Lit
from bomsvc.core.logic.tree import StandingOption

Cause = Literal["asked", "follows", "open"]
SERIAL: Key = "serial"


@dataclass(frozen=True, slots=True)
class OptionChange:
    """An option that does not stay as it was.

    `before` and `after`: the choices that hold for certain (none: not fitted, or
    not known). `cause` open: it has to be asked.
    """

    option: Key
    before: tuple[str, ...]
    after: tuple[str, ...]
    cause: Cause


def after_change(reasoner: Reasoner, before: Known, changes: Known) -> Known:
    """What is known of the engine once it is changed.

    Both must be consistent. Rules waived before stay waived. The result is not
    consistent where the engine's serial number does not allow the changes.
    """
    waived = tuple(dict.fromkeys((*before.waived, *changes.waived)))
    after = replace(changes, waived=waived, unseen=before.unseen | changes.unseen)
    mentioned = {entry.key for entry in changes.entries}
    if SERIAL not in mentioned:
        own = [entry for entry in before.entries if entry.key == SERIAL]
        after = replace(after, serial=before.serial, entries=(*own, *changes.entries))
        mentioned.add(SERIAL)
    for entry in _as_they_are(reasoner, before):
        if entry.key not in mentioned:
            kept = replace(after, entries=(*after.entries, entry))
            if reasoner.consistent(kept):
                after = kept
    order = list(reasoner.compiled.options)
    entries = sorted(after.entries, key=lambda entry: order.index(entry.key))
    return replace(after, entries=tuple(entries))


def _as_they_are(reasoner: Reasoner, before: Known) -> Iterator[Entry]:
    """Every settled option of the engine as statements, parents first."""
    compiled = reasoner.compiled
    stated: dict[Key, list[Entry]] = {}
    for entry in before.entries:
        stated.setdefault(entry.key, []).append(entry)
    for key in compiled.option_order:
        yield from stated.get(key, ())
        if key not in stated and key != SERIAL:
            yield from _settled(reasoner, before, compiled.options[key])


def _settled(
    reasoner: Reasoner, before: Known, option: StandingOption
) -> Iterator[Entry]:
    """What follows for an option that nobody stated."""
    lits = [option.active, *option.choices.values()]
    active, *states = reasoner.states(before, lits)
    if active == "excluded":
        lit = Lit(-option.active)
        yield Entry(option.key, option.key, (lit,), None, {"fitted": False})
        return
    for (code, lit), state in zip(option.choices.items(), states, strict=True):
        if option.option.choose == "any" and state != "open":
            there = state == "certain"
            held = lit if there else Lit(-lit)
            yield Entry(f"{option.key}.{code}", option.key, (held,), None, there)
        elif state == "certain":
            yield Entry(option.key, option.key, (lit,), None, code)


def option_changes(
    reasoner: Reasoner, before: Known, after: Known, asked: Sequence[Key]
) -> tuple[OptionChange, ...]:
    """The options that do not stay as they were, document order."""
    found = []
    for key, option in reasoner.compiled.options.items():
        old, new = (_holding(reasoner, known, option) for known in (before, after))
        if old != new:
            found.append(
                OptionChange(
                    option=key,
                    before=_certain(old),
                    after=_certain(new),
                    cause=_cause(key, new, asked),
                )
            )
    return tuple(found)


def _holding(
    reasoner: Reasoner, known: Known, option: StandingOption
) -> dict[str, str]:
    states = reasoner.states(known, list(option.choices.values()))
    return dict(zip(option.choices, states, strict=True))


def _certain(states: Mapping[str, str]) -> tuple[str, ...]:
    return tuple(code for code, state in states.items() if state == "certain")


def _cause(key: Key, states: Mapping[str, str], asked: Sequence[Key]) -> Cause:
    if key in asked:
        return "asked"
    return "open" if "open" in states.values() else "follows"
