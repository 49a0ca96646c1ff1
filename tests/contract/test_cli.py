"""The command line: the same answers as REST, exit codes, messages, quick help."""

from __future__ import annotations

import json
import os
import re
import subprocess
import sys
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import openpyxl
import pytest
import yaml
from click.testing import CliRunner, Result

from bomsvc.cli import COMMANDS, main
from tests.contract.faces import Face
from tests.contract.sample import whimbrel


@dataclass
class Shell:
    """The command line on a database of its own."""

    home: Path
    url: str

    def __call__(self, *words: str) -> Result:
        runner = CliRunner()
        environment = {"BOMSVC_HOME": str(self.home), "BOMSVC_DATABASE_URL": self.url}
        return runner.invoke(main, words, env=environment, catch_exceptions=False)

    def json(self, *words: str) -> dict[str, Any]:
        """Run with --json and return what was written."""
        done = self(*words, "--json")
        assert done.exit_code == 0, done.output
        read: dict[str, Any] = json.loads(done.stdout)
        return read


@pytest.fixture
def shell(tmp_path: Path, sqlite_url: str) -> Shell:
    return Shell(tmp_path, sqlite_url)


@pytest.fixture
def document(tmp_path: Path) -> Path:
    path = tmp_path / "whimbrel.json"
    path.write_text(json.dumps(whimbrel()))
    return path


@pytest.fixture
def loaded(shell: Shell, document: Path) -> Shell:
    done = shell("load", str(document), "--publish")
    assert done.exit_code == 0, done.output
    return shell


def test_a_document_is_loaded_then_published(shell: Shell, document: Path) -> None:
    first = shell("load", str(document))
    assert first.exit_code == 0
    assert "revision 1: draft." in first.output
    again = shell("load", str(document))
    assert "kept before" in again.output
    done = shell.json("publish", "whimbrel", "1")
    assert done["state"] == "published"


def test_loading_yaml_and_json_gives_the_same_revision(
    loaded: Shell, tmp_path: Path
) -> None:
    path = tmp_path / "whimbrel.yaml"
    path.write_text(yaml.safe_dump(whimbrel()))
    said = loaded.json("load", str(path))
    assert said["state"] == "published", "the same content is the same revision"


def test_wrong_documents_say_where_and_what_would_be_right(
    shell: Shell, tmp_path: Path
) -> None:
    path = tmp_path / "w.yaml"
    wrong = whimbrel()
    wrong["fitments"][0]["part"] = "W10.0002"
    path.write_text(yaml.safe_dump(wrong, sort_keys=False))
    done = shell("load", str(path))
    assert done.exit_code == 2
    assert "/fitments/0/part" in done.stderr
    assert "line " in done.stderr
    assert "W10.0001" in done.stderr
    assert done.stdout == ""
    assert shell("load", str(tmp_path / "none.yaml")).exit_code == 2
    odd = shell("load", str(tmp_path / "w.docx"))
    assert odd.exit_code == 2
    assert ".yaml" in odd.stderr


def test_what_the_proof_holds_back_is_a_fault(shell: Shell, tmp_path: Path) -> None:
    held = whimbrel()
    held["rules"].append({"code": "x", "then": "never", "because": "nothing"})
    path = tmp_path / "w.json"
    path.write_text(json.dumps(held))
    done = shell("load", str(path), "--publish")
    assert done.exit_code == 1
    assert "No build satisfies" in done.stderr
    # Nothing was kept: loading and publishing are one.
    assert shell("export", "whimbrel", "1").exit_code == 2


def test_export_gives_back_what_was_loaded(loaded: Shell, tmp_path: Path) -> None:
    text = loaded("export", "whimbrel").stdout
    assert text.startswith("format: 1\nfamily:\n  code: whimbrel\n")
    out = tmp_path / "again.yaml"
    assert loaded("export", "whimbrel", "1", "--out", str(out)).exit_code == 0
    assert out.read_text() == text
    assert "kept before" in loaded("load", str(out)).output
    as_json = loaded("export", "whimbrel", "--json").stdout
    assert json.loads(as_json)["family"]["name"] == "Whimbrel"


