"""A clock that was set back: the order of recording is by number, and the step says what the clock did."""

from __future__ import annotations

import datetime
import json

import pytest

from slurrycalc.cli.recording import present
from slurrycalc.logbook.record import record
from slurrycalc.logbook.refs import When
from slurrycalc.logbook.sessions import open_session
from slurrycalc.logbook.step import Step
from slurrycalc.logbook.store import open_logbook
from slurrycalc.logbook.things import things_of

AHEAD = datetime.timedelta(days=3)


@pytest.fixture
def fast(run, logbook):
    """Entry 2 of a machine whose clock was three days ahead: a guided day that ended."""
    assert run("enclosure", "atlas", "--new").status == 0
    with open_logbook(logbook) as book:
        ahead = present() + AHEAD
        step = Step("bench", When(present()))
        step.mark("done", True)
        step.event(things_of(book).find("enclosure", "atlas").uid, "water", amount=2000.0, unit="mL")
        record(book, step, ahead)
    return ahead.astimezone(datetime.UTC)


LINES = [
    ("event", "atlas", "leaf-litter", "--amount", "1 L"),
    ("read", "5.41", "--buffer", "4.01=4.06", "--buffer", "7.00=7.04", "--enclosure", "atlas"),
    ("enclosure", "atlas", "--floor", "5.1"),
    ("undo", "1"),
    ("probe", "6.0", "--probe", "stick", "--enclosure", "atlas", "--new"),
    ("fix", "2", "1 L"),
]


@pytest.mark.parametrize("line", LINES, ids=lambda line: line[0])
def test_a_clock_before_the_last_entry_is_said_once_on_the_screen_and_in_json(run, fast, line):
    page = run(*line, width=200)
    assert page.status == 0, page.err
    assert "The clock of this computer says" in page.out
    assert f"before entry 2 was written down on {fast:%Y-%m-%d}" in page.out
    assert "set it" in page.out
    # By then the last entry was written down by this clock.
    again = run("event", "atlas", "leaf-litter", "--new", "--json")
    assert "clock-behind" not in [one["kind"] for one in json.loads(again.out)["warnings"]]


@pytest.mark.parametrize("line", LINES, ids=lambda line: line[0])
def test_it_is_among_the_warnings_of_the_object(run, fast, line):
    ran = json.loads(run(*line, "--json").out)
    (said,) = [one["text"] for one in ran["warnings"] if one["kind"] == "clock-behind"]
    assert said == ran["result"]["saved"]["clock"]


def test_a_clock_that_goes_on_is_not_spoken_of(run):
    for line in (("enclosure", "atlas", "--new"), LINES[0], LINES[1], ("undo",)):
        ran = run(*line, "--json")
        assert ran.status == 0, ran.err
        assert json.loads(ran.out)["result"]["saved"]["clock"] is None


def test_undo_alone_takes_the_last_step_by_its_number(run, fast):
    assert run(*LINES[0]).status == 0
    undone = json.loads(run("undo", "--json").out)["result"]["undone"]
    assert [one["id"] for one in undone["struck"]] == ["3"]
    undone = json.loads(run("undo", "--json").out)["result"]["undone"]
    assert [one["id"] for one in undone["struck"]] == ["2"]
    assert undone["after"] == "4"


def test_a_guided_day_that_was_begun_later_by_number_is_the_open_one(run, fast, logbook):
    with open_logbook(logbook) as book:
        day = Step("bench", When(present()))
        begun = record(book, day, present())
        found = open_session(book)
        assert found is not None
        assert found.id == begun.id
