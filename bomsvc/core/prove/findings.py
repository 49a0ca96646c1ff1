"""What a proof finds, and how much it weighs."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

from bomsvc.core.logic.builds import Build

Severity = Literal["fault", "warning", "note"]

SEVERITY: Mapping[str, Severity] = {
    "no_valid_build": "fault",
    "dead_choice": "warning",
    "forced_choice": "note",
    "idle_option": "note",
    "option_unaskable": "warning",
    "condition_never": "warning",
    "condition_always": "warning",
    "rule_never_applies": "warning",
    "rule_redundant": "note",
    "position_gap": "fault",
    "position_overlap": "fault",
    "position_empty": "note",
    "fitment_dead": "warning",
    "part_unused": "warning",
    "pad_missing": "fault",
    "hole_missing": "fault",
    "quantity_by_holes": "fault",
    "screw_unknown": "fault",
    "screw_none_fits": "fault",
    "screw_stated_fails": "fault",
    "screw_stated_overlap": "fault",
    "screw_not_listed": "fault",
    "screw_thin_margin": "warning",
    "screw_hard_to_start": "warning",
    "screw_overstressed": "warning",
    "hole_unplaced": "warning",
    "position_stuck": "fault",
    "needs_cycle": "fault",
    "forgotten_gasket": "fault",
    "joint_never_opened": "warning",
    "job_idle": "warning",
    "not_proven": "fault",
}
"""Every code and its usual severity: a fault keeps a revision from being published,
a warning needs a reason given, a note is for the editor to know."""


@dataclass(frozen=True, slots=True)
class Finding:
    """One thing the proof says.

    Attributes:
        code: A code of `SEVERITY`.
        severity: Its weight here.
        at: The code concerned, with its member; for a group `joint.group`.
        pointer: JSON pointer into the document.
        detail: A sentence that needs no code to be read.
        build: A valid build that shows it; None where none is needed.
        shown: That build in words: "The usual build, except ...".
    """

    code: str
    severity: Severity
    at: str
    pointer: str
    detail: str
    build: Build | None = None
    shown: str | None = None


@dataclass(frozen=True, slots=True)
class Figures:
    """How much was proven."""

    positions: int
    fitments: int
    hole_groups: int
    questions: int
    combinations: int


@dataclass(frozen=True, slots=True)
class Report:
    """The proof of one revision.

    `clean`: no fault and no warning. `proven`: every check was settled. `usual`: the
    usual build, which `shown` starts from; None where there is no valid build.
    """

    digest: str
    findings: tuple[Finding, ...]
    figures: Figures
    usual: Build | None = None

    @property
    def clean(self) -> bool:
        """Whether nothing stands against publishing."""
        return all(finding.severity == "note" for finding in self.findings)

    @property
    def proven(self) -> bool:
        """Whether no budget ran out."""
        return all(finding.code != "not_proven" for finding in self.findings)

    @property
    def faults(self) -> tuple[Finding, ...]:
        """The findings that keep the revision from being published."""
        return tuple(f for f in self.findings if f.severity == "fault")
