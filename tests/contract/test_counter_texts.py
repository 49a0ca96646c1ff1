"""Lists on the terminal as a counter reads them, on the demo."""

from __future__ import annotations

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
    assert "Sold only as W24.0245." in text


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
