"""The course of a bed: where it stood day by day, as it was known then, and where it is foreseen to stand."""

from __future__ import annotations

import datetime
from collections.abc import Collection
from dataclasses import dataclass
from math import hypot, sqrt

from uncertainties import UFloat

from slurrycalc.day.months.teaching import Lessons, Taught
from slurrycalc.deciding.bed import DayMean, Disturbed, Prior, Replaced, bed
from slurrycalc.deciding.bed.answers import spot_variance
from slurrycalc.deciding.bed.history import counted
from slurrycalc.metrology.annotate import PH
from slurrycalc.metrology.results import Valued
from slurrycalc.metrology.uncertain import nameless

APART = 30
"""Between two days that are foreseen. [d]"""


@dataclass(frozen=True)
class Stood(Valued, value="level", words="pH {}"):
    """Where a bed stood on a day, without what came later."""

    on: datetime.date
    level: PH
    read: bool
    """Whether it was read on that day; else something was done, or it is foreseen."""


def course(
    lessons: Lessons,
    until: datetime.date,
    prior: Prior | None = None,
    without: Collection[str] = (),
) -> tuple[Stood, ...]:
    """Give a bed's level on each day of its history, and on days that are foreseen.

    Parameters
    ----------
    lessons : Lessons
        Bench days, and what was done between them.
    until : date
        To which it is foreseen; nothing is where that is not after the last entry.
    prior : Prior, optional
        What is expected before any reading.
    without : collection of str
        Names of what is left out, as if it had done nothing.

    Returns
    -------
    tuple of Stood
        In the order of days; of a day on which something was done, before it and after it.
    """
    first, *rest = counted(lessons.history(without))
    now, places = bed([first], prior), {day: i for i, day in enumerate(lessons.days)}
    shared = lessons.parts.shared(0)
    found = [Stood(now.last, Taught(now, shared, 0.0).level(), read=True)]
    for each in rest:
        done = isinstance(each, Replaced | Disturbed)
        if done and each.day > found[-1].on:
            found.append(Stood(each.day, Taught(now, shared, 0.0).level(each.day), read=False))
        now = now.after(each)
        if isinstance(each, DayMean):
            shared = lessons.parts.shared(places[each.day])
        if done or isinstance(each, DayMean):
            found.append(Stood(each.day, Taught(now, shared, 0.0).level(), read=not done))
    ahead = (until - now.last).days
    some = [now.last + datetime.timedelta(days=days) for days in range(APART, max(ahead - 1, 0), APART)]
    taught = Taught(now, shared, 0.0)
    last = (until,) if ahead > 0 else ()
    found += [Stood(day, taught.level(day), read=False) for day in (*some, *last)]
    return tuple(found)


def readings(lessons: Lessons, taught: Taught) -> tuple[UFloat, ...]:
    """Give what each day's jars read, as sure as this bed and that day's calibration make it. [pH]."""
    scatter, shared = spot_variance(taught.bed), taught.u_shared
    days = zip(lessons.ph.values.tolist(), lessons.slurries, lessons.parts.own.tolist(), strict=True)
    return tuple(
        ph + nameless(hypot(sqrt(scatter / jars), own, shared), "jars of this bed", "measured")
        for ph, jars, own in days
    )
