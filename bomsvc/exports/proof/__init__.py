"""The proof report as a workbook: Proof, Findings, Builds, Usual build."""

from __future__ import annotations

from bomsvc.exports.proof.builds import builds_sheet, places_of_builds, usual_sheet
from bomsvc.exports.proof.content import Content
from bomsvc.exports.proof.findings import findings_sheet
from bomsvc.exports.proof.front import front_sheet
from bomsvc.exports.workbook import Book
from bomsvc.service.proofs import ProofReport

__all__ = ["render_proof"]


def render_proof(report: ProofReport) -> bytes:
    """Return the workbook of a proof report.

    The same report of the same revision gives the same bytes.
    """
    content = Content(report)
    book = Book(title=f"Proof report {report.name}")
    front_sheet(book, content)
    findings_sheet(book, content, places_of_builds(content))
    builds_sheet(book, content)
    usual_sheet(book, content)
    return book.save()
