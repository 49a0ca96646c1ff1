"""Sizing a screw from a cold start pays for nothing it does not use."""

from __future__ import annotations

import subprocess
import sys

HEAVY = ("numpy", "scipy", "sqlalchemy", "flask", "marshmallow", "pysat", "openpyxl",
         "yaml", "bomsvc.core.catalogue", "bomsvc.core.logic",
         "bomsvc.core.fasteners.sheet")  # fmt: skip

PROGRAM = f"""
import sys
from bomsvc.service.replies.size import size_reply
from bomsvc.service.sizing import size
from bomsvc.service.sizing_text import request_from_text
print([name for name in {HEAVY!r} if name in sys.modules])
"""


def test_sizing_by_hand_imports_nothing_heavy() -> None:
    done = subprocess.run(
        [sys.executable, "-c", PROGRAM], capture_output=True, text=True, check=True
    )
    assert done.stdout.strip() == "[]"


def test_the_fasteners_import_only_terms_and_the_standard_library() -> None:
    program = """
import sys
import bomsvc.core.fasteners.torque
import bomsvc.core.fasteners.sheet
ours = ("bomsvc.core.fasteners", "bomsvc.core.terms")
names = sorted(n for n in sys.modules if n.startswith("bomsvc"))
print([n for n in names if not n.startswith(ours)])
"""
    done = subprocess.run(
        [sys.executable, "-c", program], capture_output=True, text=True, check=True
    )
    assert done.stdout.strip() == "['bomsvc', 'bomsvc.core']"
