"""What a keeper who is new to it types, and what is answered."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

OLD = "Date,Case,pH,Remark\n2024-03-01,moss,5.6,\n2024-03-01,fern,5.7,\n2024-04-01,frog tank,5.5,dry\n"


MONTHS = Path(__file__).parents[2] / "examples" / "eighteen-months"


@pytest.fixture
def here(tmp_path, monkeypatch, logbook):
    monkeypatch.chdir(tmp_path)
    return tmp_path


def said(ran) -> str:
    assert (ran.status, ran.out) == (2, "")
    return " ".join(ran.err.split())


def test_a_comma_in_a_worksheet_is_shown_as_a_point(run, here):
    assert run("sheet", "--blank", "--out", "day.toml").status == 0
    lines = Path("day.toml").read_text(encoding="utf-8").split("\n")
    at = next(n for n, line in enumerate(lines) if line.startswith("shows = "))
    Path("day.toml").write_text("\n".join([*lines[:at], "shows = 5,55", *lines[at + 1 :]]), encoding="utf-8")
    assert f"line {at + 1}: `shows = 5,55`: write a point, not a comma: shows = 5.55" in said(
        run("run", "day.toml")
    )


def test_a_name_that_is_taken_is_answered_with_one_that_is_free(run, here):
    for n in ("", "-2"):
        assert run("sheet", "--blank", "--out", f"my-day{n}.toml").status == 0
    assert "such as my-day-3.toml" in said(run("sheet", "--blank", "--out", "my-day.toml"))


def test_a_table_without_the_column_of_its_enclosures_says_once_how_to_name_it(run, here):
    Path("old.csv").write_text(OLD, encoding="utf-8")
    told = said(run("import", "old.csv"))
    assert "No column is called enclosure. Yours are Date, Case, pH, Remark" in told
    assert "write --columns enclosure=Case" in told
    assert told.count("enclosure=Case") == 1


def test_enclosures_that_are_not_on_record_are_named_once_and_together(run, here):
    Path("old.csv").write_text(OLD, encoding="utf-8")
    told = said(run("import", "old.csv", "--columns", "enclosure=Case"))
    assert "Three enclosures are not on record: moss, fern, frog tank. Add --new." in told.replace("`", "")


def test_what_came_in_is_counted_in_readings_and_enclosures(run, here):
    Path("old.csv").write_text(OLD, encoding="utf-8")
    shown = run("import", "old.csv", "--columns", "enclosure=Case", "--new")
    assert "3 readings of 3 enclosures are in." in shown.out
    again = json.loads(run("import", "old.csv", "--columns", "enclosure=Case", "--json").out)["result"]
    assert (again["readings"], again["entries"]) == (0, 0)


def test_an_enclosure_that_is_to_be_exchanged_by_a_day_stands_on_its_sheet(run, here):
    assert run("import", str(MONTHS)).status == 0
    assert "Do: exchange a part of atlas, today" in run("due", "--on", "2025-10-20").out
    shown = run("sheet", "--due", "--on", "2025-10-20")
    assert shown.status == 0
    assert "atlas" in shown.out
    assert "window" not in shown.out  # leaf litter alone is due there


def test_what_a_line_lacks_is_said_in_the_words_of_its_help(run, here):
    told = said(run("read"))
    assert "write what the meter showed in each slurry: slurrycalc read " in told
    assert "write which value: slurrycalc fix 41.2" in said(run("fix"))
    assert "name a worksheet (.toml), or a table of jars (.csv): slurrycalc run" in said(run("run"))


def test_a_value_that_is_fixed_twice_is_told_what_stands_for_it_now(run, here):
    assert run("enclosure", "fern", "--new").status == 0
    buffers = ("--buffer", "7.00=7.04@21C", "--buffer", "4.01=4.06@21C")
    assert run("read", "fern", "5.41@21C", "5.52@21C", *buffers).status == 0
    assert "Saved as 3" in run("fix", "2.3", "5.44").out
    told = said(run("fix", "2.3", "5.45"))
    assert "`2.3` was entered anew, and is 3.1 now: slurrycalc fix 3.1 VALUE" in told
    assert "Saved as 4" in run("fix", "3.1", "5.46").out
    assert "is 4.1 now" in said(run("fix", "2.3", "5.45"))
