"""Whether the last reading of a bed is a surprise to the months before it, or has an odd jar."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np

from slurrycalc.data.assumed import READING_SURPRISE
from slurrycalc.day.months.teaching import Lessons, Taught
from slurrycalc.deciding.bed import advanced, alike, next_reading, readings
from slurrycalc.deciding.days import spoken
from slurrycalc.measuring.slurry.odd import ODD
from slurrycalc.metrology.remark import Remark

SURPRISE = "reading-surprises"
"""Kind of the remark."""
_NEAR = 1.001
"""A chance within a thousandth of the one that surprises is looked at closely."""


def surprises_of(
    several: Sequence[Lessons], taught: Sequence[Taught] | None = None
) -> list[Remark | None]:
    """Say of each of many beds what `surprise_of` says of one, in one pass."""
    known = [each.taught for each in several] if taught is None else taught
    found: list[Remark | None] = [_odd_jar(each) for each in several]
    for i in _perhaps([(i, each, known[i]) for i, each in enumerate(several)]):
        found[i] = found[i] or _surprise(several[i], known[i])
    return found


def surprise_of(lessons: Lessons, taught: Taught | None = None) -> Remark | None:
    """Say that the last reading has an odd jar, or is a surprise, and what was expected of it.

    Parameters
    ----------
    lessons : Lessons
        Bench days, and what was done between them.
    taught : Taught, optional
        The bed, where that is not what all of them teach.

    Returns
    -------
    Remark or None
        None where it is neither: of a first reading, and after a step of unknown size almost always.
    """
    return surprises_of([lessons], None if taught is None else [taught])[0]


def _odd_jar(lessons: Lessons) -> Remark | None:
    if lessons.last not in lessons.odd:
        return None
    return Remark(
        ODD,
        f"One jar of {spoken(lessons.last)} lies by itself, and is left out here. Mix another; if it was "
        "a slip, strike it out. slurrycalc history has its number.",
    )


def _perhaps(several: Sequence[tuple[int, Lessons, Taught]]) -> Iterator[int]:
    """Give the places of beds whose last reading may be a surprise."""
    read = [(i, lessons.last_mean, taught.before) for i, lessons, taught in several if taught.before]
    tail = (1.0 - READING_SURPRISE.value) / 2.0 * _NEAR
    for some, nodes in alike([before for _, _, before in read if before is not None]):
        mine = [read[k] for k in some]
        days = [before.months(last.day) for _, last, before in mine if before is not None]
        jars, u, mean = zip(*((last.jars, last.u, last.mean) for _, last, _ in mine), strict=True)
        chance = readings(advanced(nodes, days), jars, u).below(mean)
        yield from (mine[k][0] for k in np.flatnonzero((chance < tail) | (chance > 1.0 - tail)).tolist())


def _surprise(lessons: Lessons, taught: Taught) -> Remark | None:
    last = lessons.last_mean
    assert taught.before is not None
    seen = next_reading(taught.before, last.day, last.jars, last.u, found=last.mean)
    if not seen.surprise:
        return None
    low, high = seen.limits
    return Remark(
        SURPRISE,
        f"The reading of {spoken(last.day)}, pH {last.mean:.2f}, surprises: by the months before it "
        f"{low:.2f} to {high:.2f} was expected (99 in 100). Mix another jar, and look for a cause, before "
        "anything is exchanged.",
    )
