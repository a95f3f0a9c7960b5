"""Which jars of a day count, where some were read under a calibration that is in doubt."""

from __future__ import annotations

from collections.abc import Sequence

from slurrycalc.metrology.remark import Remark


def counted(doubts: Sequence[Remark | None]) -> tuple[list[int], tuple[Remark, ...]]:
    """Leave out the jars in doubt, where there are others.

    Parameters
    ----------
    doubts : sequence of Remark or None
        Of each jar of one enclosure and day, what puts the calibration in doubt that it was read under.

    Returns
    -------
    places : list of int
        Of the jars that count, from 0: those without a doubt, or all where there is none without.
    remarks : tuple of Remark
        That some were left out, kind ``left-out``; or the doubts of all.

    Examples
    --------
    >>> counted([Remark("meter-in-doubt", "Off."), None])[0], counted([Remark("meter-in-doubt", "Off.")])[0]
    ([1], [0])
    """
    sound = [place for place, doubt in enumerate(doubts) if doubt is None]
    out = len(doubts) - len(sound)
    if not sound:
        return list(range(len(doubts))), tuple(dict.fromkeys(doubt for doubt in doubts if doubt is not None))
    if not out:
        return sound, ()
    jars, was = ("1 jar", "was") if out == 1 else (f"{out} jars", "were")
    text = f"{jars} of that day {was} read under a calibration in doubt, and left out: the others count."
    return sound, (Remark("left-out", text),)
