"""What the record knows of a bed before its probe is looked at, and how old the probe's pairs are."""

from __future__ import annotations

import datetime
from collections.abc import Sequence
from statistics import fmean
from typing import NamedTuple

from slurrycalc.day.months.retest import retest_of
from slurrycalc.day.months.series import series_of
from slurrycalc.day.record.limits import NO_LIMITS, Limits
from slurrycalc.deciding.bed import level, rate, spot_variance
from slurrycalc.deciding.days import DAYS_PER_MONTH
from slurrycalc.deciding.trend import Retest
from slurrycalc.logbook.past import Pair
from slurrycalc.logbook.recall import Recall
from slurrycalc.logbook.things import Thing
from slurrycalc.measuring.probe import Before, bed_before, without_record
from slurrycalc.measuring.probe.before import Measurand


class Known(NamedTuple):
    """A bed as its slurries say."""

    before: Before
    retest: Retest | None
    """By when it is to be read again; None where no slurry of it is on record."""


def known_of(
    recall: Recall,
    bed: Thing | None,
    day: datetime.date,
    *,
    limits: Limits = NO_LIMITS,
    measurand: Measurand = "spot",
    p: float = 0.95,
) -> Known:
    """Say what is known of a spot of a bed, or of its mean, on a day, without the probe.

    Parameters
    ----------
    recall : Recall
    bed : Thing or None
        Where the probe stands; None where nobody says.
    day : date
        What is later is left out.
    limits : Limits
        Range and floor that count before its own. [pH]
    measurand : {"spot", "bed"}
    p : float
        Coverage probability. [1]

    Returns
    -------
    Known
        What beds usually are, where no slurry of it is on record.
    """
    series = series_of(recall, bed, until=day) if bed is not None and bed.is_bed else None
    if series is None:
        return Known(without_record(measurand), None)
    taught, retest = series.taught, retest_of(series, limits, p)
    on = max(day, taught.bed.last)
    now = level(taught.bed, on)
    before = bed_before(
        now.value,
        now.u,
        rate=rate(taught.bed, on).value,
        months=(day - series.last).days / DAYS_PER_MONTH,
        spot_variance=spot_variance(taught.bed, on),
        shared=taught.shared,
        measurand=measurand,
        overdue=retest.reason in ("at once", "in doubt") or retest.by < day,
    )
    return Known(before, retest)


def bed_of_pairs(pairs: Sequence[Pair]) -> Thing | None:
    """Give the bed that the newest of a probe's pairs is from; None where none says.

    Of one day it is the first by name, so that it is the same in whatever order its jars were entered.
    """
    beds = [(pair.day, pair.enclosure) for pair in pairs if pair.enclosure and pair.enclosure.is_bed]
    newest = max((day for day, _ in beds), default=None)
    return min((bed for day, bed in beds if day == newest), key=lambda bed: bed.name.casefold(), default=None)


def age_of(pairs: Sequence[Pair], day: datetime.date) -> float:
    """Give the time from the mean date of pairs to a day, 0 where that is later. [month]."""
    return max(0.0, fmean((day - pair.day).days for pair in pairs)) / DAYS_PER_MONTH
