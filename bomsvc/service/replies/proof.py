"""The proof report in the shape of the REST face."""

from __future__ import annotations

from bomsvc.core.prove.findings import Finding, Report

Shape = dict[str, object]


def report_shape(report: Report, revision: Shape) -> Shape:
    """Return the report of a revision, findings in their order.

    `shown` says `build` as the usual build with its exceptions.
    """
    figures = report.figures
    return {
        "revision": revision,
        "clean": report.clean,
        "proven": report.proven,
        "figures": {
            "positions": figures.positions,
            "fitments": figures.fitments,
            "hole_groups": figures.hole_groups,
            "questions": figures.questions,
            "combinations": figures.combinations,
        },
        "findings": [finding_shape(finding) for finding in report.findings],
    }


def finding_shape(finding: Finding) -> Shape:
    """Return one finding."""
    return {
        "code": finding.code,
        "severity": finding.severity,
        "at": finding.at,
        "pointer": finding.pointer,
        "detail": finding.detail,
        "build": None if finding.build is None else finding.build.answers,
        "shown": finding.shown,
    }
