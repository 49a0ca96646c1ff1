"""What is known of one engine: stated answers as literals, with their sources."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal, get_args

from bomsvc.core.logic.standing import Key, Lit

Source = Literal["plate", "records", "our_work", "seen", "measured", "usual", "guess"]
SOURCES: tuple[Source, ...] = get_args(Source)
"""From most to least trusted."""
STATED: Source = "seen"
"""How far an answer without a stated source is trusted."""


@dataclass(frozen=True, slots=True)
class Entry:
    """One statement that can be given up on its own.

    Attributes:
        name: What a repair drops: `pto`, `main_size[4]`, `extras.heater`, `serial`.
        key: The option's key.
        lits: What it says, all together.
        source: How it is known; None where nobody said.
        typed: The answer as it came in.
    """

    name: str
    key: Key
    lits: tuple[Lit, ...]
    source: Source | None = None
    typed: object = field(default=None, compare=False, hash=False)

    @property
    def tells_activity(self) -> bool:
        """Whether it only says that the option is, or is not, there."""
        return isinstance(self.typed, Mapping) and "fitted" in self.typed

    @property
    def distrust(self) -> int:
        """0 for the most trusted source, rising."""
        return SOURCES.index(self.source or STATED)


@dataclass(frozen=True, slots=True)
class Known:
    """Answers in document order, waived rules and what cannot be told.

    Attributes:
        entries: Statements, in document order of their options.
        waived: Keys of the waived factory rules, in document order.
        unseen: Options that cannot be told; they are not asked about.
        serial: First and last serial number still meant, or None.
    """

    entries: tuple[Entry, ...] = ()
    waived: tuple[Key, ...] = ()
    unseen: frozenset[Key] = frozenset()
    serial: tuple[int, int] | None = None

    @property
    def assumptions(self) -> tuple[Lit, ...]:
        """Every stated literal, sorted by variable, each once."""
        lits = {lit for entry in self.entries for lit in entry.lits}
        return tuple(sorted(lits, key=lambda lit: (abs(lit), lit)))

    @property
    def stated(self) -> frozenset[Lit]:
        """Literals of choices that were themselves answered.

        That an option is fitted answers nothing of the choice it hangs from.
        """
        return frozenset(
            lit
            for entry in self.entries
            if not entry.tells_activity
            for lit in entry.lits
        )


NOTHING = Known()
