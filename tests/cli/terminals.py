"""The real program at a terminal of its own, typed to and looked at; every wait has its limit."""

from __future__ import annotations

import codecs
import os
import re
import select
import signal
import struct
import sys
import time
from collections.abc import Mapping
from pathlib import Path

PATIENCE = 60.0
"""A busy machine takes its time. [s]"""
A_HAND = 0.5
"""From a question to a key. [s]"""


class Terminal:
    """A command line at a pseudo-terminal, in a process of its own.

    Ctrl-C and a hang-up reach it whatever the tests themselves were started under: a shell's background
    job and `nohup` hand down that they are ignored.
    """

    def __init__(
        self,
        words: tuple[str, ...],
        environment: Mapping[str, str],
        *,
        columns: int = 80,
        out: Path | None = None,
    ) -> None:
        import fcntl
        import pty
        import termios

        self.screen = ""
        # What is read may end within a character.
        self._decode = codecs.getincrementaldecoder("utf-8")().decode
        self.pid, self.channel = pty.fork()
        if self.pid == 0:
            for one in (signal.SIGINT, signal.SIGHUP, signal.SIGTERM):
                signal.signal(one, signal.SIG_DFL)
            fcntl.ioctl(1, termios.TIOCSWINSZ, struct.pack("HHHH", 40, columns, 0, 0))
            if out is not None:
                os.dup2(os.open(out, os.O_WRONLY | os.O_CREAT), 1)
            os.execve(sys.executable, [sys.executable, "-m", "slurrycalc", *words], dict(environment))

    def look(self, seconds: float = 0.0) -> bool:
        """Take in what was written; False once the program let go of the terminal."""
        while select.select([self.channel], [], [], seconds)[0]:
            # A terminal that was closed is an error to read on Linux, and an end elsewhere.
            try:
                some = os.read(self.channel, 65536)
            except OSError:
                return False
            if not some:
                return False
            self.screen += self._decode(some)
            seconds = 0.0
        return True

    def until(self, pattern: str) -> None:
        """Wait until the screen shows it."""
        limit = time.monotonic() + PATIENCE
        while not re.search(pattern, self.screen):
            if not self.look(0.1) or time.monotonic() > limit:
                raise AssertionError(f"no {pattern!r} on:\n{self.screen[-3000:]}")

    def type(self, text: str) -> None:
        """Type without looking; Ctrl-C no sooner after a question than a hand could.

        Python notes an interrupt that comes between a prompt's last letter and the wait for a key, and then
        waits all the same for one: once in some thousand runs on two busy cores.
        """
        if text.startswith("\x03"):
            time.sleep(A_HAND)
        os.write(self.channel, text.encode())

    def end(self) -> int:
        """Wait until the program ends, and give its exit status."""
        limit = time.monotonic() + PATIENCE
        while self.look(0.1):
            assert time.monotonic() < limit, f"it goes on:\n{self.screen[-3000:]}"
        return self.gone()

    def kill(self) -> None:
        """Kill it as the machine's end would, and see what it had written by then."""
        os.kill(self.pid, signal.SIGKILL)
        while self.look(0.2):
            pass
        self.gone()

    def hang_up(self) -> int:
        """Close the terminal under it, and give its exit status."""
        os.close(self.channel)
        self.channel = -1
        return self.gone()

    def gone(self) -> int:
        """Give its exit status; what does not end by itself is killed when patience is at its end."""
        if not self.pid:
            return 0
        limit = time.monotonic() + PATIENCE
        while not (ended := os.waitpid(self.pid, os.WNOHANG))[0]:
            if time.monotonic() > limit:
                os.kill(self.pid, signal.SIGKILL)
            time.sleep(0.005)
        self.pid = 0
        if self.channel >= 0:
            os.close(self.channel)
        return os.waitstatus_to_exitcode(ended[1])

    def shut(self) -> None:
        """Leave nothing behind, however the test ended."""
        if self.pid:
            os.kill(self.pid, signal.SIGKILL)
            self.gone()
