"""Slurries where a probe stood: what they share, and what new ones would show of an indication's meaning."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from math import fsum, hypot, sqrt

import numpy as np
from uncertainties import UFloat
from uncertainties.core import Variable

from slurrycalc.data.assumed import UNRECORDED_CALIBRATION
from slurrycalc.measuring.slurry.outlook import Moved
from slurrycalc.metrology.coverage import probability
from slurrycalc.metrology.uncertain import Uncertain, contributions, linear, nameless

_POINTS = 49
_FARTHEST = 6.0  # of asinh(distance / standard uncertainty), where also t(2) has less than 1e-4 beyond


def mean_of_shared(slurries: Sequence[Uncertain], weights: Sequence[float]) -> UFloat:
    """Sum slurries by weight [pH] with the inputs alone that several share; a single one keeps all.

    What touches one slurry only shows in how the pairs scatter.
    """
    inputs = [contributions(slurry) for slurry in slurries]
    met = Counter(variable for one in inputs for variable in one)
    least = min(len(slurries), 2)
    sums: dict[Variable, float] = {}
    for weight, one in zip(weights, inputs, strict=True):
        for variable, part in one.items():
            if met[variable] >= least:
                sums[variable] = sums.get(variable, 0.0) + weight * part / variable.std_dev
    value = fsum(w * float(getattr(y, "n", y)) for w, y in zip(weights, slurries, strict=True))
    return linear(value, sums)


def shared_u(slurries: Sequence[Uncertain]) -> float:
    """Give the standard uncertainty that slurries share: that of their calibrations.

    Parameters
    ----------
    slurries : sequence of float or UFloat
        With their inputs. [pH]

    Returns
    -------
    float
        From the inputs that a slurry has in common with another, the root mean square over the slurries;
        where none is known, what is expected of pH values handed down. [pH]

    Examples
    --------
    >>> from slurrycalc.metrology.uncertain import nameless
    >>> bottle = nameless(0.03, "bottle")
    >>> round(shared_u([5.4 + bottle, 5.6 + bottle]), 3), shared_u([5.4, 5.6])
    (0.03, 0.05)
    """
    inputs = [contributions(slurry) for slurry in slurries]
    met = Counter(variable for one in inputs for variable in one)
    squares = fsum(u**2 for one in inputs for variable, u in one.items() if met[variable] > 1)
    return sqrt(squares / len(inputs)) if squares > 0.0 else UNRECORDED_CALIBRATION.value


def moved(ph: UFloat, calibration_u: float) -> Moved:
    """Say how far from a pH the mean of many new slurries may lie, under a calibration of their own.

    Parameters
    ----------
    ph : UFloat
        As known without them. [pH]
    calibration_u : float
        Standard uncertainty of their calibration. [pH]

    Returns
    -------
    distance, chance
        Distances above the pH [pH], rising, and the probability of lying less far above it.

    Examples
    --------
    >>> from slurrycalc.metrology.uncertain import nameless
    >>> distance, chance = moved(5.4 + nameless(0.3, "probe"), 0.05)
    >>> print(f"{np.interp(0.3, distance, chance):.2f}")
    0.84
    """
    told = ph + nameless(calibration_u, "calibration to come")
    far = hypot(ph.s, calibration_u) * np.sinh(np.linspace(0.0, _FARTHEST, _POINTS))
    less = np.array([probability(told, below=told.n + one) for one in far.tolist()])
    return np.concatenate([-far[:0:-1], far]), np.concatenate([1.0 - less[:0:-1], less])
