"""The classic limits of agreement between two methods."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import isfinite, sqrt

import numpy as np
from scipy.special import ndtri, stdtrit

from slurrycalc.metrology.annotate import NumberValue, PHValue
from slurrycalc.metrology.remark import Refusal


@dataclass(frozen=True)
class ClassicLimits:
    """Limits of agreement, each with its confidence limits."""

    n: int
    mean: PHValue
    sd: PHValue
    lower: PHValue
    upper: PHValue
    mean_ci: tuple[PHValue, PHValue]
    lower_ci: tuple[PHValue, PHValue]
    upper_ci: tuple[PHValue, PHValue]
    factor: NumberValue
    """How many standard deviations from the mean the limits lie."""


def classic_limits(
    differences: Sequence[float], *, factor: float | None = None, p: float = 0.95
) -> ClassicLimits:
    """Limits of agreement after Bland and Altman.

    They describe where the differences at hand lie. For what the next difference will be, the prediction
    interval of `compare` is the better answer: it carries the doubt about mean and standard deviation that
    these limits show only in their confidence limits.

    Parameters
    ----------
    differences : sequence of float
        First method minus second, at least three. [pH, or any one unit]
    factor : float, optional
        Standard deviations from the mean to the limits; the paper takes 2, later use the normal quantile,
        1.96 for p = 0.95, which is the default.
    p : float
        Confidence of the limits and of their confidence limits.

    Returns
    -------
    ClassicLimits
        Mean, standard deviation, limits and confidence limits, in the unit of the differences.

    Raises
    ------
    Refusal
        If there are fewer than three differences, or one is not a finite number.

    References
    ----------
    .. [1] J. M. Bland, D. G. Altman, "Statistical methods for assessing agreement between two methods of
       clinical measurement", Lancet 327 (1986) 307-310; u(limit) = sqrt(3) s / sqrt(n).

    Examples
    --------
    >>> limits = classic_limits([0.5, 0.3, 0.6, 0.4])
    >>> round(limits.mean, 2), round(limits.lower, 2), round(limits.upper, 2)
    (0.45, 0.2, 0.7)
    """
    values = np.asarray(differences, dtype=float)
    n = int(values.size)
    if n < 3:
        raise Refusal(
            f"limits of agreement from {n} pair{'' if n == 1 else 's'} would say nothing: give three or "
            "more; the prediction interval of compare() stands from the first pair on."
        )
    if not all(isfinite(value) for value in values):
        raise Refusal(f"`{values.tolist()}` holds a difference that is no finite number; give such as 0.4.")
    mean, sd = float(values.mean()), float(values.std(ddof=1))
    factor = float(ndtri((1 + p) / 2)) if factor is None else factor
    t = float(stdtrit(n - 1, (1 + p) / 2))
    about_mean, about_limit = t * sd / sqrt(n), t * sqrt(3) * sd / sqrt(n)
    lower, upper = mean - factor * sd, mean + factor * sd
    return ClassicLimits(
        n=n,
        mean=mean,
        sd=sd,
        lower=lower,
        upper=upper,
        mean_ci=(mean - about_mean, mean + about_mean),
        lower_ci=(lower - about_limit, lower + about_limit),
        upper_ci=(upper - about_limit, upper + about_limit),
        factor=factor,
    )
