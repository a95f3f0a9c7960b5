"""A bench day that is on record, as it was shown: from an entry's readings, computed anew."""

from __future__ import annotations

import datetime

from slurrycalc.day.bench.result import DayResult
from slurrycalc.day.bench.standing import JudgedBy, standing_on
from slurrycalc.logbook.recall import Recall


def recalled_day(recall: Recall, entry: int, p: float = 0.95) -> DayResult | None:
    """Give what an entry's slurries came to on their day, without what its probe showed.

    Parameters
    ----------
    recall : Recall
        The record.
    entry : int
        Number of the entry.
    p : float
        Coverage probability. [1]

    Returns
    -------
    DayResult or None
        None where no slurry of it stands that was read under a calibration on record.
    """
    rows = recall.readings(entries=[entry]).rows
    places = list(dict.fromkeys(row.calibration for row in rows if row.calibration is not None))
    if not places:
        return None
    day = datetime.date.fromisoformat(rows[-1].day)
    beds = dict.fromkeys(row.enclosure for row in rows if row.enclosure is not None)
    stood = standing_on(
        recall, day, [recall.things.by_id[number] for number in beds], entry=entry, asked=JudgedBy(p=p)
    )
    if not (stood.enclosures or stood.steady or stood.fresh):
        return None
    calibrations = [recall.calibration(place) for place in places]
    return DayResult(
        date=day.isoformat(),
        by=None,
        note="",
        calibration=calibrations[-1],
        check=None,
        enclosures=stood.enclosures,
        jars=(),
        probe=None,
        held_back=(),
        cautions=(),
        remarks=(),
        before=tuple(calibrations[:-1]),
        steady=stood.steady,
        fresh=stood.fresh,
    )
