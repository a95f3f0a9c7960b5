"""When a line through time reaches a limit, and by when it is to be looked at again.

Both concern the line and not a new reading, and days after the last one that was read.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date, timedelta
from math import inf
from typing import Literal

from slurrycalc.data.assumed import (
    AFTER_EXCHANGE,
    FIRST_RETEST,
    FORESEEN_RETEST,
    LONGEST_RETEST,
    TREND_HORIZON,
)
from slurrycalc.deciding.days import DAYS_PER_MONTH, months_on, spoken
from slurrycalc.deciding.trend.horizon import horizon
from slurrycalc.deciding.trend.through_time import LevelStep, LineThroughTime
from slurrycalc.measuring.wording import in_hundred
from slurrycalc.metrology.annotate import NumberValue
from slurrycalc.metrology.coverage import half_width
from slurrycalc.metrology.results import Result

State = Literal["dated", "cannot be dated", "moving away", "beyond"]


@dataclass(frozen=True)
class Crossing(Result, says=("text",)):
    """The days on which a line may reach a limit."""

    limit: float
    """In the unit of the line."""
    state: State
    """Dated; cannot be dated; moving away from the limit; or beyond the horizon to which a line is drawn."""
    earliest: date | None
    """The line may reach the limit from this day on: the day of the last reading where it may have done so
    already. Known for a line whose drift is not shown, too."""
    likely: date | None
    """Where the line itself meets the limit; None where its drift is not shown."""
    latest: date | None
    """It has reached the limit by this day; None where that cannot be said, or lies beyond the horizon."""
    p: NumberValue
    text: str
    """The sentence that a person reads."""


@dataclass(frozen=True)
class Retest(Result, says=("text",)):
    """By when to read again."""

    by: date
    reason: Literal["limit", "at once", "longest", "first reading", "step", "in doubt", "upkeep"]
    """The limit may then be reached; it may be reached now; a record grows stale; a single reading shows no
    drift; nothing was read since a step; it was read by a meter in doubt; or its upkeep has its turn."""
    text: str
    """The sentence that a person reads."""


def crossing(line: LineThroughTime, limit: float, p: float = 0.95, words: str | None = None) -> Crossing:
    """Find the days after the last reading on which a line may reach a limit.

    They solve abs(level(t) - limit) <= h(t), where h is the half-width of the level's interval. They end only
    where the interval of the slope excludes 0.

    Parameters
    ----------
    line : LineThroughTime
    limit : float
        In the unit of the line.
    p : float
        Coverage probability of the days: that they include the day on which the true line is at the limit.
    words : str, optional
        What a sentence calls the limit.

    Returns
    -------
    Crossing
        Days rounded outward.

    References
    ----------
    .. [1] E. C. Fieller, "Some problems in interval estimation", J. R. Stat. Soc. B 16 (1954) 175-185 (from
       memory), for confidence sets of a ratio, which need not be bounded.

    Examples
    --------
    >>> from slurrycalc.deciding.trend.through_time import line_through_time
    >>> days = [date(2024, month, 1) for month in range(1, 9)]
    >>> ph = [5.80, 5.74, 5.72, 5.63, 5.60, 5.57, 5.49, 5.46]
    >>> found = crossing(line_through_time(days, ph), 5.0)
    >>> found.state, found.earliest.year, found.latest.year
    ('dated', 2025, 2025)
    """
    words = f"{limit:g}" if words is None else words
    last = line.last
    slope = line.per_month
    if line.unread:
        step = line.unread[0]
        why = f"nothing was read since the {step.name} of {spoken(step.on)}"
        return Crossing(limit, "cannot be dated", None, None, None, p, _undated(words, why, None))
    above = line.level(last).n >= limit
    side = 1.0 if above else -1.0

    def margin(day: date, of: float) -> float:
        """How far the line lies clearly on one side of the limit: above (of = 1) or below (-1)."""
        level = line.level(day)
        return float(of * (level.n - limit) - half_width(level, p))

    farthest = months_on(last, TREND_HORIZON.value)
    now_clear = margin(last, side) > 0.0
    toward = side * slope.n < 0.0
    if not line.shown(p):
        earliest = _first(lambda day: margin(day, side), last, farthest) if now_clear else last
        why = "no drift is shown"
        text = _undated(words, why, earliest if now_clear else None)
        return Crossing(limit, "cannot be dated", earliest, None, None, p, text)
    if now_clear and not toward:
        text = f"It lies {'above' if above else 'below'} {words}, and moves away from it."
        return Crossing(limit, "moving away", None, None, None, p, text)
    earliest = _first(lambda day: margin(day, side), last, farthest) if now_clear else last
    if earliest is None:
        text = f"It does not reach {words} within {_years(TREND_HORIZON.value)}, if it goes on as it has."
        return Crossing(limit, "beyond", None, None, None, p, text)
    if now_clear:
        earliest -= timedelta(days=1)  # it may be reached in the course of the day before
    beyond = 1.0 if slope.n > 0.0 else -1.0
    latest = _first(lambda day: -margin(day, beyond), last, farthest)
    ahead = (limit - line.level(last).n) / slope.n * DAYS_PER_MONTH
    likely = last + timedelta(days=round(ahead)) if 0.0 <= ahead <= (farthest - last).days else None
    text = _dated(words, earliest if now_clear else None, latest, p)
    return Crossing(limit, "dated", earliest, likely, latest, p, text)


def retest_by(
    line: LineThroughTime, floor: float | None = None, ceiling: float | None = None, p: float = 0.95
) -> Retest:
    """Say by when to read again.

    Parameters
    ----------
    line : LineThroughTime
    floor, ceiling : float, optional
        Limits in the unit of the line.
    p : float
        Probability, one-sided, with which the line still keeps a limit until then.

    Returns
    -------
    Retest
        The first day on which the one-sided limit of the line's level reaches the floor or the ceiling, 12
        months after the last reading at most.

    Examples
    --------
    >>> from slurrycalc.deciding.trend.through_time import line_through_time
    >>> days = [date(2024, month, 1) for month in range(1, 9)]
    >>> ph = [5.80, 5.74, 5.72, 5.63, 5.60, 5.57, 5.49, 5.46]
    >>> retest_by(line_through_time(days, ph), floor=5.0).reason
    'limit'
    """
    last = line.last
    if line.unread:
        return retest_after_step(line.unread[-1])

    def margin(day: date) -> float:
        level = line.level(day)
        h = half_width(level, 2.0 * p - 1.0)
        above = inf if floor is None else level.n - h - floor
        below = inf if ceiling is None else ceiling - level.n - h
        return float(min(above, below))

    longest = horizon(last)
    if not margin(last) > 0.0:
        text = f"Read again now: on {spoken(last)} it may have been past its limit already."
        return Retest(last, "at once", text)
    reached = _first(margin, last, longest)
    if reached is None:
        months = f"{LONGEST_RETEST.value:g} months"
        text = f"Read again by {spoken(longest)}: no record is good for more than {months}."
        return Retest(longest, "longest", text)
    text = f"Read again by {spoken(reached)}: from then on the chance of being past its limit is above "
    return Retest(reached, "limit", f"{text}{in_hundred(1.0 - p)}.")


def retest_after_one(day: date) -> Retest:
    """Say by when to read again after a single bench day, which shows no drift.

    Parameters
    ----------
    day : date
        The bench day.

    Returns
    -------
    Retest
        A month later (common practice).

    Examples
    --------
    >>> retest_after_one(date(2024, 5, 4)).by
    datetime.date(2024, 6, 3)
    """
    by = months_on(day, FIRST_RETEST.value)
    text = f"Read again by {spoken(by)}: a single bench day shows no drift (a month is {FIRST_RETEST.known})."
    return Retest(by, "first reading", text)


def retest_after_step(step: LevelStep) -> Retest:
    """Say by when to read again where nothing was read since something shifted the level.

    Parameters
    ----------
    step : LevelStep
        What shifted it, the last of several.

    Returns
    -------
    Retest
        A week after an exchange, as its plan says (from memory), so that the next stage counts on what was
        read; a month after anything else (common practice).

    Examples
    --------
    >>> from slurrycalc.deciding.trend.through_time import LevelStep
    >>> steps = [LevelStep(date(2024, 5, 4), name) for name in ("exchange", "calcium")]
    >>> [retest_after_step(step).by.isoformat() for step in steps]
    ['2024-05-11', '2024-06-03']
    """
    months = AFTER_EXCHANGE.value / DAYS_PER_MONTH if step.name == "exchange" else FIRST_RETEST.value
    by = months_on(step.on, months)
    text = f"Read again by {spoken(by)}: nothing was read since the {step.name} of {spoken(step.on)}."
    return Retest(by, "step", text)


def retest_foreseen(by_bed: Retest, step: LevelStep, turn: date | None = None) -> Retest:
    """Say by when to read again after an exchange whose doing is foreseen.

    Parameters
    ----------
    by_bed : Retest
        As the bed asks for it, with what the exchange is expected to have done.
    step : LevelStep
        The exchange, the last of several.
    turn : date, optional
        Of the upkeep that the bed is held by.

    Returns
    -------
    Retest
        As the bed asks for it, a week after the exchange at the earliest (from memory) and 75 days after it
        at the latest (our own), or on the turn of its upkeep.
    """
    soonest, latest = (step.on + timedelta(days=each.value) for each in (AFTER_EXCHANGE, FORESEEN_RETEST))
    latest = latest if turn is None else max(latest, turn)
    if soonest <= by_bed.by <= latest:
        return by_bed
    by = min(max(by_bed.by, soonest), latest)
    text = f"Read again by {spoken(by)}: nothing was read since the {step.name} of {spoken(step.on)}."
    return Retest(by, "step", text)


def _first(margin: Callable[[date], float], start: date, end: date) -> date | None:
    """Find the first day on which a margin is used up, given one at the start, and none won back later.

    Regula falsi on whole days (the Illinois variant): margins are nearly straight lines of time.
    """
    low, high = 0, (end - start).days
    at_low, at_high = margin(start), margin(end)
    if at_high > 0.0:
        return None
    while high - low > 1:
        guess = low + (high - low) * at_low / (at_low - at_high)
        middle = min(max(round(guess), low + 1), high - 1)
        at_middle = margin(start + timedelta(days=middle))
        if at_middle > 0.0:
            low, at_low, at_high = middle, at_middle, at_high / 2.0
        else:
            high, at_high, at_low = middle, at_middle, at_low / 2.0
    return start + timedelta(days=high)


def _undated(words: str, why: str, not_before: date | None) -> str:
    text = f"When it reaches {words} cannot be dated: {why}."
    return text if not_before is None else f"{text} Not before {spoken(not_before)}."


def _dated(words: str, earliest: date | None, latest: date | None, p: float) -> str:
    sure = f"({in_hundred(p)}), if it goes on as it has"
    if latest is None:
        until = f"a latest day within {_years(TREND_HORIZON.value)} cannot be given"
        if earliest is None:
            return f"It may have reached {words} already; {until} {sure}."
        return f"It reaches {words} from {spoken(earliest)} on; {until} {sure}."
    if earliest is None:
        return f"It may have reached {words} already, and does so by {spoken(latest)} {sure}."
    return f"It reaches {words} between {spoken(earliest)} and {spoken(latest)} {sure}."


def _years(months: float) -> str:
    return f"{months / 12.0:g} years"


def retest_in_doubt(last: date) -> Retest:
    """Ask to read again at once what was read last under a calibration in doubt."""
    text = "See to the meter and read again: what was read last is in doubt."
    return Retest(last, "in doubt", text)
