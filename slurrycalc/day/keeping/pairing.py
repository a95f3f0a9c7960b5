"""The soil probe in a step that is recorded: its indications, and its pairs with slurries."""

from __future__ import annotations

from uncertainties import UFloat

from slurrycalc.day.keeping.keeper import Keeper
from slurrycalc.day.keeping.slurries import RATIO, on_record
from slurrycalc.logbook.past import Pair, pairs
from slurrycalc.logbook.readings import handed_down_ph
from slurrycalc.logbook.things import Thing


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
    slurry = keeper.step.slurry(uid, ratio=RATIO)
    ref = keeper.step.reading(slurry, None, ph, u=u)
    keeper.step.probing(shows, probe=None if probe is None else probe.uid, enclosure=uid, slurry=slurry)
    return handed_down_ph(ph, u, ref, f"reading on {keeper.day}", keeper.inputs)
