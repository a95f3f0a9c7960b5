"""The days that a record may hold: one rule at every door, and what is there already stays in reach."""

from __future__ import annotations

import contextlib
import datetime
import json
import os
import sqlite3
import subprocess
import sys
from pathlib import Path

import pytest

import slurrycalc as sc
from slurrycalc.cli import recording
from slurrycalc.data.shipped import shipped
from slurrycalc.logbook import schema
from slurrycalc.logbook.record import record
from slurrycalc.logbook.refs import When
from slurrycalc.logbook.step import Step
from slurrycalc.logbook.store import in_memory, open_logbook
from slurrycalc.metrology.remark import Refusal

FORM_1 = Path(__file__).parents[1] / "logbook" / "form_1.sql"
SLIP = "0024-05-04"
POINTS = ("--buffer", "7.00=7.04@21C", "--buffer", "4.01=4.06@21C")


@pytest.fixture
def here(tmp_path, monkeypatch, run):
    """A folder of its own, with one case on record."""
    monkeypatch.chdir(tmp_path)
    assert run("enclosure", "atlas", "--new").status == 0
    sheet = shipped("examples", "reading-room.toml").read_bytes()
    for name, date in (("early", SLIP), ("late", "2200-01-01")):
        Path(f"{name}.toml").write_bytes(sheet.replace(b"2024-05-04", date.encode()))
        Path(f"{name}.csv").write_text(f"date,pH,enclosure\n{date},5.41,atlas\n")
    return tmp_path


STAGES = ("exchange", "--enclosure", "atlas", "--now", "5.1", "--fresh", "6.6", "--want", "5.9", "--plan")
DOORS = [
    ("read", "5.97@21C", *POINTS, "--enclosure", "atlas", "--on", SLIP),
    ("event", "atlas", "water", "--on", SLIP),
    ("kit", "bottle", "4.01", "--opened", SLIP),
    ("kit", "bottle", "4.01", "--expires", SLIP),
    ("kit", "bottle", "4.01", "--expires", "2200-01-01"),
    ("kit", "meter", "desk", "--electrode", SLIP),
    ("enclosure", "atlas", "--retired", SLIP),
    (*STAGES, "--start", "2200-01-01"),
    ("run", "early.toml"),
    ("run", "late.toml"),
    ("import", "early.csv"),
    ("import", "late.csv"),
    ("due", "--on", SLIP),
    ("trend", f"{SLIP}=5.8", "2024-05-04=5.7"),
    ("undo", "--day", SLIP),
]


@pytest.mark.parametrize("words", DOORS, ids=lambda words: "-".join(words)[:50])
def test_a_day_that_cannot_be_meant_is_refused_at_every_door(run, here, logbook, words):
    before = logbook.read_bytes()
    ran = run(*words)
    assert (ran.status, ran.out, ran.err.count("\n")) == (2, "", 1)
    assert "lies before 1950" in ran.err or "lies after 2199" in ran.err or "lies in the future" in ran.err
    assert logbook.read_bytes() == before


def test_the_date_of_a_worksheet_is_refused_with_its_line(run, here):
    assert run("run", "early.toml").err.startswith("early.toml, line 5, date: 0024-05-04 lies before 1950")


SERIES = [5.8, 5.7]


@pytest.mark.parametrize(
    "call",
    [
        lambda: sc.trend([SLIP, "2024-05-04"], SERIES),
        lambda: sc.trend(["2024-05-04", "2200-01-01"], SERIES),
        lambda: sc.trend(["2024-05-04", "2024-06-04"], SERIES, today="9999-12-31"),
        lambda: sc.steady([SLIP, "2024-05-04"], SERIES),
        lambda: sc.electrode_life([SLIP, "2024-05-04"], [(98.0, 1.0), (98.0, 1.0)]),
        lambda: sc.exchange(5.1, 6.6, 5.9, start=SLIP),
        lambda: sc.due([], datetime.date(9999, 12, 31)),
        lambda: sc.due([sc.InUse("atlas", datetime.date(24, 5, 4))], datetime.date(2024, 5, 4)),
        lambda: sc.due([], datetime.date(2024, 5, 4), bottles=[sc.OpenBottle("4.01", datetime.date.max)]),
    ],
)
def test_a_day_that_cannot_be_meant_is_refused_in_python(call):
    with pytest.raises(Refusal, match=r"lies (before 1950|after 2199|in the future)"):
        call()


