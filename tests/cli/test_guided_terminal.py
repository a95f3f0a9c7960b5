"""``slurrycalc bench`` at a real terminal, in a process of its own: answered, resized, stopped, killed."""

from __future__ import annotations

import datetime
import itertools
import json
import os
import random
import re
import signal
import subprocess
import sys
import time
from collections.abc import Iterator
from importlib.resources import as_file
from pathlib import Path
from typing import Any

import pytest

pytest.importorskip("pty", reason="needs a pseudo-terminal")
import fcntl
import struct
import termios

from slurrycalc.data.shipped import shipped
from slurrycalc.day.bench.guided import Reply
from slurrycalc.day.bench.guided.journal import Journal
from slurrycalc.logbook.record import record
from slurrycalc.logbook.refs import When
from slurrycalc.logbook.sessions import open_session
from slurrycalc.logbook.step import Step
from slurrycalc.logbook.store import open_logbook
from tests.cli.terminals import PATIENCE, Terminal

pytestmark = pytest.mark.slow
PROMPT = re.compile(r"> $")
COUNTING = re.compile("\x1b7.*?\x1b8\a?", re.DOTALL)
CUPS = ("A1", "A2", "B1", "B2", "C1", "C2")
CASES = ("window", "window", "stairs", "stairs", "atlas", "atlas")
DAY = [
    ("Which enclosures?", "window, stairs, atlas", "cases"),
    ("Slurries each?", "", "each"),
    ("Your pH meter", "desk pH", "meter"),
    ("Which buffer bottles?", "", "bottles"),
    ("Which cup", "", "cup"),
    ("A1 window, spot 1", "5.7", "probe A1"),
    ("call this probe", "stick", "probe"),
    *((f"{cup} .*Probe shows", f"{6 + n / 10:.1f}", f"probe {cup}") for n, cup in enumerate(CUPS) if n),
    *((f"{cup} .*Stirred", "40 min ago", f"stirred {cup}") for cup in CUPS),
    ("Temperature of the buffers", "21", "buffers at"),
    ("7.00 bottle shows", "7.04", "point 1 0"),
    ("4.01 bottle shows", "4.06", "point 1 1"),
    *((f"{cup} .*shows", f"{5.2 + n / 5:.2f}", f"read {cup}") for n, cup in enumerate(CUPS)),
    ("7.00 shows now", "7.05", "close"),
    ("Enter ends the day", "", ""),
]
"""A whole first day: what is asked, what is typed, what it is kept under."""


class Bench(Terminal):
    """The guided day at a terminal of its own."""

    def __init__(
        self, logbook: Path, *words: str, columns: int = 80, out: Path | None = None, **environment: str
    ) -> None:
        clean = {k: v for k, v in os.environ.items() if k not in ("COLUMNS", "LINES", "NO_COLOR")}
        clean |= {"TERM": "xterm", "SLURRYCALC_LOGBOOK": str(logbook)} | environment
        super().__init__(("bench", *words), clean, columns=columns, out=out)

    def wait(self, pattern: str = "") -> str:
        """Wait for a prompt whose last line fits, and give everything since the last one."""
        before, end = len(self.screen), time.monotonic() + PATIENCE
        while not (PROMPT.search(self.still) and re.search(pattern, self.prompt)):
            if not self.look(0.1) or time.monotonic() > end:
                raise AssertionError(f"no {pattern!r} on:\n{self.screen[-3000:]}")
        return self.screen[before:]

    @property
    def prompt(self) -> str:
        """The question that is open, which may be broken into lines."""
        return " ".join(self.still.replace("\r", "").rsplit("> ", 2)[-2].split("\n")[-3:])

    @property
    def still(self) -> str:
        """The screen without the line that counts, which is drawn anew wherever the cursor is."""
        return COUNTING.sub("", self.screen)

    def say(self, line: str, pattern: str = "") -> str:
        """Type a line, and wait for the next question."""
        self.screen += "\0"  # The old prompt counts no more.
        self.type(f"{line}\n")
        return self.wait(pattern)


