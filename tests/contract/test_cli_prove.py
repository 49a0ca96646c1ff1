"""Proof and changes on the command line."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from openpyxl import load_workbook

from tests.contract.sample import whimbrel
from tests.contract.test_cli import Shell


@pytest.fixture
def shell(tmp_path: Path, sqlite_url: str) -> Shell:
    return Shell(tmp_path, sqlite_url)


def written(folder: Path, document: object, name: str = "whimbrel.json") -> Path:
    path = folder / name
    path.write_text(json.dumps(document))
    return path


def test_a_file_is_proven_without_being_kept(shell: Shell, tmp_path: Path) -> None:
    done = shell("prove", str(written(tmp_path, whimbrel())))
    assert done.exit_code == 0, done.output
    assert "0 faults, 0 warnings" in done.output
    assert "over every valid build" in done.output


def test_faults_end_with_exit_code_one(shell: Shell, tmp_path: Path) -> None:
    document = whimbrel()
    del document["fitments"][0]
    path = written(tmp_path, document)
    done = shell("prove", str(path))
    assert done.exit_code == 1
    assert "position_gap at" in done.output
    assert "For example: The usual build" in done.output
    held = shell("load", str(path), "--publish")
    assert held.exit_code == 1


def test_the_report_is_written_as_a_workbook(shell: Shell, tmp_path: Path) -> None:
    document = whimbrel()
    del document["fitments"][0]
    path, out = written(tmp_path, document), tmp_path / "report.xlsx"
    done = shell("prove", str(path), "--out", str(out))
    assert done.exit_code == 1, "faults are told by the exit code all the same"
    assert f"The report is in {out}." in done.stderr
    book = load_workbook(out)
    assert "cannot be published" in book["Proof"]["A3"].value
    shell("load", str(path))
    kept = tmp_path / "kept.xlsx"
    shell("prove", "whimbrel", "--out", str(kept))
    assert load_workbook(kept).properties.title.endswith("Whimbrel, revision 1")


def test_a_report_is_not_written_as_just_anything(shell: Shell, tmp_path: Path) -> None:
    path = written(tmp_path, whimbrel())
    done = shell("prove", str(path), "--out", str(tmp_path / "report.doc"))
    assert done.exit_code == 2
    assert "A proof report cannot be written as '.doc'. Try: .xlsx" in done.stderr
    assert "positions" not in done.output, "refused before the proof is made"
    away = shell("prove", str(path), "--out", str(tmp_path / "no" / "report.xlsx"))
    assert away.exit_code == 2
    assert "cannot be written" in away.stderr


def test_a_revision_is_proven_and_marked(shell: Shell, tmp_path: Path) -> None:
    shell("load", str(written(tmp_path, whimbrel())))
    report = shell.json("prove", "whimbrel")
    assert report["revision"]["number"] == 1
    assert report["clean"] is True
    again = shell("load", str(written(tmp_path, whimbrel())))
    assert "revision 1: proven, kept before" in again.output


def test_traces_are_kept_and_replayed(shell: Shell, tmp_path: Path) -> None:
    folder = tmp_path / "traces"
    path = written(tmp_path, whimbrel())
    done = shell("prove", str(path), "--keep-trace", str(folder))
    assert done.exit_code == 0, done.output
    kept = sorted(folder.iterdir())
    assert kept
    assert f"{len(kept)} traces in" in done.output
    assert f"{len(kept)} of them replayed" in done.output
    assert kept[0].read_text().startswith("p cnf ")


def test_changes_are_told_in_lines(shell: Shell, tmp_path: Path) -> None:
    shell("load", str(written(tmp_path, whimbrel())))
    document = whimbrel()
    document["fitments"][0]["qty"] = "2"
    shell("load", str(written(tmp_path, document, "second.json")))
    done = shell("changes", "whimbrel", "2", "--since", "1")
    assert done.exit_code == 0, done.output
    assert "fitments: edited" in done.output
    position = document["fitments"][0]["position"]
    assert f"position {position}" in done.output
    same = shell("changes", "whimbrel", "2", "--since", "2")
    assert same.output.strip() == "Nothing changed."
