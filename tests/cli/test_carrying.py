"""The record carried elsewhere and back, through the real program."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from jsonschema import Draft202012Validator

POINTS = ("7.00=7.04@21C", "4.01=4.06@21C")


@pytest.fixture
def day(run):
    """A case, a calibration, a reading of two slurries."""
    for line in (
        ("enclosure", "atlas"),
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
    assert mine == theirs
    assert "atlas" in mine


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
    assert "row 2" in refused.err
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
