"""What is entered twice is not counted twice: one display for another, one jar for two."""

from __future__ import annotations

import json
import os

import pytest

from tests.cli.terminals import Terminal
from tests.reading import flat

MILLIVOLTS = ("4.01=178.2mV@22C", "7.00=1.8mV@22C")
PH = ("4.01=4.06@21C", "7.00=7.04@21C")
ON = ("--on", "2024-05-04")


@pytest.fixture
def desk(run):
    """Put a meter that shows pH on record, calibrated on the day, and an enclosure."""
    assert run("calibrate", "--meter", "desk", *PH, "--new", *ON).status == 0
    assert run("enclosure", "atlas", "--new").status == 0
    return ("--meter", "desk", "--enclosure", "atlas", *ON)


def sheet(tmp_path, shows="mV", points=((4.01, 178.2), (7.00, 1.8)), jars=(("A1", 84.3),)):
    lines = ["date = 2024-05-04", "[meter]", 'name = "desk"', f'shows = "{shows}"']
    for label, read in points:
        lines += ["[[point]]", f'buffer = "{label:.2f}"', f"shows = {read}", "temperature = 22.0"]
    lines += ["[[enclosure]]", 'name = "atlas"']
    for label, read in jars:
        lines += ["[[jar]]", f'label = "{label}"', 'enclosure = "atlas"', f"shows = {read}"]
        lines += ["temperature = 21.0"]
    file = tmp_path / "day.toml"
    file.write_text("\n".join(lines), encoding="utf-8")
    return str(file)


def test_a_calibration_in_mv_of_a_meter_that_shows_ph_is_refused(run, desk, logbook, tmp_path) -> None:
    before = logbook.read_bytes()
    table = tmp_path / "day.csv"
    table.write_text("jar,enclosure,reading\nA1,atlas,84.3 mV\n", encoding="utf-8")
    points = [word for point in MILLIVOLTS for word in ("--buffer", point)]
    for words in (
        ("calibrate", "--meter", "desk", *MILLIVOLTS, *ON),
        ("read", "84.3mV@21C", *points, *desk),
        ("run", str(table), "--meter", "desk", *points, *ON),
        ("run", sheet(tmp_path)),
    ):
        ran = run(*words)
        assert ran.status == 2, words
        assert "meter `desk` shows pH by the record, and this calibration is in mV" in ran.err
        assert "slurrycalc kit meter desk --shows mV" in ran.err
    assert logbook.read_bytes() == before


def test_a_calibration_in_ph_of_a_meter_that_shows_mv_is_refused(run) -> None:
    assert run("calibrate", "--meter", "lab", *MILLIVOLTS, "--new", *ON).status == 0
    ran = run("calibrate", "--meter", "lab", *PH, "--shows", "pH", *ON)
    assert (ran.status, "shows mV by the record, and this calibration is in pH" in ran.err) == (2, True)


def test_a_display_that_was_switched_is_told_first(run, desk) -> None:
    assert run("kit", "meter", "desk", "--shows", "mV").status == 0
    # The morning's calibration, in pH, counts no longer: a plain 84.3 would be read under it.
    assert run("read", "5.45", *desk).status == 2
    assert run("calibrate", "--meter", "desk", *MILLIVOLTS, *ON).status == 0
    assert run("read", "84.3mV@21C", *desk).status == 0


def test_a_meter_that_never_said_what_it_shows_has_said_it_by_its_first_calibration(run) -> None:
    assert run("kit", "meter", "old").status == 0
    assert run("calibrate", "--meter", "old", *PH, *ON, "--new").status == 0
    assert run("calibrate", "--meter", "old", *MILLIVOLTS, *ON).status == 2


def slurries(ran) -> int:
    return len(flat(json.loads(ran.out)["result"])["slurry"]["jars"])


def test_a_jar_read_twice_is_refused_and_one_from_other_spots_is_not(run, desk, logbook) -> None:
    assert run("read", "5.58@21C", *desk).status == 0
    before = logbook.read_bytes()
    ran = run("read", "5.58@21C", *desk)
    assert ran.status == 2
    assert "5.58 of atlas is on record for 2024-05-04 already (" in ran.err
    assert "--spots b" in ran.err
    assert logbook.read_bytes() == before
    assert slurries(run("read", "5.58@21C", *desk, "--spots", "b", "--json")) == 2
    # Another display is another jar, without a word.
    assert slurries(run("read", "5.61@21C", *desk, "--json")) == 3
    assert run("read", "5.58@21C", *desk, "--spots", "b").status == 2


def test_the_same_readings_in_another_table_are_held_back(run, desk, tmp_path) -> None:
    first, second = tmp_path / "one.csv", tmp_path / "two.csv"
    first.write_text("jar,enclosure,reading\nA1,atlas,5.58\nA2,atlas,5.58\n", encoding="utf-8")
    second.write_text("jar,enclosure,reading\n1,atlas,5.58\n2,atlas,5.66\n", encoding="utf-8")
    words = ("--meter", "desk", *ON, "--json")
    one = json.loads(run("run", str(first), *words).out)["result"]["day"]
    assert (len(one["jars"]), one["held_back"]) == (2, [])
    two = json.loads(run("run", str(second), *words).out)["result"]["day"]
    assert [jar["label"] for jar in two["jars"]] == ["2"]
    assert [held["row"] for held in two["held_back"]] == [2]
    assert "already (jar A1, " in two["held_back"][0]["text"]


def test_a_worksheet_that_repeats_a_jar_under_another_label_is_refused_with_its_place(
    run, desk, tmp_path
) -> None:
    assert run("read", "5.58@21C", *desk).status == 0
    file = sheet(tmp_path, "pH", ((4.01, 4.06), (7.00, 7.04)), (("A1", 5.66), ("A2", 5.58)))
    ran = run("run", file)
    assert ran.status == 2
    assert "jar 2" in ran.err
    assert "5.58 of atlas is on record for 2024-05-04 already" in ran.err


def test_past_readings_that_come_again_under_another_label_are_bad_rows(run, desk, tmp_path) -> None:
    first, second = tmp_path / "one.csv", tmp_path / "two.csv"
    first.write_text("date,ph,enclosure\n2023-05-04,5.58,atlas\n2023-05-04,5.66,atlas\n", encoding="utf-8")
    second.write_text(
        "date,ph,enclosure,jar,spot\n2023-05-04,5.58,atlas,A1,\n2023-05-04,5.66,atlas,A2,left\n",
        encoding="utf-8",
    )
    assert run("import", str(first)).status == 0
    assert "Nothing new" in run("import", str(first)).out
    ran = run("import", str(second))
    assert ran.status == 2
    assert "pH 5.58 of atlas on 2023-05-04 is here already without a jar's label" in ran.err
    assert "5.66" not in ran.err


@pytest.mark.skipif(os.name != "posix", reason="needs a pseudo-terminal")
@pytest.mark.parametrize(("typed", "status", "jars"), [("y", 0, 2), ("", 2, 1)])
def test_at_a_terminal_it_is_asked_about(run, desk, typed, status, jars) -> None:
    assert run("read", "5.58@21C", *desk).status == 0
    terminal = Terminal(("read", "5.58@21C", *desk), {**os.environ, "COLUMNS": "80"})
    try:
        terminal.until(r"Is this another jar\? \[y/N\]")
        terminal.type(f"{typed}\n")
        assert terminal.end() == status
    finally:
        terminal.shut()
    assert slurries(run("read", "5.61@21C", *desk, "--try", "--json")) == jars + 1
