"""Proof and changes on the command line."""

from __future__ import annotations

import gzip
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


def test_traces_are_kept_beside_the_document_and_replayed(
    shell: Shell, tmp_path: Path
) -> None:
    path = written(tmp_path, whimbrel())
    done = shell("prove", str(path), "--keep-trace")
    assert done.exit_code == 0, done.output
    (kept,) = tmp_path.glob("*.trace.gz")
    assert kept.name.startswith("whimbrel-")
    assert f"clean verdicts are kept as traces in {kept}" in done.output
    assert "tests, not by a trace" in done.output
    first = kept.read_bytes()
    report = shell.json("prove", str(path), "--keep-trace")
    assert report["trace"]["replayed"] > 5
    assert report["trace"]["file"] == str(kept)
    assert kept.read_bytes() == first, "the same document, the same file"
    checked = shell("prove", str(path), "--check-trace", str(kept))
    assert checked.exit_code == 0, checked.output
    assert "clean verdicts of this document were replayed" in checked.output


def test_traces_of_a_kept_revision_go_to_the_data_folder_or_where_one_says(
    shell: Shell, tmp_path: Path
) -> None:
    shell("load", str(written(tmp_path, whimbrel())))
    report = shell.json("prove", "whimbrel", "--keep-trace")
    kept = Path(report["trace"]["file"])
    assert kept.parent.name == "traces"
    assert kept.is_file()
    place = tmp_path / "here.gz"
    out = tmp_path / "report.xlsx"
    told = shell("prove", "whimbrel", "--trace-file", str(place), "--out", str(out))
    assert told.exit_code == 0, told.output
    assert place.read_bytes() == kept.read_bytes()
    front = [cell.value for cell in load_workbook(out)["Proof"]["A"]]
    assert "Traced" in front
    checked = shell("prove", "whimbrel", "1", "--check-trace", str(place))
    assert checked.exit_code == 0, checked.output


def test_a_damaged_or_foreign_trace_is_refused_with_a_sentence(
    shell: Shell, tmp_path: Path
) -> None:
    path, place = written(tmp_path, whimbrel()), tmp_path / "kept.gz"
    shell("prove", str(path), "--trace-file", str(place))
    text = gzip.decompress(place.read_bytes()).decode()
    place.write_bytes(gzip.compress(text.replace(" 0\n", " 9 0\n", 1).encode()))
    changed = shell("prove", str(path), "--check-trace", str(place))
    assert changed.exit_code == 1
    assert f"The traces in {place} are refused: " in changed.stderr
    assert "Prove again with --keep-trace." in changed.stderr
    other = written(tmp_path, whimbrel(note="another"), "other.json")
    place.write_bytes(gzip.compress(text.encode()))
    foreign = shell("prove", str(other), "--check-trace", str(place))
    assert foreign.exit_code == 1
    assert "they are of the document" in foreign.stderr
    for content in (b"no archive", gzip.compress(text.encode())[:-20]):
        place.write_bytes(content)
        damaged = shell("prove", str(path), "--check-trace", str(place))
        assert damaged.exit_code == 2
        assert "no file of traces, or damaged" in damaged.stderr
    missing = shell("prove", str(path), "--check-trace", str(tmp_path / "none.gz"))
    assert missing.exit_code == 2
    assert "No such file" in missing.stderr


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
    out = tmp_path / "changes.xlsx"
    kept = shell("changes", "whimbrel", "2", "--since", "1", "--out", str(out))
    assert f"The changes are in {out}." in kept.stderr
    assert "Lists or work" in load_workbook(out)["Changes"]["A3"].value
    wrong = shell("changes", "whimbrel", "2", "--since", "1", "--out", "changes.txt")
    assert wrong.exit_code == 2
    assert "A list of changes cannot be written as '.txt'" in wrong.stderr
    same = shell("changes", "whimbrel", "2", "--since", "2")
    assert same.output.strip() == "Nothing changed."
