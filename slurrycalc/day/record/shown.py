"""What a person saw, kept beside what it was computed from."""

from __future__ import annotations

from typing import Any

import msgspec
from uncertainties import UFloat

from slurrycalc.day.record.keeper import Keeper
from slurrycalc.deciding.due import DueItem
from slurrycalc.deciding.judgement import Judgement
from slurrycalc.deciding.steady import SteadyDay
from slurrycalc.measuring.electrode import Calibration
from slurrycalc.measuring.probe import Comparison
from slurrycalc.metrology.coverage import interval

DIGITS = 6
"""Digits after the point that are kept: far more than anybody was shown."""


FIRST, WAITS = "first", "read-again"
"""Under which key the first task is kept, and how where a bed is only to be read by its day."""


def first_word(first: DueItem) -> str:
    """Give the word of the agenda by which a first task is kept."""
    return WAITS if first.task == "retest" and first.days > 0 else first.task


def keep_ph(
    keeper: Keeper,
    enclosure: str | None,
    ph: UFloat,
    standing: Judgement,
    *,
    slurries: int,
    first: DueItem | None = None,
) -> None:
    """Keep an enclosure's pH and where it stood, as it was shown.

    Parameters
    ----------
    keeper : Keeper
        Of the step.
    enclosure : str or None
        Its name.
    ph : UFloat
        The result. [pH]
    standing : Judgement
        Where it stood.
    slurries : int
        How many it rests on; 0 for a probe's indication.
    first : DueItem, optional
        What comes first of it by the agenda.
    """
    asks = {} if first is None else {FIRST: first_word(first)}
    low, high = interval(ph, standing.p)
    _keep(
        keeper,
        {
            "enclosure": enclosure,
            "ph": ph.n,
            "interval": [low, high],
            "p": standing.p,
            "slurries": slurries,
            "target": list(standing.target),
            "floor": standing.floor,
            "in_range": [standing.in_range.state, standing.in_range.probability],
            "above_floor": [standing.above_floor.state, standing.above_floor.probability],
            **asks,
        },
    )


def keep_steady(keeper: Keeper, jar: str, ph: UFloat, said: SteadyDay, *, slurries: int, p: float) -> None:
    """Keep a steady jar's pH and what it said of the bench, as it was shown.

    Parameters
    ----------
    keeper : Keeper
        Of the step.
    jar : str
        Its name.
    ph : UFloat
        The result. [pH]
    said : SteadyDay
        What it said.
    slurries : int
        How many it rests on.
    p : float
        Coverage probability. [1]
    """
    shown = {"enclosure": jar, "ph": ph.n, "interval": list(interval(ph, p)), "p": p}
    _keep(keeper, {**shown, "slurries": slurries, "steady": said.state})


def keep_fresh(keeper: Keeper, tub: str, ph: UFloat, *, slurries: int, p: float) -> None:
    """Keep a fresh mix's pH, as it was shown.

    Parameters
    ----------
    keeper : Keeper
        Of the step.
    tub : str
        Its name.
    ph : UFloat
        The result. [pH]
    slurries : int
        How many it rests on.
    p : float
        Coverage probability. [1]
    """
    _keep(
        keeper,
        {"enclosure": tub, "ph": ph.n, "interval": list(interval(ph, p)), "p": p, "slurries": slurries},
    )


def keep_meter(keeper: Keeper, calibration: Calibration) -> None:
    """Keep a meter's state, as it was shown.

    Parameters
    ----------
    keeper : Keeper
        Of the step.
    calibration : Calibration
        The calibration.
    """
    _keep(
        keeper,
        {
            "efficiency": calibration.efficiency.n,
            "offset": calibration.offset.n,
            "unit": calibration.meter.unit,
            "verdict": calibration.verdict.state,
        },
    )


def keep_offset(keeper: Keeper, probe: str | None, comparison: Comparison, p: float) -> None:
    """Keep a probe's offset, as it was shown.

    Parameters
    ----------
    keeper : Keeper
        Of the step.
    probe : str or None
        Its name.
    comparison : Comparison
        The probe against its pairs.
    p : float
        Coverage probability. [1]
    """
    offset, n = comparison.offset, comparison.n
    _keep(
        keeper,
        {"probe": probe, "offset": offset.n, "interval": list(interval(offset, p)), "p": p, "pairs": n},
    )


def _keep(keeper: Keeper, said: dict[str, Any]) -> None:
    keeper.step.shown(keeper.step.kind, msgspec.json.encode(_rounded(said)).decode())


def _rounded(value: Any) -> Any:
    if isinstance(value, float):
        return round(value, DIGITS)
    if isinstance(value, dict):
        return {key: _rounded(each) for key, each in value.items()}
    if isinstance(value, list):
        return [_rounded(each) for each in value]
    return value
