"""Tasks end: done, failed with a reason, or cancelled; none runs for ever."""

from __future__ import annotations

import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager

import pytest

from bomsvc.service import tasks as module
from bomsvc.service.refusals import Conflict, Missing, Unavailable
from bomsvc.service.tasks import Task, Tasks, Work
from tests import task_work

AT = "2026-03-02T08:15:00Z"
PATIENCE = 60
"""Seconds after which a test gives up on a process; it takes one to start."""


def kept_at(result: bytes) -> str:
    return f"/kept/{result.decode()}"


def work(
    run: Callable[..., None],
    *arguments: object,
    keep: Callable[[bytes], str] = kept_at,
) -> Work:
    return Work(run, arguments, keep)


def begun(tasks: Tasks, what: Work, subject: str = "whimbrel.1") -> Task:
    return tasks.start(what, kind="prove", subject=subject, who="tester", at=AT)


def ended(tasks: Tasks, task: Task) -> Task:
    return tasks.wait(task.id, PATIENCE)


@contextmanager
def endless(tasks: Tasks) -> Iterator[Task]:
    """A task that is at work, in its process, when the block begins."""
    task = begun(tasks, work(task_work.never_ends), "endless.1")
    deadline = time.monotonic() + PATIENCE
    while tasks.get(task.id).done == 0:
        assert time.monotonic() < deadline, "it did not begin"
        time.sleep(0.02)
    try:
        yield task
    finally:
        tasks.cancel(task.id)


def test_a_task_is_done_when_its_result_is_kept() -> None:
    tasks = Tasks()
    task = ended(tasks, begun(tasks, work(task_work.answers, b"report")))
    assert (task.state, task.result) == ("done", "/kept/report")
    assert (task.done, task.total) == (1, 2)


def test_a_large_document_is_handed_over_while_others_look_at_their_tasks() -> None:
    tasks = Tasks()
    kept: list[bytes] = []

    def keep(result: bytes) -> str:
        kept.append(result)
        return "/kept"

    large = b"x" * 8_000_000
    task = begun(tasks, work(task_work.answers, large, keep=keep))
    deadline = time.monotonic() + PATIENCE
    while tasks.get(task.id).state in ("waiting", "running"):
        assert time.monotonic() < deadline
        start = time.monotonic()
        tasks.get(task.id)
        assert time.monotonic() - start < 5, "looking waits for nobody"
        time.sleep(0.02)
    assert tasks.get(task.id).state == "done"
    assert kept == [large]


def test_cancelling_ends_the_process_within_a_second() -> None:
    tasks = Tasks()
    with endless(tasks) as task:
        process = tasks._entries[task.id].process
        assert process is not None
        start = time.monotonic()
        assert tasks.cancel(task.id).state == "cancelled"
        process.join(5)
        assert time.monotonic() - start < 1
        assert process.exitcode is not None, "it is gone, deaf or not"
    assert tasks.cancel(task.id).state == "cancelled", "once more changes nothing"


def test_a_cancelled_task_lets_the_next_one_have_its_turn() -> None:
    tasks = Tasks()
    with endless(tasks) as first:
        second = begun(tasks, work(task_work.answers, b"x"), "whimbrel.2")
        assert tasks.get(second.id).state == "waiting"
        tasks.cancel(first.id)
        assert ended(tasks, second).state == "done"


def test_a_task_cancelled_while_it_waits_never_runs() -> None:
    tasks = Tasks()
    kept: list[bytes] = []

    def keep(result: bytes) -> str:
        kept.append(result)
        return ""

    with endless(tasks) as first:
        second = begun(tasks, work(task_work.answers, b"x", keep=keep), "whimbrel.2")
        assert tasks.cancel(second.id).state == "cancelled"
        assert ended(tasks, second).state == "cancelled", "it is over at once"
        tasks.cancel(first.id)
        third = begun(tasks, work(task_work.answers, b"y"), "whimbrel.3")
        assert ended(tasks, third).state == "done"
    assert tasks.get(second.id).state == "cancelled"
    assert kept == []


