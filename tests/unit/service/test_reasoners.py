"""Compiled revisions are made once, shared, and let go when others are used more."""

from __future__ import annotations

import threading
from typing import Any

import pytest

from bomsvc.service.reasoners import Reasoners


class Maker:
    """Makes a stand-in for a reasoner, slowly, and counts."""

    def __init__(self) -> None:
        self.made: list[object] = []
        self.go_on = threading.Event()
        self.go_on.set()

    def __call__(self, catalogue: Any) -> Any:
        self.go_on.wait(5)
        self.made.append(catalogue)
        return f"reasoner of {catalogue}"


def reasoners(maker: Maker, kept: int = 2) -> Reasoners:
    return Reasoners(kept=kept, make=maker)


def ask(shelf: Reasoners, digest: str) -> object:
    return shelf.compiled_for(digest, lambda: digest)  # type: ignore[arg-type, return-value]


def test_a_revision_is_compiled_once() -> None:
    maker = Maker()
    shelf = reasoners(maker)
    assert ask(shelf, "a") == ask(shelf, "a") == "reasoner of a"
    assert maker.made == ["a"]


def test_the_least_used_is_let_go() -> None:
    maker = Maker()
    shelf = reasoners(maker)
    for digest in ("a", "b", "a", "c"):
        ask(shelf, digest)
    assert shelf.peek("a") is not None
    assert shelf.peek("b") is None
    ask(shelf, "b")
    assert maker.made == ["a", "b", "c", "b"]


def test_requests_at_once_share_one_compilation() -> None:
    maker = Maker()
    maker.go_on.clear()
    shelf = reasoners(maker)
    got: list[object] = []
    threads = [
        threading.Thread(target=lambda: got.append(ask(shelf, "a"))) for _ in range(5)
    ]
    for thread in threads:
        thread.start()
    maker.go_on.set()
    for thread in threads:
        thread.join(5)
    assert maker.made == ["a"]
    assert got == ["reasoner of a"] * 5


def test_a_slow_family_holds_up_no_other() -> None:
    maker = Maker()
    shelf = reasoners(maker)
    ask(shelf, "ready")
    maker.go_on.clear()
    slow = threading.Thread(target=lambda: ask(shelf, "slow"))
    slow.start()
    assert ask(shelf, "ready") == "reasoner of ready"
    maker.go_on.set()
    slow.join(5)


def test_a_compilation_that_failed_is_tried_again() -> None:
    maker = Maker()
    shelf = reasoners(maker)

    def broken() -> Any:
        raise OSError("the document was away")

    with pytest.raises(OSError, match="away"):
        shelf.compiled_for("a", broken)
    assert ask(shelf, "a") == "reasoner of a"
