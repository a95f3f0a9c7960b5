"""A bar for whoever waits: at a terminal only, and not before two seconds are over."""

from __future__ import annotations

import os
import sys
from collections.abc import Iterable, Iterator
from time import monotonic
from typing import TYPE_CHECKING, TypeVar

if TYPE_CHECKING:
    from threading import Timer
    from types import TracebackType

    from slurrycalc.report.bar import Bar

Item = TypeVar("Item")
AFTER = 2.0
"""What is done sooner shows no bar. [s]"""
OFTEN = 0.1
"""From one look at how far it is to the next. [s]"""


def can_show() -> bool:
    """Tell whether standard error is a terminal that can draw a line anew."""
    dumb = os.environ.get("TERM") in ("dumb", "unknown")
    return sys.stderr is not None and sys.stderr.isatty() and not dumb


class Waiting:
    """Something that may take long; nothing is loaded for a bar that nobody sees.

    Parameters
    ----------
    what : str
        In a few words.
    after : float
        No bar is shown before. [s]

    Examples
    --------
    >>> with Waiting("Counting") as waiting:
    ...     sum(waiting.along([1, 2, 3]))
    6
    """

    def __init__(self, what: str, after: float = AFTER) -> None:
        self._what = what
        self._after = after
        self._timer: Timer | None = None
        self._bar: Bar | None = None
        self._done = 0
        self._total: int | None = None

    def __enter__(self) -> Waiting:
        """Begin to wait."""
        if can_show():
            from threading import Timer

            self._timer = Timer(self._after, self._show)
            self._timer.daemon = True
            self._timer.start()
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        """Take the bar away, where there is one."""
        if self._timer is not None:
            self._timer.cancel()
            self._timer.join()
        if self._bar is not None:
            self._bar.stop()

    def along(self, items: Iterable[Item], total: int | None = None) -> Iterable[Item]:
        """Give the same things, and show how many of them have gone by."""
        return items if self._timer is None else self._along(items, total)

    def _along(self, items: Iterable[Item], total: int | None) -> Iterator[Item]:
        self._done, self._total, last = 0, total, 0.0
        for item in items:
            yield item
            self._done += 1
            if self._bar is not None and (now := monotonic()) - last > OFTEN:
                last = now
                self._bar.tell(self._done, self._total)

    def _show(self) -> None:
        from slurrycalc.report.bar import Bar

        bar = Bar(self._what, sys.stderr)
        bar.tell(self._done, self._total)
        self._bar = bar
