"""Whether the bench itself is steady: one substrate kept aside and slurried on every bench day.

Each day is judged once, by what was known until then. To judge all days anew whenever one is added would let
the alarms of steady years pile up.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from math import copysign
from typing import Literal

import numpy as np
from uncertainties import UFloat

from slurrycalc.data.assumed import STEADY_ALARM, STEADY_SLOPE, STEADY_WATCH
from slurrycalc.deciding.days import Day, as_day, in_order
from slurrycalc.deciding.trend import DayPH, day_ph
from slurrycalc.deciding.trend.through_time import line_through_time
from slurrycalc.measuring.expected import DEFAULT, SLURRIES, Expected, resolve
from slurrycalc.metrology.annotate import PH
from slurrycalc.metrology.coverage import half_width
from slurrycalc.metrology.figures import two_figures
from slurrycalc.metrology.remark import Refusal, Remark
from slurrycalc.metrology.results import Valued
from slurrycalc.metrology.scatter import Scatter, scatter_fit

State = Literal["first", "steady", "watch", "alarm"]
Reason = Literal["far", "two", "slope"]

DO = {
    "alarm": (
        "Take fresh buffers, calibrate again and read the steady jar once more; until it agrees, today's "
        "other results are in doubt."
    ),
    "watch": "By chance one day in 20 does so: read it on the next bench day, and look at the buffers.",
    "steady": "",
    "first": "Slurry it again on the next bench day.",
}


@dataclass(frozen=True)
class SteadyDay(Valued, value="difference", says=("text",)):
    """What the steady jar said of the bench on one day."""

    day: date
    state: State
    reasons: tuple[Reason, ...]
    """Why there is an alarm: this day lies far off, two in a row lie off on one side, or there is a slope."""
    difference: PH | None
    """This day less the mean of all days before it; None on the first."""
    text: str
    """The sentences that a person reads."""

    @property
    def remarks(self) -> tuple[Remark, ...]:
        """What every result of that day must say of itself."""
        return (Remark(f"steady-jar-{self.state}", self.text),) if self.state in ("watch", "alarm") else ()


def steady(
    dates: Sequence[Day],
    ph: Sequence[DayPH],
    expected: Expected = DEFAULT,
    *,
    today: Day | None = None,
    newest_only: bool = False,
) -> tuple[SteadyDay, ...]:
    """Judge each day's reading of the steady jar by the days before it.

    Parameters
    ----------
    dates : sequence of date or str, length n
        Bench days since the jar was filled, from the earliest on, each once.
    ph : sequence, length n
        What it read on each, as for `trend`. Errors that days share (a bottle, the meter) cancel. [pH]
    expected : Scatter, DEFAULT or None
        What is known of the jar's scatter from day to day beforehand; by default Scatter(0.10, 2). [pH]
    today : date or str, optional
        A day after it is refused.
    newest_only : bool
        Judge the last day alone.

    Returns
    -------
    tuple of SteadyDay
        One a day. Alarm: the day lies outside the 99.8 % interval about the mean of those before it; or it
        and the one before both lie, on one side, outside the 95 % interval about the mean of those before
        both; or all days until then have a slope at 99.9 %. Watch: outside 95 % alone.

    Raises
    ------
    Refusal
        If there is no day, dates are out of order, twice or in the future, or something is no pH.

    References
    ----------
    .. [1] The rules are our own, after the control charts of W. A. Shewhart (from memory); how often they
       alarm is simulated in the tests.

    Examples
    --------
    >>> days = ["2024-01-02", "2024-02-01", "2024-03-03", "2024-04-02"]
    >>> [day.state for day in steady(days, [6.02, 6.05, 5.98, 6.81])]
    ['first', 'steady', 'steady', 'alarm']
    """
    days = in_order(dates, None if today is None else as_day(today))
    values = [day_ph(each) for each in ph]
    if not days:
        raise Refusal(
            "the steady jar was not read yet; give at least one day, such as 2024-05-04, and its pH."
        )
    if len(values) != len(days):
        raise Refusal(f"{len(days)} dates and {len(values)} readings do not go together; give one for each.")
    scatter = resolve(expected, SLURRIES)
    first = len(days) if newest_only else 1
    return tuple(_judged(days[:n], values[:n], scatter) for n in range(first, len(days) + 1))


def _judged(days: Sequence[date], values: Sequence[float | UFloat], expected: Scatter | None) -> SteadyDay:
    """Judge the last day."""
    n = len(days)
    # Alone, two days show no scatter of their own.
    if n == 1 or (expected is None and n == 2):
        return SteadyDay(days[-1], "first", (), None, f"The steady jar's record begins. {DO['first']}")
    (off,) = _apart(values, 1, expected)
    reasons: list[Reason] = []
    if abs(off.n) > half_width(off, STEADY_ALARM.value):
        reasons.append("far")
    if n - 2 > (expected is None):
        before, newest = (_side(each) for each in _apart(values, 2, expected))
        if before == newest != 0.0:
            reasons.append("two")
        slope = line_through_time(days, values, expected=expected).per_month
        if abs(slope.n) > half_width(slope, STEADY_SLOPE.value):
            reasons.append("slope")
    state: State = "alarm" if reasons else "watch" if _side(off) else "steady"
    return SteadyDay(days[-1], state, tuple(reasons), off, _text(state, reasons, off))


def _apart(values: Sequence[float | UFloat], newest: int, expected: Scatter | None) -> list[UFloat]:
    """Give how far each of the newest days lies from the mean of those before all of them.

    A column for each of them makes it a coefficient of one fit, so that what the days share cancels and the
    scatter is that of the earlier days alone.
    """
    n = len(values)
    X = np.zeros((n, 1 + newest))
    X[:, 0] = 1.0
    X[n - newest :, 1:] = np.eye(newest)
    return list(scatter_fit(X, values, expected, name="scatter of the steady jar").coefficients[1:])


def _side(off: UFloat) -> float:
    """On which side a day lies outside the 95 % interval; 0 inside."""
    return copysign(1.0, off.n) if abs(off.n) > half_width(off, STEADY_WATCH.value) else 0.0


def _text(state: State, reasons: Sequence[Reason], off: UFloat) -> str:
    where = f"The steady jar reads {off.n:+.2f} pH from the mean of its days before"
    usual = f"±{two_figures(half_width(off, STEADY_WATCH.value))} (95 in 100)"
    if state == "steady":
        return f"{where}, within the {usual} that is to be expected: the bench is steady."
    if state == "watch":
        return f"{where}, outside the {usual} that is to be expected. {DO['watch']}"
    why = {
        "far": "that is far outside",
        "two": "it is the second day in a row that lies off on the same side",
        "slope": "its days drift",
    }
    because = "; ".join(why[reason] for reason in reasons)
    return f"{where}, where {usual} is to be expected: {because}. {DO['alarm']}"
