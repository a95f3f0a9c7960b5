"""Slurries where a probe stood: what they share."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from math import fsum

from uncertainties import UFloat
from uncertainties.core import Variable

from slurrycalc.metrology.uncertain import Uncertain, contributions, linear


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
