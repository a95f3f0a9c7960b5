"""One reading of the example is changed: every outlet moves with it, together; what it does not touch stays.

Terminal, page, table of a figure, calendar and Python are each held to a fresh ``--json``.
"""

from __future__ import annotations

import json
import re
from pathlib import Path
from typing import Any, NamedTuple

import pytest

import slurrycalc as sc
from slurrycalc.metrology.figures import number, signed
from tests.report.test_html import words_of

EXAMPLE = str(Path(__file__).parents[2] / "examples" / "eighteen-months")
ON = ("--on", "2025-11-01")
LAST = "2025-10-18"
OTHERS = ("stairs", "window")


class Told(NamedTuple):
    """What every outlet says of a record."""

    json: dict[str, Any]
    terminal: dict[str, str]
    page: str
    calendar: str


def told(run, name: str) -> Told:
    """Ask every outlet."""
    asked = {
        "due": ("due",),
        **{f"{what} {bed}": (what, bed) for what in ("show", "trend") for bed in ("atlas", *OTHERS)},
        "exchange": ("exchange", "atlas"),
    }
    ran = {key: run(*words, *ON, width=200).out for key, words in asked.items()}
    objects = {key: json.loads(run(*words, *ON, "--json").out)["result"] for key, words in asked.items()}
    assert run("report", *ON, "--out", f"{name}.html").status == 0
    assert run("due", *ON, "--ics", f"{name}.ics").status == 0
    page, calendar = (Path(f"{name}.{end}").read_bytes().decode() for end in ("html", "ics"))
    return Told(objects, {key: " ".join(text.split()) for key, text in ran.items()}, page, calendar)


@pytest.fixture(scope="module")
def both(tmp_path_factory) -> dict[str, Told]:
    return {}


@pytest.fixture
def before_after(run, begin, tmp_path, monkeypatch, both) -> tuple[Told, Told]:
    """Ask before and after one jar of atlas, of the last bench day, is entered anew."""
    monkeypatch.chdir(tmp_path)
    begin(lambda: run("import", EXAMPLE))
    if not both:
        both["before"] = told(run, "before")
        assert fix(run).status == 0
        both["after"] = told(run, "after")
    else:
        fix(run)
    return both["before"], both["after"]


def fix(run):
    entries = json.loads(run("history", "atlas", "--json").out)["result"]["entries"]
    day = next(entry for entry in entries if entry["at"].startswith(LAST))
    reading = next(item for item in day["items"] if item["what"] == "reading")
    shows = reading["shows"][0] - 0.42
    return run(
        "fix", reading["id"], f"{shows:.2f}@{reading['temperature']['value']:g}C", "--because", "misread"
    )


def written(measured: dict[str, Any]) -> tuple[str, str, str]:
    """Write a measured number of the JSON as a person reads it: value, low, high."""
    low, high = measured["interval"]
    half = (high - low) / 2
    return number(measured["value"], half), number(low, half), number(high, half)


def test_the_reading_changes_what_rests_on_it(before_after) -> None:
    before, after = before_after
    for one, other in ((told.json["trend atlas"]["drifts"][0] for told in before_after),):
        assert one["ph"][-1] != other["ph"][-1]
        assert one["outlook"]["level"]["value"] > other["outlook"]["level"]["value"]
        assert one["ph"][:-1] == other["ph"][:-1]
    assert before.page != after.page
    assert before.terminal["show atlas"] != after.terminal["show atlas"]


def test_nothing_independent_of_it_moves(before_after) -> None:
    before, after = before_after
    for name in OTHERS:
        assert before.json[f"trend {name}"] == after.json[f"trend {name}"]
        assert before.terminal[f"trend {name}"] == after.terminal[f"trend {name}"]
        one, other = (
            told.json[f"show {name}"]["cards"][0]["standing"]["enclosures"][0]["slurry"]
            for told in before_after
        )
        assert one["ph"]["value"] == other["ph"]["value"]
        assert one["jars"] == other["jars"]
        parts = [re.findall(rf"<h3>{name}</h3>.*?</svg>", told.page, re.DOTALL)[0] for told in before_after]
        assert re.sub(r"\bf\d+-", "", parts[0]) == re.sub(r"\bf\d+-", "", parts[1])
    tasks = [
        {one["uid"]: one for one in told.json["due"]["duties"] if one["due"]["subject"] != "atlas"}
        for told in before_after
    ]
    assert tasks[0] == tasks[1]


