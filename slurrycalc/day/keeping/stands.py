"""Where each enclosure stands by the record: its last bench day, computed anew."""

from __future__ import annotations

import datetime
from dataclasses import dataclass

from slurrycalc.day.jars import badness
from slurrycalc.day.keeping.events import SHIFTS
from slurrycalc.day.keeping.slurries import RATIO, limits_of, shares
from slurrycalc.day.limits import chosen_limits
from slurrycalc.day.planning.bench_state import BenchState, is_steady
from slurrycalc.day.shares import Shares
from slurrycalc.deciding.judgement import Judgement, judge
from slurrycalc.deciding.steady import SteadyDay, in_doubt
from slurrycalc.logbook.past import expectation, jars
from slurrycalc.logbook.recall import Recall
from slurrycalc.logbook.step import DISTILLED
from slurrycalc.logbook.things import Thing
from slurrycalc.measuring.slurry import SlurryResult, slurry_ph
from slurrycalc.metrology.remark import Remark

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
    bench: tuple[Remark, ...] = ()
    """What the steady jars of that day say of it."""

    @property
    def act(self) -> bool:
        """Whether it is sure enough to be acted on, by readings that are not in doubt."""
        return self.judgement.ready and self.changed is None and not in_doubt(self.bench)


@dataclass(frozen=True)
class Steadily:
    """A steady jar's last bench day."""

    name: str
    said: SteadyDay


@dataclass(frozen=True)
class AllStand:
    """Where every enclosure in use stands."""

    stands: tuple[Stands, ...]
    """By the last day of each, the worst first; a tub of fresh mix has nowhere to stand."""
    unread: tuple[str, ...]
    """Names of those that were not read yet."""
    steady: tuple[Steadily, ...]
    """The steady jars, which have no range and no floor."""


def stands_on(
    recall: Recall,
    enclosure: Thing,
    day: datetime.date,
    p: float = 0.95,
    *,
    bench: BenchState | None = None,
) -> Stands | None:
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
    bench : BenchState, optional
        The steady jars, where many enclosures are asked for.

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
    said = (BenchState(recall) if bench is None else bench).remarks(day)
    return Stands(enclosure.name, day.isoformat(), slurry, standing, shares(slurry, known), changed, said)


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
    marks = ", ".join("?" * len(SHIFTS))
    rows = recall.book.rows(
        "SELECT ev.entry, ev.n, e.day FROM event ev JOIN entry e ON e.id = ev.entry "
        f"WHERE ev.enclosure = ? AND e.day >= ? AND ev.kind IN ({marks}) ORDER BY e.day DESC",
        (enclosure.id, day.isoformat(), *SHIFTS),
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


def where_all_stand(recall: Recall, p: float = 0.95) -> AllStand:
    """Say where every enclosure in use stands.

    Parameters
    ----------
    recall : Recall
        The record.
    p : float
        Coverage probability of the decisions. [1]

    Returns
    -------
    AllStand
        By the last bench day of each.

    Raises
    ------
    Refusal
        If the points of a calibration cannot stand.
    """
    found, unread, steady = [], [], []
    bench = BenchState(recall)
    for enclosure in recall.things.of("enclosure"):
        if enclosure.get("fresh"):
            continue
        day = last_day(recall, enclosure)
        if day is None:
            unread.append(enclosure.name)
        elif is_steady(enclosure):
            steady.append(Steadily(enclosure.name, bench.on(day)[enclosure.uid]))
        elif (one := stands_on(recall, enclosure, day, p, bench=bench)) is not None:
            found.append(one)
    found.sort(key=lambda one: badness(one.judgement, one.name))
    return AllStand(tuple(found), tuple(unread), tuple(steady))
