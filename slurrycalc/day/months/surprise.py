"""Whether the last reading of a bed is a surprise to the months before it."""

from __future__ import annotations

from collections.abc import Collection

from slurrycalc.day.months.teaching import Lessons
from slurrycalc.deciding.bed import DayMean, Prior, bed, next_reading
from slurrycalc.deciding.days import spoken
from slurrycalc.metrology.remark import Remark

SURPRISE = "reading-surprises"
"""Kind of the remark."""


def surprise_of(
    lessons: Lessons, prior: Prior | None = None, without: Collection[str] = ()
) -> Remark | None:
    """Say that the last reading is a surprise, and what was expected of it; None where it is none.

    Parameters
    ----------
    lessons : Lessons
        Bench days, and what was done between them.
    prior : Prior, optional
        What is expected before any reading.
    without : collection of str
        Names of what is left out.

    Returns
    -------
    Remark or None
        None of a first reading, and after a step of unknown size almost always.
    """
    history = lessons.history(without)
    at = max(i for i, each in enumerate(history) if isinstance(each, DayMean))
    last = history[at]
    if not isinstance(last, DayMean) or not any(isinstance(each, DayMean) for each in history[:at]):
        return None
    seen = next_reading(bed(history[:at], prior), last.day, last.jars, last.u, found=last.mean)
    if not seen.surprise:
        return None
    low, high = seen.limits
    return Remark(
        SURPRISE,
        f"The reading of {spoken(last.day)}, pH {last.mean:.2f}, surprises: by the months before it "
        f"{low:.2f} to {high:.2f} was expected (99 in 100). Mix another jar, and look for a cause, before "
        "anything is exchanged.",
    )
