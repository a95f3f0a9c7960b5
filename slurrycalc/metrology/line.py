"""A straight line through points that are uncertain in both coordinates."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import fsum, isfinite

import numpy as np
from scipy.special import chdtrc
from uncertainties import UFloat

from slurrycalc.metrology.annotate import NumberValue
from slurrycalc.metrology.batch import Floats
from slurrycalc.metrology.remark import Refusal
from slurrycalc.metrology.results import Valued
from slurrycalc.metrology.scatter import scatter_fit
from slurrycalc.metrology.uncertain import Uncertain, covariance, linear, nameless

STEPS = 200


@dataclass(frozen=True, slots=True)
class Line(Valued, value="slope", words="slope {}"):
    """The line y = intercept + slope x, with correlated coefficients."""

    intercept: UFloat
    """In the unit of y."""
    slope: UFloat
    """In the unit of y per unit of x."""
    chi2: NumberValue | None
    """Weighted sum of squared distances; None where the points' uncertainties are not known."""
    dof: NumberValue
    p_value: NumberValue | None
    """Probability of distances as large or larger; None where nothing is left to check the line by."""
    residuals: tuple[float, ...]
    """y minus the line at the given x, in the unit of y."""
    x_adjusted: tuple[float, ...]
    """Where on the line each point most probably belongs, in the unit of x."""

    def at(self, x: Uncertain) -> UFloat:
        """Give the line's value.

        Parameters
        ----------
        x : float or UFloat
            In the unit of x.

        Returns
        -------
        UFloat
            In the unit of y.

        Examples
        --------
        >>> print(straight_line([1, 2, 3], [2, 4, 6], u_y=0.1).at(4))
        8.00+/-0.15
        """
        return self.intercept + self.slope * x

    def inverse(self, y: Uncertain) -> UFloat:
        """Give the x that belongs to a value.

        Parameters
        ----------
        y : float or UFloat
            In the unit of y.

        Returns
        -------
        UFloat
            In the unit of x.

        Raises
        ------
        Refusal
            If the line is flat.

        Examples
        --------
        >>> print(straight_line([1, 2, 3], [2, 4, 6], u_y=0.1).inverse(4))
        2.000+/-0.029
        """
        if self.slope.n == 0.0:
            raise Refusal("a flat line has the same value everywhere, so a value does not tell where.")
        return (y - self.intercept) / self.slope


def straight_line(
    x: Sequence[Uncertain],
    y: Sequence[Uncertain],
    u_x: float | Sequence[float] | None = None,
    u_y: float | Sequence[float] | None = None,
) -> Line:
    """Fit a straight line to points with known uncertainties in either or both coordinates.

    Parameters
    ----------
    x, y : sequence of float or UFloat, length n
        Coordinates, any units. Tagged numbers keep their links to their sources; errors that several points
        share reach the coefficients in full, though each point is weighted by its own standard uncertainty.
    u_x, u_y : float or sequence of float, optional
        Standard uncertainties of coordinates given as floats, in their units, independent of each other.

    Returns
    -------
    Line
        Without any uncertainty, ordinary least squares with the scatter taken from the residuals.

    Raises
    ------
    Refusal
        If there are fewer than two different x, lengths do not fit, a number is not finite, or some points
        have an uncertainty and others none.

    References
    ----------
    .. [1] ISO/TS 28037:2010, Determination and use of straight-line calibration functions, 6, 7 and 11.

    Examples
    --------
    >>> line = straight_line([1, 2, 3, 4, 5, 6], [3.3, 5.6, 7.1, 9.3, 10.7, 12.1], u_y=0.5)
    >>> round(line.intercept.n, 3), round(line.intercept.s, 3), round(line.chi2, 3)
    (1.867, 0.465, 1.665)
    """
    xs, ys = _coordinates("x", x, u_x), _coordinates("y", y, u_y)
    n = len(xs)
    if n != len(ys):
        raise Refusal(f"{n} values of x and {len(ys)} of y make no points; give as many of both.")
    values_x, values_y = np.array([each.n for each in xs]), np.array([each.n for each in ys])
    if n < 2 or np.ptp(values_x) == 0.0:
        raise Refusal("a line needs points at two different x at least; add one.")
    var_x, var_y = np.array([each.s**2 for each in xs]), np.array([each.s**2 for each in ys])
    both = np.array([covariance(a, b) for a, b in zip(xs, ys, strict=True)])
    if not (var_x.any() or var_y.any()):
        return _ordinary(values_x, values_y)
    a, b, at_x, weight = least_distance(values_x, values_y, var_x, var_y, both)
    # The coefficients' errors, taken about the weighted mean of the adjusted x, where level and slope do not
    # disturb each other: each point moves them as far as its y - b x is off.
    mean = weight @ at_x / weight.sum()
    off = at_x - mean
    distance = [each_y - b * each_x for each_x, each_y in zip(xs, ys, strict=True)]
    level = _sum(weight / weight.sum(), distance)
    slope = _sum(weight * off / (weight @ off**2), distance)
    residuals = values_y - a - b * values_x
    chi2 = float(weight @ residuals**2)
    return Line(
        intercept=linear(a, (level - float(mean) * slope).derivatives),
        slope=linear(b, slope.derivatives),
        chi2=chi2,
        dof=n - 2,
        p_value=float(chdtrc(n - 2, chi2)) if n > 2 else None,
        residuals=tuple(residuals.tolist()),
        x_adjusted=tuple(at_x.tolist()),
    )


