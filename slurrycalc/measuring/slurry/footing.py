"""What one enclosure's interval stands on, taken apart by who shares it."""

from __future__ import annotations

from dataclasses import replace
from functools import lru_cache
from math import sqrt
from typing import NamedTuple

from scipy.special import ndtri
from uncertainties import UFloat

from slurrycalc.data.assumed import BUFFER_SPAN
from slurrycalc.measuring.electrode import Calibration
from slurrycalc.measuring.electrode.buffers import buffer_ph
from slurrycalc.measuring.electrode.calibrating import with_one_more
from slurrycalc.measuring.electrode.meter import NEUTRAL
from slurrycalc.measuring.electrode.response import Response
from slurrycalc.measuring.slurry.prospect import Footing
from slurrycalc.metrology.coverage import half_width
from slurrycalc.metrology.remark import Refusal
from slurrycalc.metrology.scatter import ScatterFit
from slurrycalc.metrology.uncertain import linear, source_of

KEPT = ("bottle:", "junction", "thermometer", "disputed")
"""Words in the keys of sources that are the same errors on another day."""
DRIFT = ":drift"
"""How the key of the day's drift ends."""
THIRDS = ("4.01", "7.00", "10.01")
"""Bottles that a third buffer is taken from."""
SOME = 0.1
"""A buffer so far off the line shows what one off the line does; that grows with it. [pH]"""
LEAST_MOVE = 1e-3
"""Of what a buffer is off: less than this is no move of a reading."""


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
    drift_u = _as_normal({v: s for v, s in renewed.items() if source_of(v).key.endswith(DRIFT)})
    own_u = 0.0
    if fit.n == 1:
        # A single reading's own errors are in its mean; with a second they will show as scatter.
        own = {v: s for v, s in renewed.items() if _is_own(source_of(v).key)}
        own_u = min(_as_normal(own), shared_u)
        shared_u, day_u = (sqrt(max(u**2 - own_u**2, 0.0)) for u in (shared_u, day_u))
    known = None if fit.expected is None else sqrt(fit.expected.sd**2 + max(fit.own_u, own_u) ** 2)
    day_u = min(day_u, shared_u)
    footing = Footing(
        n=fit.n,
        scatter_sd=sqrt(fit.sd**2 + own_u**2),
        scatter_dof=fit.dof,
        shared_u=shared_u,
        day_u=day_u,
        drift_u=min(drift_u, day_u),
        expected_sd=0.0 if known is None else known,
        expected_dof=0.0 if fit.expected is None else fit.expected.dof,
    )
    third = None if cal is None else _third(cal)
    if third is None:
        return footing
    gain = min(third.gain(ph.n), shared_u**2)
    return replace(
        footing,
        third_buffer=third.label,
        third_buffer_u=sqrt(shared_u**2 - gain),
        third_doubt_u=third.doubt(ph.n, sqrt(gain)),
    )


def _normal(number: UFloat) -> float:
    """Give the normal standard uncertainty with the same 95 % half-width."""
    return half_width(number) / float(ndtri(0.975))


def _as_normal(sensitivities: dict[object, float]) -> float:
    """Give that of the part of a number that some of its sources make."""
    return _normal(linear(0.0, sensitivities))


def _is_own(key: str) -> bool:
    return key.endswith((":repeatability", ":resolution")) and ":point:" not in key


class _Third(NamedTuple):
    """A two-buffer calibration's response, as it is and with a third buffer on its line."""

    label: str
    as_it_is: Response
    with_it: Response
    off_by_some: Response
    """With it, had it been read off the line by `SOME` of what the display shows for a pH."""

    def gain(self, ph: float) -> float:
        """Give what the third buffer would take off the variance that readings at a pH share [pH²]."""
        now = self.as_it_is
        # A slurry of the buffers' temperature: what is read of it, and how finely, is the same either way.
        temperature, shown = now.temperatures.buffers, linear(self._y(ph) + now.zero, {})
        before, after = (_normal(each.plain(shown, temperature)) for each in (now, self.with_it))
        return max(before**2 - after**2, 0.0)

    def doubt(self, ph: float, move: float) -> float | None:
        """Give what a dispute adds [pH] where the third buffer moves readings at a pH by some [pH]."""
        y, at = self._y(ph), self.as_it_is.temperatures.buffers
        moved = abs(float(self.off_by_some.plain(linear(y + self.as_it_is.zero, {}), at).n) - ph)
        # Where it moves them by nothing, what is said of it by the move is nothing either.
        if move == 0.0 or moved < LEAST_MOVE * SOME:
            return None
        return sqrt(0.5) * float(self.off_by_some.distance(y, at.n)) * move / moved

    def _y(self, ph: float) -> float:
        """Give what is shown at a pH, from what is shown at pH 7."""
        now = self.as_it_is
        piece = now.pieces[0]
        at = float(now.gain.at(now.temperatures.buffers.n))
        return float(piece.intercept.n + piece.slope.n * at * (ph - NEUTRAL))


@lru_cache(maxsize=8)
def _third(cal: Calibration) -> _Third | None:
    """Find the third buffer that a two-buffer calibration could have."""
    if len(cal.points) != 2:
        return None
    temperature = sum(point.temperature for point in cal.points) / 2.0
    for label in THIRDS:
        try:
            at = buffer_ph(label, temperature)
            if min(abs(at - point.ph.n) for point in cal.points) >= BUFFER_SPAN.value:
                off = SOME * float(cal._response.gain.at(temperature))
                on_line, off_line = (with_one_more(cal, label, temperature, by) for by in (0.0, off))
                return _Third(label, cal._response, on_line, off_line)
        except Refusal:
            continue
    return None
