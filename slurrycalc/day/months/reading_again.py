"""By when enclosures are to be read again, by their bench days on record."""

from __future__ import annotations

import datetime
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

from slurrycalc.day.record.limits import NO_LIMITS, Limits
from slurrycalc.deciding.days import spoken
from slurrycalc.logbook.settings import NEVER
from slurrycalc.logbook.things import Thing

if TYPE_CHECKING:
    from slurrycalc.day.months.series import Series
    from slurrycalc.deciding.trend import Retest


@dataclass(frozen=True)
class ReadAgain:
    """By when an enclosure is to be read again."""

    by: datetime.date
    reason: Literal[
        "limit",
        "at once",
        "longest",
        "first reading",
        "step",
        "in doubt",
        "upkeep",
        "interval of its own",
    ]
    """As a trend gives it, or the interval that is set for the enclosure, where that ends earlier."""
    text: str
    """The sentence that a person reads."""


def read_again(
    series: Mapping[int, Series], day: datetime.date, read: Iterable[Thing], asked: Limits = NO_LIMITS
) -> dict[int, ReadAgain]:
    """Say by when the enclosures of a bench day are to be read again.

    Parameters
    ----------
    series : mapping
        Number of each of them to its bench days, that day the last.
    day : date
        The bench day.
    read : iterable of Thing
        The enclosures that were read on it.
    asked : Limits
        Range and floor that count before their own. [pH]

    Returns
    -------
    dict
        Number of an enclosure to the answer; without those that are never to be read.
    """
    from slurrycalc.day.months.retest import retests_of  # noqa: PLC0415  only with the record

    due = [thing for thing in read if thing.get("read_every") != NEVER and thing.id in series]
    by_trend = retests_of([series[thing.id] for thing in due], asked)
    return {thing.id: _sooner(thing, day, by) for thing, by in zip(due, by_trend, strict=True)}


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
