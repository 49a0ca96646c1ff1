"""How far long work is, on a terminal only."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager


@contextmanager
def progress(what: str) -> Iterator[Callable[[int, int], None]]:
    """Show how far the work is; yields what is told so many done, of how many."""
    from rich.console import Console
    from rich.progress import Progress

    console = Console(stderr=True)
    bar = Progress(console=console, transient=True, disable=not console.is_terminal)
    task = bar.add_task(what)

    def watch(done: int, total: int) -> None:
        bar.update(task, completed=done, total=max(total, 1))

    with bar:
        yield watch
