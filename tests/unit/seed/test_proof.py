"""The demo is proven: no fault, no warning; a planted fault is found."""

from __future__ import annotations

from pathlib import Path

import pytest

from bomsvc.core.logic.compiled import compile_catalogue
from bomsvc.core.prove import Report, prove
from bomsvc.intake.document import read_document

SEED = Path(__file__).parents[3] / "seed" / "catalogues" / "whimbrel.yaml"


def proven(text: str) -> Report:
    return prove(compile_catalogue(read_document(text.encode(), "yaml")))


def test_the_demo_has_neither_faults_nor_warnings() -> None:
    report = proven(SEED.read_text(encoding="utf-8"))
    assert report.proven
    assert [f for f in report.findings if f.severity != "note"] == []
    assert report.figures.combinations > 200


@pytest.mark.parametrize(
    ("planted", "instead", "code", "at"),
    [
        (
            "{position: pan, part: W40.1183, when: pan = pressed and sump = rear}",
            "{position: pan, part: W40.1183, when: pan = pressed and sump = front}",
            "position_gap",
            "pan",
        ),
        (
            "{position: pan, part: W40.1183, when: pan = pressed and sump = rear}",
            "{position: pan, part: W40.1183, when: sump = rear}",
            "position_overlap",
            "pan",
        ),
    ],
)
def test_a_fault_planted_in_the_demo_is_found_and_shown(
    planted: str, instead: str, code: str, at: str
) -> None:
    text = SEED.read_text(encoding="utf-8")
    assert text.count(planted) == 1
    report = proven(text.replace(planted, instead))
    found = [f for f in report.findings if (f.code, f.at) == (code, at)]
    assert len(found) == 1
    assert found[0].build is not None
    assert found[0].build.answers["sump"] == "rear"
