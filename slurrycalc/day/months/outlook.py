"""What an enclosure's drift comes to: where it stands now, when it meets its limits, and what to do."""

from __future__ import annotations

import datetime
from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Literal

from slurrycalc.data.assumed import TREND_HORIZON
from slurrycalc.day.record.limits import Limits, chosen_limits
from slurrycalc.deciding.days import DAYS_PER_MONTH, spoken
from slurrycalc.deciding.judgement import checked_limits
from slurrycalc.deciding.trend import Crossing, ReadFirst, Retest, Trend, read_first, unknown
from slurrycalc.deciding.trend.crossing import retest_in_doubt
from slurrycalc.measuring.wording import in_hundred, typed
from slurrycalc.metrology.annotate import PH, NumberValue
from slurrycalc.metrology.coverage import Interval, probability
from slurrycalc.metrology.figures import number
from slurrycalc.metrology.remark import Refusal

What = Literal["floor", "lower end of the range", "upper end of the range", "limit asked for"]


@dataclass(frozen=True)
class Met:
    """When a limit is met."""

    what: What
    crossing: Crossing


@dataclass(frozen=True)
class Predicted:
    """What a bench day would read."""

    on: datetime.date
    ph: PH
    """With the scatter of a new bench day."""
    level: PH
    """The line alone."""


@dataclass(frozen=True)
class Outlook:
    """What a drift comes to."""

    shown: bool
    """Whether the interval of the drift, at the probability asked for, excludes 0."""
    meaning: str
    to_do: str
    act: bool
    """Whether it may be past its limit already."""
    plan: bool
    """Whether an exchange is worth planning: the line is more likely outside the range than inside it, or
    reaches the floor before the record grows stale."""
    below: NumberValue
    """Chance that the line lies below the floor on the last bench day. [1]"""
    retest: Retest
    now: PH | None
    """The line on the day on which it is asked; None where that is not known."""
    first: ReadFirst | None = field(metadata={"json": False})
    """Why not, where it is not, and that it is read first."""
    predicted: Predicted | None
    met: tuple[Met, ...]


def outlook(
    drift: Trend,
    today: datetime.date,
    *said: Limits,
    name: str = "it",
    ahead: datetime.date | None = None,
    asked: Sequence[float] = (),
    p: float = 0.95,
    doubted: bool = False,
) -> Outlook:
    """Say what a drift comes to.

    Parameters
    ----------
    drift : Trend
        The line through the bench days.
    today : date
        The day on which it is asked.
    said : Limits
        Range wanted and floor, those that count first, first; common practice where none says one. [pH]
    name : str
        What a sentence calls the bed.
    ahead : date, optional
        A day to predict.
    asked : sequence of float
        More limits. [pH]
    p : float
        Coverage probability. [1]
    doubted : bool
        Whether the last bench day was read under a calibration in doubt.

    Returns
    -------
    Outlook
        The floor, the end of the range toward which it drifts, and the limits asked for.

    Raises
    ------
    Refusal
        If a limit is none, or that day cannot be predicted.

    Examples
    --------
    >>> from slurrycalc.deciding.trend import trend
    >>> days = ["2024-01-02", "2024-02-01", "2024-03-03", "2024-04-02", "2024-05-04", "2024-06-01"]
    >>> found = outlook(trend(days, [5.82, 5.71, 5.69, 5.58, 5.54, 5.44]), datetime.date(2024, 6, 2))
    >>> found.meaning
    'It turns acid: a drift is shown, 0.86 in a year if it goes on as it has.'
    >>> found.met[0].crossing.earliest.isoformat()
    '2024-09-09'
    """
    (low, high), floor = checked_limits(*chosen_limits(*said))
    ends = drift.interval(p)
    shown = not ends.low <= 0.0 <= ends.high
    falls = drift.per_month.n < 0.0
    edge: tuple[What, float] = ("lower end of the range", low) if falls else ("upper end of the range", high)
    limits: list[tuple[What, float]] = [("floor", floor), edge]
    limits += [("limit asked for", limit) for limit in asked]
    retest = retest_in_doubt(drift.days[-1]) if doubted else retest_by_trend(drift, *said, p=p)
    below = probability(drift.now, below=floor)
    why = unknown(drift.days[-1], drift.unread, today, doubted=doubted)
    first = None if why is None else read_first(name, drift.days[-1], retest.by, why, today)
    met = tuple(Met(what, drift.crossing(limit, p)) for what, limit in dict.fromkeys(limits))
    plan = "" if first else _plan(met[0].crossing, retest) + _outside(drift, low, high)
    return Outlook(
        shown=shown,
        meaning=_meaning(drift, ends, shown),
        to_do=_to_do(retest, today, floor, below, p) + plan if first is None else first.text[1],
        act=retest.reason == "at once",
        plan=bool(plan),
        below=below,
        retest=retest,
        now=drift.level(today) if first is None else None,
        first=first,
        predicted=None if ahead is None else _predicted(drift, ahead),
        met=met,
    )


