"""Commands of the proof: prove a file or a revision."""

from __future__ import annotations

import sys
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING

import click

from bomsvc.cli.opening import (
    FAULTS,
    acting,
    as_json,
    home,
    opened,
    tells_errors,
    write_json,
)
from bomsvc.cli.progress import progress

if TYPE_CHECKING:
    from bomsvc.core.catalogue import Catalogue
    from bomsvc.core.logic.budget import Budget
    from bomsvc.service.proofs import Asked, ProofReport
    from bomsvc.service.replies.proof import Shape

TARGET_KINDS = (".yaml", ".yml", ".json")


@click.command()
@click.argument("target", metavar="FILE|FAMILY")
@click.argument("number", type=int, required=False)
@click.option(
    "--conflicts", type=click.IntRange(1), help="Budget of one question of the proof."
)
@click.option(
    "--keep-trace",
    is_flag=True,
    help="Keep a trace of each clean verdict, and replay it by a separate checker.",
)
@click.option(
    "--trace-file",
    metavar="FILE",
    type=click.Path(path_type=Path, dir_okay=False),
    help="Where; the usual is beside FILE, or under BOMSVC_HOME.",
)
@click.option(
    "--check-trace",
    metavar="FILE",
    type=click.Path(path_type=Path, dir_okay=False),
    help="Only replay kept traces of this document.",
)
@click.option(
    "--out",
    metavar="FILE.xlsx",
    type=click.Path(path_type=Path, dir_okay=False),
    help="Write the report as a workbook to work down.",
)
@as_json
@tells_errors
def prove(
    target: str,
    number: int | None,
    *,
    conflicts: int | None,
    keep_trace: bool,
    trace_file: Path | None,
    check_trace: Path | None,
    out: Path | None,
    as_json: bool,
) -> None:
    """Prove a document in FILE, or revision NUMBER of FAMILY, over every build.

    Ends with exit code 1 where the proof finds a fault, or a trace does not hold.
    """
    if check_trace is not None:
        _check_trace(_read(target, number), check_trace, in_json=as_json)
        return
    write = _writer(out)
    if _is_file(target):
        proven = _of_file(Path(target), conflicts)
    else:
        proven = _of_revision(target, number, conflicts)
    report = proven.shape
    if keep_trace or trace_file is not None:
        from bomsvc.cli.traces import keep

        place = trace_file or _place_of_trace(target, proven)
        report["trace"] = keep(proven.compiled, place, budget=_budget(conflicts))
    if as_json:
        write_json(report)
    else:
        tell(report)
    write(proven)
    if any(finding["severity"] == "fault" for finding in _findings(report)):
        sys.exit(FAULTS)


def _is_file(target: str) -> bool:
    return Path(target).suffix.lower() in TARGET_KINDS


def _read(target: str, number: int | None) -> Catalogue:
    """Read the document that is meant."""
    if _is_file(target):
        from bomsvc.cli.catalogue import read_file

        return read_file(Path(target))
    from bomsvc.service.catalogues import catalogue_of, get_family, read_document

    with opened() as desk, desk.store.read() as uow:
        chosen = number or get_family(uow, target).newest.number
        return catalogue_of(*read_document(uow, target, chosen))


def _check_trace(catalogue: Catalogue, kept: Path, *, in_json: bool) -> None:
    from bomsvc.cli.traces import check
    from bomsvc.core.logic.compiled import compile_catalogue

    told = check(compile_catalogue(catalogue), kept)
    if in_json:
        write_json(told)
    else:
        click.echo(
            f"{told['replayed']} clean verdicts of this document were replayed from "
            f"{kept} and hold."
        )


def _place_of_trace(target: str, proven: ProofReport) -> Path:
    """Return where traces are kept: by what was proven, so that none is mistaken."""
    name = f"{proven.compiled.catalogue.family.code}-{proven.digest[:16]}.trace.gz"
    return Path(target).parent / name if _is_file(target) else home("traces") / name


