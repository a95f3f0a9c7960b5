"""By when an enclosure of the record is to be read again."""

from __future__ import annotations

from slurrycalc.day.keeping.slurries import limits_of
from slurrycalc.day.limits import Limits, chosen_limits
from slurrycalc.day.planning.series import Series, drift_or_why
from slurrycalc.deciding.trend import Trend
from slurrycalc.deciding.trend.crossing import Retest, retest_after_few, retest_after_one, retest_after_step


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
        a trend, a month after the last of them, or after what was done since.
    """
    drift = drift_or_why(series) if drift is None else drift
    if isinstance(drift, Trend):
        return retest_by_trend(drift, asked, limits_of(series.enclosure), p=p)
    unread = [step for step in series.steps if step.on >= series.last]
    if unread:
        return retest_after_step(unread[-1])
    return retest_after_one(series.last) if len(series.days) == 1 else retest_after_few(series.last)


def retest_by_trend(drift: Trend, *limits: Limits, p: float = 0.95) -> Retest:
    """Say by when an enclosure is to be read again, by its trend.

    The floor counts whatever the trend, since a bed below it wants something done. The upper end of the range
    counts only where a rise is shown: that of a steady bed near it, or beyond it, would ask for another
    reading day after day, and none of them would tell more.

    Parameters
    ----------
    drift : Trend
    limits : Limits
        Range wanted and floor, those that count first, first; common practice where none says one. [pH]
    p : float
        Probability, one-sided, with which a limit is kept until then. [1]

    Returns
    -------
    Retest
        Twelve months after the last bench day at most.

    Examples
    --------
    >>> from slurrycalc.deciding.trend import trend
    >>> days = ["2024-01-02", "2024-02-01", "2024-03-03", "2024-04-02", "2024-05-04", "2024-06-01"]
    >>> retest_by_trend(trend(days, [5.42, 5.54, 5.62, 5.70, 5.81, 5.89])).by.isoformat()
    '2024-10-15'
    >>> retest_by_trend(trend(days, [6.35, 6.40, 6.33, 6.41, 6.36, 6.40])).by.isoformat()
    '2025-06-01'
    """
    (_, high), floor = chosen_limits(*limits)
    rising = drift.shown and drift.per_month.n > 0.0
    return drift.retest_by(floor, high if rising else None, p)
