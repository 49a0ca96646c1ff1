"""What is generated from the code is what lies in the tree."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).parents[2]


def test_schemas_and_the_table_of_defaults_are_in_step_with_the_code() -> None:
    found = subprocess.run(
        [sys.executable, str(ROOT / "scripts/make_schemas"), "--check"],
        capture_output=True,
        text=True,
        check=False,
    )
    assert (found.returncode, found.stdout) == (0, "")