def retest_by_trend(drift: Trend, *limits: Limits, p: float = 0.95) -> Retest:
    """Say by when an enclosure is to be read again, by its trend.

    The floor counts whatever the trend, since a bed below it wants something done. The upper end of the range
    counts only where a rise is shown: that of a steady bed near it, or beyond it, would ask for another
    reading day after day, and none of them would tell more.

    Parameters
    ----------
    drift : Trend
    limits : Limits
        Range wanted and floor, those that count first, first; common practice where none says one. [pH]
    p : float
        Probability, one-sided, with which a limit is kept until then. [1]

    Returns
    -------
    Retest
        Twelve months after the last bench day at most.

    Examples
    --------
    >>> from slurrycalc.deciding.trend import trend
    >>> days = ["2024-01-02", "2024-02-01", "2024-03-03", "2024-04-02", "2024-05-04", "2024-06-01"]
    >>> retest_by_trend(trend(days, [5.42, 5.54, 5.62, 5.70, 5.81, 5.89])).by.isoformat()
    '2024-10-15'
    >>> retest_by_trend(trend(days, [6.35, 6.40, 6.33, 6.41, 6.36, 6.40])).by.isoformat()
    '2025-06-01'
    """
    (_, high), floor = chosen_limits(*limits)
    rising = drift.shown and drift.per_month.n > 0.0
    return drift.retest_by(floor, high if rising else None, p)


def _meaning(drift: Trend, ends: Interval, shown: bool) -> str:
    a_year = drift.per_month.n * 12.0
    if shown:
        way = "turns acid" if a_year < 0.0 else "turns less acid"
        size = number(abs(a_year), 12.0 * ends.half_width)
        return f"It {way}: a drift is shown, {size} in a year if it goes on as it has."
    fall, rise = (number(max(each, 0.0), ends.half_width) for each in (-ends.low, ends.high))
    chance = f"{in_hundred(drift.falling)} that it falls"
    return f"No drift is shown: it may fall by as much as {fall} a month, or rise by {rise} ({chance})."


def _to_do(retest: Retest, today: datetime.date, floor: float, below: float, p: float) -> str:
    if retest.reason == "at once" and below >= p:
        return (
            f"act; the line lies below the floor, {typed(floor)} ({in_hundred(below)}). Change a part of the "
            "substrate, animals out first, and read it again when it has settled."
        )
    text = retest.text[0].lower() + retest.text[1:]
    if retest.reason == "at once":
        return f"{text} Where a new bench day bears that out, act."
    if retest.by < today:
        return f"read it again now; that was due by {text.removeprefix('read again by ')}"
    return text


def _plan(floor: Crossing, retest: Retest) -> str:
    """Say by when something must be done, where the floor is met before the record grows stale."""
    if floor.state != "dated" or floor.earliest is None or retest.reason != "limit":
        return ""
    return f" Change a part of the substrate before {spoken(floor.earliest)}, or the floor may be passed."


def _outside(drift: Trend, low: float, high: float) -> str:
    """Say that the line has left the range, where that is more likely than not."""
    chances = {
        "below": probability(drift.now, below=low),
        "above": probability(drift.now, above=high),
    }
    side, chance = max(chances.items(), key=lambda each: each[1])
    if chance <= 0.5:
        return ""
    limits = f"{typed(low)} to {typed(high)}"
    return f" It lies {side} the range, {limits}, already ({in_hundred(chance)}): plan an exchange."


def _predicted(drift: Trend, day: datetime.date) -> Predicted:
    years = TREND_HORIZON.value / 12.0
    if day < drift.days[0]:
        raise Refusal(
            f"`{day}` lies before the first bench day, {drift.days[0]}; give a day to predict such as "
            f"{drift.days[-1] + datetime.timedelta(days=90)}."
        )
    if (day - drift.days[-1]).days > TREND_HORIZON.value * DAYS_PER_MONTH:
        raise Refusal(
            f"`{day}` lies more than {years:g} years after the last bench day, and no line is drawn so far; "
            f"give a day such as {drift.days[-1] + datetime.timedelta(days=90)}."
        )
    return Predicted(day, drift.predict(day), drift.level(day))