def _budget(conflicts: int | None) -> Budget:
    from bomsvc.core.logic.budget import Budget
    from bomsvc.core.prove.ground import PROOF_BUDGET

    return PROOF_BUDGET if conflicts is None else Budget(conflicts=conflicts)


def _writer(out: Path | None) -> Callable[[ProofReport], None]:
    """Find the format of `--out` before anything is proven."""
    if out is None:
        return lambda report: None
    from bomsvc.cli.catalogue import write_file
    from bomsvc.cli.files import format_of
    from bomsvc.exports.proofs import PROOF_FORMATS

    chosen = format_of(out, PROOF_FORMATS, what="A proof report")

    def write(report: ProofReport) -> None:
        write_file(out, chosen.render(report))
        click.echo(f"The report is in {out}.", err=True)

    return write


def _of_file(file: Path, conflicts: int | None) -> ProofReport:
    from bomsvc.cli.catalogue import read_file
    from bomsvc.core.logic.compiled import compile_catalogue
    from bomsvc.core.prove import prove as prove_compiled
    from bomsvc.service.proofs import ProofReport
    from bomsvc.service.replies.proof import report_shape

    catalogue = read_file(file)
    compiled = compile_catalogue(catalogue)
    with progress("Proving") as watch:
        report = prove_compiled(compiled, budget=_budget(conflicts), watch=watch)
    named: Shape = {
        "family": catalogue.family.code,
        "number": None,
        "digest": catalogue.digest,
    }
    return ProofReport(report_shape(report, named), compiled)


def _of_revision(family: str, number: int | None, conflicts: int | None) -> ProofReport:
    from bomsvc.service.catalogues import catalogue_of, get_family
    from bomsvc.service.proofs import (
        ProofReport,
        ask_for_proof,
        keep_report,
        prove_now,
    )

    with opened() as desk:
        with desk.store.read() as uow:
            chosen = number or get_family(uow, family).newest.number
            asked: Asked = ask_for_proof(
                uow, family=family, number=chosen, conflicts=conflicts
            )
        with progress("Proving") as watch:
            report = prove_now(asked, desk.reasoners, watch=watch)
        with desk.store.write() as uow:
            keep_report(desk, uow, acting(), head=asked.head, report=report)
            uow.commit()
    reasoner = desk.reasoners.compiled_for(
        asked.head.digest, lambda: catalogue_of(asked.head, asked.document)
    )
    return ProofReport(report, reasoner.compiled, asked.head.number)


def tell(report: Shape) -> None:
    """Write the report for a person: faults first, each with what shows it."""
    findings = _findings(report)
    for finding in findings:
        click.echo(f"{finding['severity']}: {finding['detail']}")
        click.echo(f"    {finding['code']} at {finding['at']}, {finding['pointer']}")
        if finding["shown"]:
            click.echo(f"    For example: {finding['shown']}")
    figures = report["figures"]
    assert isinstance(figures, dict)
    click.echo(
        f"{figures['positions']} positions, {figures['fitments']} fitments and "
        f"{figures['hole_groups']} groups of holes in {figures['combinations']} "
        "combinations, over every valid build."
    )
    _tell_trace(report)
    counts = {
        severity: sum(f["severity"] == severity for f in findings)
        for severity in ("fault", "warning", "note")
    }
    told = ", ".join(f"{n} {word}{'' if n == 1 else 's'}" for word, n in counts.items())
    click.echo(f"{told}.")


def _tell_trace(report: Shape) -> None:
    trace = report.get("trace")
    if isinstance(trace, dict):
        click.echo(
            f"{trace['replayed']} clean verdicts are kept as traces in {trace['file']} "
            "and were replayed from there. They show that the clauses have no model; "
            "that the clauses say what the document says is covered by the project's "
            "tests, not by a trace."
        )


def _findings(report: Shape) -> list[dict[str, object]]:
    found = report["findings"]
    assert isinstance(found, list)
    order = ("fault", "warning", "note")
    return sorted(found, key=lambda finding: order.index(finding["severity"]))
