"""What an upkeep has to hold of salts, from the record of a bed and of its fresh mix."""

from __future__ import annotations

import datetime
import shlex
from dataclasses import replace
from typing import Final

from slurrycalc.data.assumed import LONGEST_RETEST
from slurrycalc.data.bands import bands
from slurrycalc.day.months.changing import BedGathered
from slurrycalc.day.months.salts import Meters, SaltsSeries, salts_series
from slurrycalc.deciding.bands import TOO_SALT
from slurrycalc.deciding.days import spoken
from slurrycalc.deciding.given import Given, nominal, taken
from slurrycalc.deciding.trend.horizon import horizon
from slurrycalc.deciding.upkeep import SaltRise
from slurrycalc.logbook.recall import Recall
from slurrycalc.measuring.salts import spoken_ec
from slurrycalc.metrology.coverage import half_width
from slurrycalc.metrology.figures import number, two_figures
from slurrycalc.metrology.remark import Remark

TOO_MUCH: Final = next(band for band in bands() if band.name == TOO_SALT[0])
"""Where salts begin to be more than most plants need: the limit that is held unless another is asked."""


def salts_to_hold(
    found: BedGathered,
    recall: Recall,
    today: datetime.date,
    *,
    rise: Given | None = None,
    fresh: Given | None = None,
    limit: str | None = None,
) -> SaltRise | None:
    """Give the rise of salts that an upkeep has to hold, from the record.

    Parameters
    ----------
    found : BedGathered
        With the bed and the tub of fresh mix.
    recall : Recall
        The record.
    today : date
        The present day.
    rise, fresh, limit : str, float or UFloat, optional
        What the line says; it wins over the record. [uS/cm a month, uS/cm, uS/cm]

    Returns
    -------
    SaltRise or None
        None where no rise is known that could be held: the salts of the bed were read on too few days or
        certainly do not rise, or those of the fresh mix are not on record, which is then said.

    Raises
    ------
    Refusal
        If a reading on record cannot stand.
    """
    meters: Meters = {}
    series = None if found.bed is None else salts_series(recall, found.bed, until=today, meters=meters)
    held = TOO_MUCH.low if limit is None else limit
    if rise is None and series is not None and today > horizon(series.last):
        found.remarks.append(Remark("salts-unread", _unread(series.last)))
        return None
    if rise is None:
        rise = _shown_rise(found, series)
    if rise is None:
        return None
    if fresh is None:
        fresh = _fresh_salts(found, recall, today, held, meters)
    if fresh is None:
        return None
    if limit is None:
        said = f"{spoken_ec(TOO_MUCH.low)}, where {TOO_MUCH.name} begins (from memory)"
        found.note("Limit of salts", f"{said}; --salt-limit says another")
    known = None if series is None else series.rise(fresh, held)
    return SaltRise(rise, fresh, held) if known is None else replace(known, rise=rise)


def _shown_rise(found: BedGathered, series: SaltsSeries | None) -> Given | None:
    """Give the rise that the bed's own days may show; None where they certainly show none."""
    if series is None or series.line is None:
        return None
    rise = series.line.per_month
    half = half_width(rise)
    if rise.n + half <= 0.0:
        return None
    value, days = f"{number(rise.n, half)} ± {two_figures(half)}", len(series.days)
    found.note("Salts", f"they rise by {value} uS/cm a month, by {days} days")
    return rise


def _fresh_salts(
    found: BedGathered, recall: Recall, today: datetime.date, limit: str | float, meters: Meters
) -> Given | None:
    """Give the salts of the tub; None, with the reason said, where they cannot help."""
    mix = None if found.tub is None else salts_series(recall, found.tub, until=today, meters=meters)
    if found.tub is None or mix is None:
        name = "NAME" if found.tub is None else shlex.quote(found.tub.name)
        _say(
            found,
            "unknown",
            "those of the fresh mix are not on record: slurrycalc salts READING "
            f"--enclosure {name}, or --fresh-salts",
        )
        return None
    fresh = mix.newest.ec
    if fresh.n >= nominal(taken(limit, "conductivity", "limit of salts")):
        _say(found, "too-high", f"{found.tub.name} holds {spoken_ec(fresh.n)} itself")
        return None
    found.note("Salts of the fresh mix", f"{spoken_ec(fresh.n)}, {found.tub.name} on {spoken(mix.last)}")
    return fresh


def _unread(last: datetime.date) -> str:
    why = f"they were read last on {spoken(last)}, more than {LONGEST_RETEST.value:g} months back"
    return f"Salts may rise, but {why}: read them again. This plan holds pH only."


def _say(found: BedGathered, kind: str, why: str) -> None:
    text = f"Salts may rise, but {why}. This plan holds pH only."
    found.remarks.append(Remark(f"fresh-salts-{kind}", text))
