"""Many beds at once, each a grid of nodes: a Gaussian state of level and rate at each, and its weight.

Between readings the level drifts by the rate, and the rate wanders; a reading weighs the nodes and moves
each by the classic filter (R. E. Kalman, J. Basic Eng. 82 (1960) 35, from memory). Where a class is drawn
anew, the states that meet are merged to one of the same first and second moments. There are no draws: the
same record always gives the same digits.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from slurrycalc.deciding.bed.prior import Floats, Grid, Prior, nodes_of

Flags = NDArray[np.bool_]

_SAME_TIME = 1e-9
"""Months that are no time at all: a hundredth of a second."""
_LEAST_WEIGHT = 1e-200
_LOG_TWO_PI = float(np.log(2.0 * np.pi))


@dataclass(frozen=True, eq=False)
class Nodes:
    """The states of beds, along the axes [bed, wander, scatter, buffering]."""

    grid: Grid
    weight: Floats
    """Of each node; those of a bed add to 1."""
    moments: Floats
    """Level, rate, variance of the level, covariance, variance of the rate. [pH, pH/month and products]"""
    ratio: Floats
    """r, the capacity of a volume of fresh mix over that of the bed as it was first. [1]"""
    kept: Floats
    """1 where fresh mix keeps its capacity, 0 where it ages to the bed's."""
    capacity: Floats
    """Of the bed over what it was first. [1]"""
    months: Floats
    """Since each bed's first day. [month]"""
    days: NDArray[np.int64]
    """How many bench days each bed has."""
    taught: Flags
    """Whether an exchange or a trial has touched r."""
    log_likelihood: Floats
    """Of all readings, but for what is the same at each node."""

    @property
    def beds(self) -> int:
        """How many beds."""
        return len(self.months)


def along(x: object) -> Floats:
    """Lay a number, or one for each bed, along the axis of beds."""
    return np.asarray(x, dtype=float).reshape(-1, 1, 1, 1)


def unread(first: object, prior: Prior) -> Nodes:
    """Begin beds on the day of their first reading, with that reading still to be taken in.

    Parameters
    ----------
    first : float or array
        First reading of each bed, about which its prior level lies. [pH]
    prior : Prior

    Returns
    -------
    Nodes
    """
    grid = nodes_of(prior)
    at = np.atleast_1d(np.asarray(first, dtype=float))
    shape = (at.size, *grid.weight.shape[1:])
    moments = np.zeros((5, *shape))
    moments[0] = at.reshape(-1, 1, 1, 1)
    moments[2], moments[4] = prior.level**2, prior.rate**2
    ones = np.ones((at.size, 1, 1, 1))
    return Nodes(
        grid,
        np.broadcast_to(grid.weight, shape).copy(),
        moments,
        ones,
        ones,
        ones,
        np.zeros(at.size),
        np.zeros(at.size, dtype=np.int64),
        np.zeros(at.size, dtype=bool),
        np.zeros(at.size),
    )


def renewed(weight: Floats, moments: Floats, axis: int, stay: Floats, fresh: Floats) -> tuple[Floats, Floats]:
    """Draw the class along an axis anew with chance 1 - stay; states that meet are merged by their moments.

    Parameters
    ----------
    weight, moments : array
        Of the nodes.
    axis : int
        1 for wander, 2 for scatter.
    stay, fresh : array
        The chance that a class stays, and the weights from which another is drawn.

    Returns
    -------
    weight, moments : array
    """
    if weight.shape[axis] == 1:
        return weight, moments
    # About one of the states: squares of a whole pH would cost digits.
    origin = moments[:2].take([0], axis=axis + 1)
    sums = np.empty((6, *weight.shape))
    apart, squares = sums[1:3], sums[3:]
    np.subtract(moments[:2], origin, out=apart)
    np.multiply(apart[0], apart, out=squares[:2])
    np.multiply(apart[1], apart[1], out=squares[2])
    squares += moments[2:]
    sums[0] = weight
    sums[1:] *= weight
    total = sums.sum(axis=axis + 1, keepdims=True)
    sums *= stay
    sums += (1.0 - stay) * fresh * total
    drawn = sums[0].copy()
    mean = sums[1:]
    mean /= drawn
    mean[2:4] -= mean[0] * mean[:2]
    mean[4] -= mean[1] * mean[1]
    mean[:2] += origin
    return drawn, mean


