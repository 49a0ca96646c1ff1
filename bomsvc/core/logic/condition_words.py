"""A condition of the document in words, without codes.

"Make of the sump is pressed steel, and well of the sump is not front well."
"""

from __future__ import annotations

from bomsvc.core.catalogue.conditions import (
    Among,
    And,
    Condition,
    MemberIs,
    Not,
    Or,
    SerialIs,
)
from bomsvc.core.catalogue.conditions.tree import Always, Never
from bomsvc.core.catalogue.entities import Option
from bomsvc.core.logic.compiled import Compiled
from bomsvc.core.logic.sentences import as_sentence, be, inside, joined

_COMPARED = {
    "<": "below",
    "<=": "up to",
    ">": "above",
    ">=": "from",
    "=": "",
    "!=": "other than",
}


def condition_sentence(compiled: Compiled, condition: Condition) -> str:
    """Return the condition as a sentence: "Always.", "Sump is rear well."."""
    return as_sentence(condition_words(compiled, condition))


def condition_words(compiled: Compiled, condition: Condition) -> str:
    """Return the condition as part of a sentence."""
    options = {option.code: option for option in compiled.catalogue.options}
    return _words(options, condition)


def _words(options: dict[str, Option], condition: Condition) -> str:
    match condition:
        case Always():
            return "always"
        case Never():
            return "never"
        case Among():
            return _among(options, condition, absent=False)
        case Not(term=Among() as term):
            return _among(options, term, absent=True)
        case SerialIs(comparison=comparison, number=number):
            return _joined("serial number", _COMPARED[comparison], str(number))
        case MemberIs(series=series, comparison=comparison, number=number):
            return _joined(series, _COMPARED[comparison], str(number))
        case Not(term=term):
            return f"it is not so that {_inner(options, term)}"
        case And(terms=terms):
            return joined([_inner(options, term) for term in terms], " and ")
        case Or(terms=terms):
            return "; or ".join(_words(options, term) for term in terms)


def _inner(options: dict[str, Option], condition: Condition) -> str:
    """Return a term inside another, in brackets where it would read two ways."""
    text = _words(options, condition)
    return f"({text})" if isinstance(condition, Or) else text


def _among(options: dict[str, Option], among: Among, *, absent: bool) -> str:
    option = options[among.option]
    labels = {choice.code: choice.label for choice in option.choices}
    said = [inside(labels[code]) for code in among.choices]
    if option.choose == "any":
        return f"{'without' if absent else 'with'} {joined(said, ' or ')}"
    return f"{_name(option, among)} {be(option.label)} {_said(said, absent=absent)}"


def _said(labels: list[str], *, absent: bool) -> str:
    if not absent:
        return joined(labels, " or ")
    one = len(labels) == 1
    return f"not {labels[0]}" if one else f"neither {joined(labels, ' nor ')}"


def _name(option: Option, among: Among) -> str:
    name = inside(option.label)
    if among.member is None:
        return name
    if isinstance(among.member, int):
        return f"{name} ({option.each} {among.member})"
    return f"{'every' if among.member == 'all' else 'some'} {name}"


def _joined(*words: str) -> str:
    return " ".join(word for word in words if word)
