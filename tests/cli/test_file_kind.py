"""A file says by its content which command it is for, whatever its name ends in."""

from __future__ import annotations

import shutil
import zipfile
from pathlib import Path

import pytest

from slurrycalc.cli.file_kind import file_kind
from slurrycalc.data.shipped import shipped

PAST = "date;ph\n2024-05-04;5,41\n"
SHOWN = "--buffer 7.00=7.04@21C --buffer 4.01=4.06@21C"
BUFFERS = ("--buffer", "4.01=4.06@21C", "--buffer", "7.00=7.04@21C")


@pytest.fixture
def files(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    for kind, name in (("sheet", "reading-room.toml"), ("jars", "forty-jars.csv"), ("pairs", "pairs.csv")):
        for end in ("toml", "csv", "txt"):
            Path(f"{kind}.{end}").write_bytes(shipped("examples", name).read_bytes())
    for end in ("toml", "csv", "txt"):
        Path(f"past.{end}").write_text(PAST, encoding="utf-8")
    folder = Path(str(shipped("examples", "pairs.csv"))).parent / "eighteen-months"
    shutil.copytree(folder, "whole")
    with zipfile.ZipFile("whole.zip", "w") as archive:
        for file in sorted(folder.iterdir()):
            archive.write(file, file.name)
    return tmp_path


@pytest.mark.parametrize("end", ["toml", "csv", "txt"])
@pytest.mark.parametrize(
    ("kind", "right"),
    [
        ("sheet", "is a worksheet of a bench day: slurrycalc run {}."),
        (
            "jars",
            f"holds the jars of one bench day: slurrycalc run {{}} {SHOWN}.",
        ),
        ("past", "holds past readings, each a date and its pH: slurrycalc import {}."),
        ("pairs", "holds pairs of a probe and slurries: slurrycalc compare --pairs {}."),
    ],
)
def test_a_file_for_another_command_is_sent_there(run, files, logbook, kind, right, end):
    name = f"{kind}.{end}"
    lines = {
        "sheet": (("import", name), ("compare", "--pairs", name)),
        "jars": (("import", name), ("probe", "6.0", "--pairs", name)),
        "past": (("run", name, *BUFFERS), ("compare", "--pairs", name)),
        "pairs": (("run", name, *BUFFERS), ("import", name)),
    }
    for line in lines[kind]:
        ran = run(*line)
        assert (ran.status, ran.out) == (2, "")
        assert ran.err == f"`{name}` {right.format(name)}\n"
        assert not logbook.exists()


@pytest.mark.parametrize("name", ["whole", "whole.zip"])
@pytest.mark.parametrize("line", [("run",), ("compare", "--pairs"), ("probe", "6.0", "--pairs")])
def test_an_exported_record_is_for_import(run, files, name, line):
    ran = run(*line, name)
    assert (ran.status, ran.out) == (2, "")
    assert ran.err == f"`{name}` is an exported record: slurrycalc import {name}.\n"


@pytest.mark.parametrize("end", ["toml", "csv", "txt"])
def test_what_a_command_is_for_is_read_whatever_its_name_ends_in(run, files, end):
    shown = run("run", f"sheet.{end}", "--try").out
    assert shown.replace(f"sheet.{end}", "sheet.toml") == run("run", "sheet.toml", "--try").out
    jars = run("run", f"jars.{end}", *BUFFERS)
    assert jars.status == 0, jars.err
    assert "38 jars read, 2 left out" in jars.out
    assert run("compare", "--pairs", f"pairs.{end}").status == 0
    assert run("import", f"past.{end}", "--enclosure", "atlas", "--new").status == 0


@pytest.mark.parametrize(
    "data", [b"", b"\xff\xfe\x00", b"PK\x03\x04 a spreadsheet", b"depth,colour\n1,2\n", b"# only\n"]
)
def test_what_cannot_be_told_is_left_to_the_command(data):
    assert file_kind(data) is None
