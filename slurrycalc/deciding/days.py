"""Days of a record: taken in, in order, and written as people say them."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, datetime, timedelta
from itertools import pairwise
from typing import Final, TypeAlias

from slurrycalc.metrology.calendar import misdated
from slurrycalc.metrology.listed import absent, listed
from slurrycalc.metrology.quote import quoted
from slurrycalc.metrology.remark import Refusal
from slurrycalc.metrology.units import measured

Day: TypeAlias = date | str
"""A date, or its text with the year first (2024-05-04)."""

DAYS_PER_MONTH: Final = 30.4375
"""A year of 365.25 days over 12. [d]"""

LONGEST: Final = 32872
"""Ninety years; an interval beyond is a slip. [d]"""

_MINUTES = 1440.0
_MOST_BARE = 12.0  # our own: a bare number above so many months could as well be days

_MONTHS = (
    "January", "February", "March", "April", "May", "June", "July", "August", "September", "October",
    "November", "December",
)  # fmt: skip


def as_day(given: Day) -> date:
    """Take in one day.

    Parameters
    ----------
    given : date, datetime64 or str
        A date, or its text with the year first. Of a time with a clock the day is kept.

    Returns
    -------
    date

    Raises
    ------
    Refusal
        If it is neither, or lies before 1950 or after 2199.

    Examples
    --------
    >>> as_day("2024-05-04")
    datetime.date(2024, 5, 4)
    >>> as_day("03/04")
    Traceback (most recent call last):
    slurrycalc.metrology.remark.Refusal: `03/04` is no date; write the year first, such as 2024-05-04.
    """
    if getattr(getattr(given, "dtype", None), "kind", "") == "M":
        given = given.astype("datetime64[D]").item()  # type: ignore[union-attr]  # None where it is empty
    if isinstance(given, datetime) and not absent(given):
        day = given.date()
    elif isinstance(given, date) and not absent(given):
        day = given
    else:
        try:
            day = date.fromisoformat(given)  # type: ignore[arg-type]
        except (TypeError, ValueError):
            raise Refusal(f"{quoted(given)} is no date; write the year first, such as 2024-05-04.") from None
    if why := misdated(day):
        raise Refusal(f"`{day}` {why}; write the year with all its digits, such as 2024-05-04.")
    return day


def months_on(day: date, months: float) -> date:
    """Give the day so many months after another.

    Parameters
    ----------
    day : date
        Near the end of the calendar, a day that leaves room before it.
    months : float
        Of 30.4375 days. [month]

    Returns
    -------
    date

    Examples
    --------
    >>> months_on(date(2024, 5, 4), 1.0)
    datetime.date(2024, 6, 3)
    """
    return min(day, date.max - timedelta(days=5000)) + timedelta(days=round(months * DAYS_PER_MONTH))


def not_after(day: date, today: date | None) -> date:
    """Refuse a day on which nothing was done.

    Parameters
    ----------
    day : date
        When something was done.
    today : date or None
        None lets a day ahead stand.

    Returns
    -------
    date
        The same day.

    Raises
    ------
    Refusal
        If it lies after today, before 1950, or after 2199.

    Examples
    --------
    >>> not_after(date(2024, 5, 4), date(2024, 5, 5))
    datetime.date(2024, 5, 4)
    """
    if why := misdated(day, today):
        raise Refusal(f"`{day}` {why}; write the day on which it was done, such as {today or '2024-05-04'}.")
    return day


def in_order(given: Sequence[Day], today: date | None = None, one: str = "pH") -> tuple[date, ...]:
    """Take in the days of a series.

    Nothing is put in order silently: of two days that stand the wrong way round, one is often mistyped.

    Parameters
    ----------
    given : sequence, array or Series of date, datetime64 or str
        From the earliest to the latest.
    today : date, optional
        A day after it is refused.
    one : str
        What each day stands for, of which a day has but one.

    Returns
    -------
    tuple of date
        The same.

    Raises
    ------
    Refusal
        If one is no date, lies in the future, stands before its predecessor, or stands twice.

    Examples
    --------
    >>> in_order(["2024-04-02", "2024-03-05"])
    Traceback (most recent call last):
    slurrycalc.metrology.remark.Refusal: `2024-03-05` stands after `2024-04-02`; give the days from the
    earliest on, and look for a mistyped year or month.
    """
    many = listed(given)
    if many is None:
        raise Refusal(f"{quoted(given)} is one day; give a list of them, such as [2024-04-02, 2024-05-04].")
    days = tuple(map(as_day, many))
    for before, after in pairwise(days):
        if after < before:
            raise Refusal(
                f"`{after}` stands after `{before}`; give the days from the earliest on, and look for a "
                "mistyped year or month."
            )
        if after == before:
            raise Refusal(
                f"`{after}` stands twice, and a day has one {one}; give their mean, or correct a date."
            )
    if days:
        not_after(days[-1], today)
    return days


def spoken(day: date) -> str:
    """Write a day as people say it.

    Parameters
    ----------
    day : date

    Returns
    -------
    str
        Day, month in words, year.

    Examples
    --------
    >>> spoken(date(2024, 5, 4))
    '4 May 2024'
    """
    return f"{day.day} {_MONTHS[day.month - 1]} {day.year}"


def interval_of(text: str) -> int:
    """Read an interval between days.

    Parameters
    ----------
    text : str
        With its unit: days, weeks, months (a twelfth of a year) or years; a bare number up to 12 is months.

    Returns
    -------
    int
        Rounded to whole days, at least one. [d]

    Raises
    ------
    Refusal
        If it is none, shorter than a day, longer than ninety years, or a bare number that could be days.

    Examples
    --------
    >>> [interval_of(text) for text in ("7 d", "6 weeks", "3 months", "3", "1 year")]
    [7, 42, 91, 91, 365]
    >>> interval_of("often")
    Traceback (most recent call last):
    slurrycalc.metrology.remark.Refusal: `often` is no interval from a day to ninety years; write for
    instance 7 d, 6 weeks or 3 months.
    """
    try:
        months = months_of(text)
    except Unsaid:
        raise
    except Refusal:
        months = 0.0
    days = months * DAYS_PER_MONTH
    if not 1.0 <= days <= LONGEST:
        raise Refusal(
            f"{quoted(text)} is no interval from a day to ninety years; write for instance 7 d, 6 weeks or 3 "
            "months."
        )
    return round(days)


class Unsaid(Refusal):
    """A bare number that could be days as well as months."""


def months_of(given: float | str) -> float:
    """Read a duration; a number is months, and one that is typed is so up to 12. [month].

    Raises
    ------
    Unsaid
        If a bare number above was typed.
    """
    kind, found = measured(given, ("number", "duration"))
    if kind == "duration":
        return found / _MINUTES / DAYS_PER_MONTH
    if isinstance(given, str) and found > _MOST_BARE:
        text = given.strip()
        raise Unsaid(
            f"{quoted(text)} could be {text} days or {text} months: write `{text} d` or `{text} months`."
        )
    return found
