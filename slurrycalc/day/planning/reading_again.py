"""By when enclosures are to be read again, by their bench days on record and the one that is just made."""

from __future__ import annotations

import datetime
from bisect import bisect_left
from collections.abc import Mapping
from dataclasses import replace

from slurrycalc.day.again import ReadAgain
from slurrycalc.day.keeping.keeper import UNKNOWN
from slurrycalc.day.limits import Limits
from slurrycalc.day.planning.retest import retest_of
from slurrycalc.day.planning.series import Series, series_of_many
from slurrycalc.deciding.days import spoken
from slurrycalc.deciding.doubt import FIRST, see_to
from slurrycalc.deciding.trend import Retest, day_ph
from slurrycalc.logbook.recall import Recall
from slurrycalc.logbook.settings import NEVER
from slurrycalc.logbook.things import Thing
from slurrycalc.measuring.electrode.verdict import METER_IN_DOUBT
from slurrycalc.measuring.slurry import SlurryResult
from slurrycalc.metrology.batch import Batch

NO_LIMITS: Limits = (None, None)


def read_again(
    recall: Recall,
    day: datetime.date,
    read: Mapping[str, tuple[Thing, SlurryResult]],
    asked: Mapping[str, Limits] | None = None,
) -> dict[str, ReadAgain]:
    """Say by when the enclosures of a step are to be read again.

    Parameters
    ----------
    recall : Recall
        The record before the step.
    day : date
        Of the step; what is on record of later days is as if it were not.
    read : mapping of str to (Thing, SlurryResult)
        A key for each enclosure, and what it reads on that day: all of the day's slurries, those on record
        among them.
    asked : mapping of str to Limits, optional
        Range and floor that count before its own, by the same keys. [pH]

    Returns
    -------
    dict
        Key to the answer; without those that are never to be read.

    Raises
    ------
    Refusal
        If the points of a calibration cannot stand.

    Examples
    --------
    >>> from slurrycalc.logbook.store import in_memory
    >>> from slurrycalc.measuring.slurry import slurry_ph
    >>> from uncertainties import ufloat
    >>> atlas = Thing("a1b2", UNKNOWN, "enclosure", "atlas", {}, ())
    >>> day, slurry = datetime.date(2024, 5, 4), slurry_ph(None, [ufloat(5.9, 0.02), ufloat(6.0, 0.02)])
    >>> read_again(Recall(in_memory()), day, {"atlas": (atlas, slurry)})["atlas"].text
    'Read again by 3 June 2024.'
    """
    asked = {} if asked is None else asked
    due = {key: each for key, each in read.items() if each[0].get("read_every") != NEVER}
    known = [thing for thing, _ in due.values() if thing.id != UNKNOWN]
    past = series_of_many(recall, known, until=day)
    return {
        key: _sooner(thing, day, retest_of(with_day(past.get(thing.id), thing, day, slurry), None, limits))
        for key, (thing, slurry) in due.items()
        for limits in (asked.get(key, NO_LIMITS),)
    }


def with_day(series: Series | None, enclosure: Thing, day: datetime.date, read: SlurryResult) -> Series:
    """Put the bench day that is just made at the end of those on record.

    Parameters
    ----------
    series : Series or None
        Those on record until that day; None without any.
    enclosure : Thing
        As it is from now on.
    day : date
        The new one. What is on record of it already is taken for a part of it.
    read : SlurryResult
        What it reads.

    Returns
    -------
    Series
        With that day.
    """
    ph, doubted = day_ph(read), see_to(read.remarks) is FIRST[METER_IN_DOUBT]
    if series is None:
        return Series(enclosure, (day,), Batch.of([ph]), (read.n,), (), 0, doubted)
    n = bisect_left(series.days, day)
    passed: tuple[datetime.date, ...] = ()
    if series.doubted and n == len(series.days):
        # The day that waited to be read again is read again.
        n, passed = n - 1, (series.last,)
    if n == 0:
        return Series(enclosure, (day,), Batch.of([ph]), (read.n,), series.steps, 0, doubted)
    numbers = [series.ph.number(i) for i in range(n)]
    return replace(
        series,
        enclosure=enclosure,
        days=(*series.days[:n], day),
        ph=Batch.of([*numbers, ph]),
        slurries=(*series.slurries[:n], read.n),
        doubted=doubted,
        left_out=(*series.left_out, *passed),
    )


def _sooner(thing: Thing, day: datetime.date, by_trend: Retest) -> ReadAgain:
    """Take the keeper's own interval where that ends before what the trend asks for."""
    if by_trend.reason == "in doubt":
        return ReadAgain(by_trend.by, by_trend.reason, by_trend.text)
    every = thing.get("read_every")
    if every is not None:
        own = day + datetime.timedelta(days=round(float(every)))
        if own < by_trend.by:
            return ReadAgain(own, "interval of its own", f"Read again by {spoken(own)}.")
    text = f"Read again by {spoken(by_trend.by)}."
    if by_trend.reason == "at once":
        text = "Read again on the next bench day: by its earlier days it may be past its limit already."
    return ReadAgain(by_trend.by, by_trend.reason, text)
