"""The stages of an exchange that is planned: which of them are still to be done, and when."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date, timedelta
from typing import NamedTuple

from slurrycalc.logbook.things import Thing


class OpenStage(NamedTuple):
    """One stage that is still to be done."""

    on: date
    """Not before its distance to the stage before it has passed."""
    fraction: float
    """Part of the bed. [1]"""


def open_stages(enclosure: Thing, exchanges: Iterable[date]) -> tuple[OpenStage, ...]:
    """Give the stages of an enclosure's plan that are still to be done.

    Parameters
    ----------
    enclosure : Thing
        Its setting ``stages`` is the plan: a date and a part of the bed for each, in the order of time.
    exchanges : iterable of date
        Days on which a part of its bed was exchanged, as the record has them.

    Returns
    -------
    tuple of OpenStage
        Each exchange since the plan was made counts as the next stage. One that came late moves those after
        it, so that roots and small fauna get their time between two.

    Examples
    --------
    >>> planned = [["2024-06-01", 0.3], ["2024-06-29", 0.3], ["2024-07-27", 0.3]]
    >>> atlas = Thing("", 1, "enclosure", "atlas", {"stages": planned}, ())
    >>> [str(stage.on) for stage in open_stages(atlas, [date(2024, 5, 2), date(2024, 6, 4)])]
    ['2024-07-02', '2024-07-30']
    """
    plan = [OpenStage(date.fromisoformat(on), float(part)) for on, part in enclosure.get("stages") or ()]
    if not plan:
        return ()
    made = _made(enclosure)
    done = sorted(day for day in exchanges if day >= plan[0].on or (made is not None and day > made))
    if not done:
        return tuple(plan)
    count = min(len(done), len(plan))
    late = max(done[count - 1] - plan[count - 1].on, timedelta())
    return tuple(OpenStage(stage.on + late, stage.fraction) for stage in plan[count:])


def _made(enclosure: Thing) -> date | None:
    """Give the day on which the plan was recorded: an exchange of that day came before it."""
    said = [each.recorded for each in enclosure.said if each.key == "stages" and each.stands]
    return date.fromisoformat(said[-1][:10]) if said else None
