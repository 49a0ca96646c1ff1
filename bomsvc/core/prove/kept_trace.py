"""Kept traces as text: written, read back, and replayed against their document.

    bomsvc trace 1
    document DIGEST
    shared N          then N clauses, as in DIMACS
    verdict ABOUT     what was asked about
    clauses N         then its own clauses
    steps N           then the solver's steps, as in DRUP
    ...
    end VERDICTS SHA-256 of every line before

Shared and own clauses of one verdict, written one after the other, are a problem for
any checker of DRUP traces.
"""

from __future__ import annotations

import hashlib
from collections.abc import Iterable, Iterator, Sequence

from bomsvc.core.prove.rup import Checker, Refused, read_steps
from bomsvc.core.prove.trace import Clause, Traces, Verdict

FIRST = "bomsvc trace 1"


def written(traces: Traces) -> Iterator[str]:
    """Yield the lines of kept traces, each without its end."""
    total = hashlib.sha256()
    count = 0
    for line in _lines(traces):
        total.update(f"{line}\n".encode())
        count += line.startswith("verdict ")
        yield line
    yield f"end {count} {total.hexdigest()}"


def _lines(traces: Traces) -> Iterator[str]:
    yield FIRST
    yield f"document {traces.digest}"
    yield from _clauses("shared", traces.shared)
    for verdict in traces.verdicts:
        yield f"verdict {verdict.about}"
        yield from _clauses("clauses", verdict.clauses)
        yield f"steps {len(verdict.steps)}"
        yield from verdict.steps


def _clauses(name: str, clauses: Sequence[Clause]) -> Iterator[str]:
    yield f"{name} {len(clauses)}"
    for clause in clauses:
        yield " ".join(map(str, (*clause, 0)))


def read_kept(lines: Iterable[str]) -> Traces:
    """Read kept traces whole.

    Raises:
        Refused: A line is missing, added or changed; says which it is seen at.
    """
    reading = _Reading(lines)
    reading.word(FIRST)
    digest = reading.rest("document")
    shared = reading.clauses("shared")
    verdicts = []
    while not reading.at("end"):
        about = reading.rest("verdict")
        clauses = reading.clauses("clauses")
        steps = tuple(reading.line() for _ in range(reading.count("steps")))
        verdicts.append(Verdict(about, clauses, steps))
    reading.close(len(verdicts))
    return Traces(digest, shared, tuple(verdicts))


def replay(kept: Traces, *, digest: str, shared: Sequence[Clause]) -> int:
    """Replay every verdict of a document; return how many there are.

    Args:
        kept: The kept traces.
        digest: The document's digest.
        shared: The clauses of the document's option tree and rules.

    Raises:
        Refused: They are not this document's, or a verdict is not shown.
    """
    if kept.digest != digest:
        raise Refused(
            f"they are of the document {kept.digest[:16]}, and this is {digest[:16]}"
        )
    if kept.shared != tuple(shared):
        raise Refused(
            "their clauses are not those of this document's options and rules"
        )
    checker = Checker(shared)
    count = 0
    for count, verdict in enumerate(kept.verdicts, start=1):
        try:
            checker.check(verdict.clauses, read_steps(verdict.steps))
        except Refused as refused:
            said = f"verdict {count} ({verdict.about}): {refused}"
            raise Refused(said) from None
    return count


class _Reading:
    """Lines taken one after the other, numbered, their digest kept."""

    def __init__(self, lines: Iterable[str]) -> None:
        self.number = 0
        self.next_line: str | None = None
        self._rest = iter(lines)
        self._sum = hashlib.sha256()
        self._advance()

    def line(self) -> str:
        """Take a line."""
        if self.next_line is None:
            raise Refused(f"it ends at line {self.number}, before its end")
        taken = self.next_line
        self._sum.update(f"{taken}\n".encode())
        self._advance()
        return taken

    def at(self, word: str) -> bool:
        """Tell whether the next line begins with a word."""
        return self.next_line is not None and self.next_line.startswith(f"{word} ")

    def word(self, expected: str) -> None:
        """Take a line that reads just so."""
        if self.line() != expected:
            raise self._wrong(f"'{expected}' is due")

    def rest(self, word: str) -> str:
        """Take a line that begins with a word; return what follows."""
        line = self.line()
        if not line.startswith(f"{word} "):
            raise self._wrong(f"'{word} ...' is due")
        return line.removeprefix(f"{word} ")

    def count(self, word: str) -> int:
        """Take a line that says how many lines follow."""
        text = self.rest(word)
        if not (text.isascii() and text.isdigit()):
            raise self._wrong("a number of lines is due")
        return int(text)

    def clauses(self, word: str) -> tuple[Clause, ...]:
        """Take as many clauses as the line before says."""
        return tuple(self._clause() for _ in range(self.count(word)))

    def close(self, verdicts: int) -> None:
        """Take the last line, which counts and sums up all before."""
        found = f"end {verdicts} {self._sum.hexdigest()}"
        if self.next_line != found:
            raise Refused("what it sums up to at its end is not what stands in it")
        self._advance()
        if self.next_line is not None:
            raise Refused(f"line {self.number} comes after its end")

    def _clause(self) -> Clause:
        line = self.line()
        try:
            *lits, end = map(int, line.split())
        except ValueError:
            raise self._wrong("a clause is due") from None
        if end != 0 or 0 in lits:
            raise self._wrong("a clause is due")
        return tuple(lits)

    def _advance(self) -> None:
        self.next_line = next(self._rest, None)
        self.number += self.next_line is not None

    def _wrong(self, due: str) -> Refused:
        # The line was taken; the next one stands ready, where there is one.
        number = self.number - (self.next_line is not None)
        return Refused(f"line {number} is not as it was written: {due}")
