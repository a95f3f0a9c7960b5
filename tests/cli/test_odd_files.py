"""Names of files that no file can have, pipes and devices as files, and days that nobody lives to see."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest

EXAMPLES = Path(__file__).parents[2] / "examples"
POINTS = ("--buffer", "7.00=7.04", "--buffer", "4.01=4.06")
LONG = "x" * 2000
DOORS = [
    ("export", "{}"),
    ("export", "{}.zip"),
    ("import", "{}"),
    ("import", "{}.zip"),
    ("import", "{}.csv"),
    ("sheet", "{}.toml"),
    ("run", "{}"),
    ("run", "{}.csv", *POINTS),
    ("compare", "--pairs", "{}"),
    ("trend", "--days", "{}"),
    ("due", "--ics", "{}.ics"),
    ("history", "--logbook", "{}"),
    ("event", "atlas", "water", "--logbook", "{}"),
]


@pytest.fixture
def room(run, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.chdir(tmp_path)
    assert run("enclosure", "atlas", "--new").status == 0
    return tmp_path


@pytest.mark.parametrize("line", DOORS, ids=lambda line: " ".join(line[:2]))
def test_a_name_that_no_file_can_have_is_refused_in_a_sentence(run, room, line):
    ran = run(*(word.format(LONG) for word in line))
    assert ran.status in (2, 3), ran.err[:300]
    assert ran.out == ""
    assert len(ran.err.splitlines()) == 1
    assert list(room.iterdir()) == []


WRITTEN = [line for line in DOORS if line[0] in ("export", "sheet", "due")]


@pytest.mark.skipif(os.name != "posix", reason="pipes with names, and devices as files, are of these systems")
@pytest.mark.parametrize("what", ["pipe", "device"])
@pytest.mark.parametrize("line", WRITTEN, ids=lambda line: " ".join(line[:2]))
def test_nothing_is_written_into_a_pipe_or_a_device(tmp_path, logbook, what, line):
    name = next(word for word in line if "{}" in word).format("odd")
    if what == "pipe":
        os.mkfifo(tmp_path / name)
    else:
        (tmp_path / name).symlink_to("/dev/null")
    program = [sys.executable, "-m", "slurrycalc"]
    made = subprocess.run(
        [*program, "enclosure", "atlas", "--new"], capture_output=True, timeout=60, check=True
    )
    assert made.returncode == 0
    ran = subprocess.run(
        [*program, *(word.format("odd") for word in line)],
        cwd=tmp_path,
        capture_output=True,
        text=True,
        timeout=60,
        check=False,
    )
    assert (ran.returncode, ran.stdout) == (2, "")
    assert f"`{name}` is there already" in ran.stderr
    assert len(ran.stderr.splitlines()) == 1
    assert [path.name for path in tmp_path.iterdir()] == [name]


LATE = "9999-12-31"
DAYS = [
    ("read", "5.41", *POINTS, "--enclosure", "atlas", "--on", LATE),
    ("event", "atlas", "water", "--on", LATE),
    ("event", "atlas", "water", "--on", "31 Dec 9999"),
    ("undo", "--day", LATE),
    ("enclosure", "atlas", "--retired", LATE),
    ("kit", "bottle", "acid 2", "--label", "4.01", "--expires", LATE),
    ("kit", "bottle", "acid 2", "--label", "4.01", "--opened", LATE),
    ("kit", "meter", "desk", "--electrode", LATE),
    ("kit", "meter", "desk", "--on", LATE),
    ("due", "--on", LATE),
    ("due", "--ahead", "9999 years"),
    ("trend", "--enclosure", "atlas", "--since", LATE),
    ("trend", "2024-01-02=5.82", "2024-02-01=5.71", "2024-03-03=5.69", "--predict", LATE),
    ("trend", "2024-01-02=5.82", "2024-02-01=5.71", "2024-03-03=5.69", "--exchange", LATE),
    ("trend", "2024-01-02=5.82", "2024-02-01=5.71", f"{LATE}=5.69"),
    ("exchange", "--now", "5.1", "--fresh", "6.6", "--want", "5.9", "--start", LATE),
    ("exchange", "--now", "5.1", "--fresh", "6.6", "--want", "5.9", "--every", "9999 years"),
    ("run", "late.toml"),
    ("import", "late.csv", "--enclosure", "atlas"),
    ("trend", "--days", "late.csv"),
]


@pytest.mark.parametrize("line", DAYS, ids=lambda line: " ".join(line)[:60])
def test_a_day_of_the_year_9999_is_refused_in_a_sentence(run, room, logbook, line):
    day = (EXAMPLES / "reading-room.toml").read_text(encoding="utf-8")
    (room / "late.toml").write_text(day.replace("2024-05-04", LATE), encoding="utf-8")
    rows = ("2024-01-02,5.82", "2024-02-01,5.71", f"{LATE},5.6")
    (room / "late.csv").write_text("date,ph\n" + "\n".join(rows) + "\n", encoding="utf-8")
    before = logbook.read_bytes()
    ran = run(*line)
    assert (ran.status, ran.out) == (2, ""), ran.err
    assert "9999" in ran.err
    assert len(ran.err.splitlines()) == 1
    assert logbook.read_bytes() == before
