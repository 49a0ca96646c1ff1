"""Ten jobs on three engines on file, line by line, as a fitter would check them.

The text beside is written by `python -m tests.unit.seed.test_golden_lists`; read the
difference before it is committed.
"""

from __future__ import annotations

import csv
import json
from pathlib import Path
from typing import Any

from bomsvc.core.logic.answers import read_answers
from bomsvc.core.logic.reasoner import Reasoner
from bomsvc.core.resolve import Resolved, read_scope, resolve
from bomsvc.core.terms.numbers import decimal_text
from bomsvc.service.wording import Labels

SEED = Path(__file__).parents[3] / "seed"
GOLDEN = Path(__file__).with_name("golden") / "lists.txt"
ENGINES = ("N210440", "S209551", "N215890")
JOBS = (
    "reseal_sump",
    "renew_front_seal",
    "reseal_front_cover",
    "renew_damper",
    "renew_oil_pump",
    "renew_gears",
    "renew_rear_seal",
    "renew_main_bearing[4]",
    "renew_front_head_gasket",
    "reseal_rocker_cover",
)


def test_ten_jobs_on_three_engines_take_what_they_took(
    whimbrel_reasoner: Reasoner,
) -> None:
    assert golden_text(whimbrel_reasoner) == GOLDEN.read_text(encoding="utf-8")


def golden_text(reasoner: Reasoner) -> str:
    with (SEED / "engines.csv").open(encoding="utf-8", newline="") as rows:
        filed = {row["serial"]: row for row in csv.DictReader(rows)}
    blocks = [
        _block(reasoner, filed[serial], job) for serial in ENGINES for job in JOBS
    ]
    return "\n".join(blocks)


def _block(reasoner: Reasoner, engine: dict[str, Any], job: str) -> str:
    compiled = reasoner.compiled
    known = read_answers(
        compiled,
        json.loads(engine["answers"]),
        sources=json.loads(engine["sources"]),
    )
    found = resolve(reasoner, known, read_scope(compiled, {"jobs": [job]}))
    assert isinstance(found, Resolved)
    assert found.work is not None
    labels = Labels(compiled)
    least, most = (decimal_text(minutes) for minutes in found.work.minutes)
    lines = [f"{engine['serial']}: {labels.job(job)}, {least} to {most} minutes"]
    lines += [f"  fault: {fault.detail}" for fault in found.faults]
    lines += [
        f"  do {step.phase}: {labels.step(step.step)}" for step in found.work.steps
    ]
    lines += [
        f"  {line.need} {line.state}: {decimal_text(line.qty)} {line.part} {line.name}"
        f" at {'; '.join(labels.place(place) for place in line.places)}"
        for line in found.lines
    ]
    return "\n".join([*lines, ""])


def write() -> None:
    """Write the golden text anew."""
    from bomsvc.core.logic.compiled import compile_catalogue
    from bomsvc.intake.document import read_document

    document = (SEED / "catalogues/whimbrel.yaml").read_bytes()
    reasoner = Reasoner(compile_catalogue(read_document(document, "yaml")))
    GOLDEN.parent.mkdir(exist_ok=True)
    GOLDEN.write_text(golden_text(reasoner), encoding="utf-8")


if __name__ == "__main__":
    write()
