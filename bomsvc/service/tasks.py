"""Long work in a process of its own: started, watched, cancelled.

Long solving holds the interpreter, so it would hold every request too. A task runs
in a fresh process, one at a time; what it tells (progress, then its result or why it
failed) comes through a pipe to a thread that waits beside the requests. Tasks are
not kept over a restart: whoever asked asks again, and what was proven is kept.
"""

from __future__ import annotations

import logging
import multiprocessing
import secrets
import threading
from collections import OrderedDict
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field, replace
from multiprocessing.connection import Connection
from typing import Literal

from bomsvc.service.refusals import Refusal, Unavailable, no_such

State = Literal["waiting", "running", "done", "failed", "cancelled"]
ENDED: frozenset[State] = frozenset({"done", "failed", "cancelled"})
KEPT = 100
"""Ended tasks that can still be looked at."""
WAITING_MOST = 50
"""Tasks under way or waiting; one runs at a time."""
FORGOTTEN = (
    "Tasks are forgotten when the service starts anew, and some time after they ended. "
    "What was proven is kept: look at the revision's proof, or start it again. A "
    "comparison is asked for again."
)
BROKEN = (
    "It could not be run, or its result not be kept; the service's log says why. "
    "Start it again."
)


_log = logging.getLogger("bomsvc.errors")


@dataclass(frozen=True, slots=True)
class Task:
    """One piece of long work, as it stands.

    Attributes:
        id: Names it.
        kind: What it does: "prove", "compare".
        subject: What it does it to: whimbrel.3, or whimbrel.2-3.
        done: Of `total`, in the work's own units; 0 of 0 before it knows.
        result: Where the result is to be had, once it is done.
        detail: Why it failed.
    """

    id: str
    kind: str
    subject: str
    who: str
    started_at: str
    state: State = "waiting"
    done: int = 0
    total: int = 0
    result: str | None = None
    detail: str | None = None


@dataclass(frozen=True, slots=True)
class Work:
    """What a task runs: `run(*arguments, tell)` in a process of its own.

    Attributes:
        run: A function of a module; it sends ("progress", done, total), then
            ("result", bytes) or ("failed", sentence).
        arguments: Plain values.
        keep: Called in this process with the result; returns where it is to be had.
        of: Which text of the subject, and how: an edited draft keeps its name, and
            work on the old text is not work on the new one.
    """

    run: Callable[..., None]
    arguments: tuple[object, ...]
    keep: Callable[[bytes], str]
    of: tuple[str, ...] = ()


@dataclass
class _Entry:
    task: Task
    work: Work
    process: multiprocessing.process.BaseProcess | None = None
    ended: threading.Event = field(default_factory=threading.Event)


