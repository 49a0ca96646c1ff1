"""Proof over every valid build, and what differs between two revisions."""

from __future__ import annotations

from bomsvc.core.prove.findings import Finding, Report
from bomsvc.core.prove.proof import prove, proven

__all__ = ["Finding", "Report", "prove", "proven"]
