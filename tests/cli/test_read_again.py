"""A result says by when to read again, as what is due will say it."""

from __future__ import annotations

import datetime
import json

import pytest
from jsonschema import Draft202012Validator

from slurrycalc.day.months.retest import retest_of
from slurrycalc.day.months.series import series_of
from slurrycalc.logbook.recall import Recall
from slurrycalc.logbook.store import open_logbook
from slurrycalc.metrology.uncertain import Inputs
from tests.reading import flat

DESK = ("--meter", "desk")
DAYS = ("2024-01-06", "2024-02-03", "2024-03-02", "2024-04-06", "2024-05-04")
FALLING = ((6.30, 6.32), (6.20, 6.22), (6.10, 6.12), (6.00, 6.01), (5.90, 5.92))


@pytest.fixture
def read(run):
    """Read an enclosure on a day on which the meter was calibrated, and give the result."""

    def once(name: str, day: str, *shows: str):
        ran = run("read", *shows, *DESK, "--enclosure", name, "--on", day, "--json")
        assert (ran.status, ran.err) == (0, "")
        whole = json.loads(ran.out)
        Draft202012Validator(json.loads(run("read", "--schema").out)).validate(whole)
        return flat(whole["result"])

    return once


@pytest.fixture
def months(run):
    """A record with an enclosure, and a meter that was calibrated on each day."""
    assert run("enclosure", "atlas", "--new").status == 0
    for day in DAYS:
        points = ("7.00=7.04@21C", "4.01=4.06@21C")
        assert run("calibrate", *points, *DESK, "--on", day, "--new").status == 0


def by_the_record(path, name: str) -> datetime.date:
    """By when to read again, once everything is on record."""
    with open_logbook(path, writes=False) as book:
        recall = Recall(book, Inputs())
        series = series_of(recall, recall.things.find("enclosure", name))
        assert series is not None
        return retest_of(series).by


def test_after_a_single_bench_day_it_is_a_month(months, run, read):
    first = read("atlas", DAYS[0], "5.9", "6.0")
    assert (first["again"]["by"], first["again"]["reason"]) == ("2024-02-05", "first reading")
    page = run("read", "5.91", *DESK, "--enclosure", "atlas", "--on", DAYS[0], "--try").out
    said = "Do: nothing now. Next, on 5 February 2024: read atlas (one bench day shows no drift)."
    assert said in " ".join(page.split())


def test_what_is_shown_now_is_what_the_record_says_afterwards(months, read, logbook):
    for day, shows in zip(DAYS, FALLING, strict=True):
        # in two steps, so that the second counts with the first
        read("atlas", day, f"{shows[0]}")
        again = read("atlas", day, f"{shows[1]}")["again"]
        assert datetime.date.fromisoformat(again["by"]) == by_the_record(logbook, "atlas")
    assert again["reason"] == "longest"
    assert again["text"] == f"Read again by {spoken(again['by'])}."


def spoken(day: str) -> str:
    on = datetime.date.fromisoformat(day)
    return f"{on.day} {on:%B} {on.year}"


def test_what_was_done_that_day_asks_for_a_reading_a_week_after_it(months, run, read):
    for day in DAYS[:-1]:
        read("atlas", day, "5.9", "6.0")
    assert run("event", "atlas", "exchange", "--on", DAYS[-1]).status == 0
    again = read("atlas", DAYS[-1], "5.9", "6.0")["again"]
    assert (again["reason"], again["by"]) == ("step", "2024-05-11")


def test_the_keepers_own_interval_counts_where_it_ends_earlier_and_never_is_never(months, run, read):
    assert run("enclosure", "atlas", "--read-every", "14 d").status == 0
    again = read("atlas", DAYS[0], "5.9", "6.0")["again"]
    assert (again["by"], again["reason"]) == ("2024-01-20", "interval of its own")
    assert run("enclosure", "atlas", "--read-every", "6 months").status == 0
    assert read("atlas", DAYS[0], "5.91")["again"]["reason"] == "first reading"
    assert run("enclosure", "atlas", "--read-every", "never").status == 0
    assert read("atlas", DAYS[0], "5.92")["again"] is None


def test_what_is_on_record_of_later_days_is_as_if_it_were_not(months, read):
    read("atlas", DAYS[3], "5.5", "5.6")
    again = read("atlas", DAYS[0], "5.9", "6.0")["again"]
    assert (again["by"], again["reason"]) == ("2024-02-05", "first reading")


def test_no_more_is_said_where_something_is_to_be_done_or_the_enclosure_has_no_name(months, run, read):
    page = run("read", "4.5", "4.6", *DESK, "--enclosure", "atlas", "--on", DAYS[0]).out
    assert "Do: exchange a part of atlas, today: it is almost surely below its floor" in page
    assert "Next, on" not in page
    ran = run("read", "5.9", "6.0", *DESK, "--on", DAYS[0], "--json")
    assert flat(json.loads(ran.out)["result"])["again"] is None


def test_a_day_from_a_worksheet_says_it_of_each_enclosure(run, tmp_path):
    lines = ["date = 2024-05-04", "[meter]", 'name = "desk"', 'shows = "pH"']
    for label, shows in (("7.00", 7.04), ("4.01", 4.06)):
        lines += ["[[point]]", f'buffer = "{label}"', f"shows = {shows}", "temperature = 21.0"]
    for name in ("window", "atlas"):
        lines += ["[[enclosure]]", f'name = "{name}"']
    for n, name in enumerate(("window", "window", "atlas", "atlas")):
        lines += ["[[jar]]", f'label = "J{n}"', f'enclosure = "{name}"', "shows = 5.9"]
    file = tmp_path / "day.toml"
    file.write_text("\n".join(lines), encoding="utf-8")
    page = " ".join(run("run", str(file), "--try").out.split())
    assert page.count("read by 3 Jun") == 2
    whole = json.loads(run("run", str(file), "--json").out)
    assert {one["again"]["by"] for one in whole["result"]["day"]["enclosures"]} == {"2024-06-03"}
