"""Kept traces: read back as they were written; whatever was touched is refused."""

from __future__ import annotations

import dataclasses
import hashlib
import json
import re

import pytest

from bomsvc.core.catalogue import read_catalogue
from bomsvc.core.logic.compiled import Compiled, compile_catalogue
from bomsvc.core.prove.kept_trace import read_kept, replay, written
from bomsvc.core.prove.rup import Refused
from bomsvc.core.prove.trace import Traces, shared_clauses, traces_of
from bomsvc.core.terms.json_text import read_json
from tests.contract.sample import whimbrel
from tests.hard_family import hard_family


def compiled(document: object) -> Compiled:
    return compile_catalogue(read_catalogue(read_json(json.dumps(document))))


@pytest.fixture(scope="module")
def sample() -> Compiled:
    return compiled(whimbrel())


@pytest.fixture(scope="module")
def lines(sample: Compiled) -> list[str]:
    return list(written(traces_of(sample)))


def replayed(kept: Traces, document: Compiled) -> int:
    shared, _ = shared_clauses(document.model)
    return replay(kept, digest=document.digest, shared=shared)


def sealed(lines: list[str]) -> list[str]:
    """Put the right sum under changed lines, as a careful forger would."""
    count = sum(line.startswith("verdict ") for line in lines[:-1])
    text = "".join(f"{line}\n" for line in lines[:-1])
    return [*lines[:-1], f"end {count} {hashlib.sha256(text.encode()).hexdigest()}"]


def test_what_was_written_is_read_back_and_holds(
    sample: Compiled, lines: list[str]
) -> None:
    kept = read_kept(lines)
    assert list(written(kept)) == lines
    assert replayed(kept, sample) == len(tuple(kept.verdicts)) > 5
    assert list(written(traces_of(sample))) == lines, "the same document, the same text"


def test_a_verdict_says_what_was_asked(lines: list[str]) -> None:
    abouts = {line.split(" ", 1)[1] for line in lines if line.startswith("verdict ")}
    assert any(about.startswith("position_gap ") for about in abouts)
    assert any(about.startswith("joint ") for about in abouts)


def test_shared_clauses_and_a_verdicts_own_are_a_problem_for_any_checker(
    sample: Compiled,
) -> None:
    from bomsvc.core.prove.rup import check, read_steps

    traces = traces_of(sample)
    for verdict in traces.verdicts:
        check((*traces.shared, *verdict.clauses), read_steps(verdict.steps))


def test_no_changed_missing_or_added_line_passes(lines: list[str]) -> None:
    for at in range(0, len(lines), max(1, len(lines) // 60)):
        line = lines[at]
        other = re.sub(r"[0-9a-f]", "7", line, count=1)
        changes = [
            lines[:at] + lines[at + 1 :],
            [*lines[:at], line, *lines[at:]],
            lines[: at + 1],
            [*lines[:at], f"{line}x", *lines[at + 1 :]],
            [*lines[:at], other, *lines[at + 1 :]],
        ]
        for changed in changes:
            if changed != lines:
                with pytest.raises(Refused):
                    read_kept(changed)


def test_a_refused_line_is_named(lines: list[str]) -> None:
    with pytest.raises(Refused, match="line 4 is not as it was written"):
        read_kept([*lines[:3], "1 two 0", *lines[4:]])
    with pytest.raises(Refused, match="before its end"):
        read_kept(lines[:5])
    with pytest.raises(Refused, match="before its end"):
        read_kept([])
    with pytest.raises(Refused, match="'bomsvc trace 1' is due"):
        read_kept(["something else", *lines[1:]])
    with pytest.raises(Refused, match="comes after its end"):
        read_kept([*lines, "more"])
    with pytest.raises(Refused, match="sums up"):
        read_kept([*lines[:-1], lines[-1].replace("end ", "end 1")])


def test_a_forged_verdict_is_refused_though_the_sum_is_right() -> None:
    # Its verdicts need steps: units alone refute nothing here.
    document = compiled(hard_family(holes=4, positions=2))
    lines = list(written(traces_of(document)))
    kept = read_kept(lines)
    assert replayed(kept, document) > 0
    longest = max(kept.verdicts, key=lambda verdict: len(verdict.steps))
    assert len(longest.steps) > 5
    at = lines.index(longest.steps[0])
    short = [*lines[:at], "0", *lines[at + len(longest.steps) :]]
    short[at - 1] = "steps 1"
    with pytest.raises(Refused, match=r"verdict \d+ \(.+\): step 1 does not follow"):
        replayed(read_kept(sealed(short)), document)
    none = [*lines[:at], *lines[at + len(longest.steps) :]]
    none[at - 1] = "steps 0"
    with pytest.raises(Refused, match="ends without a contradiction"):
        replayed(read_kept(sealed(none)), document)


def test_traces_of_another_document_are_refused(
    sample: Compiled, lines: list[str]
) -> None:
    other = compiled(whimbrel(note="another"))
    with pytest.raises(Refused, match="they are of the document"):
        replayed(read_kept(lines), other)
    # Clauses that are not the document's show nothing about it.
    kept = read_kept(lines)
    more = dataclasses.replace(kept, shared=(*kept.shared, (-1,)))
    with pytest.raises(Refused, match="not those of this document"):
        replayed(more, sample)
