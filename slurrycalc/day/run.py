"""A bench day from a file, in one go."""

from __future__ import annotations

import datetime
from collections.abc import Sequence

from slurrycalc.day.bench import bench_day
from slurrycalc.day.places import RowPlaces
from slurrycalc.day.result import DayResult
from slurrycalc.day.table import read_jars
from slurrycalc.day.worksheet import (
    Amount,
    BottleEntry,
    Day,
    EnclosureEntry,
    MeterEntry,
    PointEntry,
    ThermometerEntry,
    read_worksheet,
)
from slurrycalc.measuring.calibration import Fit
from slurrycalc.measuring.expected import DEFAULT, Expected
from slurrycalc.metrology.uncertain import Inputs


def run_worksheet(
    data: bytes,
    name: str = "worksheet.toml",
    *,
    today: datetime.date | None = None,
    expected: Expected = DEFAULT,
    p: float = 0.95,
    inputs: Inputs | None = None,
) -> DayResult:
    """Compute the bench day that a worksheet declares.

    Parameters
    ----------
    data : bytes
        The whole worksheet.
    name : str
        Its name, for sentences about it.
    today : datetime.date, optional
        A date after it is refused; None lets any date stand.
    expected : Scatter, DEFAULT or None
        What is known beforehand of the scatter of slurries of one enclosure. [pH]
    p : float
        Coverage probability of decisions. [1]
    inputs : Inputs, optional
        The map of shared errors; None takes the session's.

    Returns
    -------
    DayResult
        Calibration, enclosures worst first, probe, and what must be said with them.

    Raises
    ------
    Refusal
        If something in it cannot stand; the sentence starts with the file, the line and the path.

    Examples
    --------
    >>> from slurrycalc.data.shipped import shipped
    >>> day = run_worksheet(shipped("examples", "reading-room.toml").read_bytes())
    >>> day.enclosures[0].name
    'window'
    """
    day, places = read_worksheet(data, name, today=today)
    return bench_day(day, places, expected=expected, p=p, inputs=inputs)


def run_table(
    data: bytes,
    name: str = "day.csv",
    *,
    meter: MeterEntry,
    points: Sequence[PointEntry],
    bottles: Sequence[BottleEntry] = (),
    check: PointEntry | None = None,
    close: PointEntry | None = None,
    fit: Fit = "line",
    thermometer: Amount | None = None,
    target: tuple[Amount, Amount] | None = None,
    floor: Amount | None = None,
    expected: Expected = DEFAULT,
    p: float = 0.95,
    inputs: Inputs | None = None,
) -> DayResult:
    """Compute a table of jars under one calibration, holding back the rows that cannot stand.

    Parameters
    ----------
    data : bytes
        The whole table.
    name : str
        Its name, for sentences about it.
    meter : MeterEntry
        The meter.
    points : sequence of PointEntry
        What it showed in two or more buffers.
    bottles : sequence of BottleEntry
        Bottles that the points name.
    check : PointEntry, optional
        Another bottle, as a check on the calibration.
    close : PointEntry, optional
        One of the bottles read once more, after the last jar.
    fit : {"line", "bracket"}
        How the buffers are fitted, as in `calibrate`.
    thermometer : float or str, optional
        How far the thermometer may be off. [degC]
    target : tuple of float or str, optional
        Range wanted in every enclosure; None takes common practice. [pH]
    floor : float or str, optional
        PH below which life suffers, in every enclosure; None takes common practice. [pH]
    expected : Scatter, DEFAULT or None
        What is known beforehand of the scatter of slurries of one enclosure. [pH]
    p : float
        Coverage probability of decisions. [1]
    inputs : Inputs, optional
        The map of shared errors; None takes the session's.

    Returns
    -------
    DayResult
        As `run_worksheet`; its `held_back` names the rows that could not stand, in the table's order.

    Raises
    ------
    Refusal
        If the table cannot be read, the calibration cannot stand, or no row can.

    Examples
    --------
    >>> from slurrycalc.data.shipped import shipped
    >>> points = [
    ...     PointEntry(buffer="7.00", shows=7.04, temperature=21),
    ...     PointEntry(buffer="4.01", shows=4.06, temperature=21),
    ... ]
    >>> day = run_table(
    ...     shipped("examples", "forty-jars.csv").read_bytes(), meter=MeterEntry(shows="pH"), points=points
    ... )
    >>> len(day.jars), [held.row for held in day.held_back], day.enclosures[0].name
    (38, [17, 31], 'map-chest')
    """
    table = read_jars(data, name)
    day = Day(
        meter=meter,
        points=tuple(points),
        jars=table.jars,
        enclosures=tuple(EnclosureEntry(name=e.name, target=target, floor=floor) for e in table.enclosures),
        bottles=tuple(bottles),
        check=check,
        close=close,
        fit=fit,
        thermometer=None if thermometer is None else ThermometerEntry(tolerance=thermometer),
    )
    places = RowPlaces(name, rows=table.rows)
    return bench_day(day, places, table=table, expected=expected, p=p, inputs=inputs)
