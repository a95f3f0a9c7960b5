"""How fast an enclosure's pH drifts, when it reaches a limit, and by when to read it again."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass, field
from datetime import date
from typing import TypeAlias

import numpy as np
from uncertainties import UFloat

from slurrycalc.deciding.days import Day, as_day, in_order, not_after, spoken
from slurrycalc.deciding.given import Given, nominal, taken
from slurrycalc.deciding.trend import crossing as crossings
from slurrycalc.deciding.trend.crossing import Crossing, Retest
from slurrycalc.deciding.trend.through_time import LevelStep, LineThroughTime, line_through_time
from slurrycalc.measuring.expected import DEFAULT, SLURRIES, Expected, resolve
from slurrycalc.measuring.slurry import SlurryResult
from slurrycalc.measuring.wording import count, seldom
from slurrycalc.measuring.wording import typed as limit_words
from slurrycalc.metrology.annotate import PH, NumberValue, PHPerMonth, PHValue
from slurrycalc.metrology.batch import Batch
from slurrycalc.metrology.coverage import probability
from slurrycalc.metrology.figures import two_figures
from slurrycalc.metrology.listed import listed
from slurrycalc.metrology.quote import quoted
from slurrycalc.metrology.remark import Refusal, Remark
from slurrycalc.metrology.results import Valued
from slurrycalc.metrology.scatter import ScatterFit
from slurrycalc.metrology.units import magnitude

DayPH: TypeAlias = Given
"""One bench day's pH. Of a `SlurryResult` the mean of its slurries is taken, without the scatter that their
difference showed: the days show it again."""


@dataclass(frozen=True)
class TrendStep(Valued, value="size", words="{+} pH"):
    """What was done between two bench days, and what it did."""

    done: tuple[LevelStep, ...]
    """Several where no bench day lies between them: their effects cannot be told apart."""
    size: PH
    """PH after it less pH before it."""


@dataclass(frozen=True)
class Trend(Valued, value="per_month", says=("text",)):
    """An enclosure's pH as a straight line through time."""

    days: tuple[date, ...]
    ph: tuple[PHValue, ...]
    """What was read on each."""
    per_month: PHPerMonth
    """Drift, for months of 30.4375 days; negative where it turns acid."""
    shown: bool
    """Whether drift is shown at all: the 95 % interval of it excludes 0."""
    falling: NumberValue
    """Probability that the pH falls."""
    now: PH
    """The line on the last bench day."""
    steps: tuple[TrendStep, ...]
    left_out: tuple[LevelStep, ...]
    """Named steps that were switched off."""
    unread: tuple[LevelStep, ...]
    """Steps after the last bench day: where the pH is since then is not known."""
    scatter_sd: PHValue
    """Standard deviation of a bench day about the line, as the intervals use it."""
    scatter_dof: NumberValue
    own_share: NumberValue
    """How much of it rests on these days, 0 to 1."""
    text: str
    """The sentence that a person reads."""
    remarks: tuple[Remark, ...]
    _line: LineThroughTime = field(repr=False)

    def level(self, day: Day) -> UFloat:
        """Give the line on a day, without the scatter of a new bench day.

        Parameters
        ----------
        day : date or str

        Returns
        -------
        UFloat
            With what it shares with other enclosures and days. [pH]

        Raises
        ------
        Refusal
            If it is no day, or an unread step lies before it.

        Examples
        --------
        >>> print(f"{trend(['2024-01-01', '2024-07-01'], [5.8, 5.5]).level('2024-10-01'):.2f}")
        5.35+/-0.16
        """
        return self._line.level(as_day(day))

    def predict(self, day: Day) -> UFloat:
        """Give what a bench day would read.

        Parameters
        ----------
        day : date or str

        Returns
        -------
        UFloat
            With the scatter of a new bench day. [pH]

        Raises
        ------
        Refusal
            If it is no day, or an unread step lies before it.

        Examples
        --------
        >>> print(f"{trend(['2024-01-01', '2024-07-01'], [5.8, 5.5]).predict('2024-10-01'):.2f}")
        5.35+/-0.19
        """
        return self._line.predict(as_day(day))

    def crossing(self, limit: float, p: float = 0.95) -> Crossing:
        """Find the days on which the line may reach a limit.

        Parameters
        ----------
        limit : float
            [pH]
        p : float
            Coverage probability.

        Returns
        -------
        Crossing
            Days after the last bench day, or that it cannot be dated, and why.

        Raises
        ------
        Refusal
            If the limit is no pH.

        Examples
        --------
        >>> trend(["2024-01-01", "2024-07-01"], [5.8, 5.5]).crossing(5.0).state
        'cannot be dated'
        """
        limit = magnitude(limit, "ph")
        return crossings.crossing(self._line, limit, p, f"pH {limit_words(limit)}")

    def retest_by(self, floor: float | None = None, ceiling: float | None = None, p: float = 0.95) -> Retest:
        """Say by when to read again.

        Parameters
        ----------
        floor, ceiling : float, optional
            Limits that the line is to keep until then. [pH]
        p : float
            With which probability, one-sided.

        Returns
        -------
        Retest
            Twelve months after the last bench day at most.

        Raises
        ------
        Refusal
            If a limit is no pH.

        Examples
        --------
        >>> trend(["2024-01-01", "2024-07-01"], [5.8, 5.5]).retest_by(5.0).by
        datetime.date(2024, 8, 31)
        """
        low, high = (None if each is None else magnitude(each, "ph") for each in (floor, ceiling))
        return crossings.retest_by(self._line, low, high, p)


