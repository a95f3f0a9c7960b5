"""The record carried elsewhere and back, through the real program."""

from __future__ import annotations

import json
import os
import sqlite3
import subprocess
import sys
from pathlib import Path

import pytest
from jsonschema import Draft202012Validator

import slurrycalc as sc

POINTS = ("7.00=7.04@21C", "4.01=4.06@21C")


@pytest.fixture
def day(run):
    """A case, a calibration, a reading of two slurries."""
    for line in (
        ("enclosure", "atlas", "--new"),
        ("calibrate", *POINTS, "--meter", "desk", "--on", "2024-04-06", "--new"),
        ("read", "5.97@21C", "6.02@21C", "--meter", "desk", "--enclosure", "atlas", "--on", "2024-04-06"),
    ):
        assert run(*line).status == 0


def result(run, *words: str):
    ran = run(*words, "--json")
    assert (ran.status, ran.err) == (0, "")
    whole = json.loads(ran.out)
    Draft202012Validator(json.loads(run(words[0], "--schema").out)).validate(whole)
    return whole["result"]


@pytest.mark.parametrize("name", ["kept", "kept.zip"])
def test_what_was_exported_comes_back_whole_and_twice_adds_nothing(run, day, tmp_path, name):
    out = result(run, "export", str(tmp_path / name))
    assert out["entries"] == 3
    other = str(tmp_path / "other.db")
    came = result(run, "import", str(tmp_path / name), "--logbook", other)
    assert (came["entries"], came["known"]) == (3, 0)
    assert result(run, "import", str(tmp_path / name), "--logbook", other)["entries"] == 0
    mine, theirs = (run("history", "--all", *more).out for more in ((), ("--logbook", other)))
    assert theirs.startswith(mine.rstrip())
    assert "atlas" in mine
    # All of it is one step to take back, and to bring back.
    assert run("undo", "--logbook", other).status == 0
    assert run("enclosure", "atlas", "--new", "--logbook", other).out.startswith("Enclosure atlas (new")


def test_an_export_writes_over_nothing(run, day, tmp_path):
    (tmp_path / "kept.zip").write_bytes(b"mine")
    ran = run("export", str(tmp_path / "kept.zip"))
    assert (ran.status, ran.out) == (2, "")
    assert "kept.zip" in ran.err
    assert (tmp_path / "kept.zip").read_bytes() == b"mine"


def test_a_table_of_past_readings_comes_in_under_its_own_columns(run, tmp_path):
    table = tmp_path / "old.csv"
    table.write_text("Date;pH;Case\n2023-05-04;5,41;atlas\n2023-06-01;5,32;atlas\n", encoding="utf-8")
    words = ("import", str(table), "--columns", "date=Date,ph=pH,enclosure=Case")
    refused = run(*words)
    assert (refused.status, refused.out) == (2, "")
    assert "not on record: `atlas`" in refused.err
    came = result(run, *words, "--new")
    assert came["known"] == 0
    assert came["saved"] is not None
    assert result(run, *words)["known"] == 2
    assert "5.41" in run("history", "atlas", "--all").out


def test_a_row_that_cannot_be_read_is_named_and_nothing_comes_in_without_leave(run, tmp_path):
    table = tmp_path / "old.csv"
    table.write_text("date,ph\n2023-05-04,5.41\n2023-06-01,sour\n", encoding="utf-8")
    words = ("import", str(table), "--enclosure", "atlas", "--new")
    refused = run(*words)
    assert (refused.status, refused.out) == (2, "")
    assert "row 3" in refused.err
    assert "sour" in refused.err
    came = result(run, *words, "--leave-out")
    assert len(came["left_out"]) == 1
    assert "row 3" in came["left_out"][0]


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("import", "nope.zip"), "nope.zip"),
        (("import", "old.csv", "--columns", "date"), "date=Date"),
        (("import", "old.csv", "--columns", "when=Date"), "when"),
        (("import", "old.csv", "--order", "ydm"), "ydm"),
        (("import", "old.csv", "--columns", "date=Day"), "Day"),
        (("import", "empty.csv"), "empty"),
        (("import", "binary.csv"), "binary.csv"),
    ],
)
def test_what_cannot_come_in_is_refused_in_a_sentence(run, tmp_path, monkeypatch, words, said):
    monkeypatch.chdir(tmp_path)
    Path("old.csv").write_text("date,ph\n2023-05-04,5.41\n", encoding="utf-8")
    Path("empty.csv").write_text("", encoding="utf-8")
    Path("binary.csv").write_bytes(b"\x00\xff\xfe" * 40)
    ran = run(*words)
    assert (ran.status, ran.out) == (2, "")
    assert said in ran.err
    assert "Traceback" not in ran.err
    assert ("--order" in ran.err) == ("--order" in words)


def long_table(path: Path, last: str) -> None:
    """Write a table of more than 10 MB; its last row is the only one of its day."""
    note = "x" * 490
    with path.open("w", encoding="utf-8", newline="\n") as file:
        file.write("date,ph,note\n")
        file.writelines(f"2023-05-{1 + i % 28:02},5.{i % 90 + 10},{note}\n" for i in range(20_500))
        file.write(f"2023-06-04,{last},\n")
    assert path.stat().st_size > 10_000_000


