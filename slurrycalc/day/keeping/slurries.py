"""The jars of a step that is recorded: read, remembered, held against what is known of their enclosure."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from slurrycalc.data.assumed import SLURRY_RATIO
from slurrycalc.day.keeping.keeper import UNKNOWN, Keeper
from slurrycalc.day.limits import Limits
from slurrycalc.day.shares import Shares
from slurrycalc.logbook.calibrations import indications
from slurrycalc.logbook.past import Expectation, Jar, expectation, jars
from slurrycalc.logbook.readings import KeptReading, Readings
from slurrycalc.logbook.refs import Id, Ref
from slurrycalc.logbook.step import DISTILLED
from slurrycalc.logbook.things import Thing
from slurrycalc.measuring.electrode import Calibration
from slurrycalc.measuring.electrode.calibration import PHReading
from slurrycalc.measuring.slurry import SlurryResult
from slurrycalc.metrology.remark import Refusal

RATIO = SLURRY_RATIO.value
"""Water on substrate, by volume, of every jar that a step stirs."""
ALIKE = (RATIO, "volume", DISTILLED)
"""How those jars are mixed; slurries of other mixtures give other quantities."""


def shares(result: SlurryResult, known: Expectation) -> Shares:
    """Say how much of a result's scatter rests on what.

    Parameters
    ----------
    result : SlurryResult
        Of an enclosure.
    known : Expectation
        What it was expected by.

    Returns
    -------
    Shares
        Which sum up to 1.
    """
    left = 1.0 - result.own_share
    own = 0.0 if known.own is None else known.own.dof
    past = left * own / (own + known.rest.dof)
    return Shares(result.own_share, past, left - past, known.own_days, known.other_days)


def expectation_of(keeper: Keeper, enclosure: Thing | None) -> Expectation:
    """Give what the record lets one expect of an enclosure's slurries on the day of the step.

    Parameters
    ----------
    keeper : Keeper
        Of the step.
    enclosure : Thing or None
        Which one; None for a nameless one.

    Returns
    -------
    Expectation
        From earlier days.
    """
    return expectation(keeper.recall, on_record(enclosure), keeper.day)


def on_record(thing: Thing | None) -> Thing | None:
    """Give a thing if it was on record before this step."""
    return None if thing is None or thing.id == UNKNOWN else thing


def limits_of(enclosure: Thing | None) -> Limits:
    """Give an enclosure's own target and floor.

    Parameters
    ----------
    enclosure : Thing or None
        Which one.

    Returns
    -------
    Limits
        Empty where common practice counts. [pH]
    """
    target = None if enclosure is None else enclosure.get("target")
    return (
        None if target is None else (float(target[0]), float(target[1])),
        None if enclosure is None else enclosure.get("floor"),
    )


def jars_of_day(keeper: Keeper, enclosure: Thing | None, under: Ref | None = None) -> tuple[Jar, ...]:
    """Give an enclosure's jars of the step's day that are on record and were mixed alike.

    Parameters
    ----------
    keeper : Keeper
        Of the step.
    enclosure : Thing or None
        Which one.
    under : Ref, optional
        Those alone that were read under this calibration.

    Returns
    -------
    tuple of Jar
        In the order of time.
    """
    known = on_record(enclosure)
    if known is None:
        return ()
    readings = keeper.recall.readings(known, since=keeper.day, until=keeper.day)
    alike = {row.slurry for row in readings.rows if row.mixed == ALIKE}
    if under is not None:
        alike -= {row.slurry for row in readings.rows if _under(readings, row) != under}
    return tuple(jar for jar in jars(readings) if jar.place in alike)


def _under(readings: Readings, row: KeptReading) -> Ref | None:
    place = row.calibration
    return None if place is None else Ref(readings.uids.of(place[0]), place[1])


def labels_of_day(keeper: Keeper) -> dict[tuple[int, str], Id]:
    """Give the jars of the step's day that are on record, by enclosure and label.

    Parameters
    ----------
    keeper : Keeper
        Of the step.

    Returns
    -------
    dict
        Number of the enclosure and label, capitals levelled, to the reading.
    """
    rows = keeper.readings.rows
    return {
        (row.enclosure, row.label.casefold()): Id(row.entry, row.n)
        for row in rows
        if row.enclosure is not None and row.label is not None
    }


def _not_twice(
    keeper: Keeper,
    calibration: Calibration,
    under: Ref,
    shows: Sequence[float],
    *,
    enclosure: Thing | None,
    spot: str | None,
) -> None:
    """See that a reading is not on record already: entered twice, one jar would count as two.

    A reading from spots of its own is another jar's. What was read under a calibration in doubt is there to
    be read again, and so is a steady jar under another calibration.
    """
    known = on_record(enclosure)
    if known is None:
        return
    readings, unit = keeper.readings, calibration.meter.shows
    for i, row in enumerate(readings.rows):
        meter = readings.meters[i]
        if row.enclosure != known.id or meter is None or meter.shows != unit:
            continue
        if row.mixed != ALIKE or indications(row.shows, row.again) != tuple(shows):
            continue
        if readings.doubt(i) is not None or (known.get("steady") and _under(readings, row) != under):
            continue
        if spot is None or (row.spot is not None and spot.casefold() == row.spot.casefold()):
            what = f"{shows[0]:g} {unit}" if unit == "mV" else f"{shows[0]:g}"
            there = f"jar {row.label}, {Id(row.entry, row.n)}" if row.label else str(Id(row.entry, row.n))
            already = f"{what} of {known.name} is on record for {keeper.day} already ({there})"
            if not keeper.sure(f"{already}. Is this another jar?"):
                raise Refusal(
                    f"{already}, and one jar counts once. If this is another jar, say that it has spots of "
                    'its own: --spots b; spot = "b" in a worksheet, a column spot in a table.'
                )
            return


@dataclass(frozen=True)
class KeptJar:
    """A jar that was read in this step."""

    slurry: Ref
    read: PHReading


def read_jar(
    keeper: Keeper,
    calibration: Calibration,
    under: Ref,
    shows: Sequence[float],
    temperature: float | None,
    *,
    enclosure: Thing | None,
    label: str | None = None,
    spot: str | None = None,
    note: str | None = None,
) -> KeptJar:
    """Read a jar, and put it into the step.

    Parameters
    ----------
    keeper : Keeper
        Of the step.
    calibration : Calibration
        Read under.
    under : Ref
        What the record calls it.
    shows : sequence of float
        Indications. [mV or pH, as the meter shows]
    temperature : float or None
        Of the slurry, if it was read. [degC]
    enclosure : Thing or None
        Where it came from.
    label, spot, note : str, optional
        As `slurrycalc.logbook.step.Step.slurry` takes them.

    Returns
    -------
    KeptJar
        Its pH, with the keys of the record.

    Raises
    ------
    Refusal
        If it cannot stand, or is on record already; the step is then as it was before.
    """
    _not_twice(keeper, calibration, under, shows, enclosure=enclosure, spot=spot)
    ref = keeper.next_value()
    called = f"jar {label} on {keeper.day}" if label else f"reading on {keeper.day}"
    read = calibration.read(shows, temperature, key=ref.key("reading"), called=called)
    uid = None if enclosure is None else enclosure.uid
    slurry = keeper.step.slurry(uid, label=label, spot=spot, ratio=RATIO, note=note)
    keeper.step.reading(slurry, under, shows, temperature)
    return KeptJar(slurry, read)