FORMS = {
    "sump=rear": {"sump": "rear"},
    "gears!=quiet": {"gears": {"not": ["quiet"]}},
    "gears!=quiet,wide": {"gears": {"not": ["quiet", "wide"]}},
    "gears=plain,quiet": {"gears": {"not": ["wide"]}},
    "extras=heater,block": {"extras": ["heater", "block"]},
    "extras=": {"extras": []},
    "extras!=block": {"extras": {"block": False}},
    "extras.heater=yes": {"extras": {"heater": True}},
    "extras.heater=no": {"extras": {"heater": False}},
    "gears=?": {"gears": {"unseen": True}},
    "gears=-": {"gears": {"fitted": False}},
    "serial=N210440": {"serial": "N210440"},
    "serial=210440": {"serial": "210440"},
}


@pytest.mark.parametrize("word", FORMS)
def test_answers_are_typed_as_they_are_sent(
    loaded: Shell, ready: Face, word: str
) -> None:
    typed = loaded("identify", "whimbrel", word, "--json")
    sent = ready.post("/families/whimbrel/identify", {"answers": FORMS[word]})
    assert typed.stdout.encode() == sent.data + b"\n"


def test_resolve_gives_the_same_json_as_rest(loaded: Shell, ready: Face) -> None:
    typed = loaded(
        "resolve",
        "whimbrel",
        "sump=rear",
        "--source",
        "sump=seen",
        "--job",
        "reseal_sump",
        "--position",
        "pan",
        "--section",
        "bottom",
        "--joint",
        "pan_rail",
        "--whole",
        "--by-way-of",
        "pan_off",
        "--json",
    )
    body = {
        "answers": {"sump": "rear"},
        "sources": {"sump": "seen"},
        "scope": {
            "jobs": ["reseal_sump"],
            "positions": ["pan"],
            "sections": ["bottom"],
            "joints": ["pan_rail"],
            "whole": True,
        },
        "by_way_of": ["pan_off"],
    }
    sent = ready.post("/families/whimbrel/resolve", body)
    assert sent.status_code == 200, sent.text
    assert typed.stdout.encode() == sent.data + b"\n"


def test_the_printed_list_has_everything_a_job_takes(loaded: Shell) -> None:
    done = loaded("resolve", "whimbrel", "sump=rear", "--job", "reseal_sump")
    assert done.exit_code == 0, done.output
    for said in (
        "The list is certain.",
        "Reseal the sump",
        "W40.2001",
        "18 l",
        "W90.1055",
        "holes 1 and 2",
        "34.8",
        "15.05",
        "2.55",
        "Work: 50 minutes",
        "Take off the oil pan",
        "current manual prevails",
        "Known: Sump: Rear sump",
    ):
        assert said in done.stdout, said


def test_an_open_list_prints_its_question_and_how_to_tell(loaded: Shell) -> None:
    done = loaded("resolve", "whimbrel", "--job", "renew_pan")
    assert "1. Where is the deep part of the oil pan?" in done.stdout
    assert "sump=rear: Rear sump, deep at the flywheel" in done.stdout
    text = " ".join(done.stdout.split())
    assert re.search(r"1 of W40\.1187 \(.*?\); or 1 of W40\.1190 \(", text)
    unseen = loaded("resolve", "whimbrel", "sump=?", "--job", "renew_pan")
    assert "Sump: cannot be told" in unseen.stdout
    said = " ".join(unseen.stdout.split())
    assert "Or take all and bring back what is left over." in said
    assert "Where is the deep part" not in unseen.stdout


def test_answers_that_clash_are_told_with_every_way_out(loaded: Shell) -> None:
    words = ("resolve", "whimbrel", "sump=front", "gears=wide", "--job", "reseal_sump")
    done = loaded(*words)
    assert done.exit_code == 2
    assert "The wide gear train reaches into the front sump." in done.stderr
    assert "--waive r7" in done.stderr
    waived = loaded(*words, "--waive", "r7")
    assert waived.exit_code == 0
    assert "outside the proof: rule r7" in waived.stdout
    as_json = loaded(*words, "--json")
    assert json.loads(as_json.stderr)["clash"]["waivers"] == [["r7"]]
    assert as_json.stdout == ""