def trend(
    dates: Sequence[Day],
    ph: Sequence[DayPH] | Batch,
    exchanges: Sequence[Day | LevelStep] = (),
    expected: Expected = DEFAULT,
    *,
    without: Collection[str] = (),
    today: Day | None = None,
) -> Trend:
    """Draw a straight line through an enclosure's bench days.

    Parameters
    ----------
    dates : sequence, array or Series of date, datetime64 or str, length n
        Bench days from the earliest on, each once, at least two.
    ph : sequence, array, Series or Batch, length n
        What each gave: plain or uncertain numbers (a bottle or a meter that several days share is one error),
        or the results of `slurry_ph`. A day of several slurries is given by the mean of their pH without the
        scatter that their difference showed, since the days show it again. [pH]
    exchanges : sequence of date, str or LevelStep
        What shifts the level, from the first bench day on: a bare date is an exchange, a `LevelStep`
        has a name (calcium, new mix). A bench day of the same date counts as before it. Of those after the
        last bench day nothing is known yet: the line then ends there.
    expected : Scatter, DEFAULT or None
        What is known of the scatter of bench days about the line beforehand; by default Scatter(0.10, 2).
        None: these days alone, at least one more than coefficients. [pH]
    without : collection of str
        Names of steps that are switched off.
    today : date or str, optional
        A day after it is refused.

    Returns
    -------
    Trend
        Drift per month, whether it is shown, and what follows from it.

    Raises
    ------
    TooFewDays
        If there is one bench day, or too few to tell drift from steps.
    Refusal
        If dates are out of order, twice or in the future, something is no pH, a step lies before the first
        bench day, or a name to switch off is not among them.

    References
    ----------
    .. [1] JCGM 100:2008 (GUM), H.3.

    Examples
    --------
    >>> days = ["2024-01-02", "2024-02-01", "2024-03-03", "2024-04-02", "2024-05-04", "2024-06-01"]
    >>> drift = trend(days, [5.82, 5.71, 5.69, 5.58, 5.54, 5.44])
    >>> print(drift.text)
    pH falls by 0.072 a month, between 0.036 and 0.108 (95 in 100).
    >>> drift.shown, drift.retest_by(5.0).by.isoformat()
    (True, '2024-09-24')
    """
    now = None if today is None else as_day(today)
    days = in_order(dates, now)
    values = _checked(ph) if isinstance(ph, Batch) else [day_ph(each) for each in _several(ph)]
    done = listed(exchanges)
    if done is None:
        raise Refusal(f"{quoted(exchanges)} is no list of days; give one such as [2024-04-02].")
    steps = [_step(each, now) for each in done]
    unknown = sorted(set(without) - {step.name for step in steps})
    if unknown:
        names = ", ".join(dict.fromkeys(step.name for step in steps)) or "none"
        raise Refusal(f"{quoted(unknown[0])} is no step that could be left out; this record has {names}.")
    kept = [step for step in steps if step.name not in without]
    line = line_through_time(days, values, kept, resolve(expected, SLURRIES), name="scatter of bench days")
    left_out = tuple(step for step in steps if step.name in without)
    return Trend(
        days=days,
        ph=tuple(values.values.tolist()) if isinstance(values, Batch) else tuple(map(nominal, values)),
        per_month=line.per_month,
        shown=line.shown(),
        falling=probability(line.per_month, below=0.0),
        now=line.level(line.last),
        steps=tuple(TrendStep(done, size) for done, size in zip(line.steps, line.sizes, strict=True)),
        left_out=left_out,
        unread=line.unread,
        scatter_sd=line.fit.sd,
        scatter_dof=line.fit.dof,
        own_share=1.0 - line.fit.expected_share,
        text=line.sentence("pH"),
        remarks=tuple(_remarks(line, left_out)),
        _line=line,
    )


