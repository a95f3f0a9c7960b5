"""A slurry that lies by itself among three or more of a day."""

from __future__ import annotations

from collections.abc import Sequence
from math import inf, sqrt
from typing import NamedTuple

import numpy as np
from scipy.special import ndtr, stdtr

from slurrycalc.data.assumed import DUPLICATE_LIMIT, ODD_FEWEST, ODD_GAP, ODD_JAR
from slurrycalc.measuring.wording import count
from slurrycalc.metrology.batch import Floats, Indices
from slurrycalc.metrology.figures import two_figures
from slurrycalc.metrology.remark import Remark
from slurrycalc.metrology.scatter import Scatter

ODD = "odd-jar"
"""Kind of the remark."""
_ROUNDING = 1e-9
"""A hair's breadth of rounding is not a difference between slurries. [pH]"""


class Lonely(NamedTuple):
    """A slurry that lies apart from the others of its day, and those."""

    place: int
    """Among the day's slurries, from 0."""
    value: float
    """[pH]"""
    others: int
    mean: float
    """Of the others. [pH]"""
    rss: float
    """Sum of squares of the others about their mean. [pH²]"""

    @property
    def moves(self) -> float:
        """Say how far it moves the mean of the day. [pH]."""
        return (self.value - self.mean) / (self.others + 1)


def all_lonely(values: Floats, day: Indices, counts: Indices) -> list[tuple[int, Lonely]]:
    """Give the slurries that lie apart from all others of their day, one a day at most.

    Parameters
    ----------
    values : array, shape (n,)
        Of slurries of many days. [pH]
    day : array of int, shape (n,)
        Which day each belongs to, from 0.
    counts : array of int
        How many slurries each day has.

    Returns
    -------
    list of (int, Lonely)
        Place among all values of those, of three or more, whose nearest neighbour is farther than good
        duplicates lie apart, and farther than one and a half times the others' spread.

    Examples
    --------
    >>> day = np.zeros(4, int)
    >>> [place for place, _ in all_lonely(np.array([5.5, 6.1, 5.52, 5.56]), day, np.array([4]))]
    [1]
    >>> all_lonely(np.array([5.5, 6.1, 5.52, 6.0]), day, np.array([4]))
    []
    """
    many = counts >= ODD_FEWEST.value
    if not many.any():
        return []
    order = np.lexsort((values, day))
    ends = np.cumsum(counts)
    first, last, at = (ends - counts)[many], ends[many] - 1, values[order]
    limit = DUPLICATE_LIMIT.value + _ROUNDING
    wide = ODD_GAP.value
    low = at[first + 1] - at[first] > np.maximum(limit, wide * (at[last] - at[first + 1]) + _ROUNDING)
    high = at[last] - at[last - 1] > np.maximum(limit, wide * (at[last - 1] - at[first]) + _ROUNDING)
    found = np.sort(order[np.concatenate([first[low], last[high]])])
    if not len(found):
        return []
    others = counts - 1
    rest = np.ones(len(values), np.bool_)
    rest[found] = False
    mean = np.bincount(day[rest], values[rest], len(counts)) / np.maximum(others, 1)
    rss = np.bincount(day[rest], (values[rest] - mean[day[rest]]) ** 2, len(counts))
    within = np.empty(len(values), np.intp)
    within[np.argsort(day, kind="stable")] = np.arange(len(values)) - np.repeat(ends - counts, counts)
    its = day[found]
    columns = (within[found], values[found], others[its], mean[its], rss[its])
    each = zip(*(column.tolist() for column in columns), strict=True)
    return [(place, Lonely(*one)) for place, one in zip(found.tolist(), each, strict=True)]


def lonely(values: Sequence[float] | Floats) -> Lonely | None:
    """Give the slurry that lies apart from the others of one day, None where none does. [pH]."""
    if len(values) < ODD_FEWEST.value:
        return None
    whole = np.asarray(values, float)
    found = all_lonely(whole, np.zeros(len(whole), np.intp), np.array([len(whole)]))
    return found[0][1] if found else None


def chance(one: Lonely, own_variance: float, expected: Scatter | None) -> float:
    """Say how often the farthest of as many good slurries lies as far from the others as this one.

    Parameters
    ----------
    one : Lonely
    own_variance : float
        Mean known variance of a single slurry. [pH²]
    expected : Scatter or None
        What is known of the scatter beforehand; None: by the others alone. [pH]

    Returns
    -------
    float
        At most: each of them may be it. [1]

    References
    ----------
    .. [1] The deleted residual of a linear model, Student's t with the degrees of freedom of the others and
       of the expectation, times the number of slurries (Bonferroni); both from memory.

    Examples
    --------
    >>> one = lonely([5.50, 5.52, 5.90])
    >>> [round(chance(one, 0.0, Scatter(sd, dof)), 4) for sd, dof in ((0.10, 2), (0.05, 20))]
    [0.0909, 0.0]
    """
    apart = abs(one.value - one.mean)
    worth = 0.0 if expected is None else expected.dof
    prior = 0.0 if expected is None else expected.sd**2 + own_variance
    wider = 1.0 + 1.0 / one.others
    if worth == inf:
        tail = 1.0 if prior == 0.0 else 2.0 * float(ndtr(-apart / sqrt(prior * wider)))
    else:
        dof = one.others - 1 + worth
        variance = (one.rss + worth * prior) / dof
        tail = 0.0 if variance == 0.0 else 2.0 * float(stdtr(dof, -apart / sqrt(variance * wider)))
    return min(1.0, (one.others + 1) * tail)


def is_odd(one: Lonely | None, own_variance: float, expected: Scatter | None) -> bool:
    """Tell whether a slurry that lies apart does so by more than chance, at 1 %; as `chance`."""
    return one is not None and chance(one, own_variance, expected) < ODD_JAR.value


def odd_remark(one: Lonely, called: str = "One slurry", strike: str = "leave it out") -> Remark:
    """Say that a slurry lies by itself, and what to do.

    Parameters
    ----------
    one : Lonely
    called : str
        What it is called at the start of a sentence.
    strike : str
        How it is struck out.

    Returns
    -------
    Remark
        Kind ``odd-jar``.

    Examples
    --------
    >>> print(odd_remark(lonely([5.50, 5.52, 6.10])).text)
    One slurry, pH 6.10, lies by itself, 0.59 above the other two: of good days less than 1 in 100 show that.
    Read it again, and mix another. If another jar agrees with it within 0.15, it stands; if it was a slip,
    leave it out. Until then it teaches no later day how slurries scatter.
    """
    apart = one.value - one.mean
    side = "above" if apart > 0 else "below"
    return Remark(
        ODD,
        f"{called}, pH {one.value:.2f}, lies by itself, {two_figures(abs(apart))} {side} the other "
        f"{count(one.others)}: of good days less than 1 in 100 show that. Read it again, and mix another. If "
        f"another jar agrees with it within {DUPLICATE_LIMIT.value:.2f}, it stands; if it was a slip, "
        f"{strike}. Until then it teaches no later day how slurries scatter.",
    )
