"""By when a bed is to be read again, in the words of the model of its bed."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

from slurrycalc.data.assumed import READ_AGAIN_CHANCE, READ_AGAIN_LATEST
from slurrycalc.deciding.bed.bed import Bed
from slurrycalc.deciding.bed.limits import Bound, ReadBy, read_by
from slurrycalc.deciding.days import spoken
from slurrycalc.deciding.trend.crossing import Retest, retest_after_one
from slurrycalc.measuring.wording import in_hundred


def read_again_by(
    bed: Bed, bounds: Sequence[Bound], on: date | None = None, u_shared: float = 0.0
) -> Retest:
    """Say by when a bed is to be read again, if nothing is done to it meanwhile.

    Parameters
    ----------
    bed : Bed
    bounds : sequence of (side, pH)
        Its limits.
    on : date, optional
        The day on which it is asked; that of the last entry unless given.
    u_shared : float
        Standard uncertainty that all its days share. [pH]

    Returns
    -------
    Retest

    Examples
    --------
    >>> from slurrycalc.deciding.bed import bed, day_mean
    >>> read = [day_mean(date(2026, month, 1), [6.0 - 0.08 * month] * 2, 0.012) for month in range(1, 7)]
    >>> print(read_again_by(bed(read), [("floor", 5.0)]).text)
    Read again by 3 September 2026: from then on the chance of being past its limit is above 1 in 100.
    """
    return in_words(bed, read_by(bed, bounds, on, u_shared))


def in_words(bed: Bed, found: ReadBy) -> Retest:
    """Say in words by when a bed is to be read again."""
    if found.reason == "at once":
        chance = in_hundred(found.chance)
        return Retest(found.by, "at once", f"Read again now: it may be past its limit already ({chance}).")
    if found.reason == "first reading":
        return retest_after_one(bed.read)
    text = f"Read again by {spoken(found.by)}: "
    if found.reason == "longest":
        most = f"{READ_AGAIN_LATEST.value:g} months"
        return Retest(found.by, "longest", f"{text}no bed goes unread for more than {most}.")
    chance = in_hundred(READ_AGAIN_CHANCE.value)
    why = f"from then on the chance of being past its limit is above {chance}."
    return Retest(found.by, "limit", text + why)
