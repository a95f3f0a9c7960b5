"""Names, days, numbers and files that cannot be meant: one sentence, and the record as it was."""

from __future__ import annotations

import json
import os
import sqlite3
from pathlib import Path

import pytest

from slurrycalc.data.shipped import shipped

POINTS = ("7.00=7.04@21C", "4.01=4.06@21C")
BUFFERS = tuple(word for point in POINTS for word in ("--buffer", point))
ON = ("--on", "2024-04-06")
DESK, ATLAS, STICK = ("--meter", "desk"), ("--enclosure", "atlas"), ("--probe", "stick")


@pytest.fixture
def room(run, begin, tmp_path, monkeypatch):
    """A record with a case, a calibrated meter, a probe and a reading; the example beside it."""
    monkeypatch.chdir(tmp_path)
    example = shipped("examples", "reading-room.toml").read_text(encoding="utf-8")
    Path("day.toml").write_text(example, encoding="utf-8")
    Path("slip.toml").write_text(example.replace('"atlas"', '"atals"'), encoding="utf-8")
    Path("bad.toml").write_text(example.replace("shows = 5.97", "shows = 597"), encoding="utf-8")
    Path("swap.toml").write_text(example.replace('label = "4.01"', 'label = "7.00"'), encoding="utf-8")
    Path("day.csv").write_text("jar,enclosure,reading\nA1,hall,5.41\n", encoding="utf-8")
    lines = (
        ("enclosure", "atlas", "--new"),
        ("enclosure", "window", "--new"),
        ("kit", "probe", "stick"),
        ("calibrate", *POINTS, *DESK, *ON, "--new"),
        ("read", "5.97@21C", "6.02@21C", *DESK, *ATLAS, *ON),
        ("enclosure", "cellar", "--retired", "2024-01-01"),
    )

    def typed():
        assert run("enclosure", "cellar", "--new").status == 0
        for line in lines:
            assert run(*line).status == 0, line

    return begin(typed)


