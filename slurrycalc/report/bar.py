"""A bar for something that takes long."""

from __future__ import annotations

from typing import TextIO

from rich.console import Console
from rich.progress import BarColumn, Progress, TaskProgressColumn, TextColumn


class Bar:
    """What is going on, and how far it is; where nobody knows how far, it moves to and fro.

    Parameters
    ----------
    what : str
        In a few words.
    to : TextIO
        The terminal.
    """

    def __init__(self, what: str, to: TextIO) -> None:
        columns = (TextColumn("{task.description}"), BarColumn(), TaskProgressColumn())
        self._drawn = Progress(*columns, console=Console(file=to), transient=True)
        self._task = self._drawn.add_task(what, total=None)
        self._drawn.start()

    def tell(self, done: int, total: int | None) -> None:
        """Show how many of how many are done."""
        self._drawn.update(self._task, completed=done, total=total)

    def stop(self) -> None:
        """Take it away; nothing of it stays on the screen."""
        self._drawn.stop()