@pytest.mark.slow
def test_a_table_of_more_than_10_mb_comes_in_to_its_last_digit(run, tmp_path, logbook):
    long_table(tmp_path / "old.csv", "6.12")
    words = ("import", str(tmp_path / "old.csv"), "--enclosure", "atlas", "--new")
    assert result(run, *words)["entries"] == 1 + 28 + 1
    with sqlite3.connect(logbook) as book:
        assert book.execute("SELECT count(*) FROM reading").fetchone() == (20_501,)
        last = "SELECT shows FROM reading r JOIN entry e ON e.id = r.entry WHERE e.day = '2023-06-04'"
        assert book.execute(last).fetchall() == [(6.12,)]
    book.close()
    assert result(run, *words)["known"] == 20_501


def test_a_slip_in_the_last_row_of_more_than_10_mb_keeps_all_of_it_out(run, tmp_path, logbook):
    run("enclosure", "atlas", "--new")
    before = logbook.read_bytes()
    long_table(tmp_path / "old.csv", "61.2")
    ran = run("import", str(tmp_path / "old.csv"), "--enclosure", "atlas")
    assert (ran.status, ran.out) == (2, "")
    assert "old.csv, row 20502" in ran.err
    assert logbook.read_bytes() == before


@pytest.mark.parametrize(
    "words",
    [
        ("run", "long.csv", "--buffer", POINTS[0], "--buffer", POINTS[1]),
        ("compare", "--pairs", "long.csv"),
        ("trend", "--days", "long.csv"),
    ],
)
def test_what_is_one_day_is_refused_where_it_has_more_than_10_mb(run, tmp_path, monkeypatch, words):
    monkeypatch.chdir(tmp_path)
    long_table(Path("long.csv"), "6.12")
    ran = run(*words)
    assert (ran.status, ran.out) == (2, "")
    larger = "long.csv: the file is larger than 10 MB" in ran.err
    assert larger == (words[0] == "trend")
    assert "slurrycalc import" in ran.err


NO_FILES = [
    ("import", "{}"),
    ("import", "{}.zip"),
    ("import", "{}.json"),
    ("run", "{}.csv", "--buffer", POINTS[0], "--buffer", POINTS[1]),
    ("run", "{}.toml"),
    ("compare", "--pairs", "{}"),
    ("trend", "--days", "{}"),
]


@pytest.mark.skipif(os.name != "posix", reason="pipes with names, and devices as files, are of these systems")
@pytest.mark.parametrize("what", ["pipe", "device"])
@pytest.mark.parametrize("words", NO_FILES, ids=lambda words: " ".join(words[:2]))
def test_a_pipe_or_a_device_is_refused_at_once(tmp_path, what, words):
    name = next(word for word in words if "{}" in word).format("odd")
    if what == "pipe":
        os.mkfifo(tmp_path / name)
    else:
        (tmp_path / name).symlink_to("/dev/zero")
    program = [sys.executable, "-m", "slurrycalc", *(word.format("odd") for word in words)]
    ran = subprocess.run(program, cwd=tmp_path, capture_output=True, text=True, timeout=60, check=False)
    assert (ran.returncode, ran.stdout) == (2, "")
    assert f"`{name}` is a pipe or a device, and no file" in ran.stderr
    assert len(ran.stderr.splitlines()) == 1


def test_a_name_of_one_file_is_not_made_a_folder(run, day, tmp_path):
    ran = run("export", str(tmp_path / "kept.csv"))
    assert (ran.status, ran.out) == (2, "")
    assert f"`{tmp_path / 'kept.csv'}` would be a folder" in ran.err
    assert f"an archive such as `{tmp_path / 'kept'}.zip`" in ran.err
    assert list(tmp_path.iterdir()) == []
    # A full stop within a name is no end of it.
    assert run("export", str(tmp_path / "spring.2024")).status == 0


def test_dates_that_can_be_read_in_two_ways_name_the_option_that_tells(run, tmp_path):
    (tmp_path / "old.csv").write_text("date,ph\n03/04/2023,5.41\n", encoding="utf-8")
    words = ("import", str(tmp_path / "old.csv"), "--enclosure", "atlas", "--new")
    refused = run(*words)
    assert refused.status == 2
    assert "--order dmy" in refused.err
    assert run(*words, "--order", "dmy").status == 0


def test_a_package_that_is_refused_begins_no_logbook(run, logbook, tmp_path):
    for n, broken in enumerate(("", "{}", '{"resources": []}')):
        folder = tmp_path / f"package {n}"
        folder.mkdir()
        (folder / "datapackage.json").write_text(broken, encoding="utf-8")
        assert run("import", str(folder)).status in (2, 3)
        assert not logbook.exists()
        assert list(logbook.parent.iterdir()) == []


def test_a_table_that_is_refused_begins_no_logbook(run, logbook, tmp_path):
    table = tmp_path / "past.csv"
    table.write_text("date,enclosure,ph\n2024-05-04,atlas,5.5\n", encoding="utf-8")
    for words in ((), ("--probe", "stick")):
        assert run("import", str(table), *words).status == 2
        with pytest.raises(sc.Refusal):
            sc.Logbook(logbook).bring_in(table)
        assert not list(logbook.parent.glob("*logbook*")), words
    assert run("import", str(table), "--new").status == 0
    assert logbook.exists()
