"""What every test may lean on: the demo catalogue, and programs it may need."""

from __future__ import annotations

import os
import shutil
from collections.abc import Callable
from pathlib import Path

import pytest

from bomsvc.core.catalogue.entities import Catalogue
from bomsvc.core.logic.compiled import Compiled, compile_catalogue
from bomsvc.core.logic.reasoner import Reasoner
from bomsvc.intake.document import read_document

SEED = Path(__file__).parents[1] / "seed"


@pytest.fixture(scope="session")
def whimbrel_document() -> bytes:
    return (SEED / "catalogues" / "whimbrel.yaml").read_bytes()


@pytest.fixture(scope="session")
def whimbrel(whimbrel_document: bytes) -> Catalogue:
    return read_document(whimbrel_document, "yaml")


@pytest.fixture(scope="session")
def whimbrel_compiled(whimbrel: Catalogue) -> Compiled:
    return compile_catalogue(whimbrel)


@pytest.fixture(scope="session")
def whimbrel_reasoner(whimbrel_compiled: Compiled) -> Reasoner:
    return Reasoner(whimbrel_compiled)


@pytest.fixture
def program() -> Callable[[str, str], str]:
    """Find a program, or skip; where CI runs, a missing one is a failure."""

    def find(name: str, package: str) -> str:
        found = shutil.which(name)
        if found is None:
            message = f"needs {name} (Debian package {package})"
            if os.environ.get("BOMSVC_CI"):
                pytest.fail(message)
            pytest.skip(message)
        return found

    return find
