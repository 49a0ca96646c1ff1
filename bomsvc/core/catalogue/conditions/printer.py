"""Conditions in their one canonical form: fewest parentheses, single blanks.

Printing what was parsed and parsing it again gives the same value and the same
text. `in` stays `in`; the opposite of one choice is printed `!=`.
"""

from __future__ import annotations

from dataclasses import replace

from bomsvc.core.catalogue.conditions.tree import (
    Always,
    Among,
    And,
    Condition,
    MemberIs,
    Never,
    Not,
    Or,
    SerialIs,
    unlike_member,
)


def print_condition(condition: Condition) -> str:
    """Return the canonical text of a condition."""
    match condition:
        case Or(terms):
            return " or ".join(print_condition(term) for term in terms)
        case And(terms):
            return " and ".join(_inside_and(term) for term in terms)
        case Not(term):
            return _opposite(term)
        case _:
            return _statement(condition)


def _inside_and(term: Condition) -> str:
    text = print_condition(term)
    return f"({text})" if isinstance(term, Or) else text


def _opposite(term: Condition) -> str:
    if isinstance(term, Among) and len(term.choices) == 1:
        named = replace(term, member=unlike_member(term))
        return f"{_name(named)} != {term.choices[0]}"
    text = print_condition(term)
    return f"not ({text})" if isinstance(term, And | Or) else f"not {text}"


def _statement(condition: Condition) -> str:
    match condition:
        case Always():
            return "always"
        case Never():
            return "never"
        case SerialIs(comparison, number):
            return f"serial {comparison} {number}"
        case MemberIs(series, comparison, number):
            return f"{series} {comparison} {number}"
        case Among(_, (choice,)):
            return f"{_name(condition)} = {choice}"
        case Among(_, choices):
            return f"{_name(condition)} in ({', '.join(choices)})"
    raise AssertionError(f"not a condition: {condition!r}")


def _name(among: Among) -> str:
    return among.option if among.member is None else f"{among.option}[{among.member}]"
