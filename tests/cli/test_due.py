"""`due`: the page, the object and the calendar file."""

from __future__ import annotations

import json
import os
from datetime import UTC, datetime, timedelta
from pathlib import Path

import icalendar
import pytest
import vobject
from hypothesis import example, given, settings
from hypothesis import strategies as st
from jsonschema import Draft202012Validator

BUFFERS = ("--buffer", "4.01=4.06", "--buffer", "7.00=7.04")
TODAY = datetime.now(UTC).astimezone().date()


def ago(days: int) -> str:
    return (TODAY - timedelta(days=days)).isoformat()


@pytest.fixture
def room(run, begin):
    """A probe that is late, an enclosure whose charcoal is due today, and things to come."""

    def typed():
        run("kit", "probe", "stick")
        assert run("read", "5.9", *BUFFERS, "--enclosure", "atlas", "--on", ago(10), "--new").status == 0
        assert run("event", "atlas", "charcoal", "--on", ago(60)).status == 0
        run("enclosure", "atlas", "--charcoal-every", "60 d")
        run("probe", "6.0", "--probe", "stick", "--on", ago(9))
        run("kit", "bottle", "acid 2", "--label", "4.01", "--opened", ago(30), "--expires", ago(-40))

    begin(typed)


def due(run, *words: str):
    ran = run("due", *words, "--json")
    assert (ran.status, ran.err) == (0, "")
    whole = json.loads(ran.out)
    Draft202012Validator(json.loads(run("due", "--schema").out)).validate(whole)
    return whole["result"]


def test_what_is_to_be_done_by_today_comes_first_then_what_is_coming(run, room):
    result = due(run)
    told = [(one["due"]["task"], one["due"]["subject"], one["due"]["days"]) for one in result["duties"]]
    assert told == [
        ("probe-check", "stick", -2),
        ("charcoal", "atlas", 0),
        ("retest", "atlas", 20),
        ("buffer-bottle", "acid 2", 40),
    ]
    assert result["overdue"] == 1
    out = run("due").out
    parts = ("Do:", "1 overdue, 1 today, 2 coming", "Now, what matters most first", "Coming")
    places = [out.index(part) for part in parts]
    assert places == sorted(places)
    assert "Do: check the probe stick, 2 days overdue:" in out
    line = "  slurrycalc probe READING --probe stick --enclosure NAME"
    assert out.splitlines()[:6].count(line) == 1
    assert "slurrycalc event atlas charcoal" in run("due", "--why").out


def test_each_command_to_type_clears_what_it_is_for(run, room):
    commands = {one["due"]["task"]: one["command"] for one in due(run)["duties"]}
    assert commands["charcoal"] == "slurrycalc event atlas charcoal --amount AMOUNT"
    assert commands["buffer-bottle"] == "slurrycalc kit bottle 'acid 2' --retired today"
    assert run("event", "atlas", "charcoal", "--amount", "20 g").status == 0
    assert run("kit", "bottle", "acid 2", "--retired", "today").status == 0
    assert run("probe", "6.0", "--probe", "stick", "--enclosure", "atlas").status == 0
    left = {one["due"]["task"]: one["due"]["days"] for one in due(run)["duties"]}
    assert left.keys() == {"retest", "charcoal", "probe-check"}
    assert (left["charcoal"], left["probe-check"]) == (60, 7)


def test_named_things_and_a_time_to_look_ahead(run, room):
    assert [one["due"]["subject"] for one in due(run, "acid 2", "stick")["duties"]] == ["stick", "acid 2"]
    result = due(run, "--ahead", "3 weeks")
    assert (result["ahead"], len(result["duties"])) == (21, 3)
    assert "Nothing within 5 days." in run("due", "acid 2", "--ahead", "5 d").out


def test_it_can_be_asked_as_of_another_day(run, room):
    result = due(run, "--on", ago(9))
    assert result["on"] == ago(9)
    assert {one["due"]["task"]: one["due"]["days"] for one in result["duties"]}["probe-check"] == 7
    ran = run("due", "--on", ago(-3))
    assert (ran.status, ran.out) == (2, "")
    assert "lies in the future" in ran.err


def test_strict_ends_with_1_where_something_is_overdue(run, room):
    assert run("due", "--strict").status == 1
    assert run("due", "atlas", "--strict").status == 0
    assert run("due").status == 0


