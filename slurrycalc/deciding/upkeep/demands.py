"""What an upkeep must hold: a floor, a ceiling, a limit of salts. Each asks for a part of its own."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from math import inf
from typing import TYPE_CHECKING, Literal, NamedTuple

from slurrycalc.data.assumed import LONGEST_UPKEEP, PLAUSIBLE_DRIFT, UPKEEP_AFTER, UPKEEP_NEXT
from slurrycalc.deciding.given import Given, as_quoted, nominal, taken
from slurrycalc.deciding.mixing import BY_VOLUME, Buffering, Knob, assured, chance
from slurrycalc.deciding.upkeep.cycles import UPKEEP, fraction_for_share
from slurrycalc.measuring.salts import seen_to, spoken_ec
from slurrycalc.metrology.along import Along
from slurrycalc.metrology.coverage import Interval, probability
from slurrycalc.metrology.quote import quoted
from slurrycalc.metrology.remark import Refusal
from slurrycalc.metrology.uncertain import Uncertain

if TYPE_CHECKING:
    from slurrycalc.deciding.bed.ahead import Ahead
    from slurrycalc.deciding.bed.limits import Bound

Which = Literal["floor", "ceiling", "salts"]

MOST_MONTHS = LONGEST_UPKEEP.value
_FIRST_STEP = 0.5
_CLOSE = 1e-5
_ROUNDING = 1e-9
"""A share up to it is what rounding leaves of none: of days that read alike, a drift of some 1e-16."""
_SCALE = (0.0, 14.0)
"""No pH lies beyond, however little of a bed is exchanged. [pH]"""


@dataclass(frozen=True)
class SaltRise:
    """How salts gather in a bed. Conductivities of 1:2 slurries at 25 degC.

    Parameters
    ----------
    rise : float, str or UFloat
        By how much the bed's conductivity rises in a month. [uS/cm]
    fresh : float, str or UFloat
        Of the fresh mix. [uS/cm]
    limit : float or str
        That must not be passed. [uS/cm]
    now : float, str or UFloat, optional
        Of the bed now; without it, the first cycles begin at the limit. [uS/cm]

    Examples
    --------
    >>> SaltRise("60 uS/cm", "0.4 mS/cm", "1.25 mS/cm").limit
    '1.25 mS/cm'
    """

    rise: Given
    fresh: Given
    limit: float | str
    now: Given | None = None


class Demand(NamedTuple):
    """One thing that must hold, just before each exchange."""

    which: Which
    drift: Uncertain
    """Change per month, as it was given. [pH or uS/cm]"""
    fresh: Uncertain
    """[pH or uS/cm]"""
    limit: float
    """[pH or uS/cm]"""
    ahead: Ahead | None = None
    """The bed as its record taught it, where that answers."""

    @property
    def bound(self) -> Bound:
        """The limit as the model of a bed takes it."""
        return ("ceiling" if self.which == "ceiling" else "floor", self.limit)

    @property
    def knob(self) -> Knob:
        """How the part exchanged acts on it."""
        return BY_VOLUME if self.which == "salts" else UPKEEP

    @property
    def nearing(self) -> bool:
        """Whether the bed comes nearer to its limit by itself, as measured."""
        drift = nominal(self.drift)
        return drift < 0.0 if self.which == "floor" else drift > 0.0

    def beyond(self, start: Uncertain) -> float:
        """Give the probability that a bed lies past the limit.

        Parameters
        ----------
        start : float or UFloat
            Where it is. [pH or uS/cm]

        Returns
        -------
        float
        """
        if self.which == "floor":
            return 1.0 - probability(start, above=self.limit)
        return 1.0 - probability(start, below=self.limit)

    def line(self, every: float) -> Along:
        """Give by how much the limit holds; w is the share.

        Parameters
        ----------
        every : float
            From one exchange to the next. [month]

        Returns
        -------
        Along
            [pH or uS/cm]
        """
        side = 1.0 if self.which == "floor" else -1.0
        return Along(side * self.drift * every, side * (self.fresh - self.limit))

    def even(self, every: float, r: float) -> float | None:
        """Give the part that holds it if all is as measured; None where the whole bed does not.

        Parameters
        ----------
        every : float
            From one exchange to the next. [month]
        r : float
            Buffering capacity of fresh over old. [1]

        Returns
        -------
        float or None
            [1]
        """
        if self.ahead is not None:
            return self.ahead.part_to_hold(self.bound, every, (0.5, 0.5))
        share = self.line(every).zero()
        if share is None or share <= _ROUNDING:
            return 0.0
        return fraction_for_share(share, 1.0 if self.which == "salts" else r)

    def sure(self, every: float, known: Buffering, p: float) -> float | None:
        """Give the part that holds it with a probability; None where the whole bed does not.

        Parameters
        ----------
        every : float
            From one exchange to the next. [month]
        known : Buffering
            Over which the probability is averaged.
        p : float

        Returns
        -------
        float or None
            [1]
        """
        if self.ahead is not None:
            return self.ahead.part_to_hold(self.bound, every)
        return assured(self.line(every), self.knob, known, p)

    def keeps(self, every: float, fraction: float, known: Buffering, p: float) -> bool:
        """Tell whether a part holds it with a probability; by its record, the next low and the one after."""
        if self.ahead is None:
            return self.holds(every, fraction, known) >= p
        soon, later = self.ahead.lows(fraction, self.bound, every)
        return soon >= UPKEEP_NEXT.value and later >= UPKEEP_AFTER.value

    def holds(self, every: float, fraction: float, known: Buffering) -> float:
        """Give the probability that a part holds it.

        Parameters
        ----------
        every : float
            From one exchange to the next. [month]
        fraction : float
            Exchanged each time. [1]
        known : Buffering
            Over which the probability is averaged.

        Returns
        -------
        float
        """
        if self.ahead is not None:
            return min(self.ahead.lows(fraction, self.bound, every))
        return chance(self.line(every), self.knob, fraction, known)

    def between(self, every: float, fraction: float, known: Buffering, p: float) -> Interval:
        """Give the interval of where the steady bed stands just before an exchange.

        Its distribution leans: half the buffering moves the bed twice as far, and twice the buffering half as
        far. So its ends are found where a limit there would hold as often, and not from a standard deviation.

        Parameters
        ----------
        every : float
            From one exchange to the next. [month]
        fraction : float
            Exchanged each time, above 0. [1]
        known : Buffering
            Over which the probability is averaged.
        p : float
            Coverage probability, as much outside on either side.

        Returns
        -------
        Interval
            [pH or uS/cm]
        """

        def above(place: float) -> float:
            """Probability that the bed stands above a place."""
            line = Along(1.0 * self.drift * every, self.fresh - place)
            return chance(line, self.knob, fraction, known)

        ends = (0.0, inf) if self.which == "salts" else _SCALE
        at = min(max(nominal(self.fresh) + nominal(self.drift) * every / fraction, ends[0]), ends[1])
        return Interval(_place(above, at, (1.0 + p) / 2.0, ends), _place(above, at, (1.0 - p) / 2.0, ends))


def _place(above: Callable[[float], float], near: float, p: float, ends: tuple[float, float]) -> float:
    """Find the place that is passed with a probability, by widening and halving; an end where none is."""
    low, high, step = near, near, _FIRST_STEP
    while above(low) < p:
        if low <= ends[0]:
            return ends[0]
        low, step = max(low - step, ends[0]), 2.0 * step
    step = _FIRST_STEP
    while above(high) >= p:
        if high >= ends[1]:
            return ends[1]
        high, step = min(high + step, ends[1]), 2.0 * step
    while high - low > _CLOSE * max(1.0, abs(low)):
        middle = (low + high) / 2.0
        low, high = (middle, high) if above(middle) >= p else (low, middle)
    return (low + high) / 2.0


def demands(
    drift: Given | None,
    fresh: Given | None,
    floor: float | str | None,
    ceiling: float | str | None,
    salts: SaltRise | None,
    *,
    ahead: Ahead | None = None,
) -> tuple[Demand, ...]:
    """Take in what an upkeep must hold.

    Parameters
    ----------
    drift : float, str, UFloat or None
        Of the bed's pH, negative where it turns acid. [pH/month]
    fresh : float, str, UFloat, SlurryResult or None
        Of the fresh mix. [pH]
    floor, ceiling : float, str or None
        That the pH must not pass. [pH]
    salts : SaltRise or None
    ahead : Ahead, optional
        The bed as its record taught it.

    Returns
    -------
    tuple of Demand
        One at least.

    Raises
    ------
    Refusal
        If nothing is asked, something cannot stand, or the fresh mix itself lies beyond a limit.

    Examples
    --------
    >>> [demand.which for demand in demands(-0.08, 6.6, 5.4, None, None)]
    ['floor']
    >>> demands(-0.08, 5.2, 5.4, None, None)
    Traceback (most recent call last):
    slurrycalc.metrology.remark.Refusal: a fresh mix of `5.2` is more acid than the floor, 5.4, so no exchange
    for it holds the bed above: give one that lies above 5.4.
    """
    made = []
    if floor is not None or ceiling is not None:
        if drift is None or fresh is None:
            raise Refusal(
                "a limit of pH needs the drift per month and the pH of the fresh mix: give for instance "
                "-0.08 and 6.6."
            )
        per_month, mix = _drift(drift), taken(fresh, "ph", "pH of the fresh mix")
        low = None if floor is None else nominal(taken(floor, "ph", "the floor"))
        high = None if ceiling is None else nominal(taken(ceiling, "ph", "the ceiling"))
        if low is not None and high is not None and low >= high:
            raise Refusal(
                f"a floor of `{low:g}` leaves no room under a ceiling of {high:g}: give such as 5.4 and 6.5."
            )
        if low is not None:
            if nominal(mix) <= low:
                raise _beyond(mix, "acid", "floor", low, "above")
            made.append(Demand("floor", per_month, mix, low, ahead))
        if high is not None:
            if nominal(mix) >= high:
                raise _beyond(mix, "alkaline", "ceiling", high, "below")
            made.append(Demand("ceiling", per_month, mix, high, ahead))
    if salts is not None:
        made.append(_salts(salts))
    if not made:
        raise Refusal("an upkeep needs a limit to hold: give a floor, for instance 5.4.")
    return tuple(made)


def _drift(given: Given) -> Uncertain:
    drift = taken(given, "number", "drift per month")
    if abs(nominal(drift)) > PLAUSIBLE_DRIFT.value:
        raise Refusal(
            f"{quoted(given)} pH a month is faster than any bed drifts ({PLAUSIBLE_DRIFT.value:g}, our own "
            "figure): give the drift per month, for instance -0.08."
        )
    return drift


def _beyond(mix: Uncertain, more: str, name: str, limit: float, side: str) -> Refusal:
    where = "at" if nominal(mix) == limit else f"more {more} than"
    return Refusal(
        f"a fresh mix of `{as_quoted(mix)}` is {where} the {name}, {limit:g}, so no exchange for it "
        f"holds the bed {side}: give one that lies {side} {limit:g}."
    )


def _conducts(given: Given, what: str, of: str) -> Uncertain:
    """Take in a conductivity, and ask where its unit is wrong by a thousand."""
    if isinstance(given, str):
        try:
            seen_to(given, of)
        except Refusal as refusal:
            raise refusal.at(what) from None
    return taken(given, "conductivity", what)


def _salts(salts: SaltRise) -> Demand:
    rise = taken(salts.rise, "conductivity", "rise of salts per month")
    fresh = _conducts(salts.fresh, "salts of the fresh mix", "a fresh mix")
    limit = nominal(_conducts(salts.limit, "limit of salts", "a slurry that anything grows in"))
    if nominal(fresh) >= limit:
        raise Refusal(
            f"a fresh mix of `{spoken_ec(nominal(fresh))}` holds no less salt than the limit, "
            f"{spoken_ec(limit)}, so no exchange for it keeps the bed below: give a fresh mix with less."
        )
    if isinstance(salts.rise, str) and nominal(rise) > limit:
        raise Refusal(
            f"a rise of {quoted(salts.rise)} passes the limit, {spoken_ec(limit)}, within a month: did you "
            f"mean `{nominal(rise) / 1000.0:g} uS/cm`?"
        )
    return Demand("salts", rise, fresh, limit)
