"""What a day's slurries say together, and what one of them alone would have said."""

from __future__ import annotations

from typing import TYPE_CHECKING

from slurrycalc.metrology.figures import number
from slurrycalc.report.figures.look import INK, LEVEL, QUIET, SMALL, TEXT

if TYPE_CHECKING:
    from matplotlib.axes import Axes

    from slurrycalc.measuring.slurry import SlurryResult


def one_slurry(axes: Axes, together: SlurryResult, alone: SlurryResult, p: float = 0.95) -> None:
    """Draw each slurry, the interval of all, and the interval had there been one slurry.

    Parameters
    ----------
    axes : matplotlib.axes.Axes
        On which to draw.
    together : SlurryResult
        Of the day.
    alone : SlurryResult
        Of its first slurry, had it been the only one.
    p : float
        Coverage probability of the intervals. [1]
    """
    jars = [jar.n for jar in together.jars]
    axes.plot(jars, [0.0] * len(jars), "o", color=INK, markersize=6.0, fillstyle="none", markeredgewidth=1.5)
    _word(axes, 0.0, f"each of {len(jars)} slurries")
    for row, result, word, colour in (
        (-1.0, together, "all together", LEVEL),
        (-2.0, alone, "had there been one slurry, the first", QUIET),
    ):
        low, high = result.interval(p)
        half = (high - low) / 2.0
        axes.plot([low, high], [row, row], color=colour, linewidth=2.4, solid_capstyle="butt")
        for end in (low, high):
            axes.plot([end, end], [row - 0.12, row + 0.12], color=colour, linewidth=1.4)
        axes.plot([result.ph.n], [row], "o", color=colour, markersize=7.0)
        _word(axes, row, f"{word}: {number(result.ph.n, half)} ± {number(half, half)}")
    axes.set_ylim(-2.4, 0.75)
    axes.margins(x=0.06)
    axes.set_yticks([])
    axes.spines["left"].set_visible(False)
    axes.set_xlabel("pH", fontsize=TEXT)


def _word(axes: Axes, row: float, text: str) -> None:
    axes.annotate(
        text,
        (0.0, row + 0.3),
        xycoords=axes.get_yaxis_transform(),
        va="bottom",
        fontsize=SMALL,
        color=INK,
    )
