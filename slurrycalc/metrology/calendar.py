"""Which days can be meant: the one rule for what is typed, filed, asked and recorded."""

from __future__ import annotations

from datetime import date
from typing import Final

EARLIEST: Final = date(1950, 1, 1)
"""Nothing was read or done before it (our own figure): an earlier year is a slip."""
LATEST: Final = date(2199, 12, 31)
"""Nothing is planned or asked beyond it (our own figure); what comes ninety years after still has a date."""


def misdated(day: date, today: date | None = None) -> str | None:
    """Say why a day cannot be meant.

    Parameters
    ----------
    day : date
        When something was read or done; or when it expires, is planned, or is asked about.
    today : date, optional
        The present day, after which nothing was read or done; None where the day may lie ahead.

    Returns
    -------
    str or None
        The rest of a sentence that begins with the day; None for a day that can be meant.

    Examples
    --------
    >>> misdated(date(24, 5, 4))
    'lies before 1950, which must be a slip'
    >>> misdated(date(2024, 5, 5), date(2024, 5, 4))
    'lies in the future, and today is 2024-05-04'
    >>> misdated(date(2024, 5, 5))
    """
    if day < EARLIEST:
        return f"lies before {EARLIEST.year}, which must be a slip"
    if today is not None and day > today:
        return f"lies in the future, and today is {today.isoformat()}"
    if day > LATEST:
        return f"lies after {LATEST.year}, which must be a slip"
    return None
