"""Files a proof report can be had as: one line per format."""

from __future__ import annotations

from typing import TYPE_CHECKING

from bomsvc.exports.formats import XLSX, Format

if TYPE_CHECKING:
    from bomsvc.service.proofs import ProofReport


def proof_workbook(report: ProofReport) -> bytes:
    """Return the report as a workbook; the same report, the same bytes."""
    from bomsvc.exports.proof import render_proof

    return render_proof(report)


PROOF_FORMATS = (Format(".xlsx", XLSX, proof_workbook),)