NAMES = [
    (("read", "5.9", *DESK, "--enclosure", "atals", *ON), "no enclosure `atals`; did you mean `atlas`?"),
    (("read", "5.9", "--meter", "dsk", *ATLAS, *ON), "no meter `dsk`; did you mean `desk`?"),
    (
        ("read", "5.9", *DESK, "--enclosure", "hall", *ON),
        "no enclosure `hall`; add it with `slurrycalc enclosure",
    ),
    (("read", "5.9", *DESK, "--enclosure", "", *ON), "the enclosure name `` is empty"),
    (("read", "5.9", *DESK, "--enclosure", "a\x1b[2J", *ON), "\\x1b"),
    (("read", "5.9", *DESK, "--enclosure", "x" * 61, *ON), "61 characters long"),
    (("read", "5.9", *DESK, "--enclosure", "cellar", *ON), "was retired on 2024-01-01"),
    (("calibrate", *POINTS, "--meter", "dsk"), "no meter `dsk`; did you mean `desk`?"),
    (("calibrate", "4.0=4.06", "7.00=7.04", *DESK), "4.00 at 20 degC (common practice); write 4.01."),
    (("calibrate", "acid=4.06", "7.00=7.04", *DESK), "`acid` is no buffer"),
    (("calibrate", *POINTS, *DESK, "--bottle", "4.01=7.00"), "bears 4.01 on record, not 7.00"),
    (("probe", "5.9", "--probe", "stik"), "no probe `stik`; did you mean `stick`?"),
    (("probe", "5.9", *STICK, "--enclosure", "atlsa"), "no enclosure `atlsa`; did you mean `atlas`?"),
    (("probe", "5.9", "5.9=5.4", *STICK), "slurrycalc compare 5.9=5.41 --probe NAME"),
    (("compare", "5.9=5.41", "--probe", "stic"), "no probe `stic`; did you mean `stick`?"),
    (("compare", "--probe", "stick"), "at least one pair"),
    (("event", "atals", "water"), "no enclosure `atals`; did you mean `atlas`?"),
    (("event", "atlas", "watre"), "`watre` is no kind of event; did you mean water?"),
    (("event", "atlas", "water", "--amount", "much"), "`much`"),
    (("event", "atlas", "water", "--amount", "4 oz"), "4 fl oz"),
    (("event", "atlas", "water", "--note", "x" * 501), "501 characters long"),
    (("enclosure", "atals"), "no enclosure `atals`; did you mean `atlas`? Add --new"),
    (("enclosure", "atlas", "--rename", "window"), "there is an enclosure `window` already"),
    (("enclosure", "atlas", "--rename", "windwo"), "did you mean `window`?"),
    (("enclosure", "garden", "--rename", "yard"), "no enclosure `garden`"),
    (("enclosure", "-x"), "-x"),
    (("enclosure", "atlas", "--target", "6.5:5.4"), "write the lower first"),
    (("enclosure", "atlas", "--target", "5.4"), "write LOW:HIGH"),
    (("enclosure", "atlas", "--target", "4:4.5"), "give a floor at or below"),
    (("enclosure", "atlas", "--floor", "6"), "a floor of `6` lies above"),
    (("enclosure", "atlas", "--floor", "50"), "`50`"),
    (("enclosure", "atlas", "--size", "60 cm"), "write like 60x45 cm"),
    (("enclosure", "atlas", "--size", "60x45"), "`60 cm`"),
    (("enclosure", "atlas", "--bed-depth", "4 oz"), "`4 oz`"),
    (("enclosure", "atlas", "--steady", "perhaps"), "write yes or no"),
    (("enclosure", "atlas", "--retired", "tomorrow"), "`tomorrow` is no day"),
    (("enclosure", "--target", "5:6"), "needs the name"),
    (("kit", "metre"), "`metre` is no part of the kit"),
    (("kit", "enclosure"), "enclosures have slurrycalc enclosure"),
    (("kit", "meter", "dask"), "did you mean `desk`?"),
    (("kit", "meter", "desk", "--label", "4.01"), "--label is not said of a meter"),
    (("kit", "meter", "lab", "--shows", "volts"), "write mV or pH"),
    (("kit", "meter", "lab", "--resolution", "0.1"), "may be mV or pH"),
    (("kit", "meter", "lab", "--resolution", "90mV"), "cannot be the resolution"),
    (("kit", "meter", "lab", "--junction", "3"), "cannot be the junction"),
    (("kit", "meter", "lab", "--thermometer", "40"), "cannot be what a thermometer is off by"),
    (("kit", "meter", "desk", "--check-every", "7 d"), "--check-every is not said of a meter"),
    (("kit", "probe", "rod", "--check-every", "often"), "--check-every: `often` is no interval"),
    (("enclosure", "hall", "--read-every", "often"), "--read-every: `often` is no interval"),
    (("enclosure", "hall", "--litter-every", "3 hours"), "--litter-every: `3 hours` is no interval"),
    (("enclosure", "hall", "--charcoal-every", "-3 months"), "--charcoal-every: `-3 months` is no interval"),
    (("enclosure", "hall", "--charcoal-every", "400 years"), "--charcoal-every: `400 years` is no interval"),
    (("kit", "probe", "rod", "--resolution", "3"), "no step of a probe's display"),
    (("kit", "bottle", "acid 2"), "which buffer is in bottle `acid 2`?"),
    (("kit", "bottle", "acid 2", "--label", "5"), "no buffer that is known here"),
    (("kit", "bottle", "4.01", "--tolerance", "3"), "cannot be the tolerance"),
    (("kit", "bottle", "4.01", "--measured", "4.6"), "cannot be the measured pH"),
    (("kit", "bottle", "4.01", "--opened", "2999-01-01"), "lies in the future"),
    (("kit", "cup", "4 oz"), "`4 oz`"),
    (("kit", "probe", "old", "rod"), "in quotes"),
    (("run", "slip.toml"), "no enclosure `atals`; did you mean `atlas`? Add --new"),
    (("run", "bad.toml"), "did you mean `5.97`?"),
    (("run", "swap.toml"), "too close to fix a slope"),
    (("run", "day.toml", "--on", "yesterday"), "declares its own"),
    (("run", "day.toml", "--by", "Kim"), "declares its own"),
    (("run", "day.csv", *DESK, *ON), "no enclosure `hall`; add it with"),
    (("run", "day.csv", *DESK), "has no calibration of"),
    (("run", "day.csv", "--meter", "dsk", *ON), "did you mean `desk`?"),
    (("read", "5.9", *DESK, *ATLAS, "--on", "03/04"), "could be 3 April or 4 March"),
    (("read", "5.9", *DESK, *ATLAS, "--on", "13/04/2024"), "write 2024-04-13"),
    (("read", "5.9", *DESK, *ATLAS, "--on", "2999-01-01"), "lies in the future"),
    (("read", "5.9", *DESK, *ATLAS, "--on", "2024-02-30"), "on no calendar"),
    (("read", "5.9", *DESK, *ATLAS, "--on", "1024-05-04"), "lies before 1950"),
    (("read", "5.9", *DESK, *ATLAS, "--on", "noon"), "is no day"),
    (("read", "5.9", *DESK, *ATLAS, *ON, "--at", "25:00"), "write it like 14:30"),
    (("read", "5.9", *DESK, *ATLAS, *ON, "--by", ""), "keeper name"),
    (("read", "5.9", *DESK, *ATLAS, *ON, "--resolution", "0.1"), "belongs to a calibration"),
    (("read", "5.9", *DESK, *ATLAS, "--on", "2024-04-07"), "has no calibration of 2024-04-07"),
    (("read", "5.9", *ATLAS, "--on", "2024-04-07"), "meter `desk` has no calibration of 2024-04-07"),
    (("read", "590", *DESK, *ATLAS, *ON), "did you mean `5.90`?"),
    (("read", "84.3mV", *DESK, *ATLAS, *ON), "84.3mV"),
    (("read", "5.9", "6.0", *DESK, *ATLAS, *ON, "--spots", "A"), "reading one mark"),
    (("calibrate", *DESK, *ON), "lacks POINT"),
    (("calibrate", *DESK, *ON, "--close", "9.18=9.2"), "9.18"),
    (("due", "atals"), "no enclosure `atals`; did you mean `atlas`?"),
    (("due", "desk"), "`desk` is a meter, of which nothing comes due"),
    (("due", "--ahead", "soon"), "--ahead: `soon` is no interval"),
    (("due", "--ahead", "-3 d"), "--ahead: `-3 d` is no interval"),
    (("due", "--on", "2999-01-01"), "lies in the future"),
    (("due", "--ics", "due.txt"), "end it with .ics"),
    (("due", "--ics", "none/due.ics"), "there is no folder `none`"),
    (("undo", "99"), "there is no entry `99`"),
    (("undo", "5.9"), "has no value `5.9`"),
    (("undo", "first"), "`first` is no number of an entry"),
    (("undo", "5", "--day", "2024-04-06"), "give one of them"),
    (("undo", "--day", "2020-01-01"), "nothing stands in this logbook"),
    (("undo", "5.1"), "could not stand"),
    (("fix", "6", "5.9"), "name one of them: 6.1, 6.2"),
    (("fix", "1", "5.9"), "holds no value"),
    (("fix", "6.1", "590"), "did you mean `5.90`?"),
    (("fix", "6.1", "5.9@210C"), "`210"),
    (("fix", "5.1", "2"), "could not stand"),
    (("history", "atals"), "no enclosure `atals`; did you mean `atlas`?"),
    (("history", "99"), "there is no entry `99`"),
    (("history", "99.2"), "there is no entry `99.2`"),
    (("history", "--last", "0"), "whole number"),
    (("enclosure", "--logbook", ""), "--logbook names no file"),
]


