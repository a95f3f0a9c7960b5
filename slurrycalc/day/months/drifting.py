"""What is asked of an enclosure's months, and what comes of it: here by numbers, in `drifts` by record."""

from __future__ import annotations

import datetime
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property
from math import isinf

from slurrycalc.day.months.course import Stood, course, readings
from slurrycalc.day.months.exchanged import Enough, ExchangeWorked, enough
from slurrycalc.day.months.outlook import Outlook, Standpoint, outlook
from slurrycalc.day.months.retest import bounds_of
from slurrycalc.day.months.salts_beside import SaltsBeside
from slurrycalc.day.months.surprise import surprise_of
from slurrycalc.day.months.teaching import Lessons, Taught, teach
from slurrycalc.day.record.limits import Limits
from slurrycalc.deciding.bed import Disturbed, Prior, Replaced
from slurrycalc.deciding.bed.again import read_again_by
from slurrycalc.deciding.trend import LevelStep, ReadFirst, Retest, Trend, day_ph, trend
from slurrycalc.deciding.trend.crossing import retest_after_step
from slurrycalc.deciding.trend.through_time import EXCHANGE
from slurrycalc.measuring.expected import DEFAULT, SLURRIES, Expected, resolve
from slurrycalc.metrology.annotate import PH, PHValue
from slurrycalc.metrology.batch import Batch
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
    """Of the scatter of jars."""
    p: float = 0.95

    @property
    def prior(self) -> Prior | None:
        """What is expected of a bed before any reading; None for the usual."""
        if self.expected is DEFAULT:
            return None
        known = resolve(self.expected, SLURRIES)
        if known is None:
            # Nothing is expected of the scatter: every node of it counts alike.
            return replace(Prior(), scatter_expected=(1.0, 0.0))
        if isinf(known.dof):
            return replace(Prior(), scatter=(known.sd,))
        return replace(Prior(), scatter_expected=(known.sd, known.dof))


@dataclass(frozen=True)
class Drifting(Result, says=("text",), of="enclosure", later=("trend", "why")):
    """How one enclosure drifts, by the model of its bed."""

    enclosure: str | None
    last: datetime.date
    """The last bench day."""
    outlook: Outlook
    retest: Retest
    first: ReadFirst | None
    """Where it stands is not known on the day on which it is asked: it is read before anything else."""
    days: tuple[datetime.date, ...]
    """Bench days."""
    ph: tuple[PHValue, ...]
    """What was read on each."""
    levels: tuple[PHValue, ...]
    """The bed's level as each of them taught it, where one enclosure is asked for."""
    readings: tuple[PH, ...]
    """What was read on each, as sure as jars of this bed make it, where one is asked for."""
    course: tuple[Stood, ...]
    """Where the bed stood, and is foreseen to stand until it is read again, where one is asked for."""
    slurries: tuple[int, ...]
    """Of each bench day, where the record was asked."""
    earlier: int
    """Older bench days, which are not used."""
    steps: tuple[LevelStep, ...] = field(metadata={"json": False})
    _line: Trend | Callable[[], Trend | str] = field(repr=False, compare=False)
    """The straight line, or what draws it where one was not asked for yet."""
    exchanges: tuple[ExchangeWorked, ...] = ()
    """What each exchange with part and mix on record did, where one enclosure is asked for."""
    salts: SaltsBeside | None = None
    """Its salts beside its pH, where one enclosure is asked for and they were read."""
    enough: Enough | None = field(default=None, metadata={"json": False})
    """Whether its last exchange was enough, where the last bench day is the first to show it."""
    not_learnt: str | None = field(default=None, metadata={"json": False})
    """Why nothing was expected of its last exchange, where nothing was."""

    @cached_property
    def _drawn(self) -> Trend | str:
        return self._line() if callable(self._line) else self._line

    @cached_property
    def trend(self) -> Trend | None:
        """The straight line through its bench days: its drift on average over all of them."""
        return self._drawn if isinstance(self._drawn, Trend) else None

    @cached_property
    def why(self) -> str | None:
        """Why there is no such line."""
        return self._drawn if isinstance(self._drawn, str) else None

    @property
    def text(self) -> tuple[str, str]:
        """What it means, and what to do."""
        return self.outlook.meaning, f"Do: {self.outlook.to_do}"

    @property
    def act(self) -> bool:
        """Whether it may be past its limit already, is in doubt, or must be read and that is late."""
        late = self.first is not None and self.first.late
        return late or self.retest.reason in ("at once", "in doubt") or bool(self.outlook.remarks)

    @property
    def may_be_past(self) -> bool:
        """Whether it may have been past its limit on its last bench day."""
        return self.retest.reason == "at once"


def by_numbers(
    days: Sequence[tuple[datetime.date, str]], steps: Sequence[LevelStep], asked: DriftAsked
) -> Drifting:
    """Say how a bed drifts by what its bench days gave.

    Parameters
    ----------
    days : sequence of (date, str)
        Each bench day with its pH, as typed; it counts as one jar. [pH]
    steps : sequence of LevelStep
        What shifted the level.
    asked : DriftAsked
        What is asked.

    Returns
    -------
    Drifting

    Raises
    ------
    Refusal
        If there are fewer than two days, or something cannot stand.
    """
    line = trend(
        [day for day, _ in days], [ph for _, ph in days], steps, asked.expected,
        without=asked.without, today=asked.today,
    )  # fmt: skip
    happened = [
        Replaced(each.on) if each.name == EXCHANGE else Disturbed(each.on, each.name) for each in steps
    ]
    lessons = Lessons(
        line.days,
        Batch.of([day_ph(ph) for _, ph in days]),
        (1,) * len(days),
        (0.0,) * len(days),
        tuple(sorted(happened, key=lambda each: each.day)),
        None,
    )
    (taught,) = teach([lessons], asked.prior, asked.without)
    unread = line.unread
    bounds = bounds_of(taught, asked.limits, p=asked.p)
    again = (
        retest_after_step(unread[-1])
        if unread
        else read_again_by(taught.bed, bounds, u_shared=taught.u_shared)
    )
    at = Standpoint(asked.today, lessons.last, again, (asked.limits,), unread, p=asked.p)
    odd = surprise_of(lessons, taught)
    ahead = outlook(taught, at, ahead=asked.ahead, asked=asked.more, odd=odd)
    found = Drifting(
        None, lessons.last, ahead, again, ahead.first, line.days, line.ph,
        (), (), (), (), 0, tuple(steps), line,
    )  # fmt: skip
    return with_course(found, lessons, taught, asked)


def with_course(
    found: Drifting,
    lessons: Lessons,
    taught: Taught,
    asked: DriftAsked,
    worked: Sequence[ExchangeWorked] = (),
) -> Drifting:
    """Add what its exchanges did, where it stood day by day, and is foreseen to until it is read again."""
    quiet = EXCHANGE in asked.without or found.outlook.remarks or found.first is not None
    until = lessons.last if found.first is not None else found.retest.by
    way = course(lessons, until, asked.prior, asked.without)
    levels = tuple(each.level.n for each in way if each.read)
    return replace(
        found,
        levels=levels,
        readings=readings(lessons, taught),
        course=way,
        exchanges=tuple(worked),
        enough=None if quiet else enough(lessons, taught.level(), found.outlook.wanted, worked),
    )
