"""Mixtures of normal distributions: what every answer about a bed is."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.special import ndtr, ndtri

from slurrycalc.deciding.bed.prior import Floats
from slurrycalc.metrology.coverage import Interval

_CLOSE = 1e-13
_MOST_STEPS = 200
_NEGLIGIBLE = 1e-15


@dataclass(frozen=True, eq=False)
class Normals:
    """A mixture of normal distributions for each of several beds: arrays along [bed, normal]."""

    weight: Floats
    """Those of a bed add to 1."""
    mean: Floats
    sd: Floats

    @classmethod
    def of(cls, weight: Floats, mean: Floats, variance: Floats) -> Normals:
        """Take them from nodes along [bed, wander, scatter, buffering]; of one bed only those that count."""
        flat = (len(weight), -1)
        w, m, v = (np.broadcast_to(x, weight.shape).reshape(flat) for x in (weight, mean, variance))
        if len(w) == 1:
            counts = w[0] > _NEGLIGIBLE
            w, m, v = w[:, counts], m[:, counts], v[:, counts]
        return cls(w / w.sum(axis=1, keepdims=True), m, np.sqrt(v))

    def centre(self) -> Floats:
        """Give the mean of each bed's mixture."""
        return np.asarray((self.weight * self.mean).sum(axis=1))

    def spread(self) -> Floats:
        """Give the standard deviation of each bed's mixture."""
        off = self.mean - self.centre()[:, None]
        return np.asarray(np.sqrt((self.weight * (self.sd**2 + off * off)).sum(axis=1)))

    def below(self, x: object) -> Floats:
        """Give the chance of lying below x, one for all beds or one for each."""
        at = np.reshape(np.asarray(x, dtype=float), (-1, 1))
        return np.asarray((self.weight * ndtr((at - self.mean) / self.sd)).sum(axis=1))

    def above(self, x: object) -> Floats:
        """Give the chance of lying above x, without the rounding of 1 less the other."""
        at = np.reshape(np.asarray(x, dtype=float), (-1, 1))
        return np.asarray((self.weight * ndtr((self.mean - at) / self.sd)).sum(axis=1))

    def quantile(self, p: float) -> Floats:
        """Give the value below which each bed's mixture lies with chance p, by a bracketed root.

        Examples
        --------
        >>> two = Normals(np.full((1, 2), 0.5), np.array([[-1.0, 1.0]]), np.ones((1, 2)))
        >>> abs(two.quantile(0.5).item()) < 1e-12, round(two.quantile(0.975).item(), 6)
        (True, 2.646146)
        """
        ends = self.mean + self.sd * ndtri(p)
        low, high = ends.min(axis=1), ends.max(axis=1)
        x = np.clip(self.centre() + self.spread() * ndtri(p), low, high)
        for _ in range(_MOST_STEPS):
            z = (x[:, None] - self.mean) / self.sd
            miss = (self.weight * ndtr(z)).sum(axis=1) - p
            low, high = np.where(miss < 0.0, x, low), np.where(miss < 0.0, high, x)
            slope = (self.weight * np.exp(-0.5 * z * z) / self.sd).sum(axis=1) / np.sqrt(2.0 * np.pi)
            with np.errstate(divide="ignore", invalid="ignore"):
                newton = x - miss / slope
            inside = (newton >= low) & (newton <= high)  # never where the slope is 0
            moved = np.where(inside, newton, (low + high) / 2.0)
            step, x = np.abs(moved - x), moved
            if (step <= _CLOSE * np.maximum(1.0, np.abs(x))).all():
                break
        return np.asarray(x)


@dataclass(frozen=True)
class Estimate:
    """One quantity with what is known of it, as a mixture of normal distributions."""

    value: float
    """Its mean, in its own unit."""
    u: float
    """Its standard uncertainty."""
    normals: Normals

    @classmethod
    def of(cls, normals: Normals) -> Estimate:
        """Take the first bed's."""
        return cls(float(normals.centre()[0]), float(normals.spread()[0]), normals)

    def quantile(self, p: float) -> float:
        """Give the value below which it lies with chance p."""
        return float(self.normals.quantile(p)[0])

    def interval(self, p: float = 0.95) -> Interval:
        """Give the interval that leaves out as much below as above."""
        return Interval(self.quantile((1.0 - p) / 2.0), self.quantile((1.0 + p) / 2.0))

    def probability(self, below: float | None = None, above: float | None = None) -> float:
        """Give the chance of lying below one limit and above another, either of which may be left out."""
        if below is None:
            return float(self.normals.above(above)[0]) if above is not None else 1.0
        return float(self.normals.below(below)[0] - (0.0 if above is None else self.normals.below(above)[0]))
