"""The conductivity standard: what its bottle says, and what it is at another temperature."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

from slurrycalc.data import table
from slurrycalc.data.assumed import Known


@dataclass(frozen=True, slots=True)
class Standard:
    """A solution of known conductivity."""

    label: float
    """At 25 degC. [uS/cm]"""
    name: str
    values: tuple[tuple[float, float], ...]
    """Temperature [degC] and conductivity [uS/cm], from the coldest on."""
    known: Known
    source: str


@cache
def kcl() -> Standard:
    """Give the standard of 0.01 mol/L potassium chloride.

    Returns
    -------
    Standard
        The row of ``standards.toml``.

    Examples
    --------
    >>> kcl().label
    1413.0
    """
    row = table("standards")["standard"][0]
    values = sorted((float(at), float(value)) for at, value in row["values"].items())
    return Standard(float(row["label"]), row["name"], tuple(values), row["known"], row["source"])
