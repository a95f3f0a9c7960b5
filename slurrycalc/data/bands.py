"""Bands of salts in a 1:2 extract, from memory."""

from __future__ import annotations

from bisect import bisect_right
from dataclasses import dataclass
from functools import cache
from itertools import pairwise
from math import inf

from slurrycalc.data import table
from slurrycalc.data.assumed import Known


@dataclass(frozen=True, slots=True)
class Band:
    """A range of conductivity at 25 degC, and what it means for potted plants."""

    name: str
    low: float
    """Where it begins. [uS/cm]"""
    high: float
    """Where the next one begins; infinite for the last. [uS/cm]"""
    means: str
    known: Known
    source: str


@cache
def bands() -> tuple[Band, ...]:
    """Give every row of ``bands.toml``.

    Returns
    -------
    tuple of Band
        From the lowest on.

    Examples
    --------
    >>> [(band.name, band.high) for band in bands()][:3]
    [('very low', 250.0), ('low', 750.0), ('normal', 1250.0)]
    """
    rows = table("bands")["band"]
    edges = [*(1000.0 * row["above"] for row in rows), inf]
    return tuple(
        Band(row["name"], low, high, row["means"], row["known"], row["source"])
        for row, (low, high) in zip(rows, pairwise(edges), strict=True)
    )


def band_at(conductivity: float) -> Band:
    """Find the band of a conductivity.

    Parameters
    ----------
    conductivity : float
        Of a 1:2 extract at 25 degC, 0 or more. [uS/cm]

    Returns
    -------
    Band

    Examples
    --------
    >>> band_at(940.0).name, band_at(1250.0).name
    ('normal', 'high')
    """
    rows = bands()
    return rows[max(bisect_right([row.low for row in rows], conductivity) - 1, 0)]
