"""The list in the service's shape: names, order and forms are contracts."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path
from typing import Any

import orjson

from bomsvc.core.logic.known import Known
from bomsvc.service.replies.resolve import resolve_reply
from tests.unit.resolve.compact import full, known, listed

ROOT = Path(__file__).resolve().parents[3]
REVISION = {"family": "dipper", "number": 3, "digest": "d"}


def reply(known_: Known, **scope: Any) -> dict[str, Any]:
    return resolve_reply(listed(known_, **scope), revision=REVISION)


def test_the_reply_has_the_fields_of_the_contract() -> None:
    found = reply(full(), jobs=["reseal_sump"])
    contract = [
        "revision", "certain", "certain_but_measured", "lines", "open", "questions",
        "to_measure", "work", "joints", "notices", "faults",
    ]  # fmt: skip
    assert [name for name in found if name in contract] == contract
    assert found["revision"] == REVISION


def test_a_line_in_full() -> None:
    found = reply(full(sump="front"), jobs=["reseal_sump"])
    line = next(one for one in found["lines"] if one["part"] == "D15")
    assert line == {
        "part": "D15",
        "name": "Washer",
        "qty": "3",
        "take": "3",
        "unit": "C62",
        "order": {"part": "D15", "qty": "3"},
        "need": "renew",
        "state": "certain",
        "places": [{"position": "washers"}],
        "positions": ["washers"],
        "why": [
            {"position": "washers", "when": "always", "given": []},
            {"joint": "rail", "opened_by": "pan_off"},
            {"reuse": "single"},
        ],
        "decided_by": [],
        "waits_on": [],
        "limit": None,
        "instructions": [],
        "wanted": None,
        "screw": None,
        "cases": [],
        "alternates": [],
        "supply": None,
        "cautions": [],
        "brings": [],
    }


def test_a_screw_line_has_its_holes_its_sized_form_and_its_limit() -> None:
    found = reply(full(), jobs=["mains"])
    line = next(one for one in found["lines"] if one["part"] == "D82")
    assert line["places"][1] == {"joint": "cap[2]", "group": "c", "holes": [1, 2]}
    assert line["positions"] == []
    assert line["limit"] == {"max_length_mm": 62.5, "max_uses": 3, "inspect": None}
    assert line["screw"]["chosen"]["designation"] == "ISO 4014 - M12 x 60 - 10.9"
    assert line["screw"]["clamp_mm"] == [40, 39.9, 40.1]


def test_an_open_place_in_full() -> None:
    found = reply(known(), positions=["pan"])
    assert found["open"] == [
        {
            "place": {"position": "pan"},
            "candidates": [
                {
                    "parts": [{"part": "D10", "qty": "1", "need": "renew"}],
                    "screw": None,
                },
                {
                    "parts": [{"part": "D11", "qty": "1", "need": "renew"}],
                    "screw": None,
                },
            ],
            "decided_by": ["sump"],
            "waits_on": [],
            "take_all": [
                {"part": "D10", "qty": "1", "need": "renew"},
                {"part": "D11", "qty": "1", "need": "renew"},
            ],
        }
    ]
    assert found["questions"] == [
        {
            "option": "sump",
            "ask": "Where is the deep end of the sump?",
            "choices": [
                {"code": "front", "label": "Front", "tell": "deep under the damper"},
                {"code": "rear", "label": "Rear", "tell": "deep at the flywheel"},
            ],
            "expected_after": 0.0,
            "exact": True,
        }
    ]


def test_what_waits_for_measuring_has_its_bands_as_numbers() -> None:
    found = reply(known(sump="rear"), positions=["main_shell[1]"])
    assert found["to_measure"] == [
        {
            "option": "main_size[1]",
            "label": "Main bearing size",
            "bands": [
                {"code": "std", "label": "Standard", "band_mm": [79.98, 80]},
                {"code": "us25", "label": "0.25 under", "band_mm": [79.73, 79.75]},
            ],
        }
    ]


def test_work_has_numbers_for_minutes_and_text_for_keys() -> None:
    work = reply(full(sump="front"), jobs=["reseal_sump"])["work"]
    assert work["minutes"] == [61, 61]
    assert work["basis"] == "exact"
    assert work["optimal"] is True
    assert work["steps"][1] == {
        "step": "pan_off",
        "label": "Take the pan off",
        "phase": "strip",
        "order": 2,
        "minutes": 20,
        "lift_kg": None,
        "opens": ["rail"],
        "loosens": [],
        "state": "certain",
        "needed_by": ["reseal_sump"],
        "decided_by": [],
    }


def test_a_joint_has_its_passes_with_only_the_figure_that_is_stated() -> None:
    (rail,) = reply(full(), joints=["rail"])["joints"]
    assert rail["passes"] == [{"groups": [], "order": [1, 3, 2, 4], "torque_nm": 48}]
    assert [group["holes"] for group in rail["groups"]] == [[1, 2, 3], [4]]


def test_lists_without_jobs_have_no_work() -> None:
    assert reply(full(), whole=True)["work"] is None


SCRIPT = """
import sys
import orjson
from bomsvc.service.replies.resolve import resolve_reply
from tests.unit.resolve.compact import known, listed
scopes = ({"whole": True}, {"jobs": ["mains", "plate_job", "pump_job"]})
for scope in scopes:
    sys.stdout.buffer.write(orjson.dumps(resolve_reply(listed(known(), **scope))))
"""


def bytes_with(seed: str) -> bytes:
    return subprocess.run(
        [sys.executable, "-c", SCRIPT],
        cwd=ROOT,
        env={"PYTHONHASHSEED": seed, "PYTHONPATH": str(ROOT)},
        capture_output=True,
        check=True,
    ).stdout


def test_the_same_question_gives_the_same_bytes_in_every_process() -> None:
    assert bytes_with("1") == bytes_with("2")


def test_what_was_asked_before_changes_nothing() -> None:
    fresh = orjson.dumps(reply(known(), whole=True))
    for sump in ("front", "rear"):
        reply(known(sump=sump), jobs=["mains"])
    assert orjson.dumps(reply(known(), whole=True)) == fresh