NOON = datetime.datetime(2024, 5, 4, 12, tzinfo=datetime.UTC)


@pytest.mark.parametrize(
    ("key", "value"),
    [
        ("expires", "0024-05-04"),
        ("expires", "2200-01-01"),
        ("opened", "2024-05-05"),
        ("retired", "soon"),
        ("stages", [["2024-06-01", 0.3], ["2200-06-01", 0.3]]),
    ],
)
def test_the_record_itself_takes_no_such_day(key, value):
    with in_memory() as book:
        step = Step("kit", When(NOON))
        step.thing("enclosure" if key == "stages" else "bottle", "one", {key: value})
        with pytest.raises(Refusal, match="write the day such as 2024-05-04"):
            record(book, step, NOON)
        with pytest.raises(Refusal, match="lies before 1950"):
            record(book, Step("event", When(NOON.replace(year=24))), NOON)
        assert book.rows("SELECT count(*) FROM entry") == [(0,)]


def test_expiry_and_plans_may_lie_ahead(run, here):
    assert run("kit", "bottle", "4.01", "--expires", "2199-12-31").status == 0
    assert run(*STAGES, "--start", "2090-01-01").status == 0


def with_a_slip(path: Path) -> None:
    """Make a logbook as an earlier version left it: entry 9 of the year 24, its stamp cut short."""
    with contextlib.closing(sqlite3.connect(path)) as db:
        db.executescript(FORM_1.read_text(encoding="utf-8"))
        (last,) = db.execute("SELECT max(id) FROM entry").fetchone()
        head = (last + 1, "ab" * 10, "24-05-04T12:00:00Z", 0, 1, SLIP, "2024-05-06T09:00:00.000Z")
        db.execute(f"INSERT INTO entry VALUES ({', '.join('?' * 7)}, 'event', NULL, NULL, '1', NULL)", head)
        (atlas,) = db.execute("SELECT thing FROM setting WHERE value = '\"atlas\"'").fetchone()
        db.execute("INSERT INTO event VALUES (?, 1, ?, 'water', NULL, NULL, NULL)", (last + 1, atlas))
        db.commit()


def test_an_old_slip_is_shown_exported_struck_out_and_kept_by_the_newest_form(run, tmp_path, logbook):
    with_a_slip(logbook)
    old = logbook.read_bytes()
    told = json.loads(run("history", "--all", "--json").out)["result"]["entries"]
    slip = next(entry for entry in told if entry["at"] == SLIP)
    assert slip["struck"] is None
    assert run("export", str(tmp_path / "out")).status == 0
    assert "24-05-04T12:00:00Z" in (tmp_path / "out" / "entry.csv").read_text()
    assert logbook.read_bytes() == old
    ran = run("undo", slip["id"], "--because", "a slip of the year")
    assert (ran.status, ran.err) == (0, "")
    told = json.loads(run("history", "--all", "--json").out)["result"]["entries"]
    assert next(entry for entry in told if entry["id"] == slip["id"])["struck"].endswith("a slip of the year")
    assert "4 May 24" in run("history", "--all").out
    with open_logbook(logbook, writes=False) as book:
        assert book.rows("PRAGMA user_version") == [(schema.VERSION,)]
        assert book.rows("SELECT at FROM entry WHERE id = ?", (slip["id"],)) == [("24-05-04T12:00:00Z",)]
    for words in (("due",), ("trend", "--enclosure", "atlas"), ("export", str(tmp_path / "again.zip"))):
        assert run(*words).status in (0, 2)


