"""The condition language: values, parser, canonical printing.

    sump = rear and gears in (plain, quiet) and not brake = none
    serial >= 210000 or retrofit = yes_fitted        main_size[4] = us25
    always        never

`or` binds weaker than `and`, `and` weaker than `not`. A condition says what a
build must have; which options, choices and series exist is checked against a
`Vocabulary` while parsing, so an error can name the nearest known word.
"""

from __future__ import annotations

from bomsvc.core.catalogue.conditions.parser import (
    ANY_OWNER,
    parse_condition,
    read_condition,
)
from bomsvc.core.catalogue.conditions.printer import print_condition
from bomsvc.core.catalogue.conditions.tree import (
    ALWAYS,
    NEVER,
    Always,
    Among,
    And,
    Comparison,
    Condition,
    Member,
    MemberIs,
    Never,
    Not,
    Or,
    SerialIs,
)
from bomsvc.core.catalogue.conditions.vocabulary import (
    ConditionError,
    OptionWords,
    Vocabulary,
)

__all__ = [
    "ALWAYS",
    "ANY_OWNER",
    "NEVER",
    "Always",
    "Among",
    "And",
    "Comparison",
    "Condition",
    "ConditionError",
    "Member",
    "MemberIs",
    "Never",
    "Not",
    "OptionWords",
    "Or",
    "SerialIs",
    "Vocabulary",
    "parse_condition",
    "print_condition",
    "read_condition",
]
