"""A bench day's results as a table for a spreadsheet: a row a jar, an enclosure, a check bottle."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterator, Mapping

from slurrycalc.data.assumed import SLURRY_RATIO, from_where
from slurrycalc.data.method import METHOD
from slurrycalc.day.bench.result import DayResult, EnclosureResult, FreshResult, SteadyResult
from slurrycalc.deciding.doubt import doubts
from slurrycalc.logbook.step import DISTILLED
from slurrycalc.logbook.tables import harmless
from slurrycalc.metrology.budget import Budget, budget
from slurrycalc.metrology.coverage import Interval, interval
from slurrycalc.metrology.figures import two_figures
from slurrycalc.metrology.remark import Remark

COLUMNS = (
    *("row", "name", "enclosure", "day", "shows", "shows_unit", "temperature_degC"),
    *("ph", "low", "high", "p", "method", "ratio", "slurries"),
    *("range_low", "range_high", "floor", "in_range", "above_floor", "doubt", "assumed", "note"),
)
DONE = {
    "method": f"slurry in {DISTILLED}, method {METHOD}",
    "ratio": f"1:{SLURRY_RATIO.value:g} by volume",
}
OWN_WORD = ("measured", "given", "computed")
"""How a number is known that was not assumed."""


def results_table(day: DayResult, p: float = 0.95) -> str:
    """Write a bench day's results as CSV.

    Parameters
    ----------
    day : DayResult
        The day.
    p : float
        Coverage probability of the intervals. [1]

    Returns
    -------
    str
        CSV with `COLUMNS`: pH to a ten-thousandth, with the ends of its interval; what was assumed, each with
        its part of the standard uncertainty [pH] and how it is known. No cell can be taken for a formula.

    Examples
    --------
    >>> from slurrycalc.data.shipped import shipped
    >>> from slurrycalc.day.bench.bench_day import bench_day
    >>> from slurrycalc.day.bench.worksheet import read_worksheet
    >>> declared, _ = read_worksheet(shipped("examples", "reading-room.toml").read_bytes())
    >>> results_table(bench_day(declared)).splitlines()[1].split(",")[:8]
    ['jar', 'A1', 'window', '2024-05-04', '5.14', 'pH', '21', '5.0925']
    """
    text = io.StringIO(newline="")
    writer = csv.DictWriter(text, COLUMNS, restval="", lineterminator="\r\n")
    writer.writeheader()
    for row in (*_jars(day, p), *_checks(day), *_read(day, p), *_held_back(day)):
        writer.writerow({key: _spelt(cell) for key, cell in row.items()})
    return text.getvalue()


def _spelt(cell: str | float | None) -> str:
    if isinstance(cell, str):
        return harmless(cell)
    return "" if cell is None else f"{cell:.10g}"


def _jars(day: DayResult, p: float) -> Iterator[Mapping[str, str | float | None]]:
    for jar in day.jars:
        yield {
            "row": "jar",
            "name": jar.label,
            "enclosure": jar.enclosure,
            "day": _on(day),
            "shows": jar.shows.value,
            "shows_unit": jar.shows.unit,
            "temperature_degC": jar.temperature,
            **_ph(jar.ph.n, interval(jar.ph, p), p, budget(jar.ph)),
            **DONE,
            "doubt": _doubt(jar.remarks),
            "note": jar.note,
        }


def _checks(day: DayResult) -> Iterator[Mapping[str, str | float | None]]:
    for one in day.checks:
        said = "note" if one.check.agrees else "doubt"
        yield {"row": "check bottle", "name": one.check.buffer, "day": _on(day), said: one.text}


def _read(day: DayResult, p: float) -> Iterator[Mapping[str, str | float | None]]:
    for one in day.read:
        row: dict[str, str | float | None] = {
            "row": _kind(one),
            "name": one.name,
            "enclosure": one.name,
            "day": _on(day),
            **_ph(one.slurry.ph.n, one.slurry.interval(p), p, one.slurry.budget),
            **DONE,
            "slurries": one.slurry.n,
            "doubt": _doubt(one.remarks),
            "note": one.note,
        }
        if isinstance(one, EnclosureResult):
            judged = one.judgement
            row["range_low"], row["range_high"], row["floor"] = *judged.target, judged.floor
            row["in_range"], row["above_floor"] = judged.in_range.state, judged.above_floor.state
        yield row


def _on(day: DayResult) -> str:
    return day.date or day.read[0].day


def _kind(one: EnclosureResult | SteadyResult | FreshResult) -> str:
    match one:
        case SteadyResult():
            return "steady jar"
        case FreshResult():
            return "fresh mix"
    return "enclosure"


def _held_back(day: DayResult) -> Iterator[Mapping[str, str | float | None]]:
    for held in day.held_back:
        yield {"row": "held back", "name": f"row {held.row}", "day": _on(day), "note": held.text}


def _ph(ph: float, ends: Interval, p: float, rests_on: Budget) -> dict[str, str | float | None]:
    assumed = [
        f"{row.name}: {two_figures(row.contribution)} pH ({from_where(row.known)})"
        for row in rests_on.rows
        if row.known not in OWN_WORD
    ]
    return {
        "ph": round(ph, 4),
        "low": round(ends.low, 4),
        "high": round(ends.high, 4),
        "p": p,
        "assumed": "; ".join(dict.fromkeys(assumed)),
    }


def _doubt(remarks: tuple[Remark, ...]) -> str:
    return " ".join(remark.text for remark in doubts(remarks))
