"""By when an enclosure of the record is to be read again."""

from __future__ import annotations

from collections.abc import Sequence

from slurrycalc.day.months.rhythm import upkeep_turn
from slurrycalc.day.months.series import Series
from slurrycalc.day.months.teaching import Taught
from slurrycalc.day.record.limits import Limits, chosen_limits, limits_of
from slurrycalc.deciding.agenda import read_for
from slurrycalc.deciding.bed import Bound
from slurrycalc.deciding.bed.again import read_again_by
from slurrycalc.deciding.days import spoken
from slurrycalc.deciding.trend import LevelStep
from slurrycalc.deciding.trend.crossing import Retest, retest_after_step, retest_foreseen, retest_in_doubt
from slurrycalc.metrology.coverage import half_width


def bounds_of(taught: Taught, *limits: Limits, p: float = 0.95) -> list[Bound]:
    """Give the limits that a bed is read again for.

    The floor counts whatever the drift, since a bed below it wants something done. The upper end of the range
    counts only where a rise is shown: that of a steady bed near it, or beyond it, would ask for another
    reading day after day, and none of them would tell more.

    Parameters
    ----------
    taught : Taught
        The bed.
    limits : Limits
        Range wanted and floor, those that count first, first; common practice where none says one. [pH]
    p : float
        Coverage probability of what is shown. [1]

    Returns
    -------
    list of (side, pH)
    """
    (_, high), floor = chosen_limits(*limits)
    rate = taught.rate()
    rises = rate.n > half_width(rate, p)
    return [("floor", floor), *([("ceiling", high)] if rises else [])]  # type: ignore[list-item]


def retest_of(
    series: Series,
    asked: Limits = (None, None),
    p: float = 0.95,
    *,
    taught: Taught | None = None,
    steps: Sequence[LevelStep] | None = None,
) -> Retest:
    """Say by when an enclosure is to be read again.

    Parameters
    ----------
    series : Series
        Its bench days.
    asked : Limits
        Range and floor that count before its own. [pH]
    p : float
        Coverage probability of what is shown. [1]
    taught : Taught, optional
        Its bed, where that is not what all its days teach.
    steps : sequence of LevelStep, optional
        What shifted its level, where some of it is left out.

    Returns
    -------
    Retest
        By its bed and its own limits, or those of common practice; after what was done since it was read, a
        week or a month after that; on the turn of its upkeep at the latest. A day in doubt is read again at
        once.
    """
    if series.doubted:
        return retest_in_doubt(series.last)
    steps = series.steps if steps is None else steps
    unread = [step for step in steps if step.on >= series.last]
    if not all(step.foreseen for step in unread):
        return retest_after_step(unread[-1])
    taught = series.taught if taught is None else taught
    bounds = bounds_of(taught, asked, limits_of(series.enclosure), p=p)
    found = read_again_by(taught.bed, bounds, u_shared=taught.u_shared)
    turn = upkeep_turn(series)
    found = retest_foreseen(found, unread[-1], turn) if unread else found
    if turn is None or turn >= found.by or read_for(turn, series.last):
        return found
    return Retest(turn, "upkeep", f"Read again by {spoken(turn)}, the turn of its upkeep.")
