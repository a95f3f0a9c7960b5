"""``run ... --out``: a table of every jar and enclosure, for a spreadsheet."""

from __future__ import annotations

import csv
import json
from pathlib import Path

import pytest

from slurrycalc.data.method import METHOD
from slurrycalc.data.shipped import shipped
from slurrycalc.day.bench.results import COLUMNS

EXAMPLE = shipped("examples", "reading-room.toml").read_bytes()
FORTY = shipped("examples", "forty-jars.csv").read_bytes()
BUFFERS = ("--buffer", "7.00=7.04@21C", "--buffer", "4.01=4.06@21C")


@pytest.fixture
def here(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    Path("day.toml").write_bytes(EXAMPLE)
    Path("forty.csv").write_bytes(FORTY)
    return tmp_path


def rows_of(name: str) -> list[dict[str, str]]:
    with Path(name).open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


@pytest.mark.parametrize("option", ["--out", "-o"])
@pytest.mark.parametrize(
    "words", [("day.toml", "--try"), ("forty.csv", *BUFFERS), ("day.toml", "--p", "0.9", "--try")]
)
def test_it_holds_what_the_day_came_to(run, here, words, option) -> None:
    ran = run("run", *words, option, "results.csv", "--json")
    assert (ran.status, ran.err) == (0, "")
    result = json.loads(ran.out)["result"]
    assert result["results"] == "results.csv"
    day, rows = result["day"], rows_of("results.csv")
    assert tuple(rows[0]) == COLUMNS
    by = {kind: [row for row in rows if row["row"] == kind] for kind in ("jar", "enclosure", "held back")}
    assert [(row["name"], row["enclosure"]) for row in by["jar"]] == [
        (jar["label"], jar["enclosure"]) for jar in day["jars"]
    ]
    assert len(by["held back"]) == len(day["held_back"])
    assert [row["name"] for row in by["enclosure"]] == [one["name"] for one in day["enclosures"]]
    both = zip(
        [*by["jar"], *by["enclosure"]],
        [*day["jars"], *(one["slurry"] for one in day["enclosures"])],
        strict=True,
    )
    for row, one in both:
        ph = one["ph"]
        for column, said in (("ph", ph["value"]), ("low", ph["interval"][0]), ("high", ph["interval"][1])):
            assert float(row[column]) == pytest.approx(said, abs=6e-5)
        assert row["ratio"] == "1:2 by volume"
        assert row["method"] == f"slurry in distilled water, method {METHOD}"
    scatter = "scatter of slurries: "
    assert all(scatter in row["assumed"] and "pH (our own)" in row["assumed"] for row in by["enclosure"])
    assert all(
        "liquid-junction potential: 0.020 pH (from memory)" in row["assumed"] for row in rows if row["ph"]
    )


def test_what_was_stated_is_not_called_assumed(run, here) -> None:
    run("run", "day.toml", "--try", "--scatter", "0.1", "--out", "results.csv")
    assert not any("scatter" in row["assumed"] for row in rows_of("results.csv"))


@pytest.mark.parametrize("start", "=+@-")
def test_no_cell_can_be_taken_for_a_formula(run, here, start) -> None:
    # A name that starts with a dash is refused already; a note may.
    named = "window" if start == "-" else f"{start}1+1"
    text = f'jar,enclosure,reading,note\nA1,"{named}",5.9,"{start}cmd()"\nA2,"{named}",5.95,\n'
    Path("sly.csv").write_text(text, encoding="utf-8")
    assert run("run", "sly.csv", *BUFFERS, "--out", "results.csv").status == 0
    cells = [cell for row in rows_of("results.csv") for cell in row.values()]
    assert f"'{start}cmd()" in cells
    assert (named if start == "-" else f"'{named}") in cells
    assert not [cell for cell in cells if cell.startswith(("=", "+", "-", "@", "\t", "\r"))]


def test_a_file_that_is_there_is_left_alone_and_nothing_is_recorded(run, here, logbook) -> None:
    Path("results.csv").write_text("mine", encoding="utf-8")
    ran = run("run", "day.toml", "--out", "results.csv")
    assert ran.status == 2
    assert ran.err.startswith("`results.csv` is there already, and is never written over")
    assert Path("results.csv").read_text(encoding="utf-8") == "mine"
    assert not logbook.exists()


@pytest.mark.parametrize("name", ["results.toml", "results", "no-folder/results.csv"])
def test_a_name_that_cannot_be_meant_is_refused_in_a_sentence(run, here, logbook, name) -> None:
    ran = run("run", "day.toml", "-o", name)
    assert (ran.status, ran.out, ran.err.count("\n")) == (2, "", 1)
    assert not logbook.exists()
    assert not Path(name).exists()


def test_where_the_day_cannot_be_recorded_no_table_is_left(run, here, monkeypatch) -> None:
    monkeypatch.setattr("slurrycalc.cli.commands.day.save", _fails)
    ran = run("run", "day.toml", "--out", "results.csv")
    assert ran.status == 70
    assert not Path("results.csv").exists()


def _fails(*_: object) -> None:
    raise OSError("no room")
