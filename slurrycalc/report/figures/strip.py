"""Where pH values lie: interval, value, range and floor of each on one scale."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from slurrycalc.measuring.wording import typed
from slurrycalc.metrology.figures import number
from slurrycalc.report.figures.look import FLOOR, INK, RANGE, SMALL, TEXT, named
from slurrycalc.report.strip import STEP, bounds

if TYPE_CHECKING:
    from matplotlib.axes import Axes

    from slurrycalc.report.strip import Span

_THICK = 0.42
"""Of the shade of a row, whose height is 1."""


def strips(axes: Axes, spans: Sequence[Span], names: Sequence[str] = ()) -> None:
    """Draw where pH values lie, a row each.

    Parameters
    ----------
    axes : matplotlib.axes.Axes
        On which to draw.
    spans : sequence of Span
        Interval, value, range wanted and floor of each. [pH]
    names : sequence of str, optional
        Of the rows; none for a single one.
    """
    low, high = bounds(spans)
    for row, span in enumerate(spans):
        y = -float(row)
        axes.broken_barh(
            [(span.wanted[0], span.wanted[1] - span.wanted[0])],
            (y - _THICK / 2, _THICK),
            facecolor=RANGE,
            linewidth=0,
            zorder=0,
        )
        axes.plot([span.floor] * 2, [y - 0.26, y + 0.26], color=FLOOR, linewidth=3.0, solid_capstyle="butt")
        axes.plot([span.low, span.high], [y, y], color=INK, linewidth=2.0, solid_capstyle="butt")
        for end in (span.low, span.high):
            axes.plot([end] * 2, [y - 0.11, y + 0.11], color=INK, linewidth=1.4)
        axes.plot([span.value], [y], "o", color=INK, markersize=7.0)
        half = (span.high - span.low) / 2.0
        name = f"{named(names[row])}  " if row < len(names) else ""
        axes.annotate(
            f"{name}{number(span.value, half)} ± {number(half, half)}",
            (0.0, y + 0.33),
            xycoords=axes.get_yaxis_transform(),
            ha="left",
            va="bottom",
            fontsize=TEXT,
            color=INK,
        )
    axes.set_xlim(low, high)
    axes.set_ylim(-len(spans) + 0.35, 0.85)
    axes.set_yticks([])
    ticks = [low + STEP * i for i in range(round((high - low) / STEP) + 1)]
    axes.set_xticks(ticks[:: 1 + len(ticks) // 9], [f"{tick:.1f}" for tick in ticks][:: 1 + len(ticks) // 9])
    axes.spines["left"].set_visible(False)
    axes.set_xlabel(f"pH   shade: your range   bar: floor{_one_floor(spans)}", fontsize=SMALL)


def _one_floor(spans: Sequence[Span]) -> str:
    floors = {span.floor for span in spans}
    return f" {typed(floors.pop())}" if len(floors) == 1 else ""
