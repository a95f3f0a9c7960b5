"""The keeper of a step that names nothing on record."""

from __future__ import annotations

import datetime

from slurrycalc.day.record.keeper import Keeper
from slurrycalc.logbook.refs import When
from slurrycalc.logbook.step import Step
from slurrycalc.logbook.store import in_memory
from slurrycalc.metrology.uncertain import Inputs


def nameless(
    kind: str,
    now: datetime.datetime | None = None,
    *,
    new: bool = True,
    inputs: Inputs | None = None,
) -> Keeper:
    """Give a keeper for a step that names nothing: its record lies in memory and is gone afterwards.

    Examples
    --------
    >>> nameless("read").kept
    False
    """
    now = datetime.datetime.now(datetime.UTC).astimezone() if now is None else now
    return Keeper(in_memory(), Step(kind, When(now)), now=now, new=new, kept=False, inputs=inputs)
