"""Whether the last reading of a bed is a surprise to the months before it, or has an odd jar."""

from __future__ import annotations

from collections.abc import Collection, Sequence

from slurrycalc.day.months.teaching import Lessons
from slurrycalc.deciding.bed import DayMean, Happening, Prior, bed, beds, next_reading
from slurrycalc.deciding.days import spoken
from slurrycalc.measuring.slurry.odd import ODD
from slurrycalc.metrology.remark import Remark

SURPRISE = "reading-surprises"
"""Kind of the remark."""


def surprised(several: Sequence[Lessons]) -> list[str | None]:
    """Tell of each of many beds, in one pass, the kind of remark that `surprise_of` makes."""
    cut = [_before_last(each.history()) for each in several]
    at = [i for i, (earlier, _) in enumerate(cut) if earlier]
    found = [ODD if each.last in each.odd else None for each in several]
    for i, known in zip(at, beds([cut[i][0] for i in at]), strict=True) if at else ():
        last = cut[i][1]
        seen = next_reading(known, last.day, last.jars, last.u, found=last.mean)
        found[i] = found[i] or (SURPRISE if seen.surprise else None)
    return found


def _before_last(history: Sequence[Happening]) -> tuple[tuple[Happening, ...], DayMean]:
    """Give what came before the last reading, nothing where that was the first; and that reading."""
    at = max(i for i, each in enumerate(history) if isinstance(each, DayMean))
    last, earlier = history[at], tuple(history[:at])
    assert isinstance(last, DayMean)
    return earlier if any(isinstance(each, DayMean) for each in earlier) else (), last


def surprise_of(
    lessons: Lessons, prior: Prior | None = None, without: Collection[str] = ()
) -> Remark | None:
    """Say that the last reading has an odd jar, or is a surprise, and what was expected of it.

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
        None where it is neither: of a first reading, and after a step of unknown size almost always.
    """
    if lessons.last in lessons.odd:
        return Remark(
            ODD,
            f"One jar of {spoken(lessons.last)} lies by itself, and is left out here. Mix another; if it was "
            "a slip, strike it out. slurrycalc history has its number.",
        )
    earlier, last = _before_last(lessons.history(without))
    if not earlier:
        return None
    seen = next_reading(bed(earlier, prior), last.day, last.jars, last.u, found=last.mean)
    if not seen.surprise:
        return None
    low, high = seen.limits
    return Remark(
        SURPRISE,
        f"The reading of {spoken(last.day)}, pH {last.mean:.2f}, surprises: by the months before it "
        f"{low:.2f} to {high:.2f} was expected (99 in 100). Mix another jar, and look for a cause, before "
        "anything is exchanged.",
    )
