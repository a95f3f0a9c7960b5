"""By when an enclosure of the record is to be read again."""

from __future__ import annotations

from collections.abc import Sequence

from slurrycalc.day.months.rhythm import upkeep_turn
from slurrycalc.day.months.series import Series
from slurrycalc.day.months.teaching import Taught, foresee, teach_all
from slurrycalc.day.record.limits import Limits, chosen_limits, limits_of
from slurrycalc.deciding.agenda import read_for
from slurrycalc.deciding.bed import Bound, all_read_by
from slurrycalc.deciding.bed.again import in_words
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
    beds, shifts = None if taught is None else [taught], None if steps is None else [steps]
    return retests_of([series], asked, p, taught=beds, steps=shifts)[0]


def retests_of(
    several: Sequence[Series],
    asked: Limits = (None, None),
    p: float = 0.95,
    *,
    taught: Sequence[Taught] | None = None,
    steps: Sequence[Sequence[LevelStep]] | None = None,
) -> list[Retest]:
    """Say by when each of several enclosures is to be read again, as `retest_of` says it of one."""
    found: dict[int, Retest] = {}
    later: dict[int, LevelStep] = {}
    for i, series in enumerate(several):
        unread = [step for step in (series.steps if steps is None else steps[i]) if step.on >= series.last]
        if series.doubted:
            found[i] = retest_in_doubt(series.last)
        elif not all(step.foreseen for step in unread):
            found[i] = retest_after_step(unread[-1])
        elif unread:
            later[i] = unread[-1]
    at = [i for i in range(len(several)) if i not in found]
    if taught is None:
        teach_all([several[i] for i in at])
    beds = [several[i].taught if taught is None else taught[i] for i in at]
    foresee(beds, "rate")
    own = [limits_of(several[i].enclosure) for i in at]
    bounds = [bounds_of(bed, asked, limits, p=p) for bed, limits in zip(beds, own, strict=True)]
    read = all_read_by([bed.bed for bed in beds], bounds, u_shared=[bed.u_shared for bed in beds])
    for i, bed, by in zip(at, beds, read, strict=True):
        found[i] = _by_its_turn(several[i], in_words(bed.bed, by), later.get(i))
    return [found[i] for i in range(len(several))]


def _by_its_turn(series: Series, found: Retest, later: LevelStep | None) -> Retest:
    """Let a bed be read on the turn of its upkeep at the latest."""
    turn = upkeep_turn(series)
    found = found if later is None else retest_foreseen(found, later, turn)
    if turn is None or turn >= found.by or read_for(turn, series.last):
        return found
    return Retest(turn, "upkeep", f"Read again by {spoken(turn)}, the turn of its upkeep.")
