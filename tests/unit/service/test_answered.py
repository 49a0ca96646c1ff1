"""Replies worked out before are sent again, within their room."""

from __future__ import annotations

from bomsvc.service.answered import Answered, Question


def question(request: bytes, *, digest: str = "d") -> Question:
    return Question("resolve", "whimbrel", 1, digest, request)


def test_the_same_question_is_worked_out_once() -> None:
    shelf, worked_out = Answered(), []

    def answer() -> bytes:
        worked_out.append(1)
        return b"reply"

    assert shelf.reply(question(b"a"), answer) == b"reply"
    assert shelf.reply(question(b"a"), answer) == b"reply"
    assert shelf.reply(question(b"b"), answer) == b"reply"
    assert shelf.reply(question(b"a", digest="e"), answer) == b"reply"
    assert len(worked_out) == 3


def test_the_least_used_replies_are_let_go_when_the_room_is_full() -> None:
    shelf = Answered(room=80)
    for word in (b"a", b"b", b"c", b"a", b"d", b"e", b"f", b"g", b"h", b"a", b"i"):
        shelf.reply(question(word), lambda: b"123456789")

    def fail() -> bytes:
        raise AssertionError("it was let go")

    assert shelf.reply(question(b"a"), fail) == b"123456789"
    assert shelf.reply(question(b"b"), lambda: b"again") == b"again"


def test_a_reply_too_large_is_not_kept() -> None:
    shelf = Answered(room=80)
    shelf.reply(question(b"a"), lambda: b"x" * 50)
    assert shelf.reply(question(b"a"), lambda: b"y") == b"y"
