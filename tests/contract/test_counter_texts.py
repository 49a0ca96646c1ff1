"""Lists on the terminal as a counter reads them, on the demo."""

from __future__ import annotations

import re
from collections.abc import Callable
from pathlib import Path

import pytest
from click.testing import CliRunner

from bomsvc.cli import main

Shell = Callable[..., str]


@pytest.fixture(scope="module")
def counter(tmp_path_factory: pytest.TempPathFactory) -> Shell:
    """The command line on a database with the demo; texts without line breaks."""
    home: Path = tmp_path_factory.mktemp("counter")
    environment = {
        "BOMSVC_HOME": str(home),
        "BOMSVC_DATABASE_URL": f"sqlite:///{home / 'counter.db'}",
    }

    def run(*words: str, code: int = 0) -> str:
        done = CliRunner().invoke(main, words, env=environment, catch_exceptions=False)
        assert done.exit_code == code, done.output
        return " ".join(done.output.split())

    run("demo")
    return run


def test_an_open_list_warns_of_mixed_screws_like_a_certain_one(counter: Shell) -> None:
    text = counter("resolve", "whimbrel", "use=pump", "--job", "reseal_sump")
    assert "open: see below" in text
    assert "Never mix lengths or property classes" in text


def test_an_open_fluid_is_told_in_its_unit_and_every_candidate_by_name(
    counter: Shell,
) -> None:
    text = counter("resolve", "whimbrel", "--job", "reseal_sump")
    assert "28 l of W90.0001 (Engine oil 15W-40)" in text
    assert "of W40.1160 (Sump gasket for pressed sump)" in text


def test_how_to_answer_what_cannot_be_told_is_said(counter: Shell) -> None:
    text = counter("resolve", "whimbrel", "sump=rear", "--job", "reseal_sump")
    assert "answered with a question mark: pan=?" in text or "use=?" in text


def test_notes_are_sentences(counter: Shell) -> None:
    text = counter("resolve", "N210440", "--job", "renew_rod_bearing[3]")
    assert ".;" not in text
    assert "Waits for Rod journal size" in text


def test_what_is_sold_in_a_set_is_ordered_once(counter: Shell) -> None:
    words = ("resolve", "N210440", "rod_size[3]=us50", "--job", "renew_rod_bearing[3]")
    text = counter(*words)
    assert "Order instead of single parts" in text
    assert text.count("Order 1 of") == 0
    assert "Sold only as W24.0245, 1" in text


def test_a_set_for_three_pipes_is_ordered_once_and_not_at_each(
    counter: Shell,
) -> None:
    words = ("use=boat", "output=kw180", "cooling=keel", "serial=207000")
    text = counter("resolve", "whimbrel", *words, "--section", "fuel")
    assert text.count("Sold only as W32.0578, 1") == len(("pipe 1", "pipe 2", "pipe 3"))
    (order,) = re.findall(r"(\d+) W32\.0578 Injector pipes, set", text)
    assert order == "1"
    assert "W32.0571, W32.0572, W32.0573" in text
    assert text.count("W32.0538 (Injector 180 kW, works exchange)") == 1
    assert ".;" not in text


def test_nobody_renews_anything_when_browsing(counter: Shell) -> None:
    text = counter("resolve", "N210440", "--section", "flywheel_end")
    assert " Parts " in text
    assert " Renew " not in text
    assert "With it: Starter ring gear for SAE 1 W58.1110." in text


def test_a_reusable_screw_of_a_joint_asked_for_is_used_again(counter: Shell) -> None:
    text = counter("resolve", "S218003", "--joint", "pan_rail")
    assert " Seals and screws " in text
    assert " Renew " not in text
    assert "Used again if sound." in text
    # Sealant is not: what was squeezed out once is wiped off.
    sealant = text.partition("W90.0010")[2].partition("W80.0840")[0]
    assert "again" not in sealant


def test_a_job_still_says_what_it_renews(counter: Shell) -> None:
    text = counter("resolve", "N210440", "--job", "reseal_sump")
    assert " Renew " in text
    assert "Used again if sound" not in text


def test_what_the_jobs_take_of_each_cylinder_is_told_once(counter: Shell) -> None:
    jobs = ("--job", "renew_rod_bearing[1]", "--job", "renew_rod_bearing[2]")
    text = counter("resolve", "N210440", *jobs)
    assert text.count("Tighten Connecting rod cap") == 1
    assert "(cylinder 1 and 2)" in text


def test_a_second_clash_is_told_with_the_way_out_of_both(counter: Shell) -> None:
    words = ("brake=bleed", "output=kw180", "cooling=raw", "use=harvester")
    text = counter("identify", "whimbrel", *words)
    assert "Other answers clash as well" in text
    assert "Take back all of one line:" in text
