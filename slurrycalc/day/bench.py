"""A bench day computed: from what was declared to where each enclosure stands."""

from __future__ import annotations

from typing import TYPE_CHECKING

from slurrycalc.day.jars import Jars
from slurrycalc.day.meter import calibrations_of
from slurrycalc.day.names import plain_name, plain_note
from slurrycalc.day.places import Places, RowPlaces
from slurrycalc.day.result import DayResult
from slurrycalc.day.table import read_jars
from slurrycalc.day.worksheet import Day, EnclosureEntry, ProbeEntry
from slurrycalc.measuring.electrode import BufferCheck, Calibration
from slurrycalc.measuring.expected import DEFAULT, Expected
from slurrycalc.metrology.uncertain import Inputs

if TYPE_CHECKING:
    from slurrycalc.day.keeping.bench import KeptDay
    from slurrycalc.day.keeping.keeper import Keeper
    from slurrycalc.logbook.refs import Ref

NOWHERE = Places()


def bench_day(
    day: Day,
    places: Places = NOWHERE,
    *,
    expected: Expected = DEFAULT,
    p: float = 0.95,
    inputs: Inputs | None = None,
    keeper: Keeper | None = None,
) -> DayResult:
    """Compute a declared bench day.

    Parameters
    ----------
    day : Day
        What was declared.
    places : Places
        Where its parts stand in their file, for sentences about them.
    expected : Scatter, DEFAULT or None
        What is known beforehand of the scatter of slurries of one enclosure. [pH]
    p : float
        Coverage probability of decisions. [1]
    inputs : Inputs, optional
        The map of shared errors; None takes the session's.
    keeper : Keeper, optional
        Where the day is recorded: it brings what the record knows, and gathers what the day adds.

    Returns
    -------
    DayResult
        Calibration, enclosures worst first, probe, and what must be said with them.

    Raises
    ------
    Refusal
        If something in it cannot stand; the sentence starts with its place.

    References
    ----------
    .. [1] JCGM 100:2008 (GUM); JCGM 106:2012 for the decisions.

    Examples
    --------
    >>> from slurrycalc.data.shipped import shipped
    >>> from slurrycalc.day.worksheet import read_worksheet
    >>> day, places = read_worksheet(shipped("examples", "reading-room.toml").read_bytes())
    >>> [enclosure.name for enclosure in bench_day(day, places).enclosures]
    ['window', 'stairs', 'atlas']
    """
    with places.around("note"):
        note = plain_note(day.note)
    with places.around("by"):
        by = None if day.by is None else plain_name(day.by, "keeper", "desk team")
    date = day.date
    if keeper is not None:
        keeper.step.note = note or None
        keeper.step.keeper = by = by or keeper.step.keeper
        date = keeper.day
    metered = calibrations_of(day, places, inputs, keeper)
    last = metered[max(metered)]
    under = _kept(keeper, last.kept.ref if last.kept else None)
    jars = Jars(day.jars, day.enclosures, last.calibration, places, expected, p, kept=under, metered=metered)
    return jars.result(last.check, day.probe, date=date.isoformat() if date else None, by=by, note=note)


def bench_table(
    data: bytes,
    name: str,
    calibration: Calibration,
    check: BufferCheck | None = None,
    *,
    target: tuple[float, float] | None = None,
    floor: float | None = None,
    expected: Expected = DEFAULT,
    p: float = 0.95,
    probe: str | None = None,
    keeper: Keeper | None = None,
    under: Ref | None = None,
) -> DayResult:
    """Compute a table of jars under one calibration, holding back the rows that cannot stand.

    Parameters
    ----------
    data : bytes
        The whole table, with the columns ``jar,enclosure,reading,temperature,probe,note``.
    name : str
        Its name, for sentences about it.
    calibration : Calibration
        The calibration that every jar was read under.
    check : BufferCheck, optional
        How its check bottle came out, to be handed on.
    target : pair of float, optional
        Range wanted in every enclosure; None takes common practice. [pH]
    floor : float, optional
        PH below which life suffers, in every enclosure; None takes common practice. [pH]
    expected : Scatter, DEFAULT or None
        What is known beforehand of the scatter of slurries of one enclosure. [pH]
    p : float
        Coverage probability of decisions. [1]
    probe : str, optional
        Name of the probe in its column.
    keeper : Keeper, optional
        Where the day is recorded; enclosures that are not on record are then held back with their rows.
    under : Ref, optional
        What the record calls the calibration.

    Returns
    -------
    DayResult
        As `bench_day`; its `held_back` names the rows that could not stand, in the table's order.

    Raises
    ------
    Refusal
        If the table cannot be read, or none of its rows can stand.

    Examples
    --------
    >>> from slurrycalc.data.shipped import shipped
    >>> from slurrycalc.measuring.electrode import Meter, calibrate
    >>> cal = calibrate([("7.00", 7.04, 21.0), ("4.01", 4.06, 21.0)], Meter("pH"))
    >>> day = bench_table(shipped("examples", "forty-jars.csv").read_bytes(), "forty-jars.csv", cal)
    >>> len(day.jars), [held.row for held in day.held_back], day.enclosures[0].name
    (38, [17, 31], 'map-chest')
    """
    table = read_jars(data, name)
    places, held_back = RowPlaces(name, rows=table.rows), list(table.held_back)
    kept = _kept(keeper, under)
    # A record knows its enclosures; without one, those of the table are all there are.
    enclosures = [] if kept else [EnclosureEntry(name=one) for one in table.enclosures]
    jars = Jars(
        table.jars, enclosures, calibration, places, expected, p, held_back, kept, asked=(target, floor)
    )
    date = None if keeper is None else keeper.day.isoformat()
    by = None if keeper is None else keeper.step.keeper
    return jars.result(check, None if probe is None else ProbeEntry(name=probe), date=date, by=by)


def _kept(keeper: Keeper | None, under: Ref | None) -> KeptDay | None:
    if keeper is None or under is None:
        return None
    from slurrycalc.day.keeping.bench import KeptDay  # noqa: PLC0415  only a recorded day needs it

    return KeptDay(keeper, under)
