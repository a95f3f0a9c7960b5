"""What exchanges of a bed were expected to bring, beside what they brought."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from slurrycalc.deciding.days import spoken
from slurrycalc.deciding.exchange.words import percent
from slurrycalc.metrology.coverage import interval
from slurrycalc.report.figures.look import FLOOR, INK, LEVEL, QUIET, SMALL

if TYPE_CHECKING:
    from matplotlib.axes import Axes

    from slurrycalc.day.months.exchanged import ExchangeWorked


def worked(axes: Axes, exchanges: Sequence[ExchangeWorked], p: float = 0.95) -> None:
    """Draw the step in pH that each exchange was expected to bring, and what was found.

    Parameters
    ----------
    axes : matplotlib.axes.Axes
        On which to draw.
    exchanges : sequence of ExchangeWorked
        Of `Logbook.trend`, one at least.
    p : float
        Coverage probability of the intervals. [1]
    """
    for row, one in enumerate(exchanges):
        axes.plot([0.0, 0.0], [-0.3 - row, 0.24 - row], color=QUIET, linewidth=0.9, linestyle=(0, (2, 2)))
        found = INK if one.as_expected else FLOOR
        for step, colour, mark, up, word in (
            (one.expected, LEVEL, "D", 0.12, "expected"),
            (one.found, found, "o", -0.14, "found" if one.as_expected else "found: not as expected"),
        ):
            y, (low, high) = up - row, interval(step, p)
            axes.plot([low, high], [y, y], color=colour, linewidth=2.0, solid_capstyle="butt")
            axes.plot(
                [step.n], [y], mark, color=colour, markersize=6.0, fillstyle="full" if mark == "o" else "none"
            )
            axes.annotate(
                word,
                (high, y),
                xytext=(4, 0),
                textcoords="offset points",
                va="center",
                fontsize=SMALL,
                color=INK,
            )
        axes.annotate(
            f"{spoken(one.on)}: {percent(one.fraction)} of the bed",
            (0.0, 0.42 - row),
            xycoords=axes.get_yaxis_transform(),
            va="center",
            fontsize=SMALL,
            color=INK,
        )
    axes.margins(x=0.12)
    left, right = axes.get_xlim()
    axes.set_xlim(left, right + 0.22 * (right - left))
    axes.set_ylim(-len(exchanges) + 0.6, 0.65)
    axes.set_yticks([])
    axes.spines["left"].set_visible(False)
    axes.set_xlabel("step [pH]")
