"""Where each enclosure stands by the record: its last bench day, computed anew."""

from __future__ import annotations

import datetime
from dataclasses import dataclass

from slurrycalc.day.jars import badness
from slurrycalc.day.keeping.slurries import RATIO, limits_of, shares
from slurrycalc.day.limits import chosen_limits
from slurrycalc.day.shares import Shares
from slurrycalc.deciding.judgement import Judgement, judge
from slurrycalc.logbook.past import expectation, jars
from slurrycalc.logbook.recall import Recall
from slurrycalc.logbook.step import DISTILLED
from slurrycalc.logbook.things import Thing
from slurrycalc.measuring.slurry import SlurryResult, slurry_ph

CHANGES = ("exchange", "calcium", "charcoal")
"""Events after which an enclosure's pH is another one."""
RECENT = 24
"""Newest readings of an enclosure that are looked through for its last day: more than one day has."""


@dataclass(frozen=True)
class Stands:
    """One enclosure's last bench day."""

    name: str
    day: str
    """Year, month, day."""
    slurry: SlurryResult
    judgement: Judgement
    shares: Shares
    changed: str | None
    """The day since on which something was done that changes its pH, if any."""


def stands_on(recall: Recall, enclosure: Thing, day: datetime.date, p: float = 0.95) -> Stands | None:
    """Say where an enclosure stood on a day.

    Parameters
    ----------
    recall : Recall
        The record.
    enclosure : Thing
        Which one.
    day : date
        The day.
    p : float
        Coverage probability of the decisions. [1]

    Returns
    -------
    Stands or None
        By all its slurries of that day that stand; None without any.

    Raises
    ------
    Refusal
        If the points of a calibration cannot stand.
    """
    readings = recall.readings(enclosure, since=day, until=day)
    alike = {row.slurry for row in readings.rows if row.mixed == (RATIO, "volume", DISTILLED)}
    mine = [jar for jar in jars(readings) if jar.place in alike]
    if not mine:
        return None
    under = {row.calibration for row in readings.rows if row.slurry in alike}
    place = under.pop() if len(under) == 1 else None
    known = expectation(recall, enclosure, day)
    slurry = slurry_ph(
        None if place is None else recall.calibration(place),
        [jar.ph for jar in mine],
        spots=[jar.spot.casefold() if jar.spot else None for jar in mine],
        expected=known.scatter,
    )
    standing = judge(slurry, *chosen_limits(limits_of(enclosure)), p)
    changed = changed_since(recall, enclosure, day)
    return Stands(enclosure.name, day.isoformat(), slurry, standing, shares(slurry, known), changed)


def changed_since(recall: Recall, enclosure: Thing, day: datetime.date) -> str | None:
    """Give the last day on which something was done to an enclosure that changes its pH.

    Parameters
    ----------
    recall : Recall
        The record.
    enclosure : Thing
        Which one.
    day : date
        Only from that day on.

    Returns
    -------
    str or None
        Year, month, day; None where nothing was done since.
    """
    marks = ", ".join("?" * len(CHANGES))
    rows = recall.book.rows(
        "SELECT ev.entry, ev.n, e.day FROM event ev JOIN entry e ON e.id = ev.entry "
        f"WHERE ev.enclosure = ? AND e.day >= ? AND ev.kind IN ({marks}) ORDER BY e.day DESC",
        (enclosure.id, day.isoformat(), *CHANGES),
    )
    return next((when for entry, n, when in rows if recall.stands.has(entry, n)), None)


def last_day(recall: Recall, enclosure: Thing) -> datetime.date | None:
    """Give the last day on which an enclosure's slurries were read, None where none stands.

    Parameters
    ----------
    recall : Recall
        The record.
    enclosure : Thing
        Which one.

    Returns
    -------
    date or None
        The local day.
    """
    rows = recall.readings(enclosure, newest=RECENT).rows or recall.readings(enclosure).rows
    days = [row.day for row in rows if row.mixed == (RATIO, "volume", DISTILLED)]
    return datetime.date.fromisoformat(max(days)) if days else None


def where_all_stand(recall: Recall, p: float = 0.95) -> tuple[tuple[Stands, ...], tuple[str, ...]]:
    """Say where every enclosure in use stands.

    Parameters
    ----------
    recall : Recall
        The record.
    p : float
        Coverage probability of the decisions. [1]

    Returns
    -------
    stands : tuple of Stands
        By the last day of each, the worst first; a tub of fresh mix has nowhere to stand.
    unread : tuple of str
        Names of those that were not read yet.

    Raises
    ------
    Refusal
        If the points of a calibration cannot stand.
    """
    found, unread = [], []
    for enclosure in recall.things.of("enclosure"):
        if enclosure.get("fresh"):
            continue
        day = last_day(recall, enclosure)
        one = None if day is None else stands_on(recall, enclosure, day, p)
        if one is None:
            unread.append(enclosure.name)
        else:
            found.append(one)
    return tuple(sorted(found, key=lambda one: badness(one.judgement, one.name))), tuple(unread)