def test_the_list_is_written_as_a_workbook(loaded: Shell, tmp_path: Path) -> None:
    out = tmp_path / "list.xlsx"
    words = ("resolve", "whimbrel", "sump=rear", "--job", "reseal_sump", "--out")
    assert loaded(*words, str(out)).exit_code == 0
    first = out.read_bytes()
    assert openpyxl.load_workbook(out).worksheets
    loaded(*words, str(out))
    assert out.read_bytes() == first, "the same list, the same bytes"
    odd = loaded(*words, str(tmp_path / "list.doc"))
    assert odd.exit_code == 2
    assert ".xlsx" in odd.stderr
    nowhere = loaded(*words, str(tmp_path / "none" / "list.xlsx"))
    assert nowhere.exit_code == 2
    assert "cannot be written" in nowhere.stderr


BAD = {
    ("identify", "wimbrel"): "Did you mean 'whimbrel'?",
    ("identify", "whimbrel", "sump"): "option=choice",
    ("identify", "whimbrel", "smup=rear"): "'sump'",
    ("identify", "whimbrel", "gears=plane"): "'plain'",
    ("identify", "whimbrel", "gears=plain,quit"): "'quiet'",
    ("identify", "whimbrel", "sump=rear", "sump=front"): "twice",
    ("identify", "whimbrel", "extras.heater=maybe"): "there (true)",
    ("identify", "whimbrel", "--source", "sump"): "NAME=VALUE",
    ("identify", "whimbrel", "--waive", "p1"): "physical",
    ("resolve", "whimbrel"): "asks for nothing",
    ("resolve", "whimbrel", "--job", "reseal_smp"): "'reseal_sump'",
    ("publish", "whimbrel", "7"): "The newest is 1.",
    ("export", "dunlin"): "no family",
    ("token", "create", "--role", "countr"): "counter",
    ("size", "--standard", "ISO 4763", "--thread", "M10", "--class", "10.9",
     "--layer", "34", "--into", "nut,height=8"): "ISO 4762",
    ("load",): "Missing argument",
    ("resolv",): "Did you mean 'resolve'?",
}  # fmt: skip


@pytest.mark.parametrize("words", BAD, ids=" ".join)
def test_bad_input_ends_with_two_and_names_the_remedy(
    loaded: Shell, words: tuple[str, ...]
) -> None:
    done = loaded(*words)
    assert done.exit_code == 2, done.output
    assert BAD[words] in done.stderr
    assert "Traceback" not in done.stderr


def test_a_token_made_here_is_good_over_rest(shell: Shell, face: Face) -> None:
    shell.url = face.settings.database_url
    made = shell.json(
        "token", "create", "--role", "counter", "--branch", "harbour_road"
    )
    token = {"Authorization": f"Bearer {made['token']}"}
    assert face.get("/engines", role=None, headers=token).status_code == 200
    assert face.get("/tokens", role=None, headers=token).status_code == 403
    plain = shell("token", "create", "--role", "admin", "--name", "me")
    secret = plain.stdout.strip()
    assert secret.startswith("bomsvc_")
    assert (
        face.get(
            "/tokens", role=None, headers={"Authorization": f"Bearer {secret}"}
        ).json["items"][-1]["name"]
        == "me"
    )
    assert secret not in shell("token", "list").output
    assert shell("token", "revoke", str(made["id"])).exit_code == 0
    assert "revoked" in shell("token", "list").output


def test_the_demo_is_loaded_as_often_as_one_likes(shell: Shell) -> None:
    first = shell.json("demo")
    again = shell.json("demo")
    assert again["families"] == first["families"]
    assert first["engines"]["new"] > 0
    assert again["engines"] == {"new": 0, "kept": first["engines"]["new"]}
    done = shell("resolve", "N210440", "--job", "reseal_sump")
    assert done.exit_code == 0, done.output
    assert "The list is certain." in done.stdout