@pytest.fixture
def logbook(tmp_path: Path) -> Path:
    return tmp_path / "bench.sqlite"


@pytest.fixture
def table(logbook: Path) -> Iterator[type[Bench]]:
    opened: list[Bench] = []

    class Here(Bench):
        def __init__(self, *words: str, columns: int = 80, **environment: str) -> None:
            super().__init__(logbook, *words, columns=columns, **environment)
            opened.append(self)

    yield Here
    for one in opened:
        one.shut()


def marks(logbook: Path) -> dict[str, object]:
    """Give what is kept of the day that is open."""
    with open_logbook(logbook) as book:
        assert book.rows("PRAGMA integrity_check") == [("ok",)]
        assert book.rows("PRAGMA foreign_key_check") == []
        found = open_session(book)
    return {} if found is None else {mark.key: mark.value for mark in found.marks}


def answer(terminal: Bench, first: int = 0, last: int = len(DAY)) -> None:
    """Answer questions from one to another; the last one is typed and not waited for."""
    for n in range(first, last):
        question, line, _ = DAY[n]
        terminal.wait(question)
        terminal.screen += "\0"
        terminal.type(f"{line}\n")


def test_a_whole_day_at_a_terminal_ends_with_the_page_of_run_and_its_number(table, logbook):
    terminal = table("--by", "desk team")
    answer(terminal)
    assert terminal.end() == 0
    text = terminal.screen
    assert "by desk team, at the table" in text
    assert re.search(r"Saved as \d+ \(\d+\.1 to \d+\.15\)\. Wrong\? slurrycalc undo", text)
    number = re.search(r"Saved as (\d+) ", text)
    assert number is not None
    env = os.environ | {"SLURRYCALC_LOGBOOK": str(logbook)}
    again = [sys.executable, "-m", "slurrycalc", "history", number.group(1), "--why"]
    whole = subprocess.run(again, env=env, capture_output=True, text=True, check=True).stdout
    assert f"slurrycalc history {number.group(1)} --why" in " ".join(text.split())
    for name in ("window", "stairs", "atlas"):
        assert re.search(rf"   {name} +\d\.\d\d ± ", text)
        assert f"{name}, jars " in whole
    assert "Probe stick" in text
    assert marks(logbook) == {}
    history = subprocess.run(
        [sys.executable, "-m", "slurrycalc", "probe", "6.0", "--probe", "stick", "--enclosure", "atlas"],
        env=env,
        capture_output=True,
        text=True,
        check=True,
    )
    assert re.search(r"pH \d\.\d+   \(\d\.\d+ to \d\.\d+\)", history.stdout)


def test_a_guided_day_a_worksheet_and_notes_on_paper_give_the_probe_its_meaning(table, logbook):
    terminal = table()
    answer(terminal)
    assert terminal.end() == 0
    with as_file(shipped("examples", "reading-room.toml")) as worksheet:
        assert recorded(logbook, "run", str(worksheet))["saved"]
    paper = ("--meter", "desk", "--on", "2024-06-01")
    recorded(logbook, "calibrate", "neutral 2=7.03@20C", "acid 2=4.05@20C", *paper)
    read = recorded(logbook, "read", "5.97@20C", "6.04@20C", "--enclosure", "atlas", *paper)
    first, second = read["saved"]["values"]
    pairs = (f"6.5=#{first}", f"6.6=#{second}", "--probe", "stick", "--on", "2024-06-01")
    recorded(logbook, "compare", *pairs)
    meaning = recorded(logbook, "probe", "6.2", "--probe", "stick", "--enclosure", "atlas")
    text = json.dumps(meaning)
    assert '"n": 14' in text, text  # six pairs of the guided day, six of the worksheet, two from paper
    with open_logbook(logbook) as book:
        assert book.rows("PRAGMA integrity_check") == [("ok",)]
        assert book.rows("SELECT count(*) FROM reading") == [(6 + 6 + 2,)]