def test_no_row_passes_a_condition_that_is_neither_true_nor_false(logbook):
    with open_logbook(logbook) as book:
        at, day, recorded = "2024-05-04T12:00:00Z", "2024-05-04", "2024-05-06T09:00:00.000Z"
        row = ["ab" * 10, at, 0, 1, day, recorded, "event", "1"]
        sql = (
            "INSERT INTO entry (uid, at, utc_offset, day_only, day, recorded, kind, method) "
            "VALUES (?, ?, ?, ?, ?, ?, ?, ?)"
        )
        for wrong in (
            {1: "24-05-04T12:00:00Z", 4: SLIP},
            {1: "0024-05-04T12:00:00Z", 4: SLIP},
            {1: "2200-01-01T12:00:00Z", 4: "2200-01-01"},
            {1: "x", 4: "y"},
            {1: "now"},
            {4: "2024-05-05"},
            {5: "soon"},
            {0: "a" + "z" * 19},
        ):
            with pytest.raises(sqlite3.IntegrityError, match="CHECK"):
                book.connection.execute(sql, [wrong.get(i, cell) for i, cell in enumerate(row)])
        book.connection.execute(sql, row)
        tables = book.rows("SELECT sql FROM sqlite_master WHERE type = 'table'")
        # The pair of a link needs none: it asks for NULL itself.
        parts = [part for (made,) in tables for part in made.split("CHECK (")[1:]]
        checks = [part for part in parts if "IS NULL) = (" not in part]
        assert len(checks) > 100
        assert all(") IS TRUE)" in part for part in checks)


@pytest.mark.parametrize("zone", ["XXX+24:59", "XXX-24:59:59", "XXX+23"])
def test_a_time_zone_that_is_none_on_earth_is_named(run, zone, logbook):
    env = os.environ | {"TZ": zone, "SLURRYCALC_LOGBOOK": str(logbook)}
    line = [sys.executable, "-m", "slurrycalc", "event", "atlas", "water", "--new"]
    ran = subprocess.run(line, env=env, capture_output=True, text=True, check=False, timeout=60)
    assert ran.returncode == 2
    assert f"TZ=`{zone}`, is none on earth" in ran.stderr
    assert not logbook.exists()


ZONES = ["Foo/Bar:9", ":::", "", "\\", "XXX-1:00:30", "Africa/Monrovia", "XXX-17:59"]


DAYS = ["1950-01-01", "1970-01-01", "today"]
LINES = """
import json, os, sys
from pathlib import Path
from slurrycalc.cli import main

*days, folder = sys.argv[1:]
for on in days:
    os.environ["SLURRYCALC_LOGBOOK"] = str(Path(folder) / on)
    at = [] if on == "today" else ["--at", "0:00"]
    assert main(["event", "atlas", "water", "--new", "--on", on, *at]) == 0
    assert main(["history", "--json"]) == 0
"""
"""Of one process, since a process takes its time zone when it starts."""


@pytest.mark.parametrize("zone", ZONES)
def test_an_odd_time_zone_keeps_the_local_day(zone, tmp_path):
    line = [sys.executable, "-c", LINES, *DAYS, str(tmp_path)]
    ran = subprocess.run(
        line, env=os.environ | {"TZ": zone}, capture_output=True, text=True, check=False, timeout=60
    )
    assert (ran.returncode, ran.stderr) == (0, "")
    told = [json.loads(line) for line in ran.stdout.splitlines() if line.startswith("{")]
    assert len(told) == len(DAYS)
    for on, each in zip(DAYS, told, strict=True):
        (entry,) = each["result"]["entries"]
        assert on == "today" or entry["at"].startswith(f"{on}T00:00")


def test_a_clock_beyond_every_calendar_is_named(monkeypatch):
    class Clock(datetime.datetime):
        @classmethod
        def now(cls, tz=None):
            return cls(9999, 6, 1, tzinfo=tz)

    # No test can set the computer's own clock.
    monkeypatch.setattr(recording, "datetime", Clock)
    with pytest.raises(Refusal, match="the clock of this computer says 9999-06-01, which lies after 2199"):
        recording.present()
