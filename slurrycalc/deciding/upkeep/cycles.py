"""A bed that drifts and is exchanged in part again and again: step by step, and where that leads.

How long fresh substrate holds its pH better or worse than the old is not known, so both ends are stepped
through. It *keeps* its capacity: then the bed's own capacity comes to be that of fresh substrate, and the
same acid moves it by 1/r as much. Or it *ages* to the bed's capacity within a cycle: then the bed drifts as
it always did, and r counts on the day of the exchange only.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final, NamedTuple, TypeAlias

import numpy as np
from numpy.typing import NDArray

from slurrycalc.deciding.mixing import Knob, fraction_of, fresh_weight
from slurrycalc.metrology.annotate import MicroSiemensPerCmValue, MonthValue, PHValue

Floats: TypeAlias = NDArray[np.float64]

FIRST: Final = 6
"""So many cycles are shown."""
STEADY: Final = 400
"""After so many a bed is steady, even where only a hundredth is exchanged."""


class Course(NamedTuple):
    """From where to where a bed goes. pH, or any other quantity that mixes by capacity and drifts."""

    start: float
    """Of the bed just before the first exchange."""
    fresh: float
    """Of the fresh mix."""
    change: float
    """By how much the bed as it is now drifts in one cycle; negative where it turns acid."""


class Swing(NamedTuple):
    """What one cycle does to a bed."""

    after: float
    """Just after the exchange. [pH]"""
    before: float
    """Just before the next one. [pH]"""


@dataclass(frozen=True, slots=True)
class Cycle:
    """One cycle of an upkeep, by the values without their doubt."""

    month: MonthValue
    """When its exchange is done, counted from the first one."""
    after: PHValue | None
    """Just after the exchange; None where no pH was asked about."""
    before: PHValue | None
    """Just before the next exchange."""
    worst: PHValue | None
    """The same, for the worst that the buffering capacities may do."""
    salts: MicroSiemensPerCmValue | None
    """Just before the next exchange; None where no salts were asked about."""


def cycles(way: Course, fraction: float, r: float, *, keeps: bool, count: int) -> tuple[Swing, ...]:
    """Step through repeated exchanges.

    Parameters
    ----------
    way : Course
        From where to where.
    fraction : float
        Part exchanged each time. [1]
    r : float
        Buffering capacity of a volume of fresh mix over one of the bed as it is now. [1]
    keeps : bool
        Whether fresh substrate keeps its capacity, or ages to the old one's.
    count : int
        How many cycles.

    Returns
    -------
    tuple of Swing

    Examples
    --------
    >>> steps = cycles(Course(5.4, 6.6, -0.24), 0.25, 1.0, keeps=True, count=2)
    >>> [f"{each.after:.2f} {each.before:.2f}" for each in steps]
    ['5.70 5.46', '5.75 5.50']
    """
    swings = []
    before, fresh, change = way
    capacity = 1.0
    for _ in range(count):
        after = before + fresh_weight(fraction, r / capacity) * (fresh - before)
        if keeps:
            capacity = (1.0 - fraction) * capacity + fraction * r
        before = after + change / capacity
        swings.append(Swing(after, before))
    return tuple(swings)


def steady_share(fraction: float, r: float) -> float:
    """Give how far an upkeep holds against the drift, for the worse of keeping and ageing.

    A steady bed just before its exchange lies at fresh + change / share: f·r where fresh substrate keeps its
    capacity, φ where it ages.

    Parameters
    ----------
    fraction : float
        Part exchanged each time. [1]
    r : float
        Buffering capacity of fresh over old. [1]

    Returns
    -------
    float
        The smaller of f·r and φ. [1]

    Examples
    --------
    >>> steady_share(0.25, 1.0), steady_share(0.25, 0.5), round(steady_share(0.25, 2.0), 3)
    (0.25, 0.125, 0.4)
    """
    return min(fraction * r, fresh_weight(fraction, r))


def fraction_for_share(share: float, r: float) -> float | None:
    """Give the part to exchange each time, for a share: `steady_share` turned round.

    Parameters
    ----------
    share : float
        [1]
    r : float
        Buffering capacity of fresh over old. [1]

    Returns
    -------
    float or None
        None where the whole bed each time is not enough. [1]

    Examples
    --------
    >>> fraction_for_share(0.125, 0.5), round(fraction_for_share(0.4, 2.0), 3), fraction_for_share(0.6, 0.5)
    (0.25, 0.25, None)
    """
    if share > min(r, 1.0):
        return None
    return share / r if r < 1.0 else fraction_of(share, r)


def _shares(fraction: float, r: Floats) -> Floats:
    return np.minimum(fraction * r, fraction * r / ((1.0 - fraction) + fraction * r))


def _needed(fraction: float, place: float) -> float:
    if place <= 0.0:
        return 0.0
    if fraction <= 0.0:
        return np.inf
    if place <= fraction:
        return place / fraction
    if fraction >= 1.0 or place >= 1.0:
        return np.inf
    return place / (1.0 - place) * (1.0 - fraction) / fraction


UPKEEP: Final = Knob(_shares, _needed)
"""Exchanges again and again: the place is the share."""


def worst(way: Course, fraction: float, ratios: Sequence[float], count: int) -> tuple[float, ...]:
    """Give the worst that may be just before each exchange, whatever the capacities do.

    Parameters
    ----------
    way, fraction
        As for `cycles`.
    ratios : sequence of float
        Buffering capacities of fresh over old that may be. [1]
    count : int
        How many cycles.

    Returns
    -------
    tuple of float
        The lowest of a bed that turns acid, else the highest. [pH]

    Examples
    --------
    >>> [f"{each:.2f}" for each in worst(Course(5.4, 6.6, -0.24), 0.25, [0.5, 1.0, 2.0], 2)]
    ['5.30', '5.20']
    """
    ways = [
        [swing.before for swing in cycles(way, fraction, r, keeps=keeps, count=count)]
        for r in ratios
        for keeps in (True, False)
    ]
    pick = min if way.change < 0.0 else max
    return tuple(pick(at_once) for at_once in zip(*ways, strict=True))
