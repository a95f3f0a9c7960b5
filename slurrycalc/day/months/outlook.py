"""What a bed's months come to: where it stands, how fast it drifts, when it meets its limits, what to do."""

from __future__ import annotations

import datetime
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from functools import cached_property
from typing import Literal

from uncertainties import UFloat

from slurrycalc.data.assumed import BED_OUTLOOK, JARS_AHEAD, TREND_HORIZON
from slurrycalc.day.months.teaching import Taught
from slurrycalc.day.record.limits import Limits, chosen_limits
from slurrycalc.deciding.agenda import EXCHANGES, Asked, BedState, Rank, asked_by, doubted_by, rested
from slurrycalc.deciding.bed import Bound, LimitDates, all_limit_dates, changing
from slurrycalc.deciding.days import DAYS_PER_MONTH, spoken
from slurrycalc.deciding.judgement import checked_limits
from slurrycalc.deciding.tasks import TO_DO
from slurrycalc.deciding.trend import LevelStep, ReadFirst, Retest, read_first, unknown
from slurrycalc.measuring.slurry.odd import ODD
from slurrycalc.measuring.wording import how_sure, in_hundred, lowered, typed
from slurrycalc.metrology.annotate import PH, NumberValue, PHPerMonth, PHValue
from slurrycalc.metrology.coverage import Interval, interval, probability
from slurrycalc.metrology.figures import number, two_figures
from slurrycalc.metrology.remark import Refusal, Remark
from slurrycalc.metrology.results import Result

What = Literal["floor", "lower end of the range", "upper end of the range", "limit asked for"]


@dataclass(frozen=True)
class Met:
    """When a limit is met, if nothing is done meanwhile."""

    what: What
    limit: PHValue
    earliest: datetime.date | None
    """It may be past from this day on: the day of the last entry where it may be already."""
    likely: datetime.date | None
    """From this day on it is as likely past as not."""
    latest: datetime.date | None
    """By this day it is past; mostly there is no such day."""
    p: NumberValue
    text: str
    """The sentence that a person reads."""


@dataclass(frozen=True)
class Predicted:
    """What a bench day would read."""

    on: datetime.date
    ph: PH
    """Of two jars, with their scatter."""
    level: PH
    """The bed alone."""


@dataclass(frozen=True)
class Outlook(Result, says=("meaning",), later=("met", "to_do")):
    """What a bed's months come to."""

    level: PH
    """Of the bed on its last bench day, or when something was done to it later."""
    now: PH | None
    """On the day on which it is asked; None where that is not known."""
    per_month: PHPerMonth
    """How fast it drifts now, for months of 30.4375 days; negative where it turns acid."""
    shown: bool
    """Whether a drift is shown: its interval, at the probability asked for, excludes 0."""
    falling: NumberValue
    """Probability that the pH falls."""
    changing: bool
    """Whether the drift itself changes, so that a straight line no longer serves."""
    meaning: str
    act: bool
    """Whether it may be past its limit already."""
    plan: bool
    """Whether a part of the bed is to be exchanged."""
    asks: Asked | None = field(metadata={"json": False})
    """What the bed asks for first; None where it is only to be read on its day."""
    below: NumberValue
    """Chance that the bed lies below the floor on the last bench day. [1]"""
    retest: Retest
    first: ReadFirst | None = field(metadata={"json": False})
    """Why it is not known where it stands, where it is not, and that it is read first."""
    predicted: Predicted | None
    remarks: tuple[Remark, ...]
    wanted: tuple[float, float] = field(metadata={"json": False})
    """Its range. [pH]"""
    floor: float = field(metadata={"json": False})
    """[pH]"""
    _taught: Taught = field(repr=False, compare=False)
    _at: Standpoint = field(repr=False, compare=False)
    _doubt: str = field(repr=False, compare=False)
    """How likely it lies outside its range, though it asks for nothing now."""
    _limits: tuple[tuple[What, float], ...] = field(repr=False, compare=False)
    """The floor, the end of the range toward which it drifts, and the limits asked for. [pH]"""
    _beside: list[Outlook] = field(repr=False, compare=False)
    """Those of the same record, itself among them: what one is asked is found for all of them at once."""

    @cached_property
    def met(self) -> tuple[Met, ...]:
        """When it meets its limits, if nothing is done meanwhile."""
        # It takes ten times as long as the rest, and of a large record few ask for it.
        every = {id(each): each for each in (self, *self._beside)}.values()
        wait = [each for each in every if "met" not in each.__dict__]
        for one, met in zip(wait, _all_met(wait), strict=True):
            one.__dict__["met"] = met
        return self.__dict__["met"]  # type: ignore[no-any-return]

    @cached_property
    def to_do(self) -> str:
        """What to do, and by when."""
        return _to_do(self)