@pytest.mark.parametrize("which", [0, 1])
def test_terminal_and_page_say_the_numbers_of_the_json(before_after, which) -> None:
    says = before_after[which]
    words = words_of(says.page)
    for name in ("atlas", *OTHERS):
        (card,) = says.json[f"show {name}"]["cards"]
        value, low, high = written(card["standing"]["enclosures"][0]["slurry"]["ph"])
        assert f"pH {value} ({low} to {high})" in says.terminal[f"show {name}"]
        assert f"{name}: pH {value}, between {low} and {high}" in words
        drift = says.json[f"trend {name}"]["drifts"][0]
        rate = drift["outlook"]["per_month"]
        half = (rate["interval"][1] - rate["interval"][0]) / 2
        ends = [signed(one, half) for one in (rate["value"], *rate["interval"])]
        for text in (says.terminal[f"trend {name}"], words):
            assert f"Drift {ends[0]} pH a month ({ends[1]} to {ends[2]})" in text


@pytest.mark.parametrize("which", [0, 1])
def test_a_figures_table_holds_the_numbers_of_the_json(before_after, which) -> None:
    says = before_after[which]
    for name in ("atlas", *OTHERS):
        drift = says.json[f"trend {name}"]["drifts"][0]
        part = says.page[says.page.index(f"<h3>{name}</h3>") :]
        table = part[part.index("<tbody>") : part.index("</tbody>")]
        rows = [re.findall(r"<t[hd][^>]*>(.*?)</t[hd]>", row) for row in table.splitlines() if "<tr" in row]
        assert len(rows) == len(drift["course"])
        read = iter(zip(drift["days"], drift["readings"], strict=True))
        for row, stood in zip(rows, drift["course"], strict=True):
            value, low, high = written(stood["level"])
            assert [row[0], *row[4:7]] == [stood["on"], value, low, high]
            if row[1]:
                day, ph = next(read)
                assert row[0] == day
                assert row[1] == f"{ph['value']:.2f}"
                assert row[2:4] == list(written(ph)[1:])
        assert next(read, None) is None


@pytest.mark.parametrize("which", [0, 1])
def test_the_calendar_and_the_page_have_the_tasks_of_the_json(before_after, which) -> None:
    says = before_after[which]
    words, calendar = words_of(says.page), re.sub(r"\r?\n ", "", says.calendar)
    for one in says.json["due"]["duties"]:
        due = one["due"]
        (event,) = [part for part in calendar.split("BEGIN:VEVENT")[1:] if one["uid"] in part]
        if due["days"] > 0:
            assert f"DTSTART;VALUE=DATE:{due['on'].replace('-', '')}" in event
        assert due["what"] in words
        assert due["what"] in says.terminal["due"]


def test_python_gives_the_numbers_of_the_json(before_after, logbook) -> None:
    _, after = before_after
    book = sc.Logbook(logbook)
    for name in ("atlas", *OTHERS):
        drift, there = book.trend(name, on="2025-11-01"), after.json[f"trend {name}"]["drifts"][0]
        assert drift.outlook.level.n == there["outlook"]["level"]["value"]
        assert [one.level.n for one in drift.course] == [one["level"]["value"] for one in there["course"]]
        assert list(drift.ph) == [one["value"] for one in there["ph"]]
        card = book.show(name, on="2025-11-01")
        slurry = after.json[f"show {name}"]["cards"][0]["standing"]["enclosures"][0]["slurry"]["ph"]
        assert card.standing.enclosures[0].slurry.ph.n == slurry["value"]
        assert list(card.standing.enclosures[0].slurry.interval()) == slurry["interval"]
    due = book.due(on="2025-11-01")
    assert [one.due.what for one in due.every] == [one["due"]["what"] for one in after.json["due"]["duties"]]