def test_it_records_nothing_and_begins_no_logbook(run, logbook):
    ran = run("due")
    assert (ran.status, ran.err) == (0, "")
    assert "slurrycalc bench" in ran.out
    assert not logbook.exists()
    run("enclosure", "atlas", "--new")
    before = logbook.read_bytes()
    run("due", "atlas")
    assert logbook.read_bytes() == before


@pytest.mark.parametrize("width", [40, 80])
@pytest.mark.parametrize("encoding", ["utf-8", "ascii"])
def test_the_page_fits_any_terminal(run, room, width, encoding):
    run("enclosure", "map [2] <b>, of the reading-room's farthest corner", "--new")
    ran = run("due", width=width, encoding=encoding)
    assert ran.status == 0
    lines = [line for line in ran.out.splitlines() if not line.startswith("  slurrycalc ")]
    assert max(map(len, lines)) <= width
    assert "map [2] <b>" in ran.out


def test_a_record_with_much_to_do_gets_one_page(run, logbook):
    from slurrycalc.logbook.record import record
    from slurrycalc.logbook.refs import When
    from slurrycalc.logbook.step import Step
    from slurrycalc.logbook.store import open_logbook

    now = datetime.now(UTC)
    step = Step("kit", When(now))
    for i in range(100):
        step.thing("enclosure", f"case {i}")
    with open_logbook(logbook) as book:
        record(book, step, now)
    out = run("due").out
    assert "0 overdue, 100 today, 0 coming" in out
    assert "60 more come later" in out
    assert out.count("\n") < 120


class TestCalendar:
    """A file after RFC 5545, read back by two libraries: `icalendar`, which also wrote it, and `vobject`."""

    def test_each_thing_is_an_event_of_a_whole_day(self, run, room, tmp_path):
        path = tmp_path / "due.ics"
        ran = run("due", "--ics", str(path))
        assert ran.status == 0
        assert "4 entries written to" in ran.out
        calendar = vobject.readOne(path.read_bytes().decode())
        events = calendar.vevent_list
        # DTSTART of VALUE=DATE is a whole day (RFC 5545, 3.6.1); late things stand on the day of writing.
        assert [event.dtstart.value for event in events] == [
            TODAY,
            TODAY,
            TODAY + timedelta(days=20),
            TODAY + timedelta(days=40),
        ]
        assert all(event.dtstart.params.get("VALUE") == ["DATE"] for event in events)
        assert {event.transp.value for event in events} == {"TRANSPARENT"}
        assert events[0].summary.value.startswith("Check the probe stick (overdue since ")
        assert "slurrycalc event atlas charcoal --amount AMOUNT" in events[1].description.value
        # What a calendar and an event must have (RFC 5545, 3.6 and 3.6.1).
        assert (calendar.version.value, bool(calendar.prodid.value)) == ("2.0", True)
        for event in icalendar.Calendar.from_ical(path.read_bytes()).walk("VEVENT"):
            assert event["uid"]
            assert event["dtstamp"].dt.tzinfo is not None
            assert not event.errors

    def test_writing_again_replaces_and_never_doubles(self, run, room, tmp_path):
        path = tmp_path / "due.ics"
        run("due", "--ics", str(path))
        before = {event["uid"]: event for event in _events(path)}
        run("enclosure", "atlas", "--rename", "annex")
        run("read", "5.8", *BUFFERS, "--enclosure", "annex", "--on", ago(2))
        assert run("due", "--ics", str(path)).status == 0
        after = {event["uid"]: event for event in _events(path)}
        assert before.keys() == after.keys()
        assert len(after) == 4
        moved = [uid for uid in after if after[uid]["dtstart"].dt != before[uid]["dtstart"].dt]
        assert [uid.rpartition("-")[2] for uid in moved] == ["retest"]
        assert "annex" in after[moved[0]]["summary"]
        # The later one counts: SEQUENCE never falls, and DTSTAMP tells where it is equal (RFC 5545, 3.8.7).
        assert all(after[uid]["sequence"] >= before[uid]["sequence"] for uid in after)
        assert all(after[uid]["dtstamp"].dt >= before[uid]["dtstamp"].dt for uid in after)
        assert [one.name for one in tmp_path.iterdir()] == ["due.ics"]

    def test_only_a_calendar_of_its_own_is_written_over(self, run, room, tmp_path):
        path = tmp_path / "due.ics"
        for data in (b"", b"notes", b"BEGIN:VCALENDAR\r\nPRODID:-//another//EN\r\nEND:VCALENDAR\r\n"):
            path.write_bytes(data)
            ran = run("due", "--ics", str(path))
            assert (ran.status, ran.out) == (2, "")
            assert "no calendar that slurrycalc wrote" in ran.err
            assert path.read_bytes() == data

    def test_what_cannot_be_written_is_said(self, run, room, tmp_path):
        (tmp_path / "folder.ics").mkdir()
        for name, holds in (
            (str(tmp_path / "folder.ics"), "is a folder"),
            (str(tmp_path / "none" / "due.ics"), "there is no folder"),
            (str(tmp_path / "due.txt"), "end it with .ics"),
            ("", "end it with .ics"),
            (str(tmp_path / ("x" * 300 + ".ics")), "cannot be written"),
        ):
            ran = run("due", "--ics", name)
            assert (ran.status, ran.out) == (2, "")
            assert ran.err.count("\n") == 1
            assert holds in ran.err
        assert [one.name for one in tmp_path.iterdir()] == ["folder.ics"]

    @pytest.mark.skipif(os.name == "nt" or os.geteuid() == 0, reason="the administrator can write everything")
    def test_a_folder_that_may_only_be_read_is_said(self, run, room, tmp_path):
        tmp_path.chmod(0o500)
        try:
            ran = run("due", "--ics", str(tmp_path / "due.ics"))
        finally:
            tmp_path.chmod(0o700)
        assert (ran.status, ran.out) == (2, "")
        assert "cannot be written" in ran.err

    def test_with_nothing_due_none_is_written(self, run, tmp_path):
        ran = run("due", "--ics", str(tmp_path / "due.ics"))
        assert ran.status == 0
        assert "No calendar was written" in ran.out
        assert not list(tmp_path.iterdir())


