"""Which enclosures a bench day is needed for."""

from __future__ import annotations

import datetime
from typing import Final

from slurrycalc.day.months.duties import duties
from slurrycalc.deciding.tasks import Task
from slurrycalc.logbook.recall import Recall

READ_BY: Final[frozenset[Task]] = frozenset(
    {"meter", "bench", "mix-again", "exchange", "exchange-stage", "upkeep", "retest", "steady-jar"}
)
"""Tasks that slurries are mixed and read for, or before and after: what is exchanged is read."""


def needed(recall: Recall, day: datetime.date) -> frozenset[str]:
    """Give the names of the enclosures that are to be read by a day, as `slurrycalc due` has it.

    Parameters
    ----------
    recall : Recall
        The record.
    day : date
        The bench day.

    Returns
    -------
    frozenset of str
        With the steady jar, which is read on every bench day that is held at all.
    """
    every = duties(recall, day).every
    names = {duty.thing.name for duty in every if duty.due.task in READ_BY and duty.due.days <= 0}
    steady = {thing.name for thing in recall.things.of("enclosure", day) if thing.get("steady")}
    return frozenset(names | steady) if names else frozenset()
