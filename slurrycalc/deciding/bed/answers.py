"""What a taught bed answers: its level, its rate, what a reading should show, whether its drift changes.

Answers about many beds take `Nodes` and give `Normals`; those about one take a `Bed` and give an `Estimate`.
``u_shared`` is the standard uncertainty that all its days share (bottles, junction, meter; from the tagged
budget): it belongs once to each statement about an absolute level, and to no difference.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from math import exp

import numpy as np

from slurrycalc.data.assumed import RATE_CHANGES, READING_SURPRISE
from slurrycalc.deciding.bed.bed import Bed, bed
from slurrycalc.deciding.bed.history import DayMean, Happening, counted
from slurrycalc.deciding.bed.nodes import Nodes, along, jar_variance
from slurrycalc.deciding.bed.normals import Estimate, Normals
from slurrycalc.deciding.bed.prior import Floats, Prior
from slurrycalc.metrology.coverage import Interval


def levels(nodes: Nodes, u_shared: object = 0.0) -> Normals:
    """Give the level [pH] of each bed."""
    variance = nodes.moments[2] + along(u_shared) ** 2
    return Normals.of(nodes.weight, nodes.moments[0], variance)


def rates(nodes: Nodes) -> Normals:
    """Give the rate [pH/month] of each bed."""
    return Normals.of(nodes.weight, nodes.moments[1], nodes.moments[4])


def readings(nodes: Nodes, jars: object, u: object) -> Normals:
    """Give what the mean of so many jars should show, where that day's calibration adds u of its own [pH]."""
    variance = nodes.moments[2] + jar_variance(nodes, jars, u)
    return Normals.of(nodes.weight, nodes.moments[0], variance)


def change_chances(nodes: Nodes) -> Floats:
    """Give the chance that each bed's rate wanders more than a steady bed's."""
    return np.asarray(nodes.weight[:, 1:].sum(axis=(1, 2, 3)))


def level(bed: Bed, on: date | None = None, u_shared: float = 0.0) -> Estimate:
    """Give the level [pH] of a bed on a day not before its last entry, which is that day unless given.

    Parameters
    ----------
    bed : Bed
    on : date, optional
    u_shared : float
        Standard uncertainty that all its days share. [pH]

    Returns
    -------
    Estimate
    """
    return Estimate.of(levels(bed.nodes if on is None else bed.on(on), u_shared))


def rate(bed: Bed, on: date | None = None) -> Estimate:
    """Give the rate [pH/month] of a bed on a day."""
    return Estimate.of(rates(bed.nodes if on is None else bed.on(on)))


def spot_variance(bed: Bed, on: date | None = None) -> float:
    """Give the variance [pH^2] by which spots of a bed differ: that of its jars."""
    nodes = bed.nodes if on is None else bed.on(on)
    return float((nodes.weight * nodes.grid.scatter).sum())


@dataclass(frozen=True)
class NextReading:
    """What a reading should show, and, where there is one, what it did show."""

    expected: Estimate
    """Of the mean of the jars, without what all days share: [pH]"""
    limits: Interval
    """Outside of which a reading is a surprise. [pH]"""
    found: float | None
    """[pH]"""

    @property
    def surprise(self) -> bool:
        """Whether the reading lies outside the limits."""
        return self.found is not None and not self.limits.low <= self.found <= self.limits.high


def next_reading(
    bed: Bed, on: date, jars: int, u: float, *, found: float | None = None, p: float = READING_SURPRISE.value
) -> NextReading:
    """Say what the mean of so many jars should show on a day.

    Parameters
    ----------
    bed : Bed
        Without that reading.
    on : date
    jars : int
    u : float
        Standard uncertainty of what that day's calibration adds of its own. [pH]
    found : float, optional
        What it did show. [pH]
    p : float
        Coverage outside which it is a surprise. [1]

    Returns
    -------
    NextReading
    """
    expected = Estimate.of(readings(bed.on(on), jars, u))
    return NextReading(expected, expected.interval(p), found)


def surprises(history: list[Happening] | tuple[Happening, ...], prior: Prior | None = None) -> list[DayMean]:
    """Find the readings of a record that surprised the bed as it was known when each was made.

    Parameters
    ----------
    history : list or tuple
        As `bed` takes it.
    prior : Prior, optional

    Returns
    -------
    list of DayMean
    """
    first, *rest = counted(history)
    now, found = bed([first], prior), []
    for each in rest:
        if isinstance(each, DayMean):
            seen = next_reading(now, each.day, each.jars, each.u, found=each.mean)
            found += [each] if seen.surprise else []
        now = now.after(each)
    return found


def changing(bed: Bed, on: date | None = None) -> bool:
    """Say whether a bed's drift is changing, so that a straight line no longer serves."""
    nodes = bed.nodes if on is None else bed.on(on)
    return bool(change_chances(nodes)[0] > RATE_CHANGES.value)


@dataclass(frozen=True)
class RatioKnown:
    """What is known of r, the capacity of a volume of fresh mix over that of the bed as it was first."""

    ratio: float
    """exp of the mean of ln r. [1]"""
    u_log: float
    """Standard uncertainty of ln r. [1]"""

    def interval(self, factor: float) -> Interval:
        """Give the ratio divided and multiplied by exp(factor u)."""
        return Interval(self.ratio * exp(-factor * self.u_log), self.ratio * exp(factor * self.u_log))


def ratio_known(bed: Bed) -> RatioKnown | None:
    """Give what is known of r: what exchanges and trials taught; None where there was neither."""
    nodes = bed.nodes
    if nodes.ratio.shape[3] == 1:
        return None
    ln_r = np.log(nodes.ratio[0, 0, 0])
    share = nodes.weight[0].sum(axis=(0, 1))
    mean = float(share @ ln_r)
    return RatioKnown(exp(mean), float(np.sqrt(share @ (ln_r - mean) ** 2)))
