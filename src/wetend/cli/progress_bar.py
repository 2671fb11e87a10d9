"""A progress bar on standard error; Ctrl-C stops the work and nothing is saved."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager

from rich.console import Console
from rich.progress import BarColumn, MofNCompleteColumn, TextColumn, TimeElapsedColumn
from rich.progress import Progress as Bar

from wetend.progress import Progress
from wetend.units.message import Message


@contextmanager
def metered(what: str) -> Iterator[Progress]:
    """Show how far work is while it goes on; gone when it ends, and only on a terminal.

    Args:
        what: what is being done, in a word or two.
    """
    columns = (
        TextColumn("{task.description}"), BarColumn(), MofNCompleteColumn(), TimeElapsedColumn(),
        TextColumn(Message("Ctrl-C stops it")),
    )  # fmt: skip
    console = Console(stderr=True)
    with Bar(*columns, console=console, transient=True, disable=not console.is_terminal) as bar:
        task = bar.add_task(what, total=None)

        def progress(done: int, of: int) -> None:
            bar.update(task, completed=done, total=of or None)

        yield progress
