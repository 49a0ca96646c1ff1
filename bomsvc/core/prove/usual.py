"""A build in words: the usual build, except where it differs."""

from __future__ import annotations

from collections.abc import Iterator

from bomsvc.core.logic.builds import Build
from bomsvc.core.logic.compiled import Compiled
from bomsvc.core.logic.sentences import (
    choice_fact,
    inside,
    joined,
    option_name,
    serial_words,
)
from bomsvc.core.logic.serials import SERIAL
from bomsvc.core.logic.tree import StandingOption


def usual_except(compiled: Compiled, build: Build, usual: Build) -> str:
    """Return the build as "The usual build, except ...".

    What follows from a difference is left out: options that are not there any more,
    and options that are there now with their usual choice.
    """
    facts = [
        fact
        for key in compiled.option_order
        for fact in _facts(compiled, compiled.options[key], build, usual)
    ]
    if not facts:
        return "The usual build."
    return f"The usual build, except {joined(facts)}."


def _facts(
    compiled: Compiled, option: StandingOption, build: Build, usual: Build
) -> Iterator[str]:
    chosen = build.choices(option.key)
    if option.key == SERIAL:
        if chosen != usual.choices(SERIAL):
            yield f"serial number {serial_words(compiled, chosen)}"
        return
    if not build.truth(option.active):
        return
    before = option.usual
    if usual.truth(option.active):
        before = usual.choices(option.key)
    if option.option.choose == "one":
        if chosen != before:
            yield inside(choice_fact(compiled, option.key, chosen[0]))
        return
    name = inside(option_name(compiled, option.key))
    for code in option.choices:
        if (code in chosen) != (code in before):
            word = "with" if code in chosen else "without"
            yield f"{word} {inside(option.label_of(code))} ({name})"
