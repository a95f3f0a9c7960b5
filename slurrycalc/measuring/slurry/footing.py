"""What one enclosure's interval stands on, taken apart by who shares it."""

from __future__ import annotations

from functools import lru_cache
from math import sqrt
from typing import NamedTuple

from scipy.special import ndtri
from uncertainties import UFloat

from slurrycalc.measuring.electrode import Calibration, calibrate
from slurrycalc.measuring.electrode.buffers import buffer_ph
from slurrycalc.measuring.electrode.points import Point
from slurrycalc.measuring.slurry.outlook import Footing
from slurrycalc.metrology.coverage import half_width
from slurrycalc.metrology.remark import Refusal
from slurrycalc.metrology.scatter import ScatterFit
from slurrycalc.metrology.uncertain import linear, source_of

KEPT = ("bottle:", "junction", "thermometer", "disputed")
"""Words in the keys of sources that are the same errors on another day."""
THIRDS = ("4.01", "7.00", "10.01")
"""Bottles that a third buffer is taken from."""
APART = 1.0
"""A third buffer is no help nearer than this to one that is there. [pH]"""


def footing_of(ph: UFloat, fit: ScatterFit, cal: Calibration | None) -> Footing:
    """Take an enclosure's pH apart into its scatter and what its slurries share.

    Parameters
    ----------
    ph : UFloat
        Mean of the slurries. [pH]
    fit : ScatterFit
        The fit that gave it.
    cal : Calibration or None
        What the slurries were read under; None if that is not known, and then no third buffer is weighed.

    Returns
    -------
    Footing
        With the shared part as the normal standard uncertainty of equal 95 % half-width.
    """
    shared = {
        variable: sensitivity
        for variable, sensitivity in ph.derivatives.items()
        if source_of(variable).group != fit.source.group
    }
    renewed = {v: s for v, s in shared.items() if not any(word in source_of(v).key for word in KEPT)}
    shared_u, day_u = _as_normal(shared), _as_normal(renewed)
    own_u = 0.0
    if fit.n == 1:
        # A single reading's own errors are in its mean; with a second they will show as scatter.
        own = {v: s for v, s in renewed.items() if _is_own(source_of(v).key)}
        own_u = min(_as_normal(own), shared_u)
        shared_u, day_u = (sqrt(max(u**2 - own_u**2, 0.0)) for u in (shared_u, day_u))
    footing = Footing(fit.n, sqrt(fit.sd**2 + own_u**2), fit.dof, shared_u, min(day_u, shared_u))
    third = None if cal is None else _third(cal)
    if third is None:
        return footing
    gain = third.without.ph(third.shown(ph.n), third.temperature).s ** 2
    gain -= third.buffered.ph(third.shown(ph.n), third.temperature).s ** 2
    return Footing(
        footing.n,
        footing.scatter_sd,
        footing.scatter_dof,
        footing.shared_u,
        footing.day_u,
        third.label,
        sqrt(max(shared_u**2 - max(gain, 0.0), 0.0)),
    )


def _as_normal(sensitivities: dict[object, float]) -> float:
    """Give the normal standard uncertainty with the same 95 % half-width."""
    return half_width(linear(0.0, sensitivities)) / float(ndtri(0.975)) if sensitivities else 0.0


def _is_own(key: str) -> bool:
    return key.endswith((":repeatability", ":resolution")) and ":point:" not in key


class _Third(NamedTuple):
    """A two-buffer calibration, repeated as it was and with a third buffer on its line."""

    label: str
    without: Calibration
    buffered: Calibration
    temperature: float
    zero: float
    slope: float

    def shown(self, ph: float) -> float:
        """Give what the meter shows at a pH, on the line through its two buffers."""
        return self.zero + self.slope * ph


@lru_cache(maxsize=8)
def _third(cal: Calibration) -> _Third | None:
    """Try what a third buffer would do to a two-buffer calibration."""
    if len(cal.points) != 2:
        return None
    low, high = cal.points
    temperature = (low.temperature + high.temperature) / 2.0
    slope = (high.shown - low.shown) / (high.ph.n - low.ph.n)
    zero = low.shown - slope * low.ph.n
    points = [Point(point.ph, point.shown, point.temperature) for point in cal.points]
    for label in THIRDS:
        at = buffer_ph(label, temperature)
        if min(abs(at - point.ph.n) for point in cal.points) < APART:
            continue
        try:
            more = calibrate([*points, Point(label, zero + slope * at, temperature)], cal.meter)
            return _Third(label, calibrate(points, cal.meter), more, temperature, zero, slope)
        except Refusal:
            continue
    return None
