"""What is asked of an enclosure's drift, and what comes of it; here by numbers, in `drifts` by the record."""

from __future__ import annotations

import datetime
from collections.abc import Sequence
from dataclasses import dataclass, field

from slurrycalc.day.months.outlook import Outlook, outlook
from slurrycalc.day.record.limits import Limits
from slurrycalc.deciding.trend import ReadFirst, Retest, Step, Trend, trend
from slurrycalc.measuring.expected import DEFAULT, Expected
from slurrycalc.metrology.annotate import PHValue
from slurrycalc.metrology.results import Result


@dataclass(frozen=True)
class DriftAsked:
    """What is asked of a drift."""

    today: datetime.date
    """The day on which it is asked."""
    limits: Limits = (None, None)
    """Range and floor that count before an enclosure's own. [pH]"""
    more: tuple[float, ...] = ()
    """More limits whose days are asked for. [pH]"""
    ahead: datetime.date | None = None
    """A day to predict."""
    without: tuple[str, ...] = ()
    """Names of steps that are switched off."""
    expected: Expected = DEFAULT
    p: float = 0.95


@dataclass(frozen=True)
class Drifting(Result, says=("trend", "why", "retest"), of="enclosure"):
    """How fast one enclosure drifts, or why that is not seen yet."""

    enclosure: str | None
    last: datetime.date
    """The last bench day."""
    trend: Trend | None
    why: str | None
    """Why there is no trend."""
    retest: Retest
    first: ReadFirst | None
    """Where it stands is not known on the day on which it is asked: it is read before anything else."""
    outlook: Outlook | None
    """Where one enclosure is asked for."""
    line: tuple[PHValue, ...]
    """The line's value on each bench day, where one enclosure is asked for."""
    slurries: tuple[int, ...]
    """Of each bench day, where the record was asked."""
    earlier: int
    """Older bench days, which are not used."""
    steps: tuple[Step, ...] = field(metadata={"json": False})

    @property
    def act(self) -> bool:
        """Whether it may be past its limit already, is in doubt, or must be read and that is late."""
        late = self.first is not None and self.first.late
        return late or self.retest.reason in ("at once", "in doubt")

    @property
    def may_be_past(self) -> bool:
        """Whether it may have been past its limit on its last bench day."""
        return self.retest.reason == "at once"


def by_numbers(
    days: Sequence[tuple[datetime.date, str]], steps: Sequence[Step], asked: DriftAsked
) -> Drifting:
    """Say how fast a bed drifts by what its bench days gave.

    Parameters
    ----------
    days : sequence of (date, str)
        Each bench day with its pH, as typed. [pH]
    steps : sequence of Step
        What shifted the level.
    asked : DriftAsked
        What is asked.

    Returns
    -------
    Drifting
        With its outlook.

    Raises
    ------
    Refusal
        If there is no line through them.
    """
    drift = trend(
        [day for day, _ in days], [ph for _, ph in days], steps, asked.expected,
        without=asked.without, today=asked.today,
    )  # fmt: skip
    ahead = outlook(drift, asked.today, asked.limits, ahead=asked.ahead, asked=asked.more, p=asked.p)
    line = tuple(drift.level(day).n for day in drift.days)
    return Drifting(
        None, drift.days[-1], drift, None, ahead.retest, ahead.first, ahead, line, (), 0, tuple(steps)
    )
