"""A batch gathered anew: means of its observations, and parts of it that stand by themselves.

A record of 100,000 readings becomes a thousand enclosures' bench days in a few array operations.
"""

from __future__ import annotations

from collections.abc import Hashable, Sequence

import numpy as np
from numpy.typing import ArrayLike, NDArray

from slurrycalc.metrology.batch import Batch, Loadings
from slurrycalc.metrology.remark import Refusal


def means(batch: Batch, group: ArrayLike) -> Batch:
    """Average the observations of each group.

    Parameters
    ----------
    batch : Batch
        n observations.
    group : array_like of int, shape (n,)
        Which mean each belongs to, from 0; none is left without observations.

    Returns
    -------
    Batch
        One observation a group, in order of its number, correlated through the same inputs.

    Raises
    ------
    Refusal
        If the numbers do not fit.

    Examples
    --------
    >>> means(Batch.of([5.4, 5.6, 5.0]), [0, 0, 1]).values.tolist()
    [5.5, 5.0]
    """
    of, counts = _checked(batch, group)
    row, col, weight = batch.loadings
    g = len(counts)
    loadings = Loadings(of[row], col, weight / counts[of[row]]).added_up()
    own = np.sqrt(np.bincount(of, batch.own_u**2, g)) / counts
    return Batch(np.bincount(of, batch.values, g) / counts, own, loadings, batch.inputs)


def split(batch: Batch, owner: ArrayLike) -> tuple[Batch, ...]:
    """Give each owner's observations as a batch of its own, with the inputs that touch it.

    Parameters
    ----------
    batch : Batch
        n observations.
    owner : array_like of int, shape (n,)
        Whose each is, from 0; none is left without observations.

    Returns
    -------
    tuple of Batch
        In order of the owner's number, each in the order of `batch`; still correlated with one another, since
        their inputs are the same.

    Raises
    ------
    Refusal
        If the numbers do not fit.

    Examples
    --------
    >>> [part.values.tolist() for part in split(Batch.of([5.4, 6.1, 5.6]), [0, 1, 0])]
    [[5.4, 5.6], [6.1]]
    """
    of, counts = _checked(batch, owner)
    order = np.argsort(of, kind="stable")
    row, col, weight = batch.loadings
    first = np.cumsum(counts) - counts
    within = np.empty(len(batch), np.intp)
    within[order] = np.arange(len(batch)) - np.repeat(first, counts)
    by_owner = np.argsort(of[row], kind="stable")
    ends = np.cumsum(np.bincount(of[row], minlength=len(counts)))[:-1]
    entries = zip(*(np.split(each[by_owner], ends) for each in (within[row], col, weight)), strict=True)
    parts = []
    rows = np.split(order, first[1:])
    for here, (its_row, its_col, its_weight) in zip(rows, entries, strict=True):
        touched, its_input = np.unique(its_col, return_inverse=True)
        inputs = tuple(batch.inputs[j] for j in touched.tolist())
        loadings = Loadings(its_row, its_input.astype(np.intp, copy=False), its_weight)
        parts.append(Batch(batch.values[here], batch.own_u[here], loadings, inputs))
    return tuple(parts)


def numbered(keys: Sequence[Hashable]) -> tuple[NDArray[np.intp], list[int]]:
    """Give each key a number, from 0, in the order in which they first come.

    Parameters
    ----------
    keys : sequence of hashable, length n
        Equal ones belong together.

    Returns
    -------
    numbers : array of int, shape (n,)
        As `means` and `split` take them.
    first : list of int
        Where each number comes first.

    Examples
    --------
    >>> numbers, first = numbered(["atlas", "stairs", "atlas"])
    >>> numbers.tolist(), first
    ([0, 1, 0], [0, 1])
    """
    known: dict[Hashable, int] = {}
    numbers = np.array([known.setdefault(key, len(known)) for key in keys], np.intp)
    first = np.empty(len(known), np.intp)
    first[numbers[::-1]] = np.arange(len(keys))[::-1]
    return numbers, first.tolist()


def _checked(batch: Batch, group: ArrayLike) -> tuple[NDArray[np.intp], NDArray[np.intp]]:
    of = np.asarray(group)
    if of.shape != (len(batch),) or not (len(of) and np.issubdtype(of.dtype, np.integer) and of.min() >= 0):
        raise Refusal(f"{len(batch)} observations need a whole number each, from 0, for where they belong.")
    counts = np.bincount(of)
    if counts.min() == 0:
        raise Refusal(f"group `{int(np.argmin(counts))}` has no observation; number the groups without gaps.")
    return of.astype(np.intp), counts.astype(np.intp)
