"""What an exchange is expected to bring: the bed now, and after each stage."""

from __future__ import annotations

from datetime import date
from typing import TYPE_CHECKING

from slurrycalc.deciding.exchange.words import percent
from slurrycalc.measuring.wording import typed
from slurrycalc.metrology.coverage import half_width
from slurrycalc.metrology.figures import number
from slurrycalc.report.figures.look import FOUND, INK, LEVEL, SMALL
from slurrycalc.report.figures.marks import words

if TYPE_CHECKING:
    from matplotlib.axes import Axes

    from slurrycalc.deciding.exchange import Exchange


def stages(axes: Axes, plan: Exchange) -> None:
    """Draw what a bed reads now, and what it is expected to read after each stage of an exchange.

    Parameters
    ----------
    axes : matplotlib.axes.Axes
        On which to draw.
    plan : Exchange
        From `exchange`, with one stage at least.
    """
    numbers = [plan.now, *(stage.ph for stage in plan.stages)]
    halves = [half_width(one, plan.p) for one in numbers]
    places, rises = list(range(len(numbers))), numbers[-1].n > numbers[0].n
    axes.axhline(plan.wanted, color=FOUND, linewidth=1.4, linestyle=(0, (6, 2)), zorder=1)
    axes.plot(places, [one.n for one in numbers], color=LEVEL, linewidth=1.6, zorder=2)
    axes.errorbar(
        places[:1], [plan.now.n], yerr=halves[:1], fmt="o", color=INK, markersize=7.0, elinewidth=2.0
    )
    after = [one.n for one in numbers[1:]]
    axes.errorbar(
        places[1:],
        after,
        yerr=halves[1:],
        fmt="D",
        color=LEVEL,
        markersize=6.5,
        fillstyle="none",
        elinewidth=2.0,
    )
    for place, one, half in zip(places, numbers, halves, strict=True):
        axes.annotate(
            number(one.n, half),
            (place, one.n),
            xytext=(6, -3 if rises else 3),
            textcoords="offset points",
            va="top" if rises else "bottom",
            fontsize=SMALL,
            color=INK,
        )
    axes.set_xlim(-0.35, len(numbers) - 0.45)
    axes.margins(y=0.12)
    words(axes, f"wanted {typed(plan.wanted)}", [(plan.wanted, True)])
    axes.set_xticks(places, ["now", *(_name(stage.on, stage.fraction) for stage in plan.stages)])
    axes.set_xlabel(f"after each stage{_year(plan)}, as expected")
    axes.set_ylabel("pH")


def _name(on: date | None, fraction: float) -> str:
    part = percent(fraction, up=True)
    return part if on is None else f"{part}\n{on.day} {on:%b}"


def _year(plan: Exchange) -> str:
    last = plan.stages[-1].on
    return "" if last is None else f", to {last.day} {last:%b %Y}"
