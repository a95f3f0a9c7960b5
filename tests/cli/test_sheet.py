"""A bench day's sheet begins from the record: only readings are left to type, and it runs."""

from __future__ import annotations

import itertools
import json
import re
import shutil
from pathlib import Path

import pytest

from slurrycalc.data.cautions import cautions
from slurrycalc.logbook.store import open_logbook
from slurrycalc.logbook.things import things_of

DAY = "2026-10-05"
KIT = (
    ("kit", "meter", "lab", "--shows", "pH"),
    (
        "kit",
        "meter",
        "desk",
        "--shows",
        "mV",
        "--resolution",
        "0.1mV",
        "--thermometer",
        "0.5",
        "--mine",
        "yes",
    ),
    ("kit", "meter", "desk", "--reader", "Kim"),
    ("kit", "probe", "stick"),
    ("kit", "bottle", "acid 1", "--label", "4.01", "--opened", "2026-01-05", "--retired", "2026-07-01"),
    (
        "kit",
        "bottle",
        "acid 2",
        "--label",
        "4.01",
        "--tolerance",
        "0.01",
        "--lot",
        "31",
        "--opened",
        "2026-07-01",
    ),
    ("kit", "bottle", "neutral 2", "--label", "7.00"),
    ("kit", "cup", "240 mL"),
    ("enclosure", "window", "--target", "5.4:6.5", "--floor", "5.0"),
    ("enclosure", 'the "old" case # 2', "--new"),
    ("enclosure", "shelf jar", "--steady", "yes"),
    ("enclosure", "leaf mix", "--fresh", "yes"),
    ("enclosure", "gone", "--retired", "2026-01-05", "--new"),
)
POINTS = {"acid 2": "178.2", "neutral 2": "1.8"}
WARMTH = "21.5"
PROBE = ["5.7", "5.8", "6.0", "6.2", "6.6", "6.5"]
SHOWS = ["88.4", "86.1", "70.2", "68.8", "75.0", "76.3", "40.4", "41.0"]


