"""What was done to an enclosure and tried with its substrate, as the model of its bed takes it."""

from __future__ import annotations

import datetime
from collections.abc import Collection, Iterable, Mapping
from math import log

from uncertainties import UFloat
from uncertainties.core import Variable

from slurrycalc.day.record.tubs import tub_ph
from slurrycalc.deciding.bed import Disturbed, RatioTried, Replaced
from slurrycalc.deciding.trend import LevelStep
from slurrycalc.logbook.blends import newest_trial
from slurrycalc.logbook.recall import Recall
from slurrycalc.logbook.shifts import KeptShift, part_of, shifts_of
from slurrycalc.logbook.things import Thing
from slurrycalc.measuring.expected import DEFAULT, SLURRIES, resolve
from slurrycalc.metrology.uncertain import NORMAL_95


def happenings(recall: Recall, bed: Thing, shifts: Iterable[KeptShift]) -> tuple[Replaced | Disturbed, ...]:
    """Give what shifted the level of a bed, each exchange with its part and its mix where both are known.

    Parameters
    ----------
    recall : Recall
        The record.
    bed : Thing
        An enclosure.
    shifts : iterable of KeptShift
        In the order of the record.

    Returns
    -------
    tuple of Replaced or Disturbed
        In the same order.
    """
    found: list[Replaced | Disturbed] = []
    for each in shifts:
        if each.kind != "exchange":
            found.append(Disturbed(each.day, each.kind))
            continue
        mix = mix_of(recall, each)
        u = 0.0 if mix is None else mix.s
        found.append(Replaced(each.day, part_of(bed, each), None if mix is None else mix.n, u))
    return tuple(found)


def steps_of(recall: Recall, enclosures: Collection[int]) -> dict[int, list[LevelStep]]:
    """Give what shifted the level of enclosures by day and name, as `shifts_of` does."""
    return {
        number: [LevelStep(each.day, each.kind) for each in shifts]
        for number, shifts in shifts_of(recall, enclosures).items()
    }


def all_tried(
    recall: Recall, beds: Mapping[int, Thing], until: datetime.date | None
) -> dict[int, RatioTried]:
    """Give what the newest trial with fresh mix tells of how beds buffer, of those that have one."""
    rows = recall.book.rows("SELECT DISTINCT enclosure FROM blend WHERE enclosure IS NOT NULL")
    found = {number: _tried(recall, beds[number], until) for (number,) in rows if number in beds}
    return {number: one for number, one in found.items() if one is not None}


def _tried(recall: Recall, bed: Thing, until: datetime.date | None) -> RatioTried | None:
    from slurrycalc.deciding.trial.capacity import capacity_ratio  # noqa: PLC0415  only with a trial
    from slurrycalc.deciding.trial.doses import PERCENT as FRESH_PERCENT  # noqa: PLC0415

    kept = newest_trial(recall, bed, until=until, unit=FRESH_PERCENT)
    if kept is None:
        return None
    parts = [jar.dose / 100.0 for jar in kept.jars]
    ratio = capacity_ratio(parts, kept.ph, resolve(DEFAULT, SLURRIES))
    return None if ratio is None else RatioTried(kept.when.day, log(ratio.n), ratio.s / ratio.n)


def mix_of(recall: Recall, shift: KeptShift) -> UFloat | None:
    """Give the pH of what an exchange put in, as given or as its tub read last by then. [pH]."""
    if shift.ph is not None:
        return Variable(shift.ph, (shift.half_width or 0.0) / NORMAL_95)
    if shift.tub is None:
        return None
    tub = recall.things.by_id.get(shift.tub)
    return None if tub is None else tub_ph(recall, tub, shift.day)
