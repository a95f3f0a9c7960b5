"""A record of any length is told in no more room, and as it is told at once."""

from __future__ import annotations

import datetime
import os
import subprocess
import sys
from pathlib import Path

import pytest

from slurrycalc.day.record.telling import AT_ONCE, tell
from slurrycalc.logbook.recall import Recall
from slurrycalc.logbook.record import record_within
from slurrycalc.logbook.refs import When
from slurrycalc.logbook.step import Step
from slurrycalc.logbook.store import open_logbook
from slurrycalc.metrology.uncertain import Inputs
from slurrycalc.report.pages.record import history_blocks
from slurrycalc.report.terminal import PIECE, draw

FIRST = datetime.date(2024, 1, 6)
MORE = 6
"""The longer record has so many times as many entries."""
ROOM = 5
"""So much more memory it may take: not that of its entries, 14 and more. [MB]"""
ASKED = """
import sys
from pathlib import Path
from slurrycalc.cli import main
status = main(sys.argv[1:])
# Not getrusage: its peak is inherited from the process that started this one.
peak = next(line for line in Path("/proc/self/status").read_text().splitlines() if line.startswith("VmHWM"))
print(int(peak.split()[1]) / 1024, file=sys.stderr)
sys.exit(status)
"""


def write(path: Path, days: int) -> Path:
    """Put so many days on record, three entries each."""
    kit = Step("kit", When.on(FIRST, datetime.UTC))
    desk, case = kit.thing("meter", "desk", {"shows": "pH"}), kit.thing("enclosure", "window")
    bottles = [kit.thing("bottle", name, {"label": label}) for name, label in (("n", "7.00"), ("a", "4.01"))]
    steps = [kit]
    for n in range(days):
        when = When.on(FIRST + datetime.timedelta(days=n % 800), datetime.UTC)
        calibrated, read, done = Step("calibrate", when), Step("read", when), Step("event", when)
        under = calibrated.calibration("pH", meter=desk)
        for bottle, shows in zip(bottles, (7.02, 4.03), strict=True):
            calibrated.point(under, bottle, shows, 21.0)
        read.reading(read.slurry(case, label="A"), under, 5.5 + n % 7 / 10, 21.0)
        done.event(case, "leaf-litter", amount=500.0, unit="mL", note="oak, from the north bed" * (n % 3))
        steps += [calibrated, read, done]
    with open_logbook(path) as book, book.transaction():
        record_within(book, steps, datetime.datetime(2027, 1, 1, tzinfo=datetime.UTC))
    return path


def asked(path: Path) -> tuple[str, float]:
    """Ask for every entry in a process of its own; give what it said, and its peak of memory. [MB]."""
    environment = {
        **os.environ,
        "SLURRYCALC_LOGBOOK": str(path),
        "COLUMNS": "80",
        "PYTHONIOENCODING": "utf-8",
    }
    ran = subprocess.run(
        [sys.executable, "-c", ASKED, "history", "--all"],
        capture_output=True, encoding="utf-8", env=environment, check=True, timeout=120,
    )  # fmt: skip
    return ran.stdout, float(ran.stderr)


def test_in_pieces_it_is_what_it_is_at_once(tmp_path: Path) -> None:
    path = write(tmp_path / "record.sqlite", AT_ONCE // 2)
    with open_logbook(path, writes=False) as book:
        entries = tell(Recall(book, Inputs()))
    assert len(entries) > AT_ONCE
    pages = [draw(history_blocks(some, 0, None), 80, "utf-8", bold=False) for some in (entries, entries[:9])]
    assert pages[0].count("\n") > PIECE
    assert pages[0].startswith(pages[1])
    # A piece ends where its reader would not know it: no line is lost between two of them, and none is added.
    assert "\n\n\n" not in pages[0]
    assert asked(path)[0] == pages[0]


@pytest.mark.slow
@pytest.mark.skipif(sys.platform != "linux", reason="memory is counted in other units elsewhere")
def test_a_longer_record_takes_no_more_memory(tmp_path: Path) -> None:
    short, long = (asked(write(tmp_path / f"{days}.sqlite", days)) for days in (200, 200 * MORE))
    assert long[0].count("\n") > (MORE - 1) * short[0].count("\n")
    assert long[1] < short[1] + ROOM
