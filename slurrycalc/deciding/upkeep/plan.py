"""Where an upkeep leads: a part exchanged again and again, and the choice of how often and how much."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import exp
from typing import NamedTuple

from uncertainties import UFloat

from slurrycalc.data.assumed import BUFFERING_FACTOR
from slurrycalc.deciding.given import nominal, uncertain
from slurrycalc.deciding.mixing import Buffering
from slurrycalc.deciding.upkeep.cycles import FIRST, STEADY, Course, Cycle, Swing, cycles, steady_share, worst
from slurrycalc.deciding.upkeep.demands import MOST_MONTHS, Demand, Which
from slurrycalc.measuring.recipe.bulk import Bulk, bulk
from slurrycalc.metrology.annotate import MicroSiemensPerCm, MonthValue, NumberValue, PHValue
from slurrycalc.metrology.coverage import half_width
from slurrycalc.metrology.results import Result
from slurrycalc.metrology.uncertain import Uncertain


class UpkeepAsked(NamedTuple):
    """What is asked of an upkeep."""

    demands: tuple[Demand, ...]
    known: Buffering
    now: Uncertain | None
    """Of the bed just before the first exchange; None for its limit. [pH]"""
    salts_now: Uncertain | None
    """[uS/cm]"""
    p: float
    bed: float | None
    """[mL]"""
    cup: str

    @property
    def acid(self) -> Demand | None:
        """The demand on pH toward which the bed drifts; where it drifts away from the only one, that."""
        of_ph = [each for each in self.demands if each.which != "salts"]
        if not of_ph:
            return None
        toward = "floor" if nominal(of_ph[0].drift) < 0.0 else "ceiling"
        return next((each for each in of_ph if each.which == toward), of_ph[0])

    @property
    def by_record(self) -> bool:
        """Whether the record of a bed answers for its pH."""
        return any(each.ahead is not None for each in self.demands)

    @property
    def salty(self) -> Demand | None:
        """The demand on salts."""
        return next((each for each in self.demands if each.which == "salts"), None)

    def start(self, demand: Demand) -> Uncertain | None:
        """Give what a demand is about, as the bed has it just before the first exchange. [pH or uS/cm]."""
        return self.salts_now if demand.which == "salts" else self.now

    def passed(self) -> tuple[Passed, ...]:
        """Give the limits that the bed does not surely keep now, before any exchange."""
        chances = [(demand, self.start(demand)) for demand in self.demands]
        beyond = [(demand, demand.beyond(start)) for demand, start in chances if start is not None]
        return tuple(Passed(demand.which, chance) for demand, chance in beyond if chance > 1.0 - self.p)


@dataclass(frozen=True)
class Passed:
    """A limit that the bed lies past now, or may."""

    which: Which
    chance: NumberValue
    """That it lies past it."""


@dataclass(frozen=True)
class Plan(Result, of="decided_by"):
    """One part exchanged, again and again, and where that leads."""

    fraction: NumberValue
    decided_by: Which
    """The limit that is nearest to being passed."""
    chance: NumberValue
    """That this limit holds."""
    high: PHValue | None
    """Of the steady bed, the higher of just before and just after an exchange; None where nothing is
    exchanged, no pH was asked about, or the bed does not come nearer to its limit by itself."""
    low: PHValue | None
    """The lower of the two."""
    between: tuple[PHValue, ...] | None
    """Ends of the interval, with the probability asked for, of the steady bed just before an exchange; it
    leans, since half the buffering moves the bed twice as far. None where all was taken as exact."""
    worst: PHValue | None
    """Of all cycles the pH that is nearest to the limit or farthest beyond it, if the capacities do their
    worst; None as for `high`."""
    salts: MicroSiemensPerCm | None
    """Of the steady bed, just before an exchange."""
    cycles: tuple[Cycle, ...]
    """The first ones, of which an early one may be worse than the steady ones."""
    amount: Bulk | None
    """Out, and as much in, each time; None where the bed's volume is not known."""

    def _body(self) -> str:
        return f"{100.0 * self.fraction:.0f} % of the bed"



class Rhythm(NamedTuple):
    """One part exchanged each time, and how often."""

    days: int
    """From one exchange to the next. [d]"""
    fraction: float
    """[1]"""


@dataclass(frozen=True)
class Choice(Result):
    """How often, and how much each time."""

    every: MonthValue
    fraction: NumberValue | None
    """If all is as measured; None where the whole bed each time is not enough."""
    assured_fraction: NumberValue | None
    """With the probability asked for."""
    decided_by: Which | None
    """The limit that asks for so much with assurance; None where one cannot be held."""

    def _body(self) -> str:
        part = "not possible" if self.fraction is None else f"{100.0 * self.fraction:.0f} % of the bed"
        return f"every {self.every:g} months: {part}"



