"""A bar while something takes long: at a terminal, after two seconds, and nowhere else."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest

from slurrycalc.cli.waiting import Waiting

pytest.importorskip("pty", reason="a pseudo-terminal is needed")

IN_A_HURRY = """
import sys, time
from slurrycalc.cli.waiting import Waiting
with Waiting("Counting jars", after={after}) as waiting:
    for _ in waiting.along(range(40), {total}):
        time.sleep(0.02)
print("progress" in "".join(sys.modules), "threading" in sys.modules)
sys.stderr.write("end")
"""
JARS = 800
POINTS = ("--buffer", "4.01=4.06@21C", "--buffer", "7.00=7.04@21C")


def at_a_terminal(code: str, **environment: str) -> tuple[str, str]:
    """Run a program whose standard error alone is a terminal; give what it printed, and that screen."""
    import pty

    mine, its = pty.openpty()
    said = {**os.environ, "TERM": "xterm-256color", "COLUMNS": "80", **environment}
    with subprocess.Popen(
        [sys.executable, "-c", code], stdout=subprocess.PIPE, stderr=its, env=said, encoding="utf-8"
    ) as ran:
        os.close(its)
        screen = b""
        while some := _read(mine):
            screen += some
        assert ran.stdout is not None
        printed = ran.stdout.read()
    os.close(mine)
    return printed.strip(), screen.decode()


def _read(channel: int) -> bytes:
    # A terminal that was closed is an error to read on Linux, and an end elsewhere.
    try:
        return os.read(channel, 65536)
    except OSError:
        return b""


def test_a_bar_says_what_goes_on_and_how_far_it_is_and_goes() -> None:
    _, screen = at_a_terminal(IN_A_HURRY.format(after=0.05, total=40))
    assert "Counting jars" in screen
    assert "%" in screen
    # It is wiped: what is said last stands on a line that was erased before.
    assert screen.endswith("\x1b[2Kend") or screen.rpartition("\x1b[2K")[2].strip() == "end"


def test_where_nobody_knows_how_far_it_is_it_says_what_goes_on() -> None:
    _, screen = at_a_terminal(IN_A_HURRY.format(after=0.05, total=None))
    assert "Counting jars" in screen
    assert "100%" not in screen


def test_what_is_done_sooner_shows_none_and_loads_none() -> None:
    printed, screen = at_a_terminal(IN_A_HURRY.format(after=60.0, total=40))
    assert screen == "end"
    assert printed.startswith("False")


def test_a_terminal_that_cannot_draw_shows_none_and_waits_for_none() -> None:
    printed, screen = at_a_terminal(IN_A_HURRY.format(after=0.0, total=40), TERM="dumb")
    assert (printed, screen) == ("False False", "end")


def test_a_pipe_gets_none() -> None:
    ran = subprocess.run(
        [sys.executable, "-c", IN_A_HURRY.format(after=0.0, total=40)],
        capture_output=True, encoding="utf-8", check=True, timeout=60,
    )  # fmt: skip
    assert (ran.stdout.strip(), ran.stderr) == ("False False", "end")


def test_what_goes_by_is_what_was_given() -> None:
    with Waiting("Counting") as waiting:
        assert list(waiting.along(iter("abc"))) == ["a", "b", "c"]


def test_a_fault_on_the_way_takes_the_bar_away() -> None:
    code = IN_A_HURRY.format(after=0.0, total=40).replace("time.sleep(0.02)", "time.sleep(0.3); 1 / 0")
    _, screen = at_a_terminal(code)
    assert "Counting jars" in screen
    assert "ZeroDivisionError" in screen.rpartition("\x1b[2K")[2]


@pytest.mark.slow
def test_a_large_day_shows_one_at_a_terminal_and_prints_what_it_prints_in_a_pipe(tmp_path: Path) -> None:
    rows = [f"{i},case {i // 2},{5.5 + i % 13 / 10:.2f},21" for i in range(JARS)]
    (tmp_path / "day.csv").write_text("\n".join(["jar,enclosure,reading,temperature", *rows]), "utf-8")
    words = ["run", str(tmp_path / "day.csv"), *POINTS]
    # A fast machine is done before the two seconds are over.
    soon = "from slurrycalc.cli.waiting import Waiting; Waiting.__init__.__defaults__ = (0.1,)"
    code = f"import sys; from slurrycalc.cli import main; {soon}; sys.exit(main({words!r}))"
    away = {"SLURRYCALC_LOGBOOK": str(tmp_path / "none.sqlite")}
    printed, screen = at_a_terminal(code, **away)
    assert "Computing the day" in screen
    piped = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, encoding="utf-8", check=True, timeout=120,
        env={**os.environ, "COLUMNS": "80", **away},
    )  # fmt: skip
    assert piped.stderr == ""
    assert piped.stdout.strip() == printed
