"""By when an enclosure of the record is to be read again."""

from __future__ import annotations

from slurrycalc.day.months.outlook import retest_by_trend
from slurrycalc.day.months.series import Series, drift_or_why
from slurrycalc.day.record.limits import Limits, limits_of
from slurrycalc.deciding.trend import Trend
from slurrycalc.deciding.trend.crossing import (
    Retest,
    retest_after_few,
    retest_after_one,
    retest_after_step,
    retest_in_doubt,
)


def retest_of(
    series: Series, drift: Trend | str | None = None, asked: Limits = (None, None), p: float = 0.95
) -> Retest:
    """Say by when an enclosure is to be read again.

    Parameters
    ----------
    series : Series
        Its bench days.
    drift : Trend or str, optional
        What `drift_or_why` gave, where it is known already.
    asked : Limits
        Range and floor that count before its own. [pH]
    p : float
        Probability, one-sided, with which a limit is kept until then. [1]

    Returns
    -------
    Retest
        By its trend and its own limits, or those of common practice. Where there are too few bench days for
        a trend, a month after the last of them, or after what was done since. A day in doubt is read again
        at once.
    """
    if series.doubted:
        return retest_in_doubt(series.last)
    drift = drift_or_why(series) if drift is None else drift
    if isinstance(drift, Trend):
        return retest_by_trend(drift, asked, limits_of(series.enclosure), p=p)
    unread = [step for step in series.steps if step.on >= series.last]
    if unread:
        return retest_after_step(unread[-1])
    return retest_after_one(series.last) if len(series.days) == 1 else retest_after_few(series.last)
