"""What is expected of a bed before it is read: how its rate wanders, how jars scatter, how mix buffers."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cache
from typing import Final, TypeAlias

import numpy as np
from numpy.typing import NDArray

from slurrycalc.data.assumed import (
    BED_LEVEL,
    BED_RATE,
    BUFFERING_KEPT,
    BUFFERING_SPREAD,
    BUFFERING_TAIL,
    DAY_EFFECT,
    DAY_EFFECT_LARGE,
    DAY_EFFECT_SHARE,
    DISTURBED_LEVEL,
    DISTURBED_RATE,
    DISTURBED_SCATTER,
    EXCHANGE_RATE,
    FAST_WANDER,
    PLACEMENT_FIXED,
    PLACEMENT_SHARE,
    SCATTER_LEAST,
    SCATTER_NODES,
    SCATTER_RATIO,
    SCATTER_STAYS,
    SLOW_SHARE,
    SLOW_WANDER,
    SLURRY_SCATTER,
    SLURRY_SCATTER_DOF,
    STEADY_SHARE,
    STEADY_WANDER,
    WANDER_HAZARD,
)

Floats: TypeAlias = NDArray[np.float64]

BUFFERING_NODES: Final = tuple(float(z) for z in range(-3, 4))
"""Nodes of ln r, in its standard deviations about its middle."""
_SCATTERS = tuple(SCATTER_LEAST.value * SCATTER_RATIO.value**k for k in range(int(SCATTER_NODES.value)))


@dataclass(frozen=True)
class Prior:
    """What is expected of a bed before its first reading."""

    level: float = BED_LEVEL.value
    """Standard deviation of the level about the first reading. [pH]"""
    rate: float = BED_RATE.value
    """Standard deviation of the first rate about 0. [pH/month]"""
    wander: tuple[float, ...] = (STEADY_WANDER.value, SLOW_WANDER.value, FAST_WANDER.value)
    """Classes of q, the rate's change over a month, a standard deviation. [pH/month]"""
    wander_weight: tuple[float, ...] = (
        STEADY_SHARE.value,
        SLOW_SHARE.value,
        1.0 - STEADY_SHARE.value - SLOW_SHARE.value,
    )
    hazard: float = WANDER_HAZARD.value
    """How often a bed's class of q is drawn anew. [1/month]"""
    scatter: tuple[float, ...] = _SCATTERS
    """Nodes of σ, the scatter of jars, a standard deviation. [pH]"""
    scatter_expected: tuple[float, float] = (SLURRY_SCATTER.value, SLURRY_SCATTER_DOF.value)
    """Its expectation, and the degrees of freedom that this is worth. [pH], [1]"""
    day_effect: tuple[float, ...] = (DAY_EFFECT.value, DAY_EFFECT_LARGE.value)
    """Nodes of τ, what the jars of a day share beyond their calibration, a standard deviation. [pH]"""
    day_effect_weight: tuple[float, ...] = (DAY_EFFECT_SHARE.value, 1.0 - DAY_EFFECT_SHARE.value)
    buffering: float = BUFFERING_SPREAD.value
    """Standard deviation of ln r. [1]"""
    buffering_tail: float = BUFFERING_TAIL.value
    buffering_kept: float = BUFFERING_KEPT.value
    scatter_stays: float = SCATTER_STAYS.value
    placement_share: float = PLACEMENT_SHARE.value
    placement_fixed: float = PLACEMENT_FIXED.value
    """[pH]"""
    exchange_rate: float = EXCHANGE_RATE.value
    """[pH/month]"""
    disturbed_level: float = DISTURBED_LEVEL.value
    """[pH]"""
    disturbed_rate: float = DISTURBED_RATE.value
    """[pH/month]"""
    disturbed_scatter: float = DISTURBED_SCATTER.value

    @classmethod
    def known(
        cls, scatter: float, wander: float = 0.0, rate: float = BED_RATE.value, level: float = BED_LEVEL.value
    ) -> Prior:
        """Expect one scatter, one wander and no day's own effect: a single node, plain least squares.

        Parameters
        ----------
        scatter, level : float
            Standard deviations of a jar, and of the level about the first reading. [pH]
        wander, rate : float
            Standard deviations of the rate's change over a month, and of the first rate. [pH/month]

        Returns
        -------
        Prior

        Examples
        --------
        >>> nodes_of(Prior.known(0.1)).weight.size
        1
        """
        one = (1.0,)
        return replace(
            cls(),
            level=level,
            rate=rate,
            wander=(wander,),
            wander_weight=one,
            scatter=(scatter,),
            day_effect=(0.0,),
            day_effect_weight=one,
        )


