"""Days and times as people say them: read in one way, or refused with both."""

from __future__ import annotations

import os
import time as clock
from datetime import UTC, date, datetime, time, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from slurrycalc.cli.moment import WEEKDAYS, day_of, instant, time_of
from slurrycalc.metrology.calendar import EARLIEST
from slurrycalc.metrology.remark import Refusal

THURSDAY = date(2024, 5, 9)
days = st.dates(EARLIEST, date(2100, 1, 1))


@given(days, st.integers(0, 20_000))
def test_a_day_written_with_its_year_first_is_that_day(today, ago):
    day = max(EARLIEST, today - timedelta(days=ago))
    assert day_of(day.isoformat(), today) == day
    assert day_of(f"{day.day} {day:%B} {day.year}", today) == day
    assert day_of(f"{day:%b} {day.day}, {day.year}", today) == day


@given(days, st.sampled_from(WEEKDAYS), st.integers(2, 9))
def test_a_weekday_is_the_last_one_before_today(today, name, letters):
    if WEEKDAYS[today.weekday()] == name:
        with pytest.raises(Refusal, match="today or a week ago"):
            day_of(name[:letters], today)
        return
    day = day_of(name[:letters], today) if today > EARLIEST + timedelta(days=7) else None
    if day is not None:
        assert WEEKDAYS[day.weekday()] == name
        assert 0 < (today - day).days < 7


@given(days, st.text(max_size=12))
def test_whatever_is_typed_is_a_day_behind_or_a_sentence(today, text):
    said = None
    try:
        day = day_of(text, today)
    except Refusal as refusal:
        day, said = today, str(refusal)
    assert said is None or said.isprintable()
    assert EARLIEST <= day <= today


@given(days, st.integers(1, 28), st.integers(1, 12))
def test_a_day_without_its_year_is_the_last_such_day(today, number, month):
    if today.year == EARLIEST.year:
        return
    day = day_of(f"{number} {date(2024, month, 1):%b}", today)
    assert (day.day, day.month) == (number, month)
    assert 0 <= (today - day).days < 366


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("03/04", "could be 3 April or 4 March: write 2024-04-03 or 2024-03-04"),
        ("3.4.2023", "could be 3 April or 4 March: write 2023-04-03 or 2023-03-04"),
        ("03/04/23", "could be 3 April or 4 March: write 2023-04-03 or 2023-03-04"),
        ("12-11", "could be 12 November or 11 December: write 2023-11-12 or 2023-12-11"),
        ("31/12", "year first: write 2023-12-31"),
        ("5/5", "year first: write 2024-05-05"),
        ("45/45", "is no day"),
        ("2024-13-01", "on no calendar"),
        ("30 Feb", "on no calendar"),
        ("thu", "could be today or a week ago"),
        ("t", "is no day"),
        ("", "is no day"),
        ("yesterday!", "is no day"),
        ("tomorrow", "is no day"),
        ("2024-05-10", "lies in the future"),
        ("99999d", "lies before 1950"),
    ],
)
def test_what_has_two_readings_or_none_is_refused(text, says):
    with pytest.raises(Refusal) as refused:
        day_of(text, THURSDAY)
    assert says in str(refused.value)


def test_a_day_ahead_may_be_meant_where_it_is_asked_for():
    assert day_of("31 Dec", THURSDAY, future=True) == date(2024, 12, 31)
    assert day_of("2030-01-31", THURSDAY, future=True) == date(2030, 1, 31)


@given(st.times())
def test_a_time_of_day_is_read_back(when):
    minute = when.replace(second=0, microsecond=0)
    assert time_of(f"{minute:%H:%M}") == minute
    assert time_of(f"{minute:%I:%M %p}") == minute


@pytest.mark.parametrize(
    "text", ["24:00", "14", "14:60", "14:5", "13:00 pm", "0:30 am", "noon", "", "-1:00", "1430"]
)
def test_what_is_no_time_is_refused(text):
    with pytest.raises(Refusal, match="write it like 14:30"):
        time_of(text)


@pytest.mark.skipif(os.name == "nt", reason="the zone is set as on Unix")
def test_a_day_typed_in_winter_has_the_summer_time_that_held_then(monkeypatch):
    monkeypatch.setenv("TZ", "Europe/Berlin")
    clock.tzset()
    try:
        now = datetime(2024, 12, 1, 9, tzinfo=UTC).astimezone()
        assert instant(date(2024, 7, 1), time(14, 30), now).utcoffset() == timedelta(hours=2)
        assert instant(date(2024, 12, 1), None, now).utcoffset() == timedelta(hours=1)
    finally:
        monkeypatch.undo()
        clock.tzset()
