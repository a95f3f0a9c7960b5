"""A straight line through time: one slope, and a step wherever something was done that shifts the level.

It knows no unit: `slurrycalc.deciding.trend.drift` draws it through an enclosure's pH, and
`slurrycalc.deciding.electrode_life` through what an electrode still gives.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import date
from itertools import groupby
from typing import Final

import numpy as np
from uncertainties import UFloat

from slurrycalc.deciding.days import DAYS_PER_MONTH
from slurrycalc.metrology.batch import Batch
from slurrycalc.metrology.coverage import half_width
from slurrycalc.metrology.figures import two_figures
from slurrycalc.metrology.remark import Refusal
from slurrycalc.metrology.scatter import Scatter, ScatterFit, scatter_fit
from slurrycalc.metrology.uncertain import Uncertain

EXCHANGE: Final = "exchange"


class TooFewDays(Refusal):
    """There are too few days for a line, or for one that has a step wherever something was done."""


@dataclass(frozen=True, slots=True)
class LevelStep:
    """Something that was done on a day and shifts the level from the next reading on.

    A reading of the same day counts as taken before it: one reads first, and then acts.
    """

    on: date
    name: str = EXCHANGE
    foreseen: bool = field(default=False, metadata={"json": False})
    """Whether the bed's record tells what it did before it is read: an exchange with part and mix on record,
    after others that were read."""


@dataclass(frozen=True)
class LineThroughTime:
    """Values that change evenly with time, but for steps."""

    days: tuple[date, ...]
    steps: tuple[tuple[LevelStep, ...], ...]
    """In order of time; those between the same two readings together, since their effects cannot be told
    apart."""
    unread: tuple[LevelStep, ...]
    """Steps after the last reading: what the level is since then is not known."""
    fit: ScatterFit
    """Columns: level on the last day, change per month, and for each group of steps the level before it less
    the level after it."""

    @property
    def last(self) -> date:
        """The last day that was read."""
        return self.days[-1]

    @property
    def per_month(self) -> UFloat:
        """Change per month."""
        return self.fit.coefficients[1]

    @property
    def sizes(self) -> tuple[UFloat, ...]:
        """What each group of steps did to the level."""
        return tuple(-each for each in self.fit.coefficients[2:])

    def shown(self, p: float = 0.95) -> bool:
        """Whether a change with time is shown at all: the interval of the slope excludes 0."""
        return bool(abs(self.per_month.n) > half_width(self.per_month, p))

    def sentence(self, subject: str, unit: str = "") -> str:
        """Say how fast it changes, and between which limits, 95 in 100.

        Parameters
        ----------
        subject : str
            What changes.
        unit : str
            Of the values; empty where the subject says it.

        Returns
        -------
        str

        Examples
        --------
        >>> days = [date(2024, 1, 1), date(2024, 7, 1)]
        >>> line = line_through_time(days, [5.8, 5.5], expected=Scatter(0.1, 2))
        >>> line.sentence("pH")
        'No drift is shown: pH changes by -0.05 a month, between -0.15 and +0.05 (95 in 100).'
        """
        slope, h = self.per_month.n, half_width(self.per_month)
        of = f" {unit}" if unit else ""
        places = len(two_figures(h).partition(".")[2])
        if abs(slope) > h:
            verb = "falls" if slope < 0.0 else "rises"
            sizes = abs(slope), abs(slope) - h, abs(slope) + h
            size, least, most = (f"{each:.{places}f}" for each in sizes)
            return f"{subject} {verb} by {size}{of} a month, between {least} and {most} (95 in 100)."
        value, low, high = (f"{each:+.{places}f}" for each in (slope, slope - h, slope + h))
        change = f"{subject} changes by {value}{of} a month, between {low} and {high}"
        return f"No drift is shown: {change} (95 in 100)."

    def level(self, day: date) -> UFloat:
        """Give the line's value on a day.

        Parameters
        ----------
        day : date

        Returns
        -------
        UFloat
            Without a new reading's scatter, in the unit of the values.

        Raises
        ------
        Refusal
            If something that shifts the level was done after the last reading and before that day.

        Examples
        --------
        >>> days = [date(2024, 1, 1), date(2024, 7, 1)]
        >>> line = line_through_time(days, [5.8, 5.5], expected=Scatter(0.1, 2))
        >>> round(line.level(date(2024, 4, 1)).n, 2)
        5.65
        """
        return self.fit.level(self._row(day))

    def predict(self, day: date) -> UFloat:
        """Give what would be read on a day.

        Parameters
        ----------
        day : date

        Returns
        -------
        UFloat
            With a new reading's scatter, in the unit of the values.

        Raises
        ------
        Refusal
            As for `level`.

        Examples
        --------
        >>> days = [date(2024, 1, 1), date(2024, 7, 1)]
        >>> line = line_through_time(days, [5.8, 5.5], expected=Scatter(0.1, 2))
        >>> line.predict(date(2024, 8, 1)).s > line.level(date(2024, 8, 1)).s
        True
        """
        return self.fit.predict(self._row(day))

    def _row(self, day: date) -> list[float]:
        if self.unread and day > self.unread[0].on:
            step = self.unread[0]
            raise Refusal(
                f"no reading was taken after the {step.name} of {step.on}, so where it stands on {day} is "
                "not known; read it once more first."
            )
        months = (day - self.last).days / DAYS_PER_MONTH
        return [1.0, months, *(float(day <= steps[0].on) for steps in self.steps)]


def line_through_time(
    days: Sequence[date],
    values: Sequence[Uncertain] | Batch,
    steps: Sequence[LevelStep] = (),
    expected: Scatter | None = None,
    *,
    name: str = "scatter about the line through time",
    what: str = "bench day",
) -> LineThroughTime:
    """Draw one straight line through time, with steps.

    Parameters
    ----------
    days : sequence of date, length n
        In order, each once.
    values : sequence of float or UFloat, or Batch, length n
        In any one unit; what they share stays in the answer.
    steps : sequence of LevelStep
        In any order.
    expected : Scatter, optional
        What is known of the scatter about the line beforehand, in the unit of the values.
    name : str
        What a budget calls the scatter.
    what : str
        What a day is called in a refusal.

    Returns
    -------
    LineThroughTime
        Level, change per month, steps.

    Raises
    ------
    TooFewDays
        If there are fewer than two days, too few for the steps, or none left that shows the scatter where
        none is expected.
    Refusal
        If there is another number of values than days, or a step before the first day.

    References
    ----------
    .. [1] JCGM 100:2008 (GUM), H.3, for a straight line by least squares.

    Examples
    --------
    >>> days = [date(2024, 1, 1), date(2024, 7, 1)]
    >>> line = line_through_time(days, [5.8, 5.5], expected=Scatter(0.1, 2))
    >>> print(f"{line.per_month:.3f}")
    -0.050+/-0.024
    """
    n = len(days)
    if len(values) != n:
        raise Refusal(f"{n} dates and {len(values)} values do not go together; give one value for each date.")
    if n < 2:
        raise TooFewDays(
            f"{'one' if n else 'no'} {what} shows no change with time; take another, about a month on."
        )
    grouped, unread = _placed(days, steps, what)
    p = 2 + len(grouped)
    if n < p:
        raise TooFewDays(_too_few(n, grouped, what))
    if n == p and expected is None:
        raise TooFewDays(
            f"{n} {what}s just give the line and leave no degrees of freedom to show their scatter; take one "
            "more, or say which scatter is expected."
        )
    ordinals = np.array([day.toordinal() for day in days], dtype=np.float64)
    X = np.empty((n, p))
    X[:, 0] = 1.0
    X[:, 1] = (ordinals - ordinals[-1]) / DAYS_PER_MONTH
    for k, each in enumerate(grouped):
        X[:, 2 + k] = ordinals <= each[0].on.toordinal()
    return LineThroughTime(tuple(days), grouped, unread, scatter_fit(X, values, expected, name=name))


def _too_few(n: int, grouped: tuple[tuple[LevelStep, ...], ...], what: str) -> str:
    """Say why no line can be drawn: something was done between any two of the days."""
    more = f"one {what} more before anything else is done can"
    if n == 2:
        step = grouped[0][0]
        told = f"what the {step.name} of {step.on} did"
        return f"2 {what}s cannot tell a drift from {told}; {more}, or leave the {step.name} out."
    names = " and ".join(dict.fromkeys(step.name for each in grouped for step in each))
    why = f"something was done between any two of the {n} {what}s ({names})"
    return f"{why}, so they cannot tell a drift from what that did; {more}, or leave one of these out."


def _placed(
    days: Sequence[date], steps: Sequence[LevelStep], what: str
) -> tuple[tuple[tuple[LevelStep, ...], ...], tuple[LevelStep, ...]]:
    """Gather steps by the gap between readings in which they lie."""
    rising = sorted(steps, key=lambda step: step.on)
    if rising and rising[0].on < days[0]:
        step = rising[0]
        raise Refusal(
            f"the {step.name} of `{step.on}` lies before the first {what}, {days[0]}, so nothing shows what "
            "it did; leave it out, or correct its date."
        )
    after = bisect_left([step.on for step in rising], days[-1])
    gaps = groupby(rising[:after], key=lambda step: bisect_right(days, step.on))
    return tuple(tuple(each) for _, each in gaps), tuple(rising[after:])