@dataclass(frozen=True, eq=False)
class Grid:
    """The nodes of a prior, along the axes [bed, wander, scatter, buffering]."""

    prior: Prior
    wander: Floats
    """Variance of the rate's change over a month. [(pH/month)^2]"""
    wander_weight: Floats
    scatter: Floats
    """Variance of a jar. [pH^2]"""
    log_scatter: Floats
    day: Floats
    """Variance of a day's own effect. [pH^2]"""
    scatter_weight: Floats
    weight: Floats
    """Of the nodes before any reading; they add to 1."""


@cache
def nodes_of(prior: Prior) -> Grid:
    """Lay out the nodes of wander and scatter of a prior.

    The weight of a scatter σ is that of a scaled inverse chi-squared expectation (s, ν) on even steps of
    ln σ: σ^(-ν) exp(-ν s² / 2σ²).

    Examples
    --------
    >>> nodes_of(Prior()).weight.shape, round(float(nodes_of(Prior()).weight.sum()), 12)
    ((1, 3, 14, 1), 1.0)
    """
    sd, dof = prior.scatter_expected
    sigma, tau = np.array(prior.scatter), np.array(prior.day_effect)
    weight = sigma**-dof * np.exp(-dof * sd**2 / 2.0 / sigma**2) if sigma.size > 1 else np.ones(1)
    both = np.outer(weight / weight.sum(), prior.day_effect_weight).reshape(1, 1, -1, 1)
    scatter = np.repeat(sigma, tau.size).reshape(1, 1, -1, 1)
    wander_weight = np.array(prior.wander_weight).reshape(1, -1, 1, 1)
    return Grid(
        prior,
        np.array(prior.wander).reshape(1, -1, 1, 1) ** 2,
        wander_weight,
        scatter**2,
        np.log(scatter),
        np.tile(tau, sigma.size).reshape(1, 1, -1, 1) ** 2,
        both,
        wander_weight * both,
    )


def buffering_nodes(prior: Prior, spread: Floats, middle: Floats) -> tuple[Floats, Floats, Floats]:
    """Lay out the nodes of r about a middle: ratios, which of them keep their capacity, and weights.

    Parameters
    ----------
    prior : Prior
    spread, middle : array
        Of ln r, one for each bed. [1]

    Returns
    -------
    ratio, kept, weight : array
        Along [bed, 1, 1, node]; the kept ones come first. [1]

    Examples
    --------
    >>> r, kept, weight = buffering_nodes(Prior(), np.full(1, 0.42), np.zeros(1))
    >>> r.shape, round(float(r[..., 0].item()), 3), round(float(weight.sum()), 12)
    ((1, 1, 1, 14), 0.284, 1.0)
    """
    z = np.array(BUFFERING_NODES)
    weight = np.exp(-z * z / 2.0) + prior.buffering_tail
    weight /= weight.sum()
    ln_r = middle.reshape(-1, 1, 1, 1) + spread.reshape(-1, 1, 1, 1) * z
    share = np.concatenate([weight * prior.buffering_kept, weight * (1.0 - prior.buffering_kept)])
    kept = np.repeat([1.0, 0.0], z.size).reshape(1, 1, 1, -1)
    return np.exp(np.concatenate([ln_r, ln_r], axis=3)), kept, share.reshape(1, 1, 1, -1)
