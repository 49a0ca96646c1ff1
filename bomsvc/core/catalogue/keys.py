"""Keys: the names of items as they stand on the engine, `main_upper[4]`."""

from __future__ import annotations

from bomsvc.core.catalogue.conditions import OptionWords, Vocabulary
from bomsvc.core.catalogue.entities import Catalogue


def key_of(code: str, member: int | None) -> str:
    """Return the key of one member, or the bare code of an item that stands once."""
    return code if member is None else f"{code}[{member}]"


def keys_of(catalogue: Catalogue, code: str, each: str | None) -> tuple[str, ...]:
    """Return the keys of an item, in the order of the members.

    Args:
        catalogue: The catalogue whose family says how many members there are.
        code: The item's code.
        each: The item's series, or None for an item that stands once.
    """
    if each is None:
        return (code,)
    return tuple(key_of(code, n) for n in range(1, catalogue.family.series[each] + 1))


def vocabulary_of(catalogue: Catalogue) -> Vocabulary:
    """Return the words that conditions on this catalogue's builds may use."""
    return Vocabulary(
        {
            option.code: OptionWords(
                tuple(choice.code for choice in option.choices), option.each
            )
            for option in catalogue.options
        },
        dict(catalogue.family.series),
    )