def recorded(logbook: Path, *words: str) -> dict[str, Any]:
    """Run a line on the same record, and give the result of its JSON object."""
    ran = subprocess.run(
        [sys.executable, "-m", "slurrycalc", *words, "--json"],
        env=os.environ | {"SLURRYCALC_LOGBOOK": str(logbook)},
        capture_output=True,
        text=True,
        check=True,
    )
    result: dict[str, Any] = json.loads(ran.stdout)["result"]
    return result


def test_a_second_table_on_one_logbook_is_told_and_a_killed_first_one_bars_nobody(table, logbook):
    first = table()
    first.say(DAY[0][1], DAY[1][0])
    before = logbook.read_bytes()
    second = table()
    assert second.end() == 3
    said = " ".join(second.screen.split())
    assert f"a guided day is open on `{logbook}` at another terminal; go on there" in said
    assert len(second.screen.strip().splitlines()) == 1
    assert logbook.read_bytes() == before
    # The first one goes on as if nothing had been.
    first.say(DAY[1][1], DAY[2][0])
    # Other lines are not held off.
    assert recorded(logbook, "event", "window", "leaf-litter", "--new")["saved"]
    first.kill()
    third = table()
    third.wait(DAY[2][0])
    third.type("\x04")
    third.end()
    assert list(logbook.parent.iterdir()) == [logbook]


def test_a_clock_before_the_last_entry_is_said_at_the_table(table, logbook):
    ahead = datetime.datetime.now(datetime.UTC) + datetime.timedelta(days=3)
    with open_logbook(logbook) as book:
        record(book, Step("enclosure", When(ahead - datetime.timedelta(days=3))), ahead)
    terminal = table()
    terminal.wait(DAY[0][0])
    said = f"before entry 1 was written down on {ahead:%Y-%m-%d %H:%M} UTC"
    assert said in " ".join(terminal.screen.split())


def test_twenty_kills_lose_no_answer_that_the_next_question_followed(tmp_path):
    draw = random.Random(20240513)
    kills, at_the_end, day = 0, 0, 0
    while kills < 20:
        day += 1
        logbook = tmp_path / f"{day}.sqlite"
        first = 0
        while first is not None and kills < 20:
            asked = kill_somewhere(logbook, first, draw)
            kills += 1
            at_the_end += asked >= len(DAY) - 1
            first = open_question(logbook, asked)
        if first is not None:
            terminal = Bench(logbook)
            answer(terminal, first)
            assert terminal.end() == 0
            assert "Saved as" in terminal.screen
        with open_logbook(logbook) as book:
            ((jars, points, things),) = book.rows(
                "SELECT (SELECT count(*) FROM reading), (SELECT count(*) FROM point), count(*) FROM thing"
            )
            # All of the day, or nothing: meter, bottles, probe, cup and enclosures came with it.
            assert (jars, points, things) == (6, 3, 8)
    assert at_the_end


def kill_somewhere(logbook: Path, first: int, draw: random.Random) -> int:
    """Answer a few questions, kill the program while it keeps one, and tell which was asked last."""
    terminal = Bench(logbook)
    terminal.wait(DAY[first][0])
    last = min(first + draw.randint(0, 4), len(DAY) - 1)
    for n in range(first, last):
        terminal.say(DAY[n][1], DAY[n + 1][0])
    terminal.screen += "\0"
    terminal.type(f"{DAY[last][1]}\n")
    time.sleep(draw.choice((0.0, draw.uniform(0.0, 0.02), draw.uniform(0.0, 0.2))))
    terminal.kill()
    return last + bool(PROMPT.search(terminal.screen))


def open_question(logbook: Path, asked: int) -> int | None:
    """See that everything before the question that was asked last is kept; None where the day is done."""
    found = marks(logbook) if logbook.exists() else {}
    if not found and logbook.exists():
        with open_logbook(logbook) as book:
            if book.rows("SELECT 1 FROM mark WHERE key = 'done'"):
                return None
    missing = [key for _, _, key in DAY[:asked] if key and key not in found]
    assert missing == [], f"lost, when {DAY[asked][0]!r} was asked"
    return next(n for n, (_, _, key) in enumerate(DAY) if key not in found)


