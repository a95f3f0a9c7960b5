"""When something was done, as people say it: paper first, typed in later."""

from __future__ import annotations

import re
from datetime import date, datetime, time, timedelta

from slurrycalc.metrology.calendar import misdated
from slurrycalc.metrology.quote import quoted
from slurrycalc.metrology.remark import Refusal

WEEKDAYS = ("monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday")
MONTHS = (
    *("january", "february", "march", "april", "may", "june", "july"),
    *("august", "september", "october", "november", "december"),
)
RIGHT = "write it like yesterday, mon, 3d (days ago) or 2024-05-04"


def day_of(text: str, today: date, *, future: bool = False) -> date:
    """Read a day.

    Parameters
    ----------
    text : str
        ``today``, ``yesterday``, a weekday of the last week, ``3d`` for three days ago, ``2024-05-04``, or
        ``4 May`` with or without its year.
    today : date
        The present day.
    future : bool
        Whether it may lie ahead, as the day on which a bottle expires does.

    Returns
    -------
    date
        The day.

    Raises
    ------
    Refusal
        If it can be read in two ways, is no day, or cannot be meant.

    Examples
    --------
    >>> today = date(2024, 5, 9)  # a Thursday
    >>> [str(day_of(text, today)) for text in ("yesterday", "mon", "3d", "4 May", "6 dec")]
    ['2024-05-08', '2024-05-06', '2024-05-06', '2024-05-04', '2023-12-06']
    >>> day_of("03/04", today)
    Traceback (most recent call last):
    slurrycalc.metrology.remark.Refusal: `03/04` could be 3 April or 4 March: write 2024-04-03 or 2024-03-04.
    """
    word = " ".join(text.split()).casefold().rstrip(".")
    day = _near(word, text, today) or _iso(word, text) or _named(word, text, today, future)
    if day is None:
        if re.fullmatch(r"\d{1,4}[/.\- ]\d{1,2}([/.\- ]\d{1,4})?", word):
            raise Refusal(_two_readings(word, text, today))
        raise Refusal(f"{quoted(text)} is no day: {RIGHT}.")
    if why := misdated(day, None if future else today):
        raise Refusal(f"{quoted(text)} {why}: {RIGHT}.")
    return day


def _near(word: str, text: str, today: date) -> date | None:
    """Read a day by its distance from today."""
    if word in ("today", "yesterday"):
        return today - timedelta(days=word == "yesterday")
    if ago := re.fullmatch(r"(\d{1,5}) ?d(?:ays?(?: ago)?)?", word, re.ASCII):
        return today - timedelta(days=int(ago[1]))
    found = [n for n, name in enumerate(WEEKDAYS) if len(word) >= 2 and name.startswith(word)]
    if len(found) != 1:
        return None
    back = (today.weekday() - found[0]) % 7
    if back == 0:
        raise Refusal(f"{quoted(text)} could be today or a week ago: write today or 7d.")
    return today - timedelta(days=back)


def _iso(word: str, text: str) -> date | None:
    """Read a day with the year first."""
    if not re.fullmatch(r"\d{4}-\d{1,2}-\d{1,2}", word, re.ASCII):
        return None
    return _made(*map(int, word.split("-")), text=text)


def _named(word: str, text: str, today: date, future: bool) -> date | None:
    """Read a day with the name of its month."""
    found = re.fullmatch(r"(\d{1,2})\.? ([a-z]{3,9})\.?,?(?: (\d{4}))?", word, re.ASCII)
    parts = found and (found[1], found[2], found[3])
    if found is None and (found := re.fullmatch(r"([a-z]{3,9})\.? (\d{1,2}),?(?: (\d{4}))?", word, re.ASCII)):
        parts = found[2], found[1], found[3]
    months = [n for n, name in enumerate(MONTHS, 1) if parts and name.startswith(parts[1])]
    if not parts or len(months) != 1:
        return None
    if parts[2]:
        return _made(int(parts[2]), months[0], int(parts[0]), text=text)
    # The nearest such day behind; where days ahead are meant too, this year's.
    year = today.year - (not future and (months[0], int(parts[0])) > (today.month, today.day))
    return _made(year, months[0], int(parts[0]), text=text)


def _made(year: int, month: int, day: int, *, text: str) -> date:
    try:
        return date(year, month, day)
    except ValueError:
        raise Refusal(f"{quoted(text)} is on no calendar: {RIGHT}.") from None


def _two_readings(word: str, text: str, today: date) -> str:
    """Say what a day in figures could be."""
    figures = [int(figure) for figure in re.split(r"[/.\- ]", word)]
    year = next((figure for figure in figures if figure > 31), None)
    others = [figure for figure in figures if figure <= 31]
    if year is None and len(others) == 3:
        year, others = 2000 + others[2], others[:2]
    readings = []
    if len(others) == 2:
        for day, month in (others, others[::-1]):
            try:
                one = date(year or today.year, month, day)
                readings.append(one if year or one <= today else one.replace(year=one.year - 1))
            except ValueError:
                continue
    readings = list(dict.fromkeys(readings))
    if not readings:
        return f"{quoted(text)} is no day: {RIGHT}."
    if len(readings) == 1:
        return f"{quoted(text)} should have its year first: write {readings[0].isoformat()}."
    spoken, written = zip(
        *((f"{one.day} {MONTHS[one.month - 1].title()}", one.isoformat()) for one in readings), strict=True
    )
    return f"{quoted(text)} could be {' or '.join(spoken)}: write {' or '.join(written)}."


def time_of(text: str) -> time:
    """Read a time of day.

    Parameters
    ----------
    text : str
        ``14:30``, ``9:05`` or ``2:30 pm``.

    Returns
    -------
    time
        To the minute.

    Raises
    ------
    Refusal
        If it is none.

    Examples
    --------
    >>> time_of("14:30"), time_of("2:30 pm")
    (datetime.time(14, 30), datetime.time(14, 30))
    """
    found = re.fullmatch(r"(\d{1,2})[:.](\d{2}) ?(am|pm)?", text.strip().casefold(), re.ASCII)
    if found and int(found[2]) < 60:
        hour, half = int(found[1]), found[3]
        if half is None and hour < 24:
            return time(hour, int(found[2]))
        if half and 1 <= hour <= 12:
            return time(hour % 12 + 12 * (half == "pm"), int(found[2]))
    raise Refusal(f"{quoted(text)} is no time of day: write it like 14:30.")


def instant(day: date, at: time | None, now: datetime) -> datetime:
    """Put a day and a time together, in the zone that holds here on that day.

    Parameters
    ----------
    day : date
        The local day.
    at : time, optional
        Noon where it is not known.
    now : datetime
        The present; of today, its zone counts.

    Returns
    -------
    datetime
        With its offset from UTC.
    """
    at = time(12) if at is None else at
    if day == now.date():
        return datetime.combine(day, at, now.tzinfo)
    # The zone's summer time is the computer's own affair, so a local time becomes one with its offset here.
    try:
        return datetime.combine(day, at).astimezone()
    except (OSError, OverflowError, ValueError):
        # Where the system knows no zone of so old a day (Windows before 1970), today's counts.
        return datetime.combine(day, at, now.tzinfo)
