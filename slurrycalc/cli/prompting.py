"""Questions at a terminal: shown, answered, and nothing asked before the last answer is kept.

What is said on the way goes to standard error, so that standard output holds the result alone.
"""

from __future__ import annotations

import os
import re
import sys
from collections.abc import Callable
from datetime import datetime
from typing import TYPE_CHECKING

from rich.console import Console

from slurrycalc.cli.front import fill
from slurrycalc.cli.recording import present
from slurrycalc.cli.writing import width
from slurrycalc.metrology.quote import clean
from slurrycalc.metrology.remark import Refusal
from slurrycalc.report.page import Block, Heading, Points
from slurrycalc.report.page import Say as Paragraph
from slurrycalc.report.spelling import spelled
from slurrycalc.report.terminal import can_be_bold, draw

if TYPE_CHECKING:
    from collections.abc import Generator

    from slurrycalc.day.bench.guided import Ask, End, Finish, Save, Say, Typed
    from slurrycalc.day.bench.guided.events import Event
    from slurrycalc.day.bench.guided.state import Cup
    from slurrycalc.day.bench.guided.talking import Heard

BELL = "\a"
_HOLD, _BACK = "\x1b7", "\x1b8"
"""Note where the cursor is, and put it back there."""
_ESCAPES = re.compile(r"\x1b(?:\[[0-9;?]*[ -/]*[@-~]|O.|.)?")


class Closed(Exception):
    """The terminal says that nothing more will be typed (Ctrl-D)."""


def has_terminal() -> bool:
    """Tell whether somebody can be asked."""
    streams = (sys.stdin, sys.stderr)
    return all(stream is not None and stream.isatty() for stream in streams)


def converse(
    guide: Generator[Event, Heard, End],
    other: Callable[[Save | Finish], Refusal | None],
    terminal: Terminal,
) -> End:
    """Hold a guided day at a terminal.

    Parameters
    ----------
    guide : generator
        Asks; see `slurrycalc.day.bench.guided.guided`.
    other : callable
        Does what is no question: keeps an answer, or finishes the day.
    terminal : Terminal
        Where to ask.

    Returns
    -------
    End
        How it ended.

    Raises
    ------
    Closed
        If the terminal was closed.
    """
    from slurrycalc.day.bench.guided import Ask

    heard: Heard = None
    while True:
        try:
            event = guide.send(heard)
        except StopIteration as stop:
            end: End = stop.value
            terminal.say(end.says)
            return end
        heard = terminal.ask(event) if isinstance(event, Ask) else other(event)


class Terminal:
    """A person at a terminal."""

    def __init__(self) -> None:
        self._typed = b""
        """What was typed after the last line."""

    def say(self, says: tuple[Say, ...]) -> None:
        """Write sentences, a heading after an empty line."""
        if says:
            screen = Console(file=sys.stderr)
            gap = "\n" if says[0].tone == "step" else ""
            self._write(gap + draw(map(_block, says), _width(), screen.encoding, bold=can_be_bold(screen)))

    def ask(self, ask: Ask) -> Typed:
        """Show a question and wait for a line.

        Raises
        ------
        Closed
            If there will be none.
        """
        from slurrycalc.day.bench.guided import Typed

        counts = bool(ask.settling) and _can_count()
        self.say(tuple(said for said in ask.says if not (counts and said.tone == "clock")))
        default = f" [{ask.default}]" if ask.default else ""
        lines = fill(clean(f"{ask.text}{default}"), _width() - 3)
        self._write(("\n" if counts else "") + "\n".join(lines) + " > ")
        line = self._line(ask.wake, Countdown(ask.settling, len(lines), self._write) if counts else None)
        return Typed(_ESCAPES.sub("", line), present())

    def _line(self, wake: datetime | None, counting: Countdown | None = None) -> str:
        """Wait for a line; after `wake`, ring and take an empty one."""
        if os.name == "nt":
            try:
                return input()
            except EOFError:
                raise Closed from None
        number = sys.stdin.fileno()
        while b"\n" not in self._typed:
            if wake is not None and not self._is_typed_before(wake, counting):
                self._write(f"{BELL}\n")
                return ""
            some = os.read(number, 4096)
            if not some:
                self._write("\n")
                raise Closed
            self._typed += some
        line, _, self._typed = self._typed.partition(b"\n")
        return line.decode(sys.stdin.encoding, errors="replace").strip("\r")

    def _is_typed_before(self, wake: datetime, counting: Countdown | None) -> bool:
        import select

        while True:
            if counting is not None:
                counting.draw(present(), _width())
            left = max(0.0, (wake - present()).total_seconds())
            # A line that counts is drawn anew each second, whole seconds from the end.
            wait = left if counting is None else min(left, left % 1.0 or 1.0)
            if select.select([sys.stdin.fileno()], [], [], wait)[0]:
                return True
            if present() >= wake:
                return False

    def _write(self, text: str) -> None:
        sys.stderr.write(spelled(text, sys.stderr.encoding))
        sys.stderr.flush()


class Countdown:
    """The line above a question that counts down the jars; what is typed meanwhile stays where it is.

    Parameters
    ----------
    cups : tuple of Cup
        Those that settle.
    below : int
        Lines of the question below it.
    write : callable
        Writes to the terminal.
    """

    def __init__(self, cups: tuple[Cup, ...], below: int, write: Callable[[str], None]) -> None:
        self._cups = cups
        self._below = below
        self._write = write
        self._stirs: tuple[str, ...] | None = None

    def draw(self, now: datetime, width: int) -> None:
        """Draw the line anew, and ring where another jar is to be stirred a last time."""
        from slurrycalc.day.bench.guided.clock import countdown, last_stirs

        stirs = last_stirs(self._cups, now)
        ring = BELL if self._stirs is not None and set(stirs) - set(self._stirs) else ""
        self._stirs = stirs
        text = clean(countdown(self._cups, now, width - 3))
        self._write(f"{_HOLD}\x1b[{self._below}A\r  {text}\x1b[K{_BACK}{ring}")


def _can_count() -> bool:
    """Tell whether a line above the question can be drawn anew; it needs no colour."""
    return os.name != "nt" and os.environ.get("TERM", "") not in ("", "dumb", "unknown")


def _block(said: Say) -> Block:
    match said.tone:
        case "step":
            return Heading(said.text)
        case "mind":
            return Points((said.text,))
        case _:
            return Paragraph(said.text)


def _width() -> int:
    """Width of the terminal that is asked at, which may be turned or resized between two questions."""
    if "COLUMNS" in os.environ:
        return width()
    try:
        return max(20, os.get_terminal_size(sys.stderr.fileno()).columns)
    except OSError:
        return width()
