"""How many spots to sample."""

from __future__ import annotations

from math import isfinite, sqrt
from typing import Any, TypeAlias, overload

import numpy as np
import pint
from numpy.typing import NDArray
from scipy.special import stdtrit

from slurrycalc.metrology.listed import Many, over
from slurrycalc.metrology.remark import Refusal
from slurrycalc.metrology.units import magnitude

MOST = 10_000
"""More spots than anyone samples (our own figure)."""


Given: TypeAlias = float | str | pint.Quantity[Any]


@overload
def spots(spread: Given, margin: Given, p: float = 0.95) -> int: ...
@overload
def spots(spread: Many, margin: Given, p: float = 0.95) -> NDArray[np.int64]: ...
def spots(spread: Given | Many, margin: Given, p: float = 0.95) -> int | NDArray[np.int64]:
    """Give the number of sampling spots that brings the mean within a margin.

    Parameters
    ----------
    spread : float, str or pint.Quantity, or a sequence of them
        Standard deviation between spots. [pH]
    margin : float, str or pint.Quantity
        Wanted half-width of the mean's interval. [pH]
    p : float
        Coverage probability.

    Returns
    -------
    int, or array of int, shape (n,)
        The smallest n >= 2 with t(n - 1) spread / sqrt(n) <= margin. It counts the scatter between spots: the
        calibration's part comes on top.

    Raises
    ------
    Refusal
        If a figure is not a positive number, or no number of spots that anyone samples would do.

    References
    ----------
    .. [1] JCGM 100:2008 (GUM), 4.2.3 and G.3.

    Examples
    --------
    >>> spots(0.10, 0.10), spots(0.20, 0.10)
    (7, 18)
    """
    return over(lambda one: _spots(one, margin, p), spread)  # type: ignore[no-any-return]


def _spots(spread: Given, margin: Given, p: float) -> int:
    spread, margin = (
        magnitude(each, "ph") if isinstance(each, str | pint.Quantity) else each for each in (spread, margin)
    )
    for value, what, least in ((spread, "spread between spots", 0.0), (margin, "margin", 1e-9)):
        if not (isfinite(value) and value >= least):
            raise Refusal(f"`{value:g}` pH cannot be the {what}; give a positive number, such as 0.10.")
    if not 0.0 < p < 1.0:
        raise Refusal(f"`{p:g}` is no coverage probability; give one between 0 and 1, for instance 0.95.")

    def enough(n: int) -> bool:
        return float(stdtrit(n - 1, (1 + p) / 2)) * spread / sqrt(n) <= margin

    if not enough(MOST):
        raise Refusal(
            f"a margin of `{margin:g}` pH is out of reach at a spread of {spread:g}: even {MOST} spots would "
            "not do; give a wider margin, such as 0.10."
        )
    # The half-width falls with every spot, so halving the distance finds the first that is enough.
    low, high = 1, MOST
    while high - low > 1:
        middle = (low + high) // 2
        low, high = (low, middle) if enough(middle) else (middle, high)
    return high