@pytest.fixture(params=[signal.SIG_DFL, signal.SIG_IGN], ids=["", "where it was ignored"])
def inherited(request: pytest.FixtureRequest) -> Iterator[None]:
    """What these tests were started under, as a shell's background job is."""
    before = signal.signal(signal.SIGINT, request.param)
    yield
    signal.signal(signal.SIGINT, before)


@pytest.mark.usefixtures("inherited")
def test_ctrl_c_says_what_is_kept_and_how_to_go_on(table, logbook):
    terminal = table()
    answer(terminal, 0, 6)
    terminal.wait("call this probe")
    terminal.type("\x03")
    assert terminal.end() == 130
    assert re.search(
        r"Stopped\. 6 answers are kept, the last at \d\d:\d\d; slurrycalc bench goes on", terminal.screen
    )
    assert "Traceback" not in terminal.screen
    again = table()
    again.wait("call this probe")
    assert "6 answers are kept." in again.screen


@pytest.mark.parametrize("how", ["q\n", "\x04"])
def test_q_and_ctrl_d_stop_and_keep(table, logbook, how):
    terminal = table()
    answer(terminal, 0, 2)
    terminal.wait("Your pH meter")
    terminal.type(how)
    assert terminal.end() == 0
    assert "Stopped. 2 answers are kept" in terminal.screen
    assert "Mind" not in terminal.screen
    assert set(marks(logbook)) == {"cases", "each"}


def test_a_closed_terminal_keeps_everything(table, logbook):
    terminal = table()
    answer(terminal, 0, 6)
    terminal.wait("call this probe")
    assert terminal.hang_up() != 0
    assert marks(logbook)["probe A1"] == 5.7


def test_forty_columns_a_new_size_and_slips_on_the_way(table, logbook):
    terminal = table(columns=40)
    answer(terminal, 0, 5)
    terminal.wait("A1 window, spot 1")
    lines = re.sub(r"\x1b\[\d+m|[\0\r]", "", terminal.screen).split("\n")
    assert max(map(len, lines)) <= 40
    fcntl.ioctl(terminal.channel, termios.TIOCSWINSZ, struct.pack("HHHH", 24, 132, 0, 0))
    os.kill(terminal.pid, signal.SIGWINCH)
    assert "57 is no pH. Did you mean 5.7? [Y/n]" in terminal.say("57", "Did you mean")
    terminal.say("y", "call this probe")
    terminal.say("\x1b[A\x1b[Dstick", "A2 window")
    terminal.type("q\n")
    assert terminal.end() == 0
    assert marks(logbook)["probe"] == "stick"


@pytest.mark.parametrize(
    ("environment", "bold"), [({}, True), ({"NO_COLOR": "1"}, False), ({"TERM": "dumb"}, False)]
)
def test_style_keeps_to_what_the_terminal_and_its_owner_want(table, environment, bold):
    terminal = table(**environment)
    terminal.wait("Which enclosures")
    assert ("\x1b[" in terminal.screen) == bold


def test_a_terminal_without_utf_8_gets_plain_spellings(table, logbook):
    terminal = table(PYTHONIOENCODING="ascii", PYTHONUTF8="0")
    terminal.wait("Which enclosures")
    terminal.say("caf\xe9", "Slurries")
    terminal.type("q\n")
    assert terminal.end() == 0
    assert "Traceback" not in terminal.screen


def test_the_result_alone_goes_to_standard_output(table, logbook, tmp_path):
    terminal = table()
    answer(terminal, 0, len(DAY) - 1)
    terminal.wait("Enter ends")
    terminal.type("q\n")
    terminal.end()
    result = tmp_path / "day.json"
    again = table("--json", out=result)
    again.wait("goes back")
    again.type("\n")
    assert again.end() == 0
    written = json.loads(result.read_text())
    assert written["command"] == "bench"
    assert written["result"]["state"] == "done"
    assert len(written["result"]["run"]["day"]["jars"]) == 6


