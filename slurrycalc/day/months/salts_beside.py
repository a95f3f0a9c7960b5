"""A bed's salts beside its pH: day by day, and whether they changed with a drift or a step of it."""

from __future__ import annotations

import datetime
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from uncertainties import UFloat

from slurrycalc.day.months.exchanged import ExchangeWorked, exchanges_worked
from slurrycalc.day.months.series import Series
from slurrycalc.day.months.surprise import surprise_of
from slurrycalc.day.record.conductivity import SaltsDay
from slurrycalc.logbook.conductivities import salts_on_record
from slurrycalc.logbook.recall import Recall
from slurrycalc.metrology.coverage import half_width
from slurrycalc.metrology.remark import Remark
from slurrycalc.metrology.results import Result

if TYPE_CHECKING:
    from slurrycalc.deciding.trend.through_time import LineThroughTime

A_DAY = datetime.timedelta(days=1)


@dataclass(frozen=True)
class SaltsBeside(Result):
    """A bed's salts, and what they may have done to its pH."""

    days: tuple[SaltsDay, ...]
    """From the earliest on."""
    remarks: tuple[Remark, ...]
    """That they changed with the drift, an exchange or the last reading."""

    def _body(self) -> str:
        said = " ".join(remark.text for remark in self.remarks)
        return said or f"salts of {len(self.days)} days; none shown to change with pH"


@dataclass(frozen=True)
class Moves:
    """How a bed's pH moved."""

    rate: UFloat
    """How it drifts now. [pH/month]"""
    exchanges: Sequence[ExchangeWorked]
    surprise: bool
    """Whether its last reading is a surprise."""


def moves_of(series: Series) -> Moves:
    """Give how a bed's pH moved, as nothing but its record says."""
    return Moves(series.taught.rate(), exchanges_worked(series), surprise_of(series) is not None)


def salts_beside(
    recall: Recall, series: Series, today: datetime.date, moves: Moves | None = None
) -> SaltsBeside | None:
    """Hold a bed's salts beside its pH.

    Parameters
    ----------
    recall : Recall
        The record.
    series : Series
        Its bench days.
    today : date
        The day on which it is asked.
    moves : Moves, optional
        How its pH moved; by its record unless given.

    Returns
    -------
    SaltsBeside or None
        None where its salts were never read.

    Raises
    ------
    Refusal
        If a reading on record cannot stand.
    """
    bed = series.enclosure
    if not salts_on_record(recall, bed, until=today):
        return None
    from slurrycalc.day.months.salts import salts_series  # noqa: PLC0415  only where there are any

    found = salts_series(recall, bed, until=today)
    assert found is not None
    moves = moves_of(series) if moves is None else moves
    said = () if found.line is None else (_drift(found.line, series, moves.rate), *_steps(found.line, moves))
    last = _last_reading(found.days, series) if moves.surprise else None
    return SaltsBeside(found.days, tuple(each for each in (*said, last) if each is not None))


def _drift(line: LineThroughTime, series: Series, rate: UFloat) -> Remark | None:
    """Hold the change of salts since the last step beside a drift of pH that is shown."""
    from slurrycalc.deciding.salt_effect import beside_acid  # noqa: PLC0415

    since = max((step.on + A_DAY for step in series.steps), default=series.days[0])
    days = max(line.days[0], since), line.last
    if abs(rate.n) <= half_width(rate) or days[0] >= days[1]:
        return None
    return beside_acid("drift", rate.n, (line.level(days[0]), line.level(days[1])), days)


def _steps(line: LineThroughTime, moves: Moves) -> list[Remark | None]:
    """Hold the change of salts over each exchange beside the step of pH that was found."""
    from slurrycalc.deciding.salt_effect import beside_acid  # noqa: PLC0415

    between = {step.on for group in line.steps for step in group}
    done = [each for each in moves.exchanges if each.on in between]
    done = [each for each in done if abs(each.found.n) > half_width(each.found)]
    return [
        beside_acid(
            "step",
            each.found.n,
            (line.level(each.on), line.level(each.on + A_DAY)),
            (max(day for day in line.days if day <= each.on), min(day for day in line.days if day > each.on)),
        )
        for each in done
    ]


def _last_reading(days: Sequence[SaltsDay], series: Series) -> Remark | None:
    """Hold the newest change of salts beside a last reading that surprises."""
    from slurrycalc.deciding.salt_effect import beside_acid  # noqa: PLC0415

    if len(series.days) < 2 or len(days) < 2 or days[-1].on <= series.days[-2]:
        return None
    moved = float(series.ph.values[-1] - series.ph.values[-2])
    before, after = days[-2:]
    return beside_acid("last reading", moved, (before.ec, after.ec), (before.on, after.on))