@dataclass(frozen=True)
class Standpoint:
    """What is asked of a bed, and what is known beside it."""

    today: datetime.date
    last: datetime.date
    """The last bench day."""
    retest: Retest
    limits: tuple[Limits, ...] = ()
    """Range wanted and floor, those that count first, first. [pH]"""
    steps: tuple[LevelStep, ...] = ()
    name: str = "it"
    doubted: bool = False
    """Whether the last bench day was read under a calibration in doubt."""
    p: float = 0.95
    stage: datetime.date | None = None
    """Of an exchange that is planned and not withdrawn."""
    bench: bool = True
    """Whether the steady jar bears the last bench day out."""
    upkeep: datetime.date | None = None
    """Turn of its upkeep, where it was read for it."""

    @property
    def unread(self) -> LevelStep | None:
        """What shifted the level last since it was read."""
        since = (step for step in reversed(self.steps) if self.last <= step.on <= self.today)
        return next((step for step in since if not step.foreseen), None)

    @property
    def first(self) -> ReadFirst | None:
        """Say that it is to be read before anything else; None where it is known where it stands."""
        why = unknown(self.last, self.steps, self.today, doubted=self.doubted)
        return None if why is None else read_first(self.name, self.last, self.retest.by, why, self.today)


def outlook(
    taught: Taught,
    at: Standpoint,
    *,
    ahead: datetime.date | None = None,
    asked: Sequence[float] = (),
    odd: Remark | None = None,
    beside: list[Outlook] | None = None,
) -> Outlook:
    """Say what a bed's months come to.

    Parameters
    ----------
    taught : Taught
        The bed.
    at : Standpoint
        From which it is asked.
    ahead : date, optional
        A day to predict.
    asked : sequence of float
        More limits. [pH]
    odd : Remark, optional
        That its last reading is a surprise, or has an odd jar.
    beside : list of Outlook, optional
        Those of other beds of the record, asked for the same probability; it is put among them.

    Returns
    -------
    Outlook
        The floor, the end of the range toward which it drifts, and the limits asked for.

    Raises
    ------
    Refusal
        If a limit is none, or that day cannot be predicted.
    """
    (low, high), floor = checked_limits(*chosen_limits(*at.limits))
    level, rate = taught.level(), taught.rate()
    ends = interval(rate, at.p)
    shown = not ends.low <= 0.0 <= ends.high
    falls = rate.n < 0.0
    edge: tuple[What, float] = ("lower end of the range", low) if falls else ("upper end of the range", high)
    limits: list[tuple[What, float]] = [("floor", floor), edge]
    limits += [("limit asked for", limit) for limit in asked]
    below, first = probability(level, below=floor), at.first
    state = _state(taught, at, (low, high), floor, odd)
    asks = None if state is None else _asked(state, at)
    wanders = changing(taught.bed)
    beside = [] if beside is None else beside
    found = Outlook(
        level=level,
        now=taught.level(at.today) if first is None else None,
        per_month=rate,
        shown=shown,
        falling=probability(rate, below=0.0),
        changing=wanders,
        meaning=_meaning(rate, ends, shown) + (" The drift itself is changing." if wanders else ""),
        act=at.retest.reason == "at once" or (asks is not None and asks.rank <= Rank.PERHAPS_BELOW),
        plan=asks is not None and asks.need in EXCHANGES,
        asks=asks,
        below=below,
        retest=at.retest,
        first=first,
        predicted=None if ahead is None else _predicted(taught, at, ahead),
        remarks=() if odd is None else (odd,),
        wanted=(low, high),
        floor=floor,
        _taught=taught,
        _at=at,
        _doubt="" if state is None else doubted_by(state),
        _limits=tuple(dict.fromkeys(limits)),
        _beside=beside,
    )
    beside.append(found)
    return found


def _all_met(several: Sequence[Outlook]) -> Iterator[tuple[Met, ...]]:
    """Say of beds of one record when they meet their limits, all of them in one pass."""
    dated = [one for one in several if one._at.unread is None]
    asked = [(one, _bound(what, limit, one.level.n)) for one in dated for what, limit in one._limits]
    beds, u = [one._taught.bed for one, _ in asked], [one._taught.u_shared for one, _ in asked]
    found = iter(all_limit_dates(beds, [bound for _, bound in asked], u, several[0]._at.p))
    for one in several:
        at = one._at
        if at.unread is not None:
            yield tuple(_undated(what, limit, at.unread, at.p) for what, limit in one._limits)
        else:
            yield tuple(_met(what, next(found), one._taught.bed.last, at.p) for what, _ in one._limits)


def _bound(what: What, limit: float, level: float) -> Bound:
    above = what == "upper end of the range" or (what == "limit asked for" and level < limit)
    return ("ceiling" if above else "floor", limit)


def _met(what: What, dates: LimitDates, last: datetime.date, p: float) -> Met:
    limit = dates.bound[1]
    text = _when(dates, typed(limit), last, p)
    return Met(what, limit, dates.earliest, dates.even, dates.latest, p, text)


