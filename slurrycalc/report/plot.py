"""How a pH moved through the months, drawn with characters: a small plot for a terminal."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from math import ceil, floor
from typing import TYPE_CHECKING

from slurrycalc.report.strip import VALUE, WANTED

if TYPE_CHECKING:
    from slurrycalc.day.months.drifting import Drifting

FLOOR, DONE = "═", "┆"
"""The row of the floor; the column of a day on which something was done that shifts the pH."""
HEIGHT = 8
"""So many rows at most, the days apart."""
STEPS = (0.05, 0.1, 0.2, 0.5, 1.0, 2.0)
"""Between two rows. [pH]"""
NEAR = 0.4
"""A floor or an end of the range is drawn where it lies no farther from what was read. [pH]"""
LEFT = 6
"""For the numbers at the side. [characters]"""


@dataclass(frozen=True, slots=True)
class Months:
    """Bench days and what they read, with what was done between them."""

    days: tuple[date, ...]
    ph: tuple[float, ...]
    wanted: tuple[float, float]
    floor: float
    done: tuple[date, ...] = ()
    halves: tuple[float, ...] = ()
    """Of the interval of what each day read, where they are known. [pH]"""
    course: tuple[tuple[date, float, float, float], ...] = ()
    """Days, and where the bed stood: lower end, level, upper end. [pH]"""
    names: tuple[str, ...] = ()
    """Of what was done."""
    again: date | None = None
    """By when it is read again."""

    @staticmethod
    def of(drift: Drifting, p: float = 0.95) -> Months:
        """Give the months of a bed, with its course and by when it is read again."""
        from slurrycalc.metrology.coverage import half_width  # noqa: PLC0415  pages without months need no scipy

        ends = [(one.on, one.level.n, one.interval(p)) for one in drift.course]
        return Months(
            drift.days,
            drift.ph,
            drift.outlook.wanted,
            drift.outlook.floor,
            tuple(step.on for step in drift.steps),
            tuple(half_width(ph, p) for ph in drift.readings),
            tuple((on, low, level, high) for on, level, (low, high) in ends),
            tuple(step.name for step in drift.steps),
            drift.retest.by,
        )


def plot(months: Months, width: int) -> tuple[str, ...]:
    """Draw months as rows of characters; the range wanted is shaded, the row of the floor is marked.

    Parameters
    ----------
    months : Months
        One bench day at least.
    width : int
        Of a row. [characters]

    Returns
    -------
    tuple of str
        From the highest pH down, then the days at both ends, and what was done between them.

    Examples
    --------
    >>> days = tuple(date(2024, month, 1) for month in (1, 3, 5, 7))
    >>> for row in plot(Months(days, (5.8, 5.6, 5.4, 5.2), (5.4, 6.5), 5.0), 30):
    ...     print(row)
      5.8 ●░░░░░░░░░░░░░░░░░░░░░░░
      5.6 ░░░░░░░░●░░░░░░░░░░░░░░░
      5.4 ░░░░░░░░░░░░░░░●░░░░░░░░
      5.2                        ●
      5.0 ════════════════════════
          1 Jan 2024    1 Jul 2024
    """
    low, high, step = _rows(months)
    columns = width - LEFT
    first, last = months.days[0], max(*months.days, *months.done[-1:])
    reach = max((last - first).days, 1)

    def at(day: date) -> int:
        return round((day - first).days / reach * (columns - 1))

    rows = []
    for i in range(round((high - low) / step), -1, -1):
        ph = low + i * step
        line = [_ground(ph, step, months)] * columns
        for day in months.done:
            if first <= day:
                line[at(day)] = DONE
        for day, read in zip(months.days, months.ph, strict=True):
            if abs(_nearest(read - low, step) - i) < 0.5:
                line[at(day)] = VALUE
        rows.append(f"{ph:5.{1 if step >= 0.1 else 2}f} {''.join(line)}".rstrip())
    begun, ended = (f"{day.day} {day:%b} {day.year}" for day in (first, last))
    rows.append(" " * LEFT + (begun if first == last else f"{begun}{ended:>{columns - len(begun)}}"))
    names = dict.fromkeys(name for name, day in zip(months.names, months.done, strict=False) if first <= day)
    if names:
        rows.append(f"{'':{LEFT}}{DONE} {', '.join(names)}"[:width])
    return tuple(rows)


def _nearest(above: float, step: float) -> int:
    return floor(above / step + 0.5)


def _rows(months: Months) -> tuple[float, float, float]:
    """Say from which pH to which the rows go, and how far apart they are."""
    low, high = min(months.ph), max(months.ph)
    for limit in (months.floor, *months.wanted):
        if low - NEAR <= limit <= high + NEAR:
            low, high = min(low, limit), max(high, limit)
    step = next(one for one in STEPS if (high - low) / one <= HEIGHT - 2 or one == STEPS[-1])
    return step * floor(low / step + 1e-9), step * ceil(high / step - 1e-9), step


def _ground(ph: float, step: float, months: Months) -> str:
    if abs(ph - months.floor) <= step / 2.0 - 1e-9:
        return FLOOR
    low, high = months.wanted
    return WANTED if low - 1e-9 <= ph <= high + 1e-9 else " "
