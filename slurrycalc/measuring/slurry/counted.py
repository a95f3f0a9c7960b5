"""What is said of jars that do not count, since others of that day do."""

from __future__ import annotations

from slurrycalc.metrology.remark import Remark


def left_out(jars: int) -> Remark:
    """Say that jars were read under a calibration in doubt, and left out.

    Parameters
    ----------
    jars : int
        How many, of one enclosure and day; others of it were read under a sound calibration.

    Returns
    -------
    Remark
        Kind ``left-out``.

    Examples
    --------
    >>> left_out(1).text
    '1 jar of that day was read under a calibration in doubt, and left out: the others count.'
    """
    many, was = ("1 jar", "was") if jars == 1 else (f"{jars} jars", "were")
    text = f"{many} of that day {was} read under a calibration in doubt, and left out: the others count."
    return Remark("left-out", text)