def advanced(nodes: Nodes, to: object) -> Nodes:
    """Let time pass; at each whole month since a bed's first day its class of wander may be drawn anew.

    Within a month steps follow from each other exactly, so that no state depends on what was asked between.

    Parameters
    ----------
    nodes : Nodes
    to : float or array
        Months since each bed's first day; one that lies in the past leaves that bed as it is. [month]

    Returns
    -------
    Nodes
    """
    end = np.maximum(np.asarray(to, dtype=float), nodes.months)
    if not (end > nodes.months).any():
        return nodes
    grid, at, begun = nodes.grid, nodes.months, np.floor(nodes.months + _SAME_TIME)
    weight, moments = nodes.weight, nodes.moments.copy()
    steps = max(1, int((np.floor(end + _SAME_TIME) - begun).max()) + 1)
    for k in range(1, steps + 1):
        now = np.maximum(np.minimum(end, begun + k), at)
        if (now > at).any():
            _drift(moments, grid.wander, (now - at).reshape(-1, 1, 1, 1))
        turned = (begun + k <= end + _SAME_TIME).reshape(-1, 1, 1, 1)
        if turned.any():
            stay = np.where(turned, np.exp(-grid.prior.hazard), 1.0)
            weight, moments = renewed(weight, moments, 1, stay, grid.wander_weight)
        at = now
    return replace(nodes, weight=weight, moments=moments, months=end)


def _drift(moments: Floats, wander: Floats, h: Floats) -> None:
    """Move states by h months, in place."""
    level, rate, a, k, u = moments
    level += h * rate
    wandered = wander * h
    hu = h * u
    a += h * (2.0 * k + hu)
    a += wandered * (h * h / 3.0)
    k += hu
    k += wandered * (h / 2.0)
    u += wandered


def jar_variance(nodes: Nodes, jars: object, u: object) -> Floats:
    """Give the variance [pH^2] of a day's mean of jars about the level, at each node of scatter."""
    grid = nodes.grid
    return grid.scatter / along(jars) + (grid.day + along(u) ** 2)


def observed(
    nodes: Nodes, mean: object, jars: object, squares: object, u: object, *, on: Flags | None = None
) -> Nodes:
    """Take in a bench day.

    Parameters
    ----------
    nodes : Nodes
        As they stand on that day.
    mean : float or array
        Of the day's jars. [pH]
    jars : int or array
        How many.
    squares : float or array
        Sum of squares of the jars about their mean. [pH^2]
    u : float or array
        Standard uncertainty of what that day's calibration adds of its own. [pH]
    on : array of bool, optional
        Beds that were read; the others stay as they are.

    Returns
    -------
    Nodes
    """
    grid, beds = nodes.grid, nodes.beds
    n = along(jars)
    level, _, a, k, uu = nodes.moments
    total = a + jar_variance(nodes, n, u)
    off = along(mean) - level
    within = (n - 1.0) * grid.log_scatter + along(squares) / (2.0 * grid.scatter)
    log_weight = -0.5 * (off * off / total + np.log(total)) - within
    gain = np.stack([a, k]) / total
    read_beds = np.ones(beds, dtype=bool) if on is None else on
    if not read_beds.all():
        read = read_beds.reshape(-1, 1, 1, 1)
        log_weight, off = np.where(read, log_weight, 0.0), np.where(read, off, 0.0)
        gain = np.where(read, gain, 0.0)
    top = log_weight.max(axis=(1, 2, 3), keepdims=True)
    weight = nodes.weight * np.exp(log_weight - top)
    sum_of = weight.sum(axis=(1, 2, 3), keepdims=True)
    moments = np.empty_like(nodes.moments)
    moments[:2] = nodes.moments[:2] + gain * off
    moments[2] = a - gain[0] * a
    moments[3] = k - gain[0] * k
    moments[4] = uu - gain[1] * k
    likelihood = np.log(sum_of) + top - 0.5 * _LOG_TWO_PI
    return replace(
        nodes,
        weight=np.maximum(weight / sum_of, _LEAST_WEIGHT),
        moments=moments,
        days=nodes.days + read_beds,
        log_likelihood=nodes.log_likelihood + np.where(read_beds, likelihood.reshape(-1), 0.0),
    )
