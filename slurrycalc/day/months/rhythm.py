"""The rhythm of an upkeep that is on record: when its next exchange has its turn."""

from __future__ import annotations

import datetime

from slurrycalc.day.months.series import Series
from slurrycalc.deciding.agenda import read_for
from slurrycalc.deciding.trend.through_time import EXCHANGE
from slurrycalc.logbook.settings import NEVER
from slurrycalc.logbook.things import Thing

UPKEEP: str = "upkeep_every"
"""The setting of an enclosure that says how often. [d]"""


def upkeep_days(enclosure: Thing) -> int | None:
    """Give the days from one exchange of its upkeep to the next; None where none is kept to."""
    said = enclosure.get(UPKEEP)
    return None if said in (None, NEVER) else round(float(said))


def upkeep_turn(series: Series) -> datetime.date | None:
    """Give the day on which the next exchange of an enclosure's upkeep has its turn.

    It counts from the last exchange, whatever that was for. The first has its turn when the bed is read.
    """
    every = upkeep_days(series.enclosure)
    if every is None:
        return None
    done = [step.on for step in series.steps if step.name == EXCHANGE]
    return max(done) + datetime.timedelta(days=every) if done else series.last


def upkeep_asked(series: Series) -> datetime.date | None:
    """Give that day, where the bed was read for it; None where it is to be read first."""
    turn = upkeep_turn(series)
    return turn if turn is not None and read_for(turn, series.last) else None
