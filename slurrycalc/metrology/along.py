"""How likely a number is to be above 0, all along a line from one uncertain number toward another.

A plan has a knob: the part of a bed that is exchanged. Turning it moves the result along a straight line
between uncertain numbers, and asks the same question at each place. The independent parts of the error change
there by quadratic formulas, so that many places are answered at once.
"""

from __future__ import annotations

from collections.abc import Sequence
from math import sqrt
from typing import Final

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy.special import ndtr, stdtrit

from slurrycalc.metrology.coverage import mixture_of_normals
from slurrycalc.metrology.uncertain import NORMAL_95, Uncertain, contributions, source_of

Floats = NDArray[np.float64]

GROUPS: Final = 2
"""So many parts that are distributed as t are taken as they are. Smaller ones count as normal ones that are
as wide in 95 cases of 100, which is a little wide where they are few in degrees of freedom, never short."""
THIN: Final = 2
"""Of a mixture of normals every second point is taken: it costs 2e-7 of a probability at two degrees of
freedom and 1e-4 at one, plenty for a plan."""


class Along:
    """The numbers start + w·step, for any plain number w.

    Parameters
    ----------
    start, step : float or UFloat
        In one unit. What they share stays shared.

    Examples
    --------
    >>> from uncertainties import ufloat
    >>> Along(ufloat(-1.0, 0.1), ufloat(2.0, 0.1)).above_zero([0.0, 0.5, 1.0]).round(3).tolist()
    [0.0, 0.5, 1.0]
    """

    def __init__(self, start: Uncertain, step: Uncertain) -> None:
        self.start = float(getattr(start, "n", start))
        self.step = float(getattr(step, "n", step))
        ours, theirs = contributions(start), contributions(step)
        pairs: dict[object, list[tuple[float, float]]] = {}
        self._dof: dict[object, float] = {}
        # In the order of the inputs' keys, so that the order of arithmetic changes no digit.
        for variable in sorted(ours.keys() | theirs.keys(), key=lambda each: source_of(each).key):
            source = source_of(variable)
            if source.dof == np.inf:
                one: object = None
            else:
                one = variable if source.group is None else (source.group, source.dof)
            self._dof[one] = source.dof
            pairs.setdefault(one, []).append((ours.get(variable, 0.0), theirs.get(variable, 0.0)))
        self._square = {one: _quadratic(each) for one, each in pairs.items()}

    def zero(self) -> float | None:
        """Give the w at which the number itself, without its doubt, is 0; None if it is the same everywhere.

        Returns
        -------
        float or None
            The place.

        Examples
        --------
        >>> Along(-1.0, 2.0).zero()
        0.5
        """
        return -self.start / self.step if self.step else None

    def above_zero(self, w: ArrayLike) -> Floats:
        """Give the probability that the number is above 0.

        Parameters
        ----------
        w : array_like, any shape
            Places on the line. [1]

        Returns
        -------
        array
            Between 0 and 1. An exact number that is 0 counts as above it.

        References
        ----------
        .. [1] JCGM 106:2012, 7 (conformance probability); JCGM 101:2008 (propagation of distributions).

        Examples
        --------
        >>> Along(-1.0, 2.0).above_zero([0.4, 0.5]).tolist()
        [0.0, 1.0]
        """
        at = np.asarray(w, dtype=np.float64)
        shape, at = at.shape, at.ravel()
        value = self.start + at * self.step
        scale = max(abs(self.start), abs(self.step), 1e-300)
        variance = np.zeros_like(at)
        t_parts = []
        for one, square in self._square.items():
            squares = np.maximum(np.polynomial.polynomial.polyval(at, square), 0.0)
            if one is None:
                variance += squares
            else:
                t_parts.append((self._dof[one], squares))
        t_parts.sort(key=lambda part: -float(part[1].max(initial=0.0)))
        for dof, squares in t_parts[GROUPS:]:
            variance += squares * float(stdtrit(dof, 0.975) / NORMAL_95) ** 2
        return _above(value, variance, t_parts[:GROUPS], 1e-12 * scale).reshape(shape)


def _quadratic(pairs: Sequence[tuple[float, float]]) -> tuple[float, float, float]:
    """Give the coefficients of Σ(a + w b)², from the constant on."""
    a, b = np.array(pairs).T
    return float(a @ a), 2.0 * float(a @ b), float(b @ b)


def _above(value: Floats, variance: Floats, t_parts: Sequence[tuple[float, Floats]], tiny: float) -> Floats:
    """P(value + error > 0), each t written as a mixture of normals; `tiny` is what rounding leaves of a 0."""
    total = variance.copy()
    for _, squares in t_parts:
        total += squares
    exact = total <= tiny * tiny
    weight = np.ones(1)
    spread = np.where(exact, 1.0, variance)[:, np.newaxis]
    for dof, squares in t_parts:
        over_w, share = (part[::THIN] for part in mixture_of_normals(dof))
        spread = (spread[:, :, np.newaxis] + np.multiply.outer(squares, over_w)[:, np.newaxis, :]).reshape(
            len(value), -1
        )
        weight = np.multiply.outer(weight, share / share.sum()).ravel()
    likely = ndtr(value[:, np.newaxis] / np.sqrt(np.maximum(spread, sqrt(5e-324)))) @ weight
    return np.where(exact, value >= -tiny, likely)