NAMES = [
    "a, b; c",
    "back\\slash \\n and \\, more",
    'quoted "so": and =so',
    "Fächer für Moos",
    "苔のケース",
    "🌿🪴 fern",
    "x" * 60,
    "ü" * 60,
    "🌿" * 60,
    "BEGIN:VEVENT",
    "a:b;VALUE=TEXT:c",
]


@pytest.mark.parametrize("name", NAMES, ids=[name[:12] for name in NAMES])
def test_any_name_comes_through_the_file_as_it_is(run, tmp_path, name):
    assert run("enclosure", name, "--new").status == 0
    path = tmp_path / "due.ics"
    assert run("due", "--ics", str(path)).status == 0
    _keeps_to_its_lines(path.read_bytes())
    (event,) = _events(path)
    assert str(event["summary"]) == f"Read {name}"
    assert vobject.readOne(path.read_bytes().decode()).vevent.summary.value == f"Read {name}"


@settings(max_examples=60, deadline=None)
@given(st.text(st.characters(exclude_categories=["Cc", "Cs"]), min_size=1, max_size=200))
@example("ü" * 200)
@example("🌿" * 200)
@example("\\,;:" * 50)
@example("\\N and \\n")
def test_whatever_is_written_its_lines_keep_to_the_rules_and_it_is_read_back(name):
    from slurrycalc.cli.as_calendar import calendar
    from slurrycalc.day.months.duties import Duties, Duty
    from slurrycalc.deciding.due import InUse, due
    from slurrycalc.logbook.things import Thing

    now = datetime(2024, 6, 1, 12, tzinfo=UTC)
    (item,) = due([InUse(name)], now.date()).items
    duty = Duty(item, Thing("0", 1, "enclosure", name, {}, ()), "0-retest")
    data = calendar(Duties(now.date(), (duty,)), now)
    _keeps_to_its_lines(data)
    # Read by the other library: `icalendar` itself takes an escaped backslash before an n for a line break.
    assert vobject.readOne(data.decode()).vevent.summary.value == f"Read {name}"


def _events(path: Path) -> list[icalendar.Event]:
    return list(icalendar.Calendar.from_ical(path.read_bytes()).walk("VEVENT"))


def _keeps_to_its_lines(data: bytes) -> None:
    """Hold a file to RFC 5545, 3.1: lines end in CRLF and have 75 octets at most, no letter cut in two."""
    lines = data.split(b"\r\n")
    assert lines.pop() == b""
    for line in lines:
        assert b"\n" not in line
        assert b"\r" not in line
        assert len(line) <= 75
        line.decode("utf-8")
    assert sum(line == b"BEGIN:VEVENT" for line in lines) == 1
