"""How an electrode ages: efficiency and offset of a meter's calibrations against time."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from itertools import groupby
from math import isfinite
from operator import itemgetter
from typing import TypeAlias

from uncertainties import UFloat

from slurrycalc.data.assumed import (
    EFFICIENCY_CLEAN,
    EFFICIENCY_SCATTER,
    LABEL_TEMPERATURE,
    METER_SCATTER_DOF,
    OFFSET_SCATTER,
    Assumed,
)
from slurrycalc.deciding.days import Day, as_day, in_order
from slurrycalc.deciding.trend.crossing import Crossing, crossing
from slurrycalc.deciding.trend.through_time import line_through_time
from slurrycalc.measuring.electrode import Calibration, nernst_slope
from slurrycalc.measuring.electrode.meter import Shows
from slurrycalc.measuring.expected import DEFAULT, Expected, resolve
from slurrycalc.metrology.annotate import (
    PH,
    MilliVolt,
    MilliVoltPerMonth,
    Percent,
    PercentPerMonth,
    PercentValue,
    PHPerMonth,
)
from slurrycalc.metrology.remark import Refusal, Remark
from slurrycalc.metrology.results import Valued
from slurrycalc.metrology.scatter import Scatter
from slurrycalc.metrology.uncertain import Uncertain

Calibrated: TypeAlias = Calibration | tuple[Uncertain, Uncertain]
"""A calibration, or its efficiency [%] and offset [mV or pH, as the meter shows]."""

IN_BETWEEN = Remark(
    "meter-in-between",
    "This meter shows only pH, and its own calibration key hides the electrode: what is followed here is its "
    "display between two uses of that key.",
)


@dataclass(frozen=True)
class ElectrodeLife(Valued, value="efficiency_per_month", says=("text",)):
    """What the calibrations of one meter say of its electrode."""

    days: tuple[date, ...]
    efficiency: tuple[PercentValue, ...]
    """On each day; the mean of several."""
    offset: tuple[float, ...]
    """On each day. [mV or pH, as the meter shows]"""
    efficiency_now: Percent
    """The line on the last day."""
    efficiency_per_month: PercentPerMonth
    shown: bool
    """Whether a change of efficiency is shown at all."""
    offset_mv: MilliVolt | None
    """The line on the last day, for a meter that shows mV."""
    offset_mv_per_month: MilliVoltPerMonth | None
    offset_ph: PH | None
    """The same for a meter that shows pH."""
    offset_ph_per_month: PHPerMonth | None
    end: Crossing
    """When efficiency falls to what is not to be used any more."""
    text: tuple[str, str, str]
    """The sentences that a person reads: efficiency, offset, end."""
    remarks: tuple[Remark, ...]


def electrode_life(
    dates: Sequence[Day],
    calibrations: Sequence[Calibrated],
    shows: Shows | None = None,
    *,
    efficiency_scatter: Expected = DEFAULT,
    offset_scatter: Expected = DEFAULT,
    today: Day | None = None,
) -> ElectrodeLife:
    """Follow one electrode through its calibrations.

    Parameters
    ----------
    dates : sequence of date or str, length n
        Of the calibrations, from the earliest on, since the electrode was put in. Several of one day count
        as one, by their mean.
    calibrations : sequence, length n
        Results of `calibrate`, or pairs of efficiency [%] and offset [mV or pH]. Bottles that several
        calibrations share are one error, which no slope takes on.
    shows : {"mV", "pH"}, optional
        What the meter shows, where pairs are given; mV if nothing is said.
    efficiency_scatter, offset_scatter : Scatter, DEFAULT or None
        What is known beforehand of their scatter about a straight line; by default Scatter(1, 2) in % and
        Scatter(5, 2) in mV (our own).
    today : date or str, optional
        A day after it is refused.

    Returns
    -------
    ElectrodeLife
        With the days in which the line of efficiency may fall to 90 %.

    Raises
    ------
    Refusal
        If there are fewer than two days, dates are out of order or in the future, or an efficiency cannot be.

    References
    ----------
    .. [1] The limit: common practice (slurrycalc/data/assumed.py).

    Examples
    --------
    >>> days = [f"2024-{month:02}-01" for month in range(1, 10)]
    >>> life = electrode_life(days, [(99.4 - 0.5 * month, 2.0 + month) for month in range(9)])
    >>> print(life.text[0])
    Efficiency falls by 0.50 % a month, between 0.36 and 0.64 (95 in 100).
    >>> life.end.state
    'dated'
    """
    given = tuple(map(as_day, dates))
    if len(given) != len(calibrations):
        raise Refusal(
            f"{len(given)} dates and {len(calibrations)} calibrations do not go together; give one for each."
        )
    shows = _shows(calibrations, shows)
    pairs = list(zip(given, map(_pair, calibrations), strict=True))
    gathered = [(day, [pair for _, pair in each]) for day, each in groupby(pairs, key=itemgetter(0))]
    days = in_order([day for day, _ in gathered], None if today is None else as_day(today), "calibration")
    efficiency, offset = ([_mean([pair[k] for pair in each]) for _, each in gathered] for k in (0, 1))
    in_mv = shows == "mV"
    unit = 1.0 if in_mv else nernst_slope(LABEL_TEMPERATURE.value)
    usual = _usual(EFFICIENCY_SCATTER), _usual(OFFSET_SCATTER, unit)
    what = "day of calibration"
    e = line_through_time(days, efficiency, (), resolve(efficiency_scatter, usual[0]), what=what)
    o = line_through_time(days, offset, (), resolve(offset_scatter, usual[1]), what=what)
    least = EFFICIENCY_CLEAN.value
    end = crossing(e, least, words=f"{least:g} % (the least that is used, by {EFFICIENCY_CLEAN.known})")
    now, drift = o.level(days[-1]), o.per_month
    return ElectrodeLife(
        days=days,
        efficiency=tuple(float(getattr(each, "n", each)) for each in efficiency),
        offset=tuple(float(getattr(each, "n", each)) for each in offset),
        efficiency_now=e.level(days[-1]),
        efficiency_per_month=e.per_month,
        shown=e.shown(),
        offset_mv=now if in_mv else None,
        offset_mv_per_month=drift if in_mv else None,
        offset_ph=None if in_mv else now,
        offset_ph_per_month=None if in_mv else drift,
        end=end,
        text=(e.sentence("Efficiency", "%"), o.sentence("Offset at pH 7", shows), end.text),
        remarks=() if in_mv else (IN_BETWEEN,),
    )


def _shows(calibrations: Sequence[Calibrated], said: Shows | None) -> Shows:
    found = {each.meter.shows for each in calibrations if isinstance(each, Calibration)}
    if said is not None:
        found.add(said)
    if len(found) > 1:
        raise Refusal(
            "one electrode is followed on one meter; these calibrations are of one in mV and one in pH."
        )
    return found.pop() if found else "mV"


def _pair(given: Calibrated) -> tuple[Uncertain, Uncertain]:
    if isinstance(given, Calibration):
        return given.efficiency, given.offset
    try:
        efficiency, offset = given
    except (TypeError, ValueError):
        raise Refusal(f"`{given}` is no efficiency and offset; give a pair such as (98.5, 4.0).") from None
    for value, most, what in ((efficiency, 200.0, "efficiency in %"), (offset, 500.0, "offset at pH 7")):
        number = float(value.n if isinstance(value, UFloat) else value)
        if not (isfinite(number) and abs(number) <= most and (number > 0.0 or what[0] == "o")):
            raise Refusal(f"`{number:g}` is no {what}; give a pair such as (98.5, 4.0).")
    return efficiency, offset


def _mean(values: Sequence[Uncertain]) -> Uncertain:
    return sum(values[1:], start=values[0]) / len(values)


def _usual(sd: Assumed, unit: float = 1.0) -> Scatter:
    return Scatter(sd.value / unit, METER_SCATTER_DOF.value, sd.known, sd.ground)
