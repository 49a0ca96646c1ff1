"""Answers, reasons and conditions as plain sentences, without codes."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

from bomsvc.core.logic.compiled import Compiled
from bomsvc.core.logic.known import Entry, Source
from bomsvc.core.logic.serials import SERIAL, SERIAL_MAX, SERIAL_MIN
from bomsvc.core.logic.standing import Key

_HEARD: dict[Source | None, str] = {
    "plate": "The plate says so",
    "records": "It is on record",
    "our_work": "Our own work left it so",
    "seen": "Seen on the engine",
    "measured": "Measured",
    "usual": "Taken because it is usual",
    "guess": "A guess",
    None: "We were told",
}


def option_name(compiled: Compiled, key: Key) -> str:
    """Return the option's label, with its member where it stands in a series."""
    option = compiled.options[key]
    if option.member is None:
        return option.option.label
    return f"{option.option.label} ({option.option.each} {option.member})"


def choice_fact(compiled: Compiled, key: Key, code: str) -> str:
    """Return the choice as something that is so: `Oil sump is rear`."""
    label = compiled.options[key].option.label
    return _fact(compiled, key, code, be(label), "is fitted")


def must_be(compiled: Compiled, key: Key, code: str) -> str:
    """Return `Oil sump must be rear`."""
    return _fact(compiled, key, code, "must be", "must be fitted")


def cannot_be(compiled: Compiled, key: Key, code: str) -> str:
    """Return `Oil sump cannot be rear`."""
    return _fact(compiled, key, code, "cannot be", "cannot be fitted")


def _fact(compiled: Compiled, key: Key, code: str, verb: str, fitted: str) -> str:
    option = compiled.options[key]
    name, label = option_name(compiled, key), option.label_of(code)
    if option.option.choose == "any":
        return f"{label} ({inside(name)}) {fitted}"
    return f"{name} {verb} {inside(label)}"


def answer_sentence(compiled: Compiled, entry: Entry) -> str:
    """Return what was said and how it is known: `The plate says so: ...`."""
    return f"{_HEARD[entry.source]}: {inside(said(compiled, entry))}."


def said(compiled: Compiled, entry: Entry) -> str:
    """Return what a statement says, as part of a sentence."""
    if entry.key == SERIAL:
        return f"Serial number is {_serial_said(entry.typed)}"
    name = option_name(compiled, entry.key)
    verb = be(compiled.options[entry.key].option.label)
    match entry.typed:
        case str(code):
            return choice_fact(compiled, entry.key, code)
        case bool(there):
            code = entry.name.rpartition(".")[2]
            fitted = "is fitted" if there else "is not fitted"
            return _fact(compiled, entry.key, code, "", fitted)
        case {"fitted": there}:
            return f"{name} {verb} fitted" if there else f"{name} {verb} not fitted"
        case {"not": list(codes)}:
            return f"{name} {verb} {_none_of(_labels(compiled, entry.key, codes))}"
    raise AssertionError(f"unknown form of answer: {entry.typed!r}")


def _labels(compiled: Compiled, key: Key, codes: Iterable[str]) -> list[str]:
    return [inside(compiled.options[key].label_of(code)) for code in codes]


def _none_of(labels: Sequence[str]) -> str:
    if len(labels) == 1:
        return f"not {labels[0]}"
    return f"neither {joined(labels, ' nor ')}"


def _serial_said(typed: object) -> str:
    if isinstance(typed, Mapping):
        first, last = typed.get("from"), typed.get("to")
        parts = [f"from {first}" if first else "", f"up to {last}" if last else ""]
        return " ".join(part for part in parts if part)
    return str(getattr(typed, "text", typed)).strip()


def rule_sentence(compiled: Compiled, key: Key) -> str:
    """Return the rule's own reason as a sentence."""
    rule = compiled.rules[key]
    text = as_sentence(rule.rule.because)
    if rule.member is None:
        return text
    return f"{text[:-1]} ({rule.rule.each} {rule.member})."


def place_sentence(compiled: Compiled, key: Key) -> str:
    """Return where the option hangs in the tree."""
    parent, code = compiled.owner_of[compiled.options[key].active]
    under = inside(choice_fact(compiled, parent, code))
    name = option_name(compiled, key)
    verb = "comes" if be(compiled.options[key].option.label) == "is" else "come"
    return f"{name} only {verb} where {under}."


def be(label: str) -> str:
    """Return "are" for a label that reads as a plural (gears), else "is".

    A label that is itself a question ("What moves the flap") is one thing.
    """
    words = label.lower().split()
    if words[0] in _ASKING:
        return "is"
    word = words[-1]
    return "are" if word.endswith("s") and word[-2:] not in _SINGULAR else "is"


_ASKING = frozenset(("what", "which", "where", "who", "how"))
_SINGULAR = ("ss", "us", "is")
"""Endings of words that end in s without being plurals: bypass, bus, chassis."""


def as_sentence(text: str) -> str:
    """Return the text with a capital letter and a full stop."""
    text = text.strip()
    if not text:
        return ""
    text = text[0].upper() + text[1:]
    return text if text[-1] in ".!?" else f"{text}."


def inside(text: str) -> str:
    """Return the text to stand inside a sentence; abbreviations keep their case."""
    return text[0].lower() + text[1:] if text[1:2].islower() else text


def joined(words: Sequence[str], last: str = " and ") -> str:
    """Return `a, b and c`."""
    if len(words) < 2:  # noqa: PLR2004 - nothing to join
        return "".join(words)
    return f"{', '.join(words[:-1])}{last}{words[-1]}"


def serial_words(compiled: Compiled, codes: Iterable[str]) -> str:
    """Return intervals in words, neighbours put together: `from 21000 to 29999`."""
    wanted = set(codes)
    runs: list[list[int]] = []
    for interval in compiled.intervals:
        if interval.code not in wanted:
            continue
        if runs and runs[-1][1] + 1 == interval.first:
            runs[-1][1] = interval.last
        else:
            runs.append([interval.first, interval.last])
    return joined([_run(first, last) for first, last in runs], " or ")


def _run(first: int, last: int) -> str:
    if first == last:
        return str(first)
    if first == SERIAL_MIN:
        return "any" if last == SERIAL_MAX else f"up to {last}"
    return f"from {first}" if last == SERIAL_MAX else f"from {first} to {last}"
