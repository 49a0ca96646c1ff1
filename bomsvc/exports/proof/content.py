"""What the sheets of a report have in common: its findings, its builds by number."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cached_property
from typing import Any, cast

from bomsvc.core.logic.sentences import option_name
from bomsvc.core.logic.serials import SERIAL
from bomsvc.exports.proof.words import SEVERITIES
from bomsvc.service.proofs import ProofReport

Finding = Mapping[str, Any]
Answers = Mapping[str, object]

FINDINGS_MOST = 5_000
"""Rows of findings in a workbook: a list longer than that nobody works down, and a
request has to end; the JSON report has all."""
BUILD_ROWS_MOST = 20_000
"""Rows of builds: the builds beyond stand in the JSON report."""

USUAL = "usual"
"""Stands for the number of the usual build."""


@dataclass(frozen=True)
class Content:
    """A report made ready for paper.

    Attributes:
        report: The report, and the revision it speaks of.
    """

    report: ProofReport

    @cached_property
    def all_findings(self) -> tuple[Finding, ...]:
        """Every finding, the gravest first, otherwise as reported."""
        order = tuple(SEVERITIES)
        found = cast("list[Finding]", self.report.shape["findings"])
        return tuple(sorted(found, key=lambda f: order.index(f["severity"])))

    @cached_property
    def findings(self) -> tuple[Finding, ...]:
        """The findings that stand in the workbook."""
        return self.all_findings[:FINDINGS_MOST]

    @cached_property
    def builds(self) -> Mapping[int, Answers]:
        """The distinct builds that findings show, numbered as they are first named.

        The usual build has a sheet of its own.
        """
        distinct: dict[tuple[tuple[str, str], ...], Answers] = {}
        for finding in self.findings:
            if finding["build"] not in (None, self.usual):
                distinct.setdefault(_name(finding["build"]), finding["build"])
        return dict(enumerate(distinct.values(), start=1))

    @cached_property
    def builds_shown(self) -> Mapping[int, Answers]:
        """The builds that stand in the workbook, within its limit of rows."""
        most = BUILD_ROWS_MOST // max(1, len(self.options))
        return {n: build for n, build in self.builds.items() if n <= most}

    @property
    def usual(self) -> Answers | None:
        """The usual build, which the sentences start from; None where there is none."""
        return cast("Answers | None", self.report.shape.get("usual"))

    @property
    def options(self) -> tuple[str, ...]:
        """Every option by key, in the order people are asked in."""
        return self.report.compiled.option_order

    def number_of(self, finding: Finding) -> int | str | None:
        """Return the number of the build that shows a finding, or that it is usual."""
        if finding["build"] is None:
            return None
        if finding["build"] == self.usual:
            return USUAL
        return self._numbers[_name(finding["build"])]

    def option(self, key: str) -> str:
        """Return an option's label."""
        return option_name(self.report.compiled, key)

    def choice(self, key: str, build: Answers) -> str:
        """Return what a build has of an option, in words."""
        answer = build.get(key)
        if answer is None:
            return "not on this engine"
        if key == SERIAL:
            return str(answer)
        option = self.report.compiled.options[key]
        if isinstance(answer, str):
            return option.label_of(answer)
        labels = [option.label_of(code) for code in cast("list[str]", answer)]
        return ", ".join(labels) or "none of them"

    def typed(self, build: Answers) -> Iterator[tuple[str, str]]:
        """Yield each option of a build as it is typed as an answer."""
        for key in self.options:
            answer = build.get(key)
            if isinstance(answer, list):
                yield key, f"{key}={','.join(answer)}"
            else:
                yield key, f"{key}={'-' if answer is None else answer}"

    @cached_property
    def _numbers(self) -> Mapping[tuple[tuple[str, str], ...], int]:
        return {_name(build): n for n, build in self.builds.items()}


def _name(build: Answers) -> tuple[tuple[str, str], ...]:
    return tuple((key, str(answer)) for key, answer in sorted(build.items()))
