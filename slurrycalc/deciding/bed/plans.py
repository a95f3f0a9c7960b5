"""The smallest part of a bed whose exchange does what is asked: brings it to a pH, or holds it at a limit."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Final

import numpy as np

from slurrycalc.data.assumed import (
    COVERAGE,
    MOST_AT_ONCE,
    MOST_STAGES,
    STAGE_SPACING,
    UPKEEP_AFTER,
    UPKEEP_EVERY,
    UPKEEP_NEXT,
)
from slurrycalc.deciding.bed.answers import rates
from slurrycalc.deciding.bed.bed import Bed
from slurrycalc.deciding.bed.changes import exchanged
from slurrycalc.deciding.bed.limits import Bound, past
from slurrycalc.deciding.bed.nodes import Flags, Nodes, advanced
from slurrycalc.deciding.bed.prior import Floats
from slurrycalc.deciding.days import DAYS_PER_MONTH

READ_EACH_CYCLE: Final = (UPKEEP_NEXT.value, UPKEEP_AFTER.value)
"""Chances that the next low and the one after keep to the limit, where the plan is asked anew each cycle."""
_LOOKS = 8
_HALVINGS = 8
_ROUNDING = 1e-12


@dataclass(frozen=True)
class Mix:
    """A fresh mix as it was measured; for many beds one number each."""

    ph: float | Floats
    """[pH]"""
    u: float | Floats
    """Its standard uncertainty, without what all readings share. [pH]"""


def unread_cycles(cycles: int) -> tuple[float, ...]:
    """Give the chances asked of an upkeep that is to hold so many cycles without a reading."""
    return (COVERAGE.value,) * cycles


def smallest_part(good: Callable[[Floats], Flags], beds: int, most: float = 1.0) -> Floats:
    """Find the smallest part to exchange for which something holds, for each bed.

    Parameters
    ----------
    good : callable
        Whether it holds, for one part for each bed.
    beds : int
    most : float
        Largest part. [1]

    Returns
    -------
    array
        nan where no part will do. To a two-thousandth of the largest, from above. The first that holds, seen
        from 0: a doubtful mix can make a sure bed doubtful again. [1]
    """
    high, low = np.full(beds, np.nan), np.zeros(beds)
    for part in np.linspace(0.0, most, _LOOKS + 1):
        holds = good(np.full(beds, part)) & np.isnan(high)
        high = np.where(holds, part, high)
        low = np.where(np.isnan(high), part, low)
        if not np.isnan(high).any():
            break
    open_ones = high > low
    for _ in range(_HALVINGS if open_ones.any() else 0):
        middle = np.where(open_ones, (low + high) / 2.0, 0.0)
        holds = good(middle)
        high = np.where(open_ones & holds, middle, high)
        low = np.where(open_ones & ~holds, middle, low)
    return high


def parts_to_reach(
    nodes: Nodes,
    wanted: Bound,
    mix: Mix,
    *,
    p: float = 0.95,
    u_shared: object = 0.0,
    most: float = 1.0,
) -> Floats:
    """Find the smallest part of each bed to exchange now for it to keep to a limit with chance p.

    Parameters
    ----------
    nodes : Nodes
    wanted : (side, pH)
        "floor": at the pH or above.
    mix : Mix
    p : float
    u_shared : float or array
        [pH]
    most : float
        Largest part. [1]

    Returns
    -------
    array
        0 where none is needed, nan where none will do. [1]
    """

    def good(part: Floats) -> Flags:
        return past(exchanged(nodes, part, mix.ph, mix.u), wanted, u_shared) <= 1.0 - p + _ROUNDING

    return smallest_part(good, nodes.beds, most)


def lows(
    nodes: Nodes,
    part: object,
    bound: Bound,
    mix: Mix,
    *,
    every: float,
    cycles: int,
    u_shared: object = 0.0,
) -> list[Floats]:
    """Give the chance that each coming low of an upkeep keeps to a limit.

    Parameters
    ----------
    nodes : Nodes
    part : float or array
        Exchanged each time. [1]
    bound : (side, pH)
    mix : Mix
    every : float
        From one exchange, of which the first is made now, to the next. [month]
    cycles : int
        How many.
    u_shared : float or array
        [pH]

    Returns
    -------
    list of array
        The low is the level just before an exchange. [1]
    """
    found = []
    for _ in range(cycles):
        nodes = exchanged(nodes, part, mix.ph, mix.u)
        nodes = advanced(nodes, nodes.months + every)
        found.append(1.0 - past(nodes, bound, u_shared))
    return found


def parts_to_hold(
    nodes: Nodes,
    bound: Bound,
    mix: Mix,
    *,
    every: float,
    chances: Sequence[float] = READ_EACH_CYCLE,
    u_shared: object = 0.0,
    most: float = MOST_AT_ONCE.value,
) -> Floats:
    """Find the smallest part to exchange now and each cycle, so that each coming low keeps to a limit.

    Parameters
    ----------
    nodes, bound, mix, every, u_shared
        As `lows` takes them.
    chances : sequence of float
        That the next low keeps to it, the one after, and so on; `unread_cycles` where nobody reads meanwhile.
    most : float
        Largest part. [1]

    Returns
    -------
    array
        nan where not even the largest part will do: exchange more often. [1]
    """

    def good(part: Floats) -> Flags:
        kept = lows(nodes, part, bound, mix, every=every, cycles=len(chances), u_shared=u_shared)
        enough = [each >= chance - _ROUNDING for each, chance in zip(kept, chances, strict=True)]
        return np.asarray(np.logical_and.reduce(enough))

    return smallest_part(good, nodes.beds, most)


@dataclass(frozen=True)
class Reach:
    """What it takes to bring a bed to a pH."""

    wanted: Bound
    chance_now: float
    """That it lies there already. [1]"""
    fraction: float | None
    """In one go; 0 where nothing is needed, None where even all of the bed will not do. [1]"""
    stages: tuple[float, ...]
    """Parts to exchange one stage after the other, if nothing is read meanwhile. [1]"""
    chance_after: float
    """That it lies there after the last stage. [1]"""

    @property
    def today(self) -> float:
        """The part to exchange now."""
        return self.stages[0] if self.stages else 0.0


def reach(
    bed: Bed,
    on: date,
    wanted: Bound,
    mix: Mix,
    *,
    p: float = 0.95,
    u_shared: float = 0.0,
    at_once: float = MOST_AT_ONCE.value,
) -> Reach:
    """Plan the exchange that brings a bed to a pH, in stages of at most a third.

    Parameters
    ----------
    bed : Bed
    on : date
        Day of the first stage, not before the last entry.
    wanted : (side, pH)
        "floor": at the pH or above.
    mix : Mix
    p : float
        Chance with which it is to lie there. [1]
    u_shared : float
        Standard uncertainty that all days share, the mix's among them. [pH]
    at_once : float
        Largest part of the bed exchanged at a time. [1]

    Returns
    -------
    Reach
    """
    nodes = bed.on(on)
    chance_now = 1.0 - float(past(nodes, wanted, u_shared)[0])
    whole = float(parts_to_reach(nodes, wanted, mix, p=p, u_shared=u_shared)[0])
    stages: list[float] = []
    while chance_now < p and len(stages) < int(MOST_STAGES.value):
        part = float(parts_to_reach(nodes, wanted, mix, p=p, u_shared=u_shared, most=at_once)[0])
        enough = not np.isnan(part)
        stages.append(part if enough else at_once)
        nodes = exchanged(nodes, stages[-1], mix.ph, mix.u)
        if enough:
            break
        nodes = advanced(nodes, nodes.months + STAGE_SPACING.value / DAYS_PER_MONTH)
    after = 1.0 - float(past(nodes, wanted, u_shared)[0])
    return Reach(wanted, chance_now, None if np.isnan(whole) else whole, tuple(stages), after)


@dataclass(frozen=True)
class Hold:
    """What it takes to hold a bed at a limit."""

    bound: Bound
    fraction: float | None
    """Part to exchange now and each cycle; None where the largest at a time will not do. [1]"""
    lows: tuple[float, ...]
    """Chance that each coming low keeps to the limit, with that part or with the largest. [1]"""
    past_now: float
    """Chance that the bed is past it now: then an exchange comes first and nothing is promised. [1]"""
    toward: float
    """Chance that the bed drifts toward the limit now. [1]"""


def hold(
    bed: Bed,
    on: date,
    bound: Bound,
    mix: Mix,
    *,
    every: float = UPKEEP_EVERY.value,
    chances: Sequence[float] = READ_EACH_CYCLE,
    u_shared: float = 0.0,
    at_once: float = MOST_AT_ONCE.value,
) -> Hold:
    """Plan the exchange, now and each cycle, that holds a bed at a limit.

    Parameters
    ----------
    bed, on, mix, u_shared, at_once
        As `reach` takes them.
    bound : (side, pH)
    every : float
        From one exchange to the next. [month]
    chances : sequence of float
        As `parts_to_hold` takes them. [1]

    Returns
    -------
    Hold
    """
    nodes = bed.on(on)
    part = float(
        parts_to_hold(nodes, bound, mix, every=every, chances=chances, u_shared=u_shared, most=at_once)[0]
    )
    found = None if np.isnan(part) else part
    used = at_once if found is None else found
    kept = lows(nodes, used, bound, mix, every=every, cycles=len(chances), u_shared=u_shared)
    falling = float(rates(nodes).below(0.0)[0])
    return Hold(
        bound,
        found,
        tuple(float(each[0]) for each in kept),
        float(past(nodes, bound, u_shared)[0]),
        falling if bound[0] == "floor" else 1.0 - falling,
    )
