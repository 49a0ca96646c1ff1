"""What is known and what is asked for, as short sentences for people."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from bomsvc.core.logic.compiled import Compiled
from bomsvc.core.logic.known import Entry, Known
from bomsvc.core.logic.standing import Key
from bomsvc.core.resolve.scope import Scope
from bomsvc.service.wording import Labels, listed

SERIAL = "serial"
SOURCE_WORDS = {
    "plate": "from the plate",
    "records": "from records",
    "our_work": "our own work",
    "seen": "seen",
    "measured": "measured",
    "usual": "taken because it is usual",
    "guess": "a guess",
}


def known_sentences(labels: Labels, known: Known) -> tuple[str, ...]:
    """Return one sentence per answer, and one per option that cannot be told.

    "Oil pan: rear (seen)"; the choices of one any-option stand together.
    """
    told: dict[Key, list[Entry]] = {}
    for entry in known.entries:
        told.setdefault(entry.key, []).append(entry)
    said = [_sentence(labels, key, entries) for key, entries in told.items()]
    unseen = [key for key in labels.compiled.options if key in known.unseen]
    return (*said, *(f"{labels.option(key)}: cannot be told" for key in unseen))


def waived_sentences(compiled: Compiled, known: Known) -> tuple[str, ...]:
    """Return one sentence per factory rule set aside for this engine."""
    return tuple(f"{key}: {compiled.rules[key].rule.because}" for key in known.waived)


def scope_labels(labels: Labels, scope: Scope) -> tuple[str, ...]:
    """Return labels of what is asked for, jobs first."""
    sections = {s.code: s.label for s in labels.compiled.catalogue.sections}
    return (
        *map(labels.job, scope.jobs),
        *map(labels.position, scope.positions),
        *(sections[code] for code in scope.sections),
        *map(labels.joint, scope.joints),
        *(("the whole engine",) if scope.whole else ()),
    )


def choice_label(labels: Labels, key: Key, code: str) -> str:
    """Return a choice's label, or its code where it is a serial interval."""
    choices = labels.compiled.options[key].option.choices
    return next((c.label for c in choices if c.code == code), code)


def _sentence(labels: Labels, key: Key, entries: list[Entry]) -> str:
    sources = dict.fromkeys(e.source for e in entries if e.source is not None)
    how = ", ".join(SOURCE_WORDS[source] for source in sources)
    what = _what(labels, key, entries)
    return f"{labels.option(key)}: {what}" + (f" ({how})" if how else "")


def _what(labels: Labels, key: Key, entries: list[Entry]) -> str:
    if all(entry.name == key for entry in entries):
        return _one(labels, key, entries[0].typed)
    there = [e.name.rpartition(".")[2] for e in entries if e.typed]
    absent = [e.name.rpartition(".")[2] for e in entries if not e.typed]
    words = []
    if there:
        words.append(listed(_labels(labels, key, there)))
    if absent:
        words.append(f"without {listed(_labels(labels, key, absent))}")
    return ", ".join(words)


def _one(labels: Labels, key: Key, typed: object) -> str:
    if isinstance(typed, Mapping):
        if "not" in typed:
            names = _labels(labels, key, map(str, typed["not"]))
            return f"not {listed(names)}"
        if "fitted" in typed:
            return "fitted" if typed["fitted"] else "not fitted"
        return ", ".join(f"{name} {value}" for name, value in typed.items())
    text = str(typed)
    return text if key == SERIAL else choice_label(labels, key, text)


def _labels(labels: Labels, key: Key, codes: Iterable[str]) -> list[str]:
    return [choice_label(labels, key, code) for code in codes]