@pytest.mark.parametrize("streams", ["no terminal", "answers from a pipe"])
def test_without_a_terminal_nothing_is_asked_and_run_is_named(logbook, streams):
    ran = subprocess.run(
        [sys.executable, "-m", "slurrycalc", "bench"],
        env=os.environ | {"SLURRYCALC_LOGBOOK": str(logbook)},
        input="" if streams == "no terminal" else "window\n2\n",
        capture_output=True,
        text=True,
        check=False,
    )
    assert ran.returncode == 2
    assert ran.stdout == ""
    assert ran.stderr.count("\n") == 1
    assert "needs a terminal" in ran.stderr
    assert "slurrycalc run my-day.toml" in ran.stderr
    assert not logbook.exists()


METER = next(n for n, (_, _, key) in enumerate(DAY) if key == "buffers at")


def settling(table, logbook: Path, seconds: float, cups: int = 1) -> None:
    """Bring a day to its meter, with the last jars still to settle for so long, each 5 s more."""
    terminal = table()
    answer(terminal, 0, METER)
    terminal.wait("Temperature of the buffers")
    terminal.type("q\n")
    assert terminal.end() == 0
    now = datetime.datetime.now(datetime.UTC).astimezone()
    with open_logbook(logbook) as book:
        journal = Journal(book)
        for cup in CUPS[: len(CUPS) - cups]:
            journal.save(Reply(f"stirred {cup}", None, now))
        for n, cup in enumerate(CUPS[len(CUPS) - cups :]):
            lacks = datetime.timedelta(seconds=seconds + 5 * n)
            stirred = (now - datetime.timedelta(minutes=30) + lacks).isoformat()
            journal.save(Reply(f"stirred {cup}", stirred, now))


def test_it_rings_when_the_first_jar_has_settled(table, logbook):
    begun, first = time.monotonic(), table()
    first.wait("Which enclosures")
    takes = time.monotonic() - begun
    first.type("q\n")
    assert first.end() == 0
    # A little more than the program takes to come back to it, however fast the machine is just now.
    settling(table, logbook, min(3.0 + 3.0 * takes, 40.0))
    terminal = table()
    answer(terminal, METER, METER + 3)
    terminal.wait("Wait for C2")
    assert "\a" not in terminal.screen
    terminal.wait("C2 atlas, jar 1 of 1, shows")
    assert "\a" in terminal.screen
    assert "Ready: C2." in terminal.screen


COUNTED = r"\x1b7\x1b\[1A\r  (C1 in \d+:\d\d, C2 in \d+:\d\d)\. Stir C1, C2 a last time\.\x1b\[K\x1b8"


@pytest.mark.parametrize("environment", [{}, {"NO_COLOR": "1"}], ids=["", "without colour"])
def test_jars_are_counted_down_each_second_and_enter_goes_on_before_their_time(table, logbook, environment):
    settling(table, logbook, 240.0, cups=2)
    terminal = table(**environment)
    answer(terminal, METER, METER + 3)
    terminal.wait("Wait for C1. Enter reads it now.")
    limit = time.monotonic() + 60
    while len(set(re.findall(COUNTED, terminal.screen))) < 3:
        assert terminal.look(0.2)
        assert time.monotonic() < limit, terminal.screen
    # The line that counts takes the place of the one that stands; colour is none of it.
    assert "Stir C1, C2 a last time now" not in terminal.screen
    if environment:
        assert not re.search(r"\x1b\[[0-9;]*m", terminal.screen)
    terminal.say("", "C1 atlas, jar 1 of 2, shows")
    assert "has settled 2" in terminal.say("6.02", "Read it all the same")
    terminal.say("n", "C1 atlas, jar 1 of 2, shows")
    terminal.say("b", "Wait for C1")
    terminal.type("q\n")
    assert terminal.end() == 0


