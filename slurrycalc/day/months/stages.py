"""The stages of an exchange that is planned: which are still to be done, when, and whether that is enough."""

from __future__ import annotations

import shlex
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from itertools import pairwise
from typing import NamedTuple

from uncertainties import UFloat

from slurrycalc.data.assumed import ENOUGH
from slurrycalc.day.months.beds import first_of, level_now
from slurrycalc.day.months.series import Series, series_of
from slurrycalc.day.record.limits import chosen_limits, limits_of
from slurrycalc.deciding.bed import Replaced
from slurrycalc.deciding.days import spoken
from slurrycalc.deciding.exchange.case import Direction
from slurrycalc.deciding.exchange.words import at_or_beyond, percent
from slurrycalc.logbook.latest import event_days
from slurrycalc.logbook.recall import Recall
from slurrycalc.logbook.things import Thing
from slurrycalc.measuring.wording import in_hundred, typed
from slurrycalc.metrology.coverage import half_width, probability
from slurrycalc.metrology.figures import plus_minus


class OpenStage(NamedTuple):
    """One stage that is still to be done."""

    on: date
    """Not before its distance to the stage before it has passed."""
    fraction: float
    """Part of the bed. [1]"""


@dataclass(frozen=True)
class OpenPlan:
    """An exchange on record of which stages are still to be done."""

    stages: tuple[OpenStage, ...]
    """One at least."""
    wanted: float
    """What they shall reach: as recorded with them, or the middle of the bed's range. [pH]"""
    side: Direction | None
    """On which side of it the bed is well; None where no mix, and no reading before the plan, tells."""
    enough: str | None
    """Why they are withdrawn, by what was read since; None while they are to be done."""

    @property
    def words(self) -> str:
        """The stages, each with its day."""
        return ", ".join(f"{percent(stage.fraction, up=True)} on {spoken(stage.on)}" for stage in self.stages)


def open_plan(recall: Recall, enclosure: Thing, series: Series | None, today: date) -> OpenPlan | None:
    """Give what is still to be done of an enclosure's plan, and whether what was read since withdraws it.

    Parameters
    ----------
    recall : Recall
        The record.
    enclosure : Thing
        Which one.
    series : Series or None
        Its bench days up to the present day.
    today : date
        The present day.

    Returns
    -------
    OpenPlan or None
        None where nothing is planned, or all of it is done. It is withdrawn where the newest bench day since
        the plan was made, and since the last exchange, shows the bed at the pH wanted, or beyond it, with
        0.8. What is withdrawn when the day of its last stage comes stays so, wherever the bed drifts later.
    """
    if not enclosure.get("stages"):
        return None
    done = event_days(recall, enclosure.id, "exchange", today)
    stages = open_stages(enclosure, done)
    if not stages:
        return None
    limits, _ = chosen_limits(limits_of(enclosure))
    said = enclosure.get("wanted")
    wanted = sum(limits) / 2.0 if said is None else float(said)
    made, first = _made(enclosure), date.fromisoformat(enclosure.get("stages")[0][0])
    began = first if made is None else min(made, first)
    side: Direction | None = None
    days: Sequence[date] = ()
    if series is not None:
        side = _side(series, began, wanted)
        days = [day for day in series.days if day > max([began, *done])]
    plan = OpenPlan(stages, wanted, side, None)
    return OpenPlan(stages, wanted, side, _withdrawn(recall, enclosure, plan, limits, days))


def _side(series: Series, began: date, wanted: float) -> Direction | None:
    """Tell on which side of the pH wanted a bed is well: where the mix of a stage moves it, else its reading.

    A day's reading alone may lie beyond the pH wanted by its scatter, and would then withdraw what is needed.
    """
    for each in reversed(series.happened):
        if isinstance(each, Replaced) and each.mix is not None and each.day >= began:
            return "up" if each.mix > wanted else "down"
    before = [i for i, day in enumerate(series.days) if day <= began]
    if not before:
        return None
    return "up" if series.ph.values[before[-1]] < wanted else "down"


def _withdrawn(
    recall: Recall, enclosure: Thing, plan: OpenPlan, limits: tuple[float, float], days: Sequence[date]
) -> str | None:
    why = None
    for day, following in pairwise([*days, date.max]):
        series = series_of(recall, enclosure, until=day)
        if series is None or first_of(series, day) is not None:
            continue
        why = _enough(level_now(series, day).ph, day, plan, limits)
        if why is not None and following > plan.stages[-1].on:
            break
    return why


def _enough(ph: UFloat, on: date, plan: OpenPlan, limits: tuple[float, float]) -> str | None:
    """Say that a bed lies where it is wanted; None where it does not."""
    if plan.side is None:
        chance = probability(ph, above=limits[0]) - probability(ph, above=limits[1])
        there = f"{typed(limits[0])} to {typed(limits[1])}, its range,"
    else:
        above = plan.side == "up"
        chance = probability(ph, above=plan.wanted) if above else probability(ph, below=plan.wanted)
        there = f"{at_or_beyond(plan.wanted, plan.side)}"
    if chance < ENOUGH.value:
        return None
    read = plus_minus(ph.n, half_width(ph))
    return f"on {spoken(on)} it stood at {read}, which is {there} ({in_hundred(chance)})"


def withdrawn_words(name: str, plan: OpenPlan) -> str:
    """Say which stages are due no more, why, and how the plan is taken off the record.

    Parameters
    ----------
    name : str
        Of the enclosure.
    plan : OpenPlan
        One that is withdrawn.

    Returns
    -------
    str
    """
    return (
        f"Withdrawn of the exchange of {name}: {plan.words}, since {plan.enough}. slurrycalc enclosure "
        f"{shlex.quote(name)} --stages none takes it off the record."
    )


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