class Tasks:
    """The tasks of this process; safe between threads."""

    def __init__(self) -> None:
        self._guard = threading.Lock()
        self._turn = threading.Lock()
        self._entries: OrderedDict[str, _Entry] = OrderedDict()

    def start(self, work: Work, *, kind: str, subject: str, who: str, at: str) -> Task:
        """Start a task; the same work under way already is not started twice.

        Raises:
            Unavailable: Too many are under way or wait for their turn.
        """
        with self._guard:
            same = self._under_way(kind, subject, work.of)
            if same is not None:
                return same
            waiting = sum(e.task.state not in ENDED for e in self._entries.values())
            if waiting >= WAITING_MOST:
                raise Unavailable(
                    f"{waiting} tasks are under way or waiting, which is the most.",
                    remedy="Try again when one has ended, or cancel one.",
                )
            task = Task(new_id(), kind, subject, who, at)
            entry = self._entries[task.id] = _Entry(task, work)
            self._forget_oldest()
        threading.Thread(target=self._run, args=(entry,), daemon=True).start()
        return task

    def under_way(self, *, kind: str, subject: str, of: tuple[str, ...]) -> Task | None:
        """Return the task that does this and has not ended; None: none does.

        `of` is how its work's `of` begins.
        """
        with self._guard:
            return self._under_way(kind, subject, of)

    def _under_way(self, kind: str, subject: str, of: tuple[str, ...]) -> Task | None:
        for entry in self._entries.values():
            task = entry.task
            same = (task.kind, task.subject) == (kind, subject)
            if same and entry.work.of[: len(of)] == of and task.state not in ENDED:
                return task
        return None

    def get(self, task_id: str) -> Task:
        """Return a task as it stands.

        Raises:
            Missing: There is none of this id, or it ended long ago.
        """
        return self._entry(task_id).task

    def cancel(self, task_id: str) -> Task:
        """End a task; one that ended already stays as it is.

        Raises:
            Missing: There is no such task.
        """
        entry = self._entry(task_id)
        with self._guard:
            if entry.task.state not in ENDED:
                entry.task = replace(entry.task, state="cancelled")
                entry.ended.set()
                _end(entry.process)
        return entry.task

    def wait(self, task_id: str, seconds: float) -> Task:
        """Return the task once it ended, or as it stands after so many seconds."""
        entry = self._entry(task_id)
        entry.ended.wait(seconds)
        return entry.task

    def _entry(self, task_id: str) -> _Entry:
        with self._guard:
            found = self._entries.get(task_id)
        if found is None:
            raise no_such("task", task_id, remedy=FORGOTTEN)
        return found

    def _forget_oldest(self) -> None:
        ended = [k for k, e in self._entries.items() if e.task.state in ENDED]
        for key in ended[: max(0, len(ended) - KEPT)]:
            del self._entries[key]

    def _run(self, entry: _Entry) -> None:
        """Wait for the turn, run the process, take down what it tells."""
        with self._turn:
            try:
                self._attend(entry)
            except Exception:  # noqa: BLE001 - it is logged, and the task ends
                # Whatever it was, nobody may wait for this task for ever.
                _log.exception("task %s (%s)", entry.task.id, entry.task.subject)
                self._change(entry, state="failed", detail=BROKEN)
            finally:
                entry.ended.set()
                _end(entry.process)

    def _attend(self, entry: _Entry) -> None:
        here, there = multiprocessing.get_context("spawn").Pipe()
        with here:
            with there:
                if not self._begin(entry, there):
                    return
            for told in _told(here, entry.work.arguments):
                self._take(entry, told)
        assert entry.process is not None, "a task that began has a process"
        entry.process.join()
        detail = _died(entry.process.exitcode)
        self._change(entry, state="failed", detail=detail)

    def _begin(self, entry: _Entry, tell: Connection) -> bool:
        with self._guard:
            if entry.task.state != "waiting":
                return False
            # The arguments follow when the process listens: they may be large, and
            # nothing may wait for a process while others wait for the guard.
            entry.process = multiprocessing.get_context("spawn").Process(
                target=_apart, args=(entry.work.run, tell), daemon=True
            )
            entry.process.start()
            entry.task = replace(entry.task, state="running")
            return True

    def _take(self, entry: _Entry, told: tuple[object, ...]) -> None:
        match told:
            case ("progress", int(done), int(total)):
                with self._guard:
                    if entry.task.state == "running":
                        entry.task = replace(entry.task, done=done, total=total)
            case ("result", bytes(result)):
                if entry.task.state in ENDED:
                    return
                try:
                    self._change(entry, state="done", result=entry.work.keep(result))
                except Refusal as refusal:
                    self._change(entry, state="failed", detail=refusal.detail)
            case ("failed", str(detail)):
                self._change(entry, state="failed", detail=detail)

    def _change(
        self,
        entry: _Entry,
        *,
        state: State,
        result: str | None = None,
        detail: str | None = None,
    ) -> None:
        """End a task once; what comes later changes nothing."""
        with self._guard:
            if entry.task.state not in ENDED:
                entry.task = replace(
                    entry.task, state=state, result=result, detail=detail
                )


def _end(process: multiprocessing.process.BaseProcess | None) -> None:
    """See to it that no process outlives its task, be the solver at work or not."""
    if process is not None and process.pid is not None and process.is_alive():
        process.kill()


def new_id() -> str:
    """Return an id that no task had before, not even before a restart."""
    return secrets.token_hex(8)


def _died(code: int | None) -> str:
    """Say how a process ended that told no result, and what to do."""
    how = f"exit code {code}" if code is None or code >= 0 else f"signal {-code}"
    return (
        f"Its process ended without a result ({how}); the machine may be short of "
        "memory. Nothing was changed; start it again."
    )


def _apart(run: Callable[..., None], tell: Connection) -> None:
    """Wait for the arguments and run; in the process of its own."""
    run(*tell.recv(), tell)


def _told(
    here: Connection, arguments: tuple[object, ...]
) -> Iterator[tuple[object, ...]]:
    """Send the arguments, then yield what is told until the process ends."""
    try:
        here.send(arguments)
        while True:
            yield here.recv()
    except (EOFError, OSError):
        # It ended; whether well is known by what it told before.
        return