@pytest.mark.parametrize("name", ["dumb", ""])
def test_where_the_terminal_cannot_count_the_clocks_stand_still(table, logbook, name):
    settling(table, logbook, 240.0, cups=2)
    terminal = table(TERM=name)
    answer(terminal, METER, METER + 3)
    terminal.wait("Wait for C1")
    terminal.look(2.5)
    assert "\x1b7" not in terminal.screen
    assert re.search(r"C1 in \d:\d\d, C2 in \d:\d\d\. Stir C1, C2 a last time now\.", terminal.screen)
    terminal.type("q\n")
    assert terminal.end() == 0


def test_the_table_of_the_day_is_the_last_thing_on_the_screen(table, logbook):
    terminal = table()
    answer(terminal)
    assert terminal.end() == 0
    plain = re.sub(r"\x1b\[[0-9;]*m|\r", "", terminal.screen)
    after = plain[plain.index("Saved as") :].strip().splitlines()
    # All to mind was said at the steps, once; at the end the line of what hands do next.
    assert [plain.count(text) for text in ("Unplug heat mats", "No chemicals", "seems unwell")] == [1, 1, 1]
    assert plain.index("No chemicals") < plain.index("Hands washed?") < plain.index("Saved as")
    rows = [line for line in after if re.search(r"\d\.\d\d ± ", line)]
    assert rows == after[-3:]
    assert sorted(row.split("  ")[1:] != [] for row in rows) == [True] * 3
    assert "do" in after[-5]


ON_PAPER = "2024-05-04"


def test_a_day_from_paper_asks_no_clock_of_the_machine(table, logbook):
    terminal = table("--on", ON_PAPER, "--by", "desk team")
    begin = terminal.wait("Which enclosures")
    assert "Bench day, 4 May, from paper." in begin
    written = dict.fromkeys((f"stirred {cup}" for cup in CUPS), "")
    written |= {"stirred A1": "10:40", "stirred A2": "1:30 pm", "read A1": "5.20 at 11:00"}
    for (_, line, key), (question, _, following) in itertools.pairwise(DAY):
        if key == "stirred A1":
            assert "this day is from paper" in terminal.say("40 min ago", "Stirred at")
            assert "write 5:41 for that" in terminal.say("5.41", "Stirred at")
        pattern = question.replace("Stirred", "Stirred at") if following in written else question
        terminal.say(written.get(key, line), pattern)
    terminal.type("\n")
    assert terminal.end() == 0
    assert "Wait for" not in terminal.screen
    assert "4 May 2024, by desk team, from paper" in terminal.screen
    with open_logbook(logbook) as book:
        rows = book.rows("SELECT DISTINCT day, day_only FROM entry")
        written = book.rows("SELECT min(recorded) FROM entry")
        notes = book.rows("SELECT label, note FROM slurry WHERE note IS NOT NULL")
    assert rows == [(ON_PAPER, 1)]
    assert written[0][0][:4] >= "2026"
    assert notes == [("A1", "read 20 min after it was stirred")]


def test_a_day_from_paper_goes_on_and_no_other_is_begun_beside_it(table, logbook):
    terminal = table("--on", ON_PAPER)
    terminal.wait("Which enclosures")
    terminal.say("window", "Slurries")
    terminal.type("q\n")
    assert terminal.end() == 0
    assert "1 answer is kept; slurrycalc bench goes on there" in terminal.screen
    other = table("--on", "2024-05-05")
    assert other.end() == 2
    assert "the bench day of 2024-05-04 is not finished" in " ".join(other.screen.split())
    again = table()
    assert "from paper" in again.wait("Slurries")
    assert "Going on with the day of 4 May: 1 answer is kept." in again.screen


def test_a_logbook_that_cannot_be_used_is_one_sentence_and_status_3(table, logbook):
    logbook.mkdir()
    terminal = table()
    assert terminal.end() == 3
    assert "is a folder" in terminal.screen
    assert "Which enclosures" not in terminal.screen