@pytest.mark.parametrize(
    ("run", "how"), [(task_work.is_killed, "signal 9"), (task_work.leaves, "code 7")]
)
def test_a_process_that_dies_is_a_failed_task_that_says_so(
    run: Callable[..., None], how: str
) -> None:
    tasks = Tasks()
    task = ended(tasks, begun(tasks, work(run)))
    assert task.state == "failed"
    assert task.detail is not None
    assert how in task.detail
    assert "start it again" in task.detail
    again = ended(tasks, begun(tasks, work(task_work.answers, b"x")))
    assert again.state == "done", "the same work can be started anew"


def test_what_the_work_says_of_its_failure_is_passed_on() -> None:
    tasks = Tasks()
    task = ended(tasks, begun(tasks, work(task_work.says_why_not)))
    assert (task.state, task.detail) == (
        "failed",
        "It needed more memory than there is.",
    )


def test_a_result_that_may_not_be_kept_fails_with_the_refusal() -> None:
    def keep(result: bytes) -> str:
        raise Conflict("The revision was deleted meanwhile.")

    tasks = Tasks()
    task = ended(tasks, begun(tasks, work(task_work.answers, b"x", keep=keep)))
    assert (task.state, task.detail) == (
        "failed",
        "The revision was deleted meanwhile.",
    )


def test_a_result_that_cannot_be_kept_fails_and_nobody_waits_for_ever(
    caplog: pytest.LogCaptureFixture,
) -> None:
    def keep(result: bytes) -> str:
        raise OSError("no such disk")

    tasks = Tasks()
    task = ended(tasks, begun(tasks, work(task_work.answers, b"x", keep=keep)))
    assert task.state == "failed"
    assert task.detail == module.BROKEN
    assert "no such disk" in caplog.text, "the log says why"
    other = ended(tasks, begun(tasks, work(task_work.answers, b"y"), "whimbrel.2"))
    assert other.state == "done", "the turn was given back"


def test_a_process_that_cannot_be_started_fails() -> None:
    tasks = Tasks()
    # What cannot be sent to another process cannot be run there.
    task = ended(tasks, begun(tasks, work(lambda tell: None)))
    assert (task.state, task.detail) == ("failed", module.BROKEN)


def test_the_same_work_is_not_started_twice() -> None:
    tasks = Tasks()
    with endless(tasks) as task:
        again = begun(tasks, work(task_work.never_ends), "endless.1")
        assert again.id == task.id
    after = begun(tasks, work(task_work.answers, b"x"), "endless.1")
    assert after.id != task.id
    assert ended(tasks, after).state == "done"


def test_no_more_tasks_wait_than_are_ever_served(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr(module, "WAITING_MOST", 2)
    tasks = Tasks()
    with endless(tasks) as first:
        begun(tasks, work(task_work.answers, b"x"), "whimbrel.2")
        with pytest.raises(Unavailable, match="2 tasks are under way") as refused:
            begun(tasks, work(task_work.answers, b"y"), "whimbrel.3")
        assert refused.value.remedy is not None
        assert begun(tasks, work(task_work.never_ends), "endless.1").id == first.id


def test_after_a_restart_no_id_names_another_task() -> None:
    before, after = Tasks(), Tasks()
    task = ended(before, begun(before, work(task_work.answers, b"x")))
    other = ended(after, begun(after, work(task_work.answers, b"y")))
    assert task.id != other.id
    with pytest.raises(Missing, match="There is no task") as missing:
        after.get(task.id)
    assert "What was proven is kept" in str(missing.value.remedy)


def test_ended_tasks_are_forgotten_one_day_and_others_are_not(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr(module, "KEPT", 1)
    tasks = Tasks()
    first = ended(tasks, begun(tasks, work(task_work.says_why_not), "a.1"))
    second = ended(tasks, begun(tasks, work(task_work.says_why_not), "a.2"))
    third = begun(tasks, work(task_work.says_why_not), "a.3")
    with pytest.raises(Missing):
        tasks.get(first.id)
    assert tasks.get(second.id).state == "failed"
    assert ended(tasks, third).state == "failed"