@pytest.mark.parametrize(("words", "holds"), NAMES, ids=[" ".join(words)[:50] for words, _ in NAMES])
def test_what_cannot_be_meant_is_said_and_nothing_is_recorded(run, room, words, holds):
    before = {path: path.read_bytes() for path in room.parent.iterdir()}
    ran = run(*words)
    assert (ran.status, ran.out) == (2, "")
    assert ran.err.count("\n") == 1
    assert ran.err.rstrip("\n").isprintable()
    assert len(ran.err) < 500
    assert holds in ran.err
    error = run(*words, "--json")
    assert (error.status, error.out) == (2, "")
    assert json.loads(error.err)["error"] == ran.err.rstrip("\n")
    assert {path: path.read_bytes() for path in room.parent.iterdir()} == before


STEPS = [
    ("enclosure", "atlas", "--new"),
    ("enclosure",),
    ("kit",),
    ("kit", "probe", "stick"),
    ("calibrate", *POINTS, *DESK, "--new"),
    ("read", "5.9", *BUFFERS, *ATLAS, "--new"),
    ("probe", "5.9", *STICK, "--new"),
    ("compare", "5.9=5.41", *STICK, "--new"),
    ("event", "atlas", "water", "--new"),
    ("run", "day.toml"),
    ("history",),
    ("due",),
    ("undo",),
    ("fix", "1", "5.9"),
]


