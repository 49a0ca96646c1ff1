"""Reports of proofs, by digest."""

# The docstrings of the methods are those of the ports they implement.
# ruff: noqa: D102

from __future__ import annotations

from sqlalchemy import delete, insert, select
from sqlalchemy.engine import Connection

from bomsvc.db.tables import proofs
from bomsvc.service.records import KeptProof


class SqlProofs:
    """Implements the service's `Proofs` port."""

    def __init__(self, connection: Connection) -> None:
        self._connection = connection

    def get(self, digest: str) -> KeptProof | None:
        query = select(proofs).where(proofs.c.digest == digest)
        row = self._connection.execute(query).first()
        if row is None:
            return None
        return KeptProof(row.digest, bytes(row.report), row.made_at, row.made_by)

    def keep(self, proof: KeptProof) -> None:
        self._connection.execute(delete(proofs).where(proofs.c.digest == proof.digest))
        values = {
            "digest": proof.digest,
            "report": proof.report,
            "made_at": proof.made_at,
            "made_by": proof.made_by,
        }
        self._connection.execute(insert(proofs).values(values))