def choice(asked: UpkeepAsked, every: float) -> Choice:
    """Find how much to exchange at an interval.

    Parameters
    ----------
    asked : UpkeepAsked
    every : float
        [month]

    Returns
    -------
    Choice
        The largest part that any limit asks for.
    """
    evens = [demand.even(every, asked.known.ratio) for demand in asked.demands]
    sures = [demand.sure(every, asked.known, asked.p) for demand in asked.demands]
    sure = _largest(sures)
    by = None if sure is None else asked.demands[sures.index(sure)].which
    return Choice(every, _largest(evens), sure, by)


def _largest(parts: Sequence[float | None]) -> float | None:
    held = [part for part in parts if part is not None]
    return max(held) if len(held) == len(parts) else None


def plan_for(asked: UpkeepAsked, every: float, fraction: float | None) -> Plan | None:
    """Work out where one part leads.

    Parameters
    ----------
    asked : UpkeepAsked
    every : float
        From one exchange to the next. [month]
    fraction : float or None
        Exchanged each time. [1]

    Returns
    -------
    Plan or None
        None for no part.
    """
    if fraction is None:
        return None
    holding = [demand.holds(every, fraction, asked.known) for demand in asked.demands]
    decisive = holding.index(min(holding))
    acid, salty = (asked.acid, asked.salty) if fraction else (None, None)
    nearing = acid if acid is not None and acid.nearing else None
    high, low = (None, None) if nearing is None else _steady(nearing, every, fraction, asked.known)
    between = None if nearing is None else _between(nearing, every, fraction, asked)
    at_worst = () if nearing is None else _worst(asked, nearing, every, fraction)
    falls = nearing is not None and nearing.which == "floor"
    return Plan(
        fraction=fraction,
        decided_by=asked.demands[decisive].which,
        chance=holding[decisive],
        high=high,
        low=low,
        between=between,
        worst=(min(at_worst) if falls else max(at_worst)) if at_worst else None,
        salts=None if salty is None else uncertain(salty.fresh + salty.drift * every / fraction),
        cycles=_first_cycles(asked, every, fraction, at_worst),
        amount=None if asked.bed is None or not fraction else bulk(fraction * asked.bed, asked.cup, up=True),
    )


def _steady(demand: Demand, every: float, fraction: float, known: Buffering) -> tuple[float, float]:
    """Give the higher and the lower pH of the steady bed, without their doubt."""
    change = nominal(demand.drift) * every
    before = nominal(demand.fresh) + change / steady_share(fraction, known.ratio)
    after = before - change * max(1.0, 1.0 / known.ratio)
    return max(after, before), min(after, before)


def _between(demand: Demand, every: float, fraction: float, asked: UpkeepAsked) -> tuple[float, ...] | None:
    known = asked.known
    if known.log_error is None and not (isinstance(demand.drift, UFloat) or isinstance(demand.fresh, UFloat)):
        return None
    return demand.between(every, fraction, known, asked.p)


def _way(asked: UpkeepAsked, demand: Demand, every: float) -> Course:
    given = asked.start(demand)
    start = demand.limit if given is None else nominal(given)
    return Course(start, nominal(demand.fresh), nominal(demand.drift) * every)


def _worst(asked: UpkeepAsked, demand: Demand, every: float, fraction: float) -> tuple[float, ...]:
    known = asked.known
    ratios = [known.ratio]
    if known.log_error is not None:
        factor = BUFFERING_FACTOR.value if known.uniform else exp(half_width(known.log_error))
        ratios += [known.ratio / factor, known.ratio * factor]
    return worst(_way(asked, demand, every), fraction, ratios, STEADY)


def _first_cycles(
    asked: UpkeepAsked, every: float, fraction: float, at_worst: tuple[float, ...]
) -> tuple[Cycle, ...]:
    """Step through the first cycles of all that is asked about."""
    if not fraction:
        return ()

    def swings(demand: Demand | None, ratio: float) -> Sequence[Swing | None]:
        if demand is None:
            return (None,) * FIRST
        return cycles(_way(asked, demand, every), fraction, ratio, keeps=True, count=FIRST)

    both = zip(swings(asked.acid, asked.known.ratio), swings(asked.salty, 1.0), strict=True)
    return tuple(
        Cycle(
            month=k * every,
            after=None if acid is None else acid.after,
            before=None if acid is None else acid.before,
            worst=at_worst[k] if at_worst else None,
            salts=None if salty is None else salty.before,
        )
        for k, (acid, salty) in enumerate(both)
    )


def longest_interval(asked: UpkeepAsked, fraction: float) -> float | None:
    """Find the longest interval at which a part is enough, with the probability asked for.

    Parameters
    ----------
    asked : UpkeepAsked
    fraction : float
        Exchanged each time. [1]

    Returns
    -------
    float or None
        To a tenth of a month downward, at most 60; None where none is. [month]
    """

    def enough(tenths: int) -> bool:
        every = tenths / 10.0
        return all(demand.keeps(every, fraction, asked.known, asked.p) for demand in asked.demands)

    low, high = 0, round(10.0 * MOST_MONTHS)
    if enough(high):
        return MOST_MONTHS
    while high - low > 1:
        middle = (low + high) // 2
        low, high = (middle, high) if enough(middle) else (low, middle)
    return low / 10.0 or None
