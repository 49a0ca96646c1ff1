"""What is on file of an engine below what is said of it now, choice by choice."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from bomsvc.core.logic.compiled import Compiled
from bomsvc.core.logic.standing import Key
from bomsvc.service.records import EngineOnFile

_OF_THE_OPTION = frozenset({"not", "unseen", "fitted"})
"""Forms that speak of the whole option and not of some of its choices."""


def beside_the_filed(
    compiled: Compiled,
    engine: EngineOnFile,
    answers: Mapping[str, object],
    sources: Mapping[str, str],
) -> tuple[dict[str, object], dict[str, str]]:
    """Return answers and sources, with the choices on file that they leave open.

    Where several choices may hold, each is a statement of its own: that the block
    heater is there takes nothing back of what is on record of the others.
    """
    said, heard = {**answers}, {**sources}
    for key, typed in answers.items():
        if key not in engine.answers or not _names_choices(compiled, key, typed):
            continue
        assert isinstance(typed, Mapping), "only a mapping names choices"
        for choice, there in _filed(compiled, key, engine.answers[key]):
            if choice not in typed:
                said[key] = {choice: there, **_mapping(said[key])}
                name = f"{key}.{choice}"
                source = engine.sources.get(name, engine.sources.get(key))
                if source is not None:
                    heard[name] = source
    return said, heard


def _names_choices(compiled: Compiled, key: Key, typed: object) -> bool:
    option = compiled.options.get(key)
    if option is None or option.option.choose != "any":
        return False
    return isinstance(typed, Mapping) and not _OF_THE_OPTION & {*typed}


def _filed(compiled: Compiled, key: Key, filed: object) -> Iterator[tuple[str, object]]:
    if isinstance(filed, list | tuple):
        for choice in compiled.options[key].choices:
            yield choice, choice in filed
    elif isinstance(filed, Mapping) and not _OF_THE_OPTION & {*filed}:
        yield from filed.items()


def _mapping(value: object) -> Mapping[str, object]:
    assert isinstance(value, Mapping), "an answer that names choices is a mapping"
    return value