def folder(path: Path) -> None:
    path.mkdir()


def binary(path: Path) -> None:
    path.write_bytes(bytes(range(256)))


def empty(path: Path) -> None:
    path.write_bytes(b"")


def of_another_program(path: Path) -> None:
    with sqlite3.connect(path) as db:
        db.execute("CREATE TABLE t (x)")
    db.close()


def newer(path: Path) -> None:
    from slurrycalc.logbook.store import open_logbook

    open_logbook(path).close()
    data = bytearray(path.read_bytes())
    data[60:64] = (999).to_bytes(4, "big")
    path.write_bytes(data)


FAULTS = [
    (folder, "folder"),
    (binary, "no logbook"),
    (empty, "empty"),
    (of_another_program, "another program"),
]
FAULTS += [(newer, "newer slurrycalc")]


@pytest.mark.parametrize(("make", "holds"), FAULTS, ids=[make.__name__ for make, _ in FAULTS])
def test_a_logbook_that_cannot_be_used_ends_every_step_with_3(
    run, logbook, tmp_path, monkeypatch, make, holds
):
    monkeypatch.chdir(tmp_path)
    Path("day.toml").write_bytes(shipped("examples", "reading-room.toml").read_bytes())
    make(logbook)
    before = logbook.read_bytes() if logbook.is_file() else b""
    for words in STEPS:
        ran = run(*words)
        assert (ran.status, ran.out) == (3, ""), words
        assert ran.err.count("\n") == 1
        assert holds in ran.err
        error = run(*words, "--json")
        assert (error.status, error.out) == (3, "")
        assert json.loads(error.err)["error"] == ran.err.rstrip("\n")
    assert (logbook.read_bytes() if logbook.is_file() else b"") == before
    assert [path.name for path in logbook.parent.iterdir()] == [logbook.name]


@pytest.mark.skipif(os.name == "nt" or os.geteuid() == 0, reason="the administrator can write everything")
def test_a_logbook_that_may_only_be_read_is_read_and_not_written(run, logbook):
    assert run("enclosure", "atlas", "--new").status == 0
    logbook.chmod(0o400)
    logbook.parent.chmod(0o500)
    try:
        assert run("enclosure").status == 0
        ran = run("event", "atlas", "water")
        assert (ran.status, ran.out) == (3, "")
        assert "read-only" in ran.err
    finally:
        logbook.parent.chmod(0o700)


def test_a_truncated_logbook_is_said(run, logbook):
    for name in ("atlas", "window", "stairs"):
        run("enclosure", name, "--new")
    logbook.write_bytes(logbook.read_bytes()[:9000])
    before = logbook.read_bytes()
    for words in (("history",), ("event", "atlas", "water"), ("enclosure",)):
        ran = run(*words)
        assert (ran.status, ran.out) == (3, "")
        assert "cut short" in ran.err or "damaged" in ran.err
    assert logbook.read_bytes() == before


def test_nothing_is_begun_by_what_only_asks_or_fails(run, logbook):
    for words in (
        ("enclosure",),
        ("kit",),
        ("history",),
        ("undo",),
        ("fix", "1", "5"),
        ("undo", "--day", "mon"),
    ):
        run(*words)
    run("read", "5.9", *DESK, *ATLAS)
    run("read", "590", *BUFFERS, *ATLAS, "--new")
    assert not logbook.exists()
