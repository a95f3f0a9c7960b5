"""What an upkeep is expected to bring: the first cycles of a bed that is exchanged again and again."""

from __future__ import annotations

from typing import TYPE_CHECKING

from slurrycalc.measuring.wording import typed
from slurrycalc.report.figures.look import FLOOR, INK, LEVEL, SMALL
from slurrycalc.report.figures.marks import words

if TYPE_CHECKING:
    from matplotlib.axes import Axes

    from slurrycalc.deciding.upkeep import Plan


def cycles(axes: Axes, plan: Plan, limit: float | None = None) -> None:
    """Draw a bed through the first cycles of an upkeep, without their doubt, and at worst.

    Parameters
    ----------
    axes : matplotlib.axes.Axes
        On which to draw.
    plan : Plan
        Of an upkeep, with cycles of its pH.
    limit : float, optional
        That it is to keep. [pH]
    """
    starts = [cycle.month for cycle in plan.cycles]
    every = starts[1] - starts[0] if starts[1:] else 1.0
    months: list[float] = []
    ph: list[float] = []
    for cycle in plan.cycles:
        months += [cycle.month, cycle.month + every]
        ph += [cycle.after or 0.0, cycle.before or 0.0]
    axes.plot(months, ph, color=LEVEL, linewidth=1.8)
    axes.plot(
        starts,
        [cycle.after or 0.0 for cycle in plan.cycles],
        "D",
        color=LEVEL,
        markersize=5.0,
        fillstyle="none",
    )
    worst = [(cycle.month + every, cycle.worst) for cycle in plan.cycles if cycle.worst is not None]
    if worst:
        axes.plot([month for month, _ in worst], [ph for _, ph in worst], "v", color=INK, markersize=5.0)
    axes.margins(x=0.04, y=0.16)
    taken = [(month - every / 4, month + every / 4, low - 0.02, low + 0.02) for month, low in worst]
    if worst:
        axes.annotate(
            "at worst",
            worst[-1],
            xytext=(-6, -1),
            textcoords="offset points",
            ha="right",
            va="top",
            fontsize=SMALL,
            color=INK,
        )
    axes.annotate(
        "exchanged",
        (starts[-1], ph[-2]),
        xytext=(0, 5),
        textcoords="offset points",
        va="bottom",
        ha="center",
        fontsize=SMALL,
        color=INK,
    )
    axes.set_xticks([*starts, starts[-1] + every])
    if limit is not None:
        axes.axhline(limit, color=FLOOR, linewidth=2.2, zorder=1)
        words(axes, f"limit {typed(limit)}", [(limit, True)], taken)
    axes.set_xlabel("months from the first exchange")
    axes.set_ylabel("pH")