@pytest.fixture
def here(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.chdir(tmp_path)
    return tmp_path


@pytest.fixture
def room(run, here: Path) -> Path:
    for line in KIT:
        ran = run(*line)
        # A thing that was retired before the first line about it is added first.
        if ran.status:
            assert run(*line[: line.index("--retired")], "--new").status == 0, ran.err
            assert run(*line).status == 0
    return here


def filled(text: str) -> str:
    """Type a reading over each blank, as its key and its table ask."""
    probe, shows = itertools.count(), itertools.count()
    lines, bottle, in_jar = [], "", False
    for line in text.splitlines():
        key = line.partition(" = ")[0]
        in_jar = {"[[jar]]": True, "[[point]]": False, "[close]": False}.get(line, in_jar)
        if key == "buffer":
            bottle = line.split('"')[1]
        if '= "?"' in line:
            if key == "temperature":
                value = WARMTH
            elif key == "probe":
                value = PROBE[next(probe)]
            else:
                value = SHOWS[next(shows)] if in_jar else POINTS[bottle]
            lines.append(line.replace('"?"', value))
        else:
            lines.append(line)
    return "\n".join(lines)


def begun(run, *words: str) -> str:
    ran = run("sheet", "--out", "my.toml", "--on", DAY, *words)
    assert ran.status == 0, ran.err
    return Path("my.toml").read_text(encoding="utf-8")


def test_only_readings_are_left_to_type_and_nothing_known_is_asked(run, room) -> None:
    text = begun(run)
    left = [
        line.partition(" = ")[0] for line in text.splitlines() if '"?"' in line and not line.startswith("#")
    ]
    assert set(left) == {"shows", "temperature", "probe"}
    for known in ('name = "desk"', 'shows = "mV"', 'by = "Kim"', f"date = {DAY}", 'name = "stick"'):
        assert f"\n{known}" in text
    assert "# 4.01, lot 31, opened 2026-07-01" in text
    assert re.findall(r'^label = "(.*)"', text, re.MULTILINE) == [
        "A1",
        "A2",
        "B1",
        "B2",
        "C1",
        "C2",
        "D1",
        "D2",
    ]
    assert "gone" not in text
    assert "acid 1" not in text
    # No probe goes into a steady jar.
    assert left.count("probe") == 6
    assert "by the cup of 240 mL" in text


def test_typed_on_it_runs_and_gives_the_numbers_of_the_same_day_line_by_line(run, room, logbook) -> None:
    text = begun(run)
    other = logbook.with_name("other.sqlite")
    shutil.copyfile(logbook, other)
    Path("my.toml").write_text(filled(text), encoding="utf-8")
    ran = run("run", "my.toml", "--json")
    assert ran.status == 0, ran.err
    day = json.loads(ran.out)["result"]["day"]

    where = ("--on", DAY, "--logbook", str(other))
    points = [f"{bottle}={shows}mV@{WARMTH}C" for bottle, shows in POINTS.items()]
    close = f"neutral 2={POINTS['neutral 2']}mV@{WARMTH}C"
    assert run("calibrate", *reversed(points), "--meter", "desk", "--close", close, *where).status == 0
    read = {}
    for place, name in enumerate(("window", 'the "old" case # 2', "shelf jar", "leaf mix")):
        jars = [f"{shows}mV@{WARMTH}C" for shows in SHOWS[2 * place : 2 * place + 2]]
        got = run("read", *jars, "--enclosure", name, *where, "--json")
        assert got.status == 0, got.err
        result = json.loads(got.out)["result"]
        read[name] = next(result[kind] for kind in ("enclosure", "steady", "fresh") if result[kind])
    ours = {one["name"]: one for kind in ("enclosures", "steady", "fresh") for one in day[kind]}
    assert set(ours) == set(read)
    for name, one in ours.items():
        for key in ("value", "standard_uncertainty", "interval"):
            mine, theirs = (each["slurry"]["ph"][key] for each in (one, read[name]))
            assert mine == pytest.approx(theirs, abs=1e-9), (name, key)
    assert day["probe"]["name"] == "stick"
    assert day["by"] == "Kim"
    # Nothing was added that the record did not know.
    with open_logbook(logbook) as book:
        assert len(things_of(book).every) == len(KIT) - 1


def test_a_blank_that_was_left_is_named_and_nothing_is_recorded(run, room, logbook) -> None:
    text = begun(run)
    before = logbook.read_bytes()
    Path("my.toml").write_text(filled(text).replace("88.4", '"?"'), encoding="utf-8")
    ran = run("run", "my.toml")
    assert ran.status == 2
    assert "still blank; write shows = 5.41, or strike the line" in ran.err
    assert logbook.read_bytes() == before


def test_the_bottles_and_the_meter_are_those_of_the_last_calibration(run, here) -> None:
    run("kit", "bottle", "far", "--label", "9.18")
    for meter, points in (
        ("desk", ("4.01=4.06@21C", "9.18=9.20@21C")),
        ("lab", ("4.01=4.06@21C", "7.00=7.04@21C")),
    ):
        on = "2026-09-01" if meter == "lab" else "2026-09-02"
        assert run(
            "calibrate", *points, "--meter", meter, "--check", "7.00=7.04@21C", "--on", on, "--new"
        ).status in (0, 2)
    run(
        "calibrate",
        "4.01=4.06@21C",
        "9.18=9.20@21C",
        "--meter",
        "desk",
        "--check",
        "7.00=7.05@21C",
        "--on",
        "2026-09-02",
        "--new",
    )
    run("enclosure", "atlas", "--new")
    text = begun(run)
    assert '[meter]\nname = "desk"' in text
    assert re.findall(r'^buffer = "(.*?)"', text, re.MULTILINE) == ["far", "4.01", "7.00", "far"]
    assert text.index("[check]") < text.index('buffer = "7.00"') < text.index("[close]")


def test_only_what_is_due_or_named_stands_on_it(run, room) -> None:
    assert (
        re.findall(
            r'^enclosure = "(.*)"', begun(run, "--enclosure", "WINDOW", "--slurries", "3"), re.MULTILINE
        )
        == ["window"] * 3
    )
    Path("my.toml").unlink()
    line = ("read", "5.9", "5.95", "--enclosure", "window", "--buffer", "4.01=4.06", "--buffer", "7.00=7.04")
    assert run(*line, "--meter", "lab", "--on", "2026-10-04").status == 0
    due = begun(run, "--due")
    assert 'enclosure = "window"' not in due
    assert 'enclosure = "the \\"old\\" case # 2"' in due
    assert 'enclosure = "shelf jar"' in due
    Path("my.toml").unlink()
    ran = run("sheet", "--out", "my.toml", "--due", "--enclosure", "window", "--on", "2026-10-05")
    assert (ran.status, ran.out) == (2, "")
    assert "Nothing is to be read by 2026-10-05" in ran.err
    assert not Path("my.toml").exists()
    assert "did you mean `window`" in run("sheet", "--enclosure", "windw").err


def test_the_pencil_sheet_has_its_parts_in_the_order_of_the_bench_day(run, room) -> None:
    ran = run("sheet", "--on", DAY)
    assert ran.status == 0, ran.err
    parts = re.findall(r"^([A-F])\. (.*)$", ran.out, re.MULTILINE)
    assert [letter for letter, _ in parts] == list("ABCDEF")
    assert parts[2][1] == "Meter desk: its bottles"
    assert re.search(r"acid 2 +4\.01 +31 +2026-07-01 +_+ +_+", ran.out)
    assert re.search(r"A1 +window +_+ +_+ +dry moist wet +_+", ran.out)
    assert ran.out.index("Unplug heat mats") < ran.out.index("A. Probe first")
    assert "who: Kim" in ran.out
    assert "Taken from your kit: meter desk, read by Kim." in ran.out
    for words in (
        "gloves",
        "animals out",
        "unplugged",
        "animals in",
        "plugged in again",
        "hands washed",
        "never erase",
    ):
        assert words in ran.out
    plain = run("sheet", "--on", DAY, encoding="ascii")
    assert "[ ] gloves" in plain.out


@pytest.mark.parametrize("width", [40, 80])
def test_the_pencil_sheet_fits_its_width_and_its_file(run, room, width) -> None:
    assert all(len(line) <= width for line in run("sheet", width=width).out.splitlines())
    ran = run("sheet", "--out", f"my{width}.txt", width=width)
    assert ran.status == 0
    written = Path(f"my{width}.txt").read_text(encoding="utf-8")
    assert all(len(line) <= 92 for line in written.splitlines())
    assert all(text in " ".join(written.split()) for text in cautions("sheet"))
    assert "F. Done to the enclosure" in written


def test_a_sheet_lies_ahead_and_records_nothing(run, room, logbook) -> None:
    before = logbook.read_bytes()
    assert run("sheet", "--on", "2099-01-05").status == 0
    assert run("sheet", "--out", "ahead.toml", "--on", "2099-01-05").status == 0
    assert logbook.read_bytes() == before


def test_a_kit_without_an_enclosure_leaves_its_place_blank(run, here) -> None:
    run("kit", "meter", "desk", "--shows", "pH")
    text = begun(run)
    assert 'name = "desk"' in text
    assert '[[enclosure]]\nname = "?"' in text
    assert "still blank" in run("run", "my.toml").err


def test_the_blank_one_is_there_where_it_is_wanted(run, room) -> None:
    assert run("sheet", "--blank", "--out", "blank.toml").status == 0
    assert 'date = "?"' in Path("blank.toml").read_text(encoding="utf-8")
    assert "--blank is for a worksheet" in run("sheet", "--blank").err
