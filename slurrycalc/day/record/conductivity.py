"""One enclosure's salts, from what a meter showed in its slurries, in their water and in a standard."""

from __future__ import annotations

import datetime
from collections.abc import Sequence
from dataclasses import dataclass, replace

from slurrycalc.measuring.expected import DEFAULT, Expected
from slurrycalc.measuring.salts import Cell, Salts, cell_factor, salts
from slurrycalc.metrology.annotate import MicroSiemensPerCm


@dataclass(frozen=True)
class Shown:
    """What the meter showed."""

    conductivity: float
    """[uS/cm]"""
    temperature: float | None = None
    """[degC]"""

    @property
    def pair(self) -> tuple[float, float] | float:
        """As `slurrycalc.measuring.salts.salts` takes it."""
        return self.conductivity if self.temperature is None else (self.conductivity, self.temperature)


@dataclass(frozen=True)
class StandardRead:
    """A bottle of standard, and what the meter showed in it."""

    label: float
    """At 25 degC, as the bottle says. [uS/cm]"""
    shown: tuple[Shown, ...]
    """All at one temperature."""
    tolerance: float | None = None
    """Half-width over its value. [1]"""


@dataclass(frozen=True)
class SaltsDay:
    """An enclosure's salts on one day."""

    on: datetime.date
    ec: MicroSiemensPerCm
    """At 25 degC, 1:2 by volume, without the water's own."""
    slurries: int


@dataclass(frozen=True)
class SaltsGiven:
    """All that is typed of one enclosure's salts on one day."""

    slurries: tuple[Shown, ...]
    blank: Shown | None = None
    """The water that the slurries were made with."""
    standard: StandardRead | None = None
    compensates: bool = False
    """Whether the meter itself shows everything at 25 degC."""
    thermometer: float | None = None
    """Half-width of its error. [degC]"""


def salts_of(given: SaltsGiven, expected: Expected = DEFAULT, cell: Cell | None = None) -> Salts:
    """Compute one enclosure's salts.

    Parameters
    ----------
    given : SaltsGiven
        What was read.
    expected : Scatter, DEFAULT or None
        What is known of the scatter of slurries beforehand. [uS/cm]
    cell : Cell, optional
        The meter, where no standard was read: one that several days share.

    Returns
    -------
    Salts
        At 25 degC, without the water's own.

    Raises
    ------
    Refusal
        If a reading cannot stand.

    Examples
    --------
    >>> jars = (Shown(880.0, 21.0), Shown(930.0, 21.0))
    >>> found = salts_of(SaltsGiven(jars, Shown(6.0, 21.0), StandardRead(1413.0, (Shown(1398.0, 23.0),))))
    >>> round(found.ec.n)
    946
    """
    standard = given.standard
    if standard is not None:
        cell = cell_factor(
            [each.conductivity for each in standard.shown],
            standard.shown[0].temperature,
            standard.label,
            compensates=given.compensates,
            tolerance=standard.tolerance,
            thermometer=given.thermometer,
        )
    return salts(
        [each.pair for each in given.slurries],
        cell,
        blank=None if given.blank is None else given.blank.pair,
        compensates=given.compensates,
        thermometer=given.thermometer,
        expected=expected,
    )


def together(given: Sequence[SaltsGiven]) -> SaltsGiven:
    """Put together what was typed step by step on one day, with one meter.

    Parameters
    ----------
    given : sequence of SaltsGiven
        In the order of time; at least one.

    Returns
    -------
    SaltsGiven
        All slurries, with the water and the standard that were read last.

    Examples
    --------
    >>> one = SaltsGiven((Shown(880.0, 21.0),), Shown(6.0, 21.0))
    >>> len(together([one, SaltsGiven((Shown(930.0, 21.0),))]).slurries)
    2
    """
    blanks = [each.blank for each in given if each.blank is not None]
    standards = [each.standard for each in given if each.standard is not None]
    return replace(
        given[-1],
        slurries=tuple(shown for each in given for shown in each.slurries),
        blank=blanks[-1] if blanks else None,
        standard=standards[-1] if standards else None,
    )
