"""The demo engines at the counter: REST and the command line on one database."""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner, Result

from bomsvc.cli import main
from tests.contract.faces import Face, make_face
from tests.contract.replies import CHOICE, many, shape

Json = dict[str, Any]
F = "/families/whimbrel"
RESEAL = {"jobs": ["reseal_sump"]}
TEXT = {"type": "string"}
QUESTION = shape(option=TEXT, ask=TEXT, choices=many(CHOICE))


def run(url: str, home: Path, *words: str) -> Result:
    environment = {"BOMSVC_HOME": str(home), "BOMSVC_DATABASE_URL": url}
    return CliRunner().invoke(main, words, env=environment, catch_exceptions=False)


class Counter:
    """The demo at the counter: REST and the command line on one database."""

    def __init__(self, face: Face, home: Path) -> None:
        self.face = face
        self.home = home

    def post(self, path: str, body: Json, *, status: int = 200) -> Json:
        reply = self.face.post(f"{F}/{path}", body)
        assert reply.status_code == status, reply.text
        read: Json = reply.json
        return read

    def get(self, path: str, *, status: int = 200) -> Json:
        reply = self.face.get(path)
        assert reply.status_code == status, reply.text
        read: Json = reply.json
        return read

    def type(self, *words: str, exit_code: int = 0) -> Result:
        done = run(self.face.settings.database_url, self.home, *words)
        assert done.exit_code == exit_code, done.output
        return done

    def print(self, *words: str) -> str:
        """Return what is printed, its line breaks as blanks."""
        return " ".join(self.type(*words).stdout.split())


@pytest.fixture(scope="module")
def demo(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A database with the demo in it."""
    path = tmp_path_factory.mktemp("demo") / "demo.db"
    done = run(f"sqlite:///{path}", path.parent, "demo")
    assert done.exit_code == 0, done.output
    return path


@pytest.fixture(scope="module")
def counter(demo: Path, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Counter]:
    """The demo; these statements read it and change nothing."""
    path = shutil.copy(demo, tmp_path_factory.mktemp("counter") / "bomsvc.db")
    for face in make_face(f"sqlite:///{path}"):
        yield Counter(face, demo.parent)
