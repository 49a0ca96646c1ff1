"""The proof report in the shape of the REST face."""

from __future__ import annotations

from bomsvc.core.prove.findings import Finding, Report

Shape = dict[str, object]

COVERED = (
    "Every valid build: the verdicts come from logic over all of them, and none was "
    "sampled. A budget that runs out is reported as not proven, never as clean.",
    "Options and rules, conditions, positions, the work of every job, and for every "
    "joint each combination of thicknesses, tolerances and holes that valid builds "
    "give it.",
    "Clean verdicts of the logic can be kept as traces, which a small independent "
    "checker replays (bomsvc prove --keep-trace).",
)
NOT_COVERED = (
    "The step from the document to the clauses that the logic works on, and the sizing "
    "of a screw for one stack: those are covered by the project's tests against slow, "
    "separate programs, not by a trace.",
    "Whether the document says what the engine is: dimensions, torques and part "
    "numbers are taken as they were typed in. The engine maker's manual prevails.",
)


def report_shape(report: Report, revision: Shape) -> Shape:
    """Return the report of a revision, findings in their order.

    `shown` says `build` as the usual build with its exceptions; `covered` and
    `not_covered` say what the report stands for.
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
        "usual": None if report.usual is None else report.usual.answers,
        "covered": list(COVERED),
        "not_covered": list(NOT_COVERED),
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