def test_a_list_with_a_fault_is_not_called_certain(shell: Shell) -> None:
    shell("demo")
    done = shell("resolve", "N210440", "--job", "renew_bleed_brake")
    assert done.exit_code == 0, done.output
    assert "There is a fault: see below." in done.stdout
    assert "There is nothing to do" in done.stdout
    assert "The list is certain" not in done.stdout
    assert "0 minutes" not in done.stdout


def test_check_finds_what_was_tampered_with(loaded: Shell) -> None:
    import sqlite3

    assert loaded("check").exit_code == 0
    assert loaded.json("check")["clean"] is True
    connection = sqlite3.connect(loaded.url.removeprefix("sqlite:///"))
    with connection:
        connection.execute("DROP TRIGGER revisions_frozen")
        connection.execute("DROP TRIGGER revisions_whole")
        connection.execute("UPDATE revisions SET document = X'7B7D'")
    connection.close()
    done = loaded("check")
    assert done.exit_code == 1
    assert "The trigger revisions_frozen is gone." in done.stdout
    assert "The trigger revisions_whole is gone." in done.stdout
    assert "Revision whimbrel.1 is not what was kept." in done.stdout


def test_text_of_a_catalogue_cannot_paint_the_terminal(
    shell: Shell, tmp_path: Path
) -> None:
    document = whimbrel()
    document["parts"][3]["name"] = "Gasket [bold red]x[/] [link=http://a]y[/link]"
    path = tmp_path / "w.json"
    path.write_text(json.dumps(document))
    shell("load", str(path), "--publish")
    done = shell("resolve", "whimbrel", "sump=rear", "--job", "reseal_sump")
    assert "[bold" in done.stdout
    assert "\x1b" not in done.stdout


HEAVY = (
    "flask", "werkzeug", "sqlalchemy", "alembic", "marshmallow", "numpy", "scipy",
    "pysat", "openpyxl", "xlsxwriter", "waitress", "yaml", "rich",
)  # fmt: skip
QUICK: dict[str, tuple[str, ...]] = {
    "help": ("--help",),
    "help of a command": ("resolve", "--help"),
    "size": (
        "size", "--standard", "ISO 4762", "--thread", "M10", "--class", "10.9",
        "--layer", "34+-0.2", "--into", "blind,threaded=24,material=grey_iron",
    ),
    "torque": ("torque", "--standard", "ISO 4014", "--thread", "M10", "--class", "8.8"),
}  # fmt: skip


@pytest.mark.parametrize("name", QUICK)
def test_quick_commands_import_nothing_heavy(name: str) -> None:
    code = (
        "import sys\nfrom bomsvc.cli import main\n"
        f"sys.argv = ['bomsvc', *{QUICK[name]!r}]\n"
        "try:\n    main()\nexcept SystemExit as end:\n    assert not end.code\n"
        f"heavy = [m for m in {HEAVY!r} if m in sys.modules]\n"
        "sys.stderr.write(' '.join(heavy))\n"
    )
    done = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, check=True
    )
    assert done.stderr == ""
    assert done.stdout


def test_the_overview_shows_every_command_without_importing_one() -> None:
    done = CliRunner().invoke(main, ["--help"])
    for command, (module, _text) in COMMANDS.items():
        assert f"  {command} " in done.output
        assert module.startswith("bomsvc.cli.")
        assert CliRunner().invoke(main, [command, "--help"]).exit_code == 0


def test_the_installed_command_runs(shell: Shell) -> None:
    program = Path(sys.executable).with_name("bomsvc")
    environment = {**os.environ, "BOMSVC_DATABASE_URL": "mysql://x:SECRET@y/z"}
    done = subprocess.run(
        [program, "check"], env=environment, capture_output=True, text=True, check=False
    )
    assert done.returncode == 2
    assert "BOMSVC_DATABASE_URL" in done.stderr
    assert "SECRET" not in done.stderr
