"""A time that a person types at the bench or from paper, and never a reading in its place."""

from __future__ import annotations

import datetime
import re

from slurrycalc.metrology.quote import quoted
from slurrycalc.metrology.remark import Refusal

_CLOCK = re.compile(r"(?:at\s+)?(\d{1,2}):(\d{2})(?:\s*([ap])\.?m\.?)?", re.I | re.ASCII)
_POINTED = re.compile(r"(\d{1,2})[.,](\d{2})", re.ASCII)
_AGO = re.compile(
    r"(?:(?P<part>half an|an?|\d{1,2}(?:[.,]\d)?)\s*h(?:rs?|ours?)?)?"
    r"(?:\s*(?:and\s+)?(?P<minutes>\d{1,3})\s*m(?:in(?:ute)?s?)?)?\s+ago",
    re.I | re.ASCII,
)
_HOURS = {"half an": 0.5, "a": 1.0, "an": 1.0}
_NOW = ("", "now", "y", "yes")
A_DAY = datetime.timedelta(days=1)
RIGHT = "Enter says now; or write 10:40, 40 min ago, or 1 h ago"
WRITTEN = "write it like 10:40, or Enter where nobody wrote it down"


def is_time(line: str) -> bool:
    """Tell whether a line is a time, and so no reading.

    Examples
    --------
    >>> [is_time(line) for line in ("10:40", "1 h ago", "now", "5.41", "5.41 21C")]
    [True, True, True, False, False]
    """
    text = line.strip()
    return text.casefold() == "now" or bool(_CLOCK.fullmatch(text)) or _ago(text) is not None


def moment(line: str, now: datetime.datetime) -> datetime.datetime:
    """Take the time at which something was done: now, or some time before.

    Parameters
    ----------
    line : str
        Empty or ``now``, ``10:40``, ``40 min ago`` or ``1 h ago``.
    now : datetime
        The present.

    Returns
    -------
    datetime
        Not after the present.

    Raises
    ------
    Refusal
        If it is no such time; what may be a reading is none.

    Examples
    --------
    >>> noon = datetime.datetime(2024, 5, 4, 12, tzinfo=datetime.UTC)
    >>> lines = ("", "11:40", "5 min ago", "1 h ago", "1 h 20 min ago", "half an hour ago")
    >>> [f"{moment(line, noon):%H:%M}" for line in lines]
    ['12:00', '11:40', '11:55', '11:00', '10:40', '11:30']
    """
    text = line.strip()
    if text.casefold() in _NOW:
        return now
    ago = _ago(text)
    if ago is not None and ago <= A_DAY:
        return now - ago
    then = on_clock(text, now)
    if then is not None and then <= now:
        return then
    if then is not None:
        raise Refusal(f"{quoted(text)} is still to come, and it is {now:%H:%M}: write when it was stirred.")
    raise _no_time(text, RIGHT)


def as_written(line: str, day: datetime.datetime) -> datetime.datetime | None:
    """Take a time from paper; None where nobody wrote it down.

    Parameters
    ----------
    line : str
        Empty, or ``10:40``.
    day : datetime
        Some moment of the day on the paper.

    Returns
    -------
    datetime or None
        On that day.

    Raises
    ------
    Refusal
        If it is no time of a day; a day from paper knows no present.
    """
    text = line.strip()
    if not text:
        return None
    then = on_clock(text, day)
    if then is not None:
        return then
    if is_time(text):
        raise Refusal(f"{quoted(text)} is counted from now, and this day is from paper: {WRITTEN}.")
    raise _no_time(text, WRITTEN[0].upper() + WRITTEN[1:])


def on_clock(text: str, day: datetime.datetime) -> datetime.datetime | None:
    """Take a time of day, with the day and the zone of another moment; None where it is none."""
    clock = _CLOCK.fullmatch(text.strip())
    if clock is None:
        return None
    hour, minute, half = int(clock[1]), int(clock[2]), (clock[3] or "").casefold()
    if minute > 59 or hour > 23 or (half and not 1 <= hour <= 12):
        return None
    if half:
        hour = hour % 12 + 12 * (half == "p")
    return day.replace(hour=hour, minute=minute, second=0, microsecond=0)


def _ago(text: str) -> datetime.timedelta | None:
    found = _AGO.fullmatch(text)
    if found is None or (found["part"] is None and found["minutes"] is None):
        return None
    part = (found["part"] or "0").casefold()
    hours = _HOURS.get(part) or float(part.replace(",", "."))
    return datetime.timedelta(hours=hours, minutes=int(found["minutes"] or 0))


def _no_time(text: str, right: str) -> Refusal:
    """Say that a line is no time; one like 10.40 could be a pH, and is never guessed."""
    pointed = _POINTED.fullmatch(text)
    if pointed and int(pointed[1]) < 24 and int(pointed[2]) < 60:
        meant = f"{pointed[1]}:{pointed[2]}"
        return Refusal(f"{quoted(text)} may be a reading, and this asks for a time: write {meant} for that.")
    return Refusal(f"{quoted(text)} is no time: {right}.")
