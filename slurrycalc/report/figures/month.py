"""A bed through the months: what was read, where it stood, what was done, and by when it is read again."""

from __future__ import annotations

from datetime import date
from typing import TYPE_CHECKING

from slurrycalc.report.figures.look import FOUND, INK, LEVEL, QUIET, SMALL, named
from slurrycalc.report.figures.marks import Box, limit_words, limits
from slurrycalc.report.plot import NEAR, Months

if TYPE_CHECKING:
    from matplotlib.axes import Axes

    from slurrycalc.day.months.drifting import Drifting

_HEAD = 0.30
"""Part of the height above what was read, for the names of what was done."""
_DEEP = 0.033
"""So much of the height a letter of a name takes, at most."""
_EDGE = 0.08
"""A name nearer to the left edge than this part of the width stands on the other side of its line."""
_TOGETHER = 0.045
"""Names closer than this part of the width are written as one."""


def months(axes: Axes, bed: Drifting | Months, p: float = 0.95) -> None:
    """Draw a bed through the months.

    Parameters
    ----------
    axes : matplotlib.axes.Axes
        On which to draw.
    bed : Drifting or Months
        From `Logbook.trend`, or bench days and what they read.
    p : float
        Coverage probability of the intervals. [1]
    """
    drawn = bed if isinstance(bed, Months) else Months.of(bed, p)
    first = drawn.days[0]
    last = max([drawn.days[-1], *(each[0] for each in drawn.course[-1:]), *drawn.done])
    room = max(4.0, (last - first).days * 0.03)
    read = [place(day) for day in drawn.days]
    limits(axes, drawn.wanted, drawn.floor)
    if drawn.course:
        on, low, level, high = zip(*drawn.course, strict=True)
        on = tuple(map(place, on))
        axes.fill_between(on, low, high, color=LEVEL, alpha=0.22, linewidth=0, zorder=2)
        axes.plot(on, level, color=LEVEL, linewidth=1.6, zorder=3)
    if drawn.halves:
        axes.errorbar(read, drawn.ph, yerr=drawn.halves, fmt="none", ecolor=INK, elinewidth=0.8, zorder=4)
    axes.plot(read, drawn.ph, "o", color=INK, markersize=3.6, zorder=5)
    axes.set_xlim(place(first) - room, place(last) + room)
    axes.set_ylim(*_scale(drawn))
    _done(axes, drawn)
    if drawn.again is not None and drawn.course:
        _again(axes, drawn.again, drawn.course[-1][2])
    limit_words(axes, drawn.wanted, drawn.floor, _taken(axes, drawn))
    _days(axes, first, last)
    axes.set_ylabel("pH")


def _scale(drawn: Months) -> tuple[float, float]:
    """Give the ends of the scale: all that was read, limits that are near, room above for words. [pH]."""
    halves = drawn.halves or (0.0,) * len(drawn.ph)
    ends = [ph + sign * half for ph, half in zip(drawn.ph, halves, strict=True) for sign in (-1.0, 1.0)]
    low, high = min(ends), max(ends)
    # A step of unknown size opens the band for the bed; the scale stays with what was read.
    ends = [end for _, *both in drawn.course for end in (both[0], both[2])]
    low, high = max(min([low, *ends]), low - NEAR), min(max([high, *ends]), high + NEAR)
    for limit in (drawn.floor, *drawn.wanted):
        if low - NEAR <= limit <= high + NEAR:
            low, high = min(low, limit), max(high, limit)
    room = max(high - low, 0.4)
    return low - 0.06 * room, high + (_HEAD if drawn.done else 0.06) * room


def _done(axes: Axes, drawn: Months) -> None:
    """Mark what was done that shifts the pH, each with its name; what lies close together as one."""
    left, right = axes.get_xlim()
    apart = (right - left) * _TOGETHER
    groups: list[list[int]] = []
    for i, day in enumerate(drawn.done):
        if place(day) < left:
            continue
        axes.axvline(place(day), color=QUIET, linewidth=0.9, linestyle=(0, (2, 2)), zorder=1)
        if groups and (day - drawn.done[groups[-1][0]]).days < apart:
            groups[-1].append(i)
        else:
            groups.append([i])
    for group in groups:
        names = dict.fromkeys(drawn.names[i] for i in group if i < len(drawn.names))
        many = f" {len(group)} times" if len(group) > 1 and len(names) == 1 else ""
        start = place(drawn.done[group[0]])
        near = start - left < _EDGE * (right - left)
        axes.annotate(
            named(" + ".join(names), 24) + many,
            (start, 1.0),
            xycoords=axes.get_xaxis_transform(),
            xytext=(2 if near else -2, -2),
            textcoords="offset points",
            rotation=90,
            ha="left" if near else "right",
            va="top",
            fontsize=SMALL,
            color=QUIET,
            zorder=6,
        )


def _again(axes: Axes, day: date, level: float) -> None:
    """Mark the day by which it is read again, with its words away from the end of the band."""
    bottom, top = axes.get_ylim()
    below = level - bottom > 0.5 * (top - bottom)
    axes.axvline(place(day), color=FOUND, linewidth=1.4, linestyle=(0, (6, 2)), zorder=1)
    axes.annotate(
        f"read by {day.day} {day:%b}",
        (place(day), 0.0 if below else 1.0),
        xycoords=axes.get_xaxis_transform(),
        xytext=(-3, 3 if below else -3),
        textcoords="offset points",
        rotation=90,
        ha="right",
        va="bottom" if below else "top",
        fontsize=SMALL,
        color=INK,
        zorder=6,
    )


def _taken(axes: Axes, drawn: Months) -> list[Box]:
    """Give the places that words keep away from: readings, the band's ends, what was done, the last day."""
    (left, right), (bottom, top) = axes.get_xlim(), axes.get_ylim()
    line, width = 0.055 * (right - left), 0.01 * (right - left)
    halves = drawn.halves or (0.0,) * len(drawn.ph)
    dot = 0.02 * (top - bottom)
    read = zip(map(place, drawn.days), drawn.ph, (max(half, dot) for half in halves), strict=True)
    taken = [(day - width, day + width, ph - half, ph + half) for day, ph, half in read]
    taken += [(place(on), place(on), low, high) for on, low, _, high in drawn.course]
    for i, day in enumerate(map(place, drawn.done)):
        deep = max(_HEAD, _DEEP * len(drawn.names[i] if i < len(drawn.names) else ""))
        # Words on a mere line are read; a name is worth three of them.
        taken += [(day - line, day + line, top - deep * (top - bottom), top)] * 3
        taken.append((day, day, bottom, top))
    return [*taken, (right - 1.6 * line, right, bottom, top)]


def _days(axes: Axes, first: date, last: date) -> None:
    """Put a few days under the axis: firsts of a month, or both ends where there are too few."""
    spans = (last.year - first.year) * 12 + last.month - first.month
    if spans < 2:
        days, form = sorted({first, last}), "{0.day} {0:%b %Y}"
    else:
        every = next(step for step in (1, 2, 3, 4, 6, 12, 24, 60, 120) if spans / step <= 5.0 or step == 120)
        months = [first.year * 12 + first.month - 1 + i for i in range(1, spans + 1)]
        days = [date(month // 12, month % 12 + 1, 1) for month in months if month % every == 0]
        form = "{0:%b %Y}"
    axes.set_xticks([place(day) for day in days], [form.format(day) for day in days])


def place(day: date) -> float:
    """Give a day's place along an axis. [d]."""
    return float(day.toordinal())