def _undated(what: What, limit: float, step: LevelStep, p: float) -> Met:
    why = f"nothing was read since the {step.name} of {spoken(step.on)}"
    text = f"When it reaches {typed(limit)} cannot be dated: {why}."
    return Met(what, limit, None, None, None, p, text)


def _when(dates: LimitDates, limit: str, last: datetime.date, p: float) -> str:
    years = f"{BED_OUTLOOK.value / 12.0:g} years"
    if dates.earliest is None:
        return f"It does not reach {limit} within {years} ({in_hundred((1.0 + p) / 2.0)})."
    if dates.even == last:
        return f"It is past {limit} already, more likely than not."
    stays = f"stays {'above' if dates.bound[0] == 'floor' else 'below'} {limit}"
    if dates.earliest == last:
        text = f"It may be past {limit} already."
    else:
        text = f"It {lowered(how_sure(f'{stays} until {spoken(dates.earliest)}', stays, (1.0 + p) / 2.0))}"
    if dates.even is not None:
        text += f" From about {spoken(dates.even)} on it is more likely past {limit} than not."
    if dates.latest is not None:
        text += f" By {spoken(dates.latest)} it {lowered(how_sure('is', 'is not', (1.0 + p) / 2.0))}"
    elif dates.even is None:
        text += f" More likely than not it {stays} for {years}."
    return text


def _meaning(rate: UFloat, ends: Interval, shown: bool) -> str:
    a_year = rate.n * 12.0
    if shown:
        way = "turns acid" if a_year < 0.0 else "turns less acid"
        size = min(two_figures(abs(a_year)), number(abs(a_year), 12.0 * ends.half_width), key=len)
        return f"It {way}: it {'loses' if a_year < 0.0 else 'gains'} {size} pH in a year at this pace."
    fall, rise = (number(max(each, 0.0), ends.half_width) for each in (-ends.low, ends.high))
    falls = probability(rate, below=0.0)
    way, other = ("falls", "rises") if falls >= 0.5 else ("rises", "falls")
    said = lowered(how_sure(way, other, max(falls, 1.0 - falls))).removesuffix(".")
    between = f"between {fall} pH a month down and {rise} up"
    if (open_ := said.removeprefix(f"{way}: ")) != said:
        return f"Whether it falls or rises is {open_.removesuffix(')')} that it {way}): {between}."
    if said.startswith("probably"):
        return f"It {said}, but its days do not prove it yet: {between}."
    return f"It {said}; by how much is not clear yet: {between}."


def _state(
    taught: Taught, at: Standpoint, limits: tuple[float, float], floor: float, odd: Remark | None
) -> BedState | None:
    """Give what the agenda goes by; None where the bed is to be read before anything else."""
    if at.doubted or not at.bench:
        return BedState.doubted("meter" if at.doubted else "bench")
    if at.first is not None:
        return None
    jar = odd is not None and odd.kind == ODD
    surprise = odd is not None and not jar
    unread = any(at.last <= step.on <= at.today for step in at.steps)
    return BedState.at(
        taught.level(at.today),
        limits,
        floor,
        surprise=surprise,
        odd_jar=jar,
        unread=unread,
        read=taught.level() if at.last < at.today else None,
    )


def _asked(state: BedState, at: Standpoint) -> Asked | None:
    """Give what the bed asks for first, as the agenda has it."""
    return asked_by(state, at.today, at.stage, at.retest.by, rested(at.steps, at.today), upkeep=at.upkeep)


def _to_do(one: Outlook) -> str:
    at, asks = one._at, one.asks
    if asks is not None:
        when = f", on {spoken(asks.on)}" if asks.on > at.today else ""
        return f"{TO_DO[asks.need].format(at.name)}{when}: {asks.why}."
    if at.first is not None:
        return at.first.text[1]
    text, also = lowered(at.retest.text), f" {one._doubt}." if one._doubt else ""
    if at.retest.by < at.today:
        return f"read it again now; that was due by {text.removeprefix('read again by ')}{also}"
    return f"{text}{also}"


def _predicted(taught: Taught, at: Standpoint, day: datetime.date) -> Predicted:
    years, bed = TREND_HORIZON.value / 12.0, taught.bed
    right = bed.last + datetime.timedelta(days=90)
    if at.unread is not None:
        step = at.unread
        raise Refusal(
            f"nothing was read since the {step.name} of {step.on}, so nothing can be predicted for `{day}`: "
            "read it once more first."
        )
    if day < bed.last:
        raise Refusal(
            f"`{day}` lies before the last bench day, {at.last}; give a day to predict such as {right}."
        )
    if (day - bed.last).days > TREND_HORIZON.value * DAYS_PER_MONTH:
        raise Refusal(
            f"`{day}` lies more than {years:g} years after the last bench day, and nothing is predicted so "
            f"far; give a day such as {right}."
        )
    return Predicted(day, taught.reading(day, round(JARS_AHEAD.value)), taught.level(day))
