"""One gap brings findings after it: where it does, the sentence names the gap.

A screw sized over a part that is not there, a gasket forgotten beside an empty place,
a job with nothing to renew: these are found in the build that shows the gap, and go
when it is filled. An editor who reads them first would mend what is not wrong.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import replace

from bomsvc.core.logic.builds import Build
from bomsvc.core.logic.standing import Key
from bomsvc.core.prove.findings import Finding
from bomsvc.core.prove.subject import Subject, applying, listed

MAY_FOLLOW = frozenset(
    {
        "pad_missing",
        "hole_missing",
        "screw_none_fits",
        "screw_stated_fails",
        "screw_not_listed",
        "screw_thin_margin",
        "screw_hard_to_start",
        "position_stuck",
        "forgotten_gasket",
        "joint_never_opened",
        "job_idle",
    }
)
"""Codes of findings that an empty position can bring about."""


def with_causes(
    subject: Subject, findings: Iterable[Finding], usual: Build | None
) -> Iterator[Finding]:
    """Yield the findings; the sentence of one that may follow from a gap says so.

    A finding that the usual build does not show is not put down to a gap that the
    usual build has: what is the same in both does not bring it about.
    """
    findings = tuple(findings)
    gaps = [f.at for f in findings if f.code == "position_gap"]
    plain = set(_empty(subject, gaps, usual)) if usual is not None else set()
    for finding in findings:
        build = finding.build
        if build is None or finding.code not in MAY_FOLLOW:
            yield finding
            continue
        empty = _empty(subject, gaps, build)
        if build != usual:
            empty = [key for key in empty if key not in plain]
        yield _told(subject, finding, empty)


def _empty(subject: Subject, gaps: Iterable[Key], build: Build) -> list[Key]:
    """Return which of the positions stand empty in a build, and must not."""
    positions = subject.standing.positions
    return [
        key
        for key in gaps
        if build.truth(positions[key].exists)
        and not any(map(build.truth, applying(positions[key])))
    ]


def _told(subject: Subject, finding: Finding, empty: list[Key]) -> Finding:
    if not empty:
        return finding
    names = listed(subject.label(key) for key in empty)
    verb = "holds" if len(empty) == 1 else "hold"
    tail = f"In this build {names} {verb} no part; fill that first, this may follow."
    return replace(finding, detail=f"{finding.detail.rstrip('.')}. {tail}")