def day_ph(given: DayPH) -> float | UFloat:
    """Take in one bench day's pH.

    Parameters
    ----------
    given : float, str, UFloat or SlurryResult
        A text may state its 95 % half-width, as in ``5.60+-0.20``. [pH]

    Returns
    -------
    float or UFloat
        Of a `SlurryResult` the mean of its slurries. [pH]

    Raises
    ------
    Refusal
        If it is no pH.

    Examples
    --------
    >>> day_ph("5.41")
    5.41
    """
    if isinstance(given, SlurryResult):
        return sum(given.slurries[1:], start=given.slurries[0]) / given.n
    return taken(given, "ph", "a bench day's pH")


def _several(ph: Sequence[DayPH]) -> Sequence[DayPH]:
    many = listed(ph)
    if many is None:
        raise Refusal("a trend takes two lists, such as trend([2024-04-02, 2024-05-04], [5.6, 5.5]).")
    return many


def _checked(batch: Batch) -> Batch:
    off = (batch.values < 0.0) | (batch.values > 14.0)
    if off.any():
        raise Refusal(f"`{batch.values[int(np.argmax(off))]:g}` is no pH, which runs from 0 to 14.")
    return batch


def _step(given: Day | LevelStep, today: date | None) -> LevelStep:
    day, name = (given.on, (given.name,)) if isinstance(given, LevelStep) else (given, ())
    step = LevelStep(as_day(day), *name)
    not_after(step.on, today)
    return step


def _remarks(line: LineThroughTime, left_out: tuple[LevelStep, ...]) -> Iterator[Remark]:
    fit: ScatterFit = line.fit
    if fit.n == fit.p:
        yield Remark(
            "nothing-checks-it",
            f"{count(fit.n).capitalize()} bench days just give the line and show no scatter: its doubt rests "
            "on what was expected. One more day would start to check it.",
        )
    if fit.surprising and fit.own_sd is not None and fit.expected is not None:
        yield Remark(
            "scatters-more",
            f"The bench days scatter about the line by {two_figures(fit.own_sd)} pH, more than the "
            f"{two_figures(fit.expected.sd)} expected (by chance {seldom(fit.flag_level)}): look for a day "
            "that is off, for something done that is not recorded, or for a drift that is no straight line.",
        )
    for steps in line.steps:
        if len(steps) > 1:
            done = ", ".join(f"{step.name} on {spoken(step.on)}" for step in steps)
            yield Remark("steps-together", f"No bench day lies between {done}: they count as one step.")
    for step in line.unread:
        yield Remark(
            "unread-step",
            f"No bench day followed the {step.name} of {spoken(step.on)}: the line ends there, and where the "
            "pH is since then is not known. Read it.",
        )
    for step in left_out:
        what = f"The {step.name} of {spoken(step.on)}"
        yield Remark("left-out", f"{what} was left out, as if it had done nothing.")
