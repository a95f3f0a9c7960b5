"""Many uncertain observations as arrays: values, each row's own uncertainty, loadings on shared inputs."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import isfinite
from typing import NamedTuple, TypeAlias

import numpy as np
from numpy.typing import NDArray
from uncertainties import UFloat
from uncertainties.core import Variable

from slurrycalc.metrology.remark import Refusal
from slurrycalc.metrology.uncertain import Uncertain, linear, nameless

Floats: TypeAlias = NDArray[np.float64]
Indices: TypeAlias = NDArray[np.intp]


class Loadings(NamedTuple):
    """The entries of a sparse matrix: how much each observation moves per unit of each input."""

    row: Indices
    """Which observation, shape (k,)."""
    col: Indices
    """Which input, shape (k,)."""
    weight: Floats
    """Partial derivative, shape (k,)."""

    def added_up(self) -> Loadings:
        """Add the entries of one observation on one input, so that each such pair stands once."""
        # Numbered together, both are found again from the number.
        width = int(self.col.max(initial=0)) + 1
        place, entry = np.unique(self.row * width + self.col, return_inverse=True)
        weight = np.bincount(entry, self.weight, len(place)).astype(np.float64, copy=False)
        return Loadings(place // width, place % width, weight)


NO_LOADINGS = Loadings(np.zeros(0, np.intp), np.zeros(0, np.intp), np.zeros(0))


@dataclass(frozen=True, eq=False)
class Batch:
    """Many uncertain observations, each the value plus its own error plus loadings on named inputs.

    A hundred thousand separate uncertain numbers would take a gigabyte; as arrays they take a few megabytes.

    Parameters
    ----------
    values : array, shape (n,)
        Nominal values, any one unit.
    own_u : array, shape (n,)
        Standard uncertainty of what touches that observation only, in the unit of the values.
    loadings : Loadings
        Observation, input, and partial derivative.
    inputs : tuple of Variable, length m
        The inputs that the loadings point to.

    Raises
    ------
    Refusal
        If shapes or indices do not fit, or a number is not finite.

    Examples
    --------
    >>> bottle = Variable(0.0, 0.012)
    >>> loadings = Loadings(np.array([0, 1]), np.array([0, 0]), np.array([1.0, 1.0]))
    >>> batch = Batch(np.array([5.4, 5.6]), np.array([0.003, 0.003]), loadings, (bottle,))
    >>> print(f"{batch.number(1):.4f}")
    5.6000+/-0.0124
    """

    values: Floats
    own_u: Floats
    loadings: Loadings = NO_LOADINGS
    inputs: tuple[Variable, ...] = ()

    def __post_init__(self) -> None:
        row, col, weight = self.loadings
        n = len(self.values)
        if self.values.shape != (n,) or self.own_u.shape != (n,):
            raise Refusal(f"{n} observations need as many uncertainties of their own, one after the other.")
        if not row.shape == col.shape == weight.shape == (len(row),):
            raise Refusal("the three columns of loadings must be equally long.")
        for index, end in ((row, n), (col, len(self.inputs))):
            if len(index) and (index.min() < 0 or index.max() >= end):
                raise Refusal("a loading points to an observation or an input that the batch does not have.")
        if not all(np.isfinite(each).all() for each in (self.values, self.own_u, weight)):
            raise Refusal("a batch holds a number that is not finite; leave that observation out.")
        if n and self.own_u.min() < 0.0:
            raise Refusal(f"`{self.own_u.min():g}` is no standard uncertainty; give 0 or a positive number.")

    def __len__(self) -> int:
        return len(self.values)

    @classmethod
    def of(cls, numbers: Sequence[Uncertain]) -> Batch:
        """Make a batch of separate numbers.

        Parameters
        ----------
        numbers : sequence of float or UFloat, length n
            Any one unit. What touches one of them only becomes its own uncertainty, and keeps its name only
            where there is but one number.

        Returns
        -------
        Batch
            Of the same values, uncertainties and correlations.

        Raises
        ------
        Refusal
            If a number is not finite.

        Examples
        --------
        >>> junction = Variable(0.0, 0.02)
        >>> batch = Batch.of([5.4 + junction, 5.6 + junction + Variable(0.0, 0.1)])
        >>> batch.own_u, len(batch.inputs)
        (array([0. , 0.1]), 1)
        """
        n = len(numbers)
        values = np.empty(n)
        touched: dict[Variable, list[tuple[int, float]]] = {}
        for i, number in enumerate(numbers):
            if isinstance(number, UFloat):
                values[i] = number.n
                for variable, sensitivity in number.derivatives.items():
                    if variable.std_dev and sensitivity:
                        touched.setdefault(variable, []).append((i, sensitivity))
            else:
                values[i] = number
            if not isfinite(values[i]):
                raise Refusal(f"observation {i + 1} is `{values[i]:g}`; leave it out, or give a number.")
        own = np.zeros(n)
        shared = []
        for variable, entries in touched.items():
            if len(entries) == 1 and n > 1:
                own[entries[0][0]] += (entries[0][1] * variable.std_dev) ** 2
            else:
                shared.append((variable, entries))
        flat = [(i, j, each) for j, (_, entries) in enumerate(shared) for i, each in entries]
        row, col, weight = zip(*flat, strict=True) if flat else ((), (), ())
        loadings = Loadings(np.array(row, np.intp), np.array(col, np.intp), np.array(weight, np.float64))
        return cls(values, np.sqrt(own), loadings, tuple(variable for variable, _ in shared))

    def number(self, i: int) -> UFloat:
        """Take one observation out, as a number by itself.

        Parameters
        ----------
        i : int
            Which, from 0.

        Returns
        -------
        UFloat
            Its own error is a new input each time.

        Examples
        --------
        >>> print(Batch.of([5.4, 5.6]).number(0))
        5.4+/-0
        """
        row, col, weight = self.loadings
        here = row == i
        error: dict[Variable, float] = {}
        for j, each in zip(col[here], weight[here], strict=True):
            error[self.inputs[j]] = error.get(self.inputs[j], 0.0) + float(each)
        if self.own_u[i]:
            error[nameless(float(self.own_u[i]), "observation")] = 1.0
        return linear(float(self.values[i]), error)
