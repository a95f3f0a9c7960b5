"""An outside laboratory's result against ours, as both are typed."""

from __future__ import annotations

import datetime
from dataclasses import dataclass

from slurrycalc.deciding.agree import OURS, Agreement, Preparation, agree
from slurrycalc.deciding.given import Given
from slurrycalc.metrology.names import plain_name
from slurrycalc.metrology.remark import Refusal, Remark
from slurrycalc.metrology.units import stated

METHOD = "1:2 water"
"""Taken where nothing was said of how theirs was prepared: what one asks a laboratory for."""
UNSAID = Remark(
    "method-assumed",
    "How theirs was prepared was not said: 1:2 in water was taken. Ask them, and give it by --method.",
)


@dataclass(frozen=True)
class Theirs:
    """An outside result."""

    ph: float
    half_width: float | None = None
    """Stated for 95 in 100; None where none was stated. [pH]"""
    laboratory: str | None = None
    method: str | None = None
    """How the sample was prepared, as they state it."""

    @classmethod
    def typed(cls, text: str, laboratory: str | None = None, method: str | None = None) -> Theirs:
        """Take in a result as it was typed.

        Parameters
        ----------
        text : str
            ``5.85``, or with its half-width ``5.85+-0.15``. [pH]
        laboratory, method : str, optional
            In words.

        Returns
        -------
        Theirs
            In numbers.

        Raises
        ------
        Refusal
            If it is no pH.

        Examples
        --------
        >>> Theirs.typed("5.85+-0.15").half_width
        0.15
        """
        if laboratory is not None:
            laboratory = plain_name(laboratory, "laboratory", "county soil laboratory")
        try:
            return cls(*stated(text, "ph"), laboratory, method)
        except Refusal as refusal:
            raise refusal.at("their result") from None


@dataclass(frozen=True)
class OutsideCompared:
    """An outside result against ours."""

    agreement: Agreement
    enclosure: str | None
    laboratory: str | None
    sampled: datetime.date | None
    """The day of theirs."""
    read: datetime.date | None
    """The bench day of ours."""
    remarks: tuple[Remark, ...]


def compared(
    ours: Given, theirs: Theirs, ours_method: str | Preparation = OURS, p: float = 0.95
) -> OutsideCompared:
    """Compare two results.

    Parameters
    ----------
    ours : str or UFloat
        As a text with its half-width for 95 in 100, ``5.60+-0.20``. [pH]
    theirs : Theirs
        The other.
    ours_method : str or Preparation
        How ours was prepared.
    p : float
        Coverage probability of the difference. [1]

    Returns
    -------
    OutsideCompared
        Without enclosure and days.

    Raises
    ------
    Refusal
        If the two were prepared differently, or one cannot stand.

    Examples
    --------
    >>> compared("5.60+-0.20", Theirs(5.85, 0.15, method="1:2 water")).agreement.agrees
    True
    """
    given = theirs.ph if theirs.half_width is None else (theirs.ph, theirs.half_width)
    method = METHOD if theirs.method is None else theirs.method
    found = agree(ours, given, method, ours_method=ours_method, p=p)
    said = (UNSAID,) if theirs.method is None else ()
    return OutsideCompared(found, None, theirs.laboratory, None, None, (*said, *found.remarks))
