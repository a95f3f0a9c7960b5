"""Where the newest days of each enclosure begin, so that a question about drift reads no more than them."""

from __future__ import annotations

import datetime
from collections.abc import Collection, Mapping
from dataclasses import dataclass

from slurrycalc.logbook.recall import Recall

Mixed = tuple[float, str, str]
"""Ratio, basis and solution of slurries that are alike."""

_OF_SOME = "FROM slurry s JOIN reading r "
_OF_ALL = "FROM reading r CROSS JOIN slurry s "
"""Walked through by reading: ``CROSS`` holds SQLite to that, which is twice as fast for all enclosures."""
_DAYS = (
    "ON r.slurry_entry = s.entry AND r.slurry_n = s.n "
    "JOIN entry e ON e.id = r.entry WHERE s.ratio = ? AND s.basis = ? AND s.solution = ? "
    "AND s.enclosure IS NOT NULL "
)


@dataclass(frozen=True)
class Window:
    """The newest days of one enclosure."""

    since: datetime.date
    """The first of them."""
    entry: int
    """No earlier entry holds a slurry of theirs, so that none needs to be looked at."""
    earlier: int
    """Days before it that were read too."""


def windows(
    recall: Recall,
    most: int,
    mixed: Mixed,
    *,
    since: datetime.date | None = None,
    until: datetime.date | None = None,
    enclosures: Collection[int] | None = None,
) -> Mapping[int, Window]:
    """Find where the days of each enclosure begin that a question about drift looks at.

    Parameters
    ----------
    recall : Recall
        The record.
    most : int
        So many days at most, the newest, where `since` is not given.
    mixed : (float, str, str)
        Only days with slurries of this ratio, basis and solution count.
    since : date, optional
        From that day on.
    until : date, optional
        Up to that day; later ones are as if they were not on record.
    enclosures : collection of int, optional
        Numbers of the enclosures; all of them unless given.

    Returns
    -------
    mapping
        Number of each enclosure that was read at all, to its window. What was struck out does not count.
    """
    by_enclosure: dict[int, dict[str, int]] = {}
    for enclosure, day, entry in _days(recall, mixed, enclosures):
        days = by_enclosure.setdefault(enclosure, {})
        days[day] = min(entry, days.get(day, entry))
    found = {}
    for enclosure, days in by_enclosure.items():
        rising = sorted(day for day in days if until is None or day <= until.isoformat())
        inside = rising[-most:] if since is None else [day for day in rising if day >= since.isoformat()]
        if inside:
            first = datetime.date.fromisoformat(inside[0])
            entry = min(days[day] for day in inside)
            found[enclosure] = Window(first, entry, len(rising) - len(inside))
    return found


def _days(
    recall: Recall, mixed: Mixed, enclosures: Collection[int] | None
) -> Collection[tuple[int, str, int]]:
    """Give each enclosure with each day on which it was read, and the entries of the slurries."""
    whose, start = "", _OF_ALL
    if enclosures is not None:
        start = _OF_SOME
        whose = f"AND s.enclosure IN ({', '.join('?' * len(enclosures))}) "
    values = (*mixed, *(enclosures or ()))
    if not recall.stands:
        return recall.book.rows(f"SELECT DISTINCT s.enclosure, e.day, s.entry {start}{_DAYS}{whose}", values)
    columns = "s.enclosure, e.day, r.entry, r.n, r.slurry_entry, r.calibration_entry"
    has = recall.stands.has
    return {
        (enclosure, day, slurry)
        for enclosure, day, entry, n, slurry, under in recall.book.rows(
            f"SELECT {columns} {start}{_DAYS}{whose}", values
        )
        if has(entry, n) and has(slurry) and (under is None or has(under))
    }
