"""The soil probe in a step that is recorded: its indications, and its pairs with slurries."""

from __future__ import annotations

from uncertainties import UFloat

from slurrycalc.day.keeping.keeper import Keeper
from slurrycalc.day.keeping.slurries import RATIO, on_record
from slurrycalc.logbook.past import Pair, jars, pairs
from slurrycalc.logbook.readings import handed_down_ph
from slurrycalc.logbook.refs import Id, Ref
from slurrycalc.logbook.things import Thing
from slurrycalc.metrology.remark import Refusal


def pairs_of(keeper: Keeper, probe: Thing | None) -> tuple[Pair, ...]:
    """Give a probe's pairs that are on record.

    Parameters
    ----------
    keeper : Keeper
        Of the step.
    probe : Thing or None
        Which one; a nameless one has none.

    Returns
    -------
    tuple of Pair
        Of all days: what was learnt of a probe later holds of it earlier as well.
    """
    known = on_record(probe)
    return () if known is None else pairs(keeper.recall, known)


def hand_down_pair(
    keeper: Keeper, shows: float, ph: float, u: float | None, *, probe: Thing | None, enclosure: Thing | None
) -> UFloat:
    """Put a pair into the step whose slurry is known by its pH only.

    That slurry may have been read and recorded as well, so it counts for the probe and not once more for the
    enclosure.

    Parameters
    ----------
    keeper : Keeper
        Of the step.
    shows : float
        What the probe showed. [pH]
    ph : float
        Of the slurry. [pH]
    u : float or None
        Its standard uncertainty, if one was stated. [pH]
    probe : Thing or None
        The probe; None for a nameless one.
    enclosure : Thing or None
        Where.

    Returns
    -------
    UFloat
        The slurry's pH as the record will give it: with the stated uncertainty, or with what a reading and a
        calibration usually have. [pH]
    """
    uid = None if enclosure is None else enclosure.uid
    slurry = keeper.step.slurry(ratio=RATIO)
    ref = keeper.step.reading(slurry, None, ph, u=u)
    keeper.step.probing(shows, probe=None if probe is None else probe.uid, enclosure=uid, slurry=slurry)
    return handed_down_ph(ph, u, ref, f"reading on {keeper.day}", keeper.inputs)


def pair_on_record(
    keeper: Keeper, shows: float, reading: str, *, probe: Thing | None, enclosure: Thing | None
) -> UFloat:
    """Put a pair into the step whose slurry was read and recorded before.

    Parameters
    ----------
    keeper : Keeper
        Of the step.
    shows : float
        What the probe showed. [pH]
    reading : str
        Number of the reading.
    probe : Thing or None
        The probe; None for a nameless one.
    enclosure : Thing or None
        Where, if it was named.

    Returns
    -------
    UFloat
        The slurry's pH. [pH]

    Raises
    ------
    Refusal
        If no such reading stands, or its jar came from another enclosure.
    """
    wanted = Id.of(reading)
    recall = keeper.recall
    rows = [row for row in recall.readings(entries=[wanted.entry]).rows if wanted.n in (None, row.n)]
    if len(rows) != 1:
        several = ", ".join(f"#{Id(row.entry, row.n)}" for row in rows)
        why = f"several readings stand there: {several}" if rows else "no reading of that number stands"
        raise Refusal(f"`#{wanted}` is no slurry to compare with: {why}; look in slurrycalc history.")
    (row,) = rows
    place = None if row.enclosure is None else recall.things.by_id[row.enclosure]
    if enclosure is not None and place is not None and place.uid != enclosure.uid:
        raise Refusal(f"`#{wanted}` is a slurry of {place.name}, not of {enclosure.name}.")
    where = enclosure or place
    (jar,) = jars(recall.readings(jars=[row.slurry]))
    uid = recall.book.rows("SELECT uid FROM entry WHERE id = ?", row.slurry[:1])[0][0]
    keeper.step.probing(
        shows,
        probe=None if probe is None else probe.uid,
        enclosure=None if where is None else where.uid,
        slurry=Ref(uid, row.slurry[1]),
        spot=row.spot,
    )
    return jar.ph