def _sum(gain: Floats, numbers: Sequence[UFloat]) -> UFloat:
    return sum((float(g) * number for g, number in zip(gain, numbers, strict=True)), start=linear(0.0, {}))


def _coordinates(which: str, values: Sequence[Uncertain], u: float | Sequence[float] | None) -> list[UFloat]:
    """Make every coordinate an uncertain number."""
    given = list(values)
    many = [u] * len(given) if u is None or isinstance(u, (int, float)) else list(u)
    if len(many) != len(given):
        raise Refusal(f"{len(many)} uncertainties for {len(given)} values of {which}; give one, or as many.")
    numbers = []
    for i, (value, each) in enumerate(zip(given, many, strict=True), start=1):
        nominal = float(value.n if isinstance(value, UFloat) else value)
        if not isfinite(nominal):
            raise Refusal(f"{which} of point {i} is `{nominal:g}`; leave the point out, or give a number.")
        if isinstance(value, UFloat):
            if each:
                raise Refusal(f"{which} of point {i} has its own uncertainty already; leave out u_{which}.")
            numbers.append(value)
        else:
            error = {nameless(float(each), f"{which} of point {i}"): 1.0} if each else {}
            numbers.append(linear(nominal, error))
    return numbers


def _ordinary(x: Floats, y: Floats) -> Line:
    """Fit by ordinary least squares about the mean x, which keeps two digits more than about 0."""
    mean = fsum(x) / len(x)
    fit = scatter_fit(np.column_stack([np.ones_like(x), x - mean]), y, name="scatter about the line")
    level, slope = fit.coefficients
    intercept = level - mean * slope
    intercept = linear(intercept.n, intercept.derivatives)
    return Line(intercept, slope, None, fit.dof, None, fit.residuals, tuple(x.tolist()))


def least_distance(
    x: Floats, y: Floats, var_x: Floats, var_y: Floats, both: Floats
) -> tuple[float, float, Floats, Floats]:
    """Fit a straight line by the least weighted distance, by Gauss and Newton.

    Parameters
    ----------
    x, y : array, shape (n,)
        Points at two different x at least.
    var_x, var_y, both : array, shape (n,)
        Variances of x and y, and their covariances.

    Returns
    -------
    intercept, slope : float
    adjusted : array, shape (n,)
        Where on the line each point most probably belongs, in the unit of x.
    weight : array, shape (n,)
        One over the variance of each point's distance, along y, from the line.

    Raises
    ------
    Refusal
        If some points have an uncertainty and others none, or no line fits.

    References
    ----------
    .. [1] ISO/TS 28037:2010, 7.

    Examples
    --------
    >>> one = np.ones(3)
    >>> a, b, *_ = least_distance(np.array([1.0, 2.0, 3.0]), np.array([2.0, 4.0, 6.0]), one, one, 0.0 * one)
    >>> round(a, 9) + 0.0, round(b, 9)
    (0.0, 2.0)
    """
    x0, y0 = x.mean(), y.mean()
    x, y = x - x0, y - y0
    a, b = 0.0, float(x @ y / (x @ x))
    last = np.inf
    for _ in range(STEPS):
        variance = var_y - 2.0 * b * both + b * b * var_x
        if variance.min() <= 0.0:
            i = int(variance.argmin()) + 1
            raise Refusal(f"point {i} has no uncertainty while others have; give one to every point.")
        weight = 1.0 / variance
        distance = y - a - b * x
        adjusted = x + (b * var_x - both) * weight * distance
        mean = weight @ adjusted / weight.sum()
        off = adjusted - mean
        db = float(weight * off @ distance / (weight @ off**2))
        da = float(weight @ distance / weight.sum()) - db * float(mean)
        a, b = a + da, b + db
        # In units of the coefficients' uncertainties. Steps that no longer shrink are rounding.
        step = abs(db) * np.sqrt(weight @ off**2) + abs(da) * np.sqrt(weight.sum())
        if step < 1e-13 or last <= step < 1e-7:
            return float(y0 + a - b * x0), b, adjusted + x0, weight
        last = step
    raise Refusal("no line fits these points, whose x are too uncertain; take points further apart.")
