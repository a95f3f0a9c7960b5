"""A soil probe against slurries of the same spots, and what it is to show by them."""

from __future__ import annotations

from typing import TYPE_CHECKING

from slurrycalc.metrology.coverage import interval
from slurrycalc.report.figures.look import INK, LEVEL, QUIET, SMALL

if TYPE_CHECKING:
    from matplotlib.axes import Axes

    from slurrycalc.measuring.probe import Comparison, ProbeResponse

_STEPS = 24
_ROOM = 0.25
"""Of the scale beyond the pairs. [pH]"""


def pairs(axes: Axes, comparison: Comparison, response: ProbeResponse, p: float = 0.95) -> None:
    """Draw what a probe showed against the slurries, and what it is to show next.

    Parameters
    ----------
    axes : matplotlib.axes.Axes
        On which to draw.
    comparison : Comparison
        From `compare`.
    response : ProbeResponse
        From `response`, by the same pairs.
    p : float
        Coverage probability of the band. [1]
    """
    slurries = [float(getattr(ph, "n", ph)) for ph in comparison.slurry]
    low, high = min(slurries) - _ROOM, max(slurries) + _ROOM
    at = [low + (high - low) * i / _STEPS for i in range(_STEPS + 1)]
    shows = [response.shows(ph) for ph in at]
    ends = [interval(one, p) for one in shows]
    axes.fill_between(
        at, [end[0] for end in ends], [end[1] for end in ends], color=LEVEL, alpha=0.22, linewidth=0
    )
    axes.plot(at, [one.n for one in shows], color=LEVEL, linewidth=1.6)
    axes.plot([low, high], [low, high], color=QUIET, linewidth=1.0, linestyle=(0, (4, 2)))
    axes.plot(
        slurries, comparison.probe, "o", color=INK, markersize=5.5, fillstyle="none", markeredgewidth=1.5
    )
    axes.set_xlim(low, high)
    bottom, top = axes.get_ylim()
    axes.text(
        high - 0.02 * (high - low),
        high - 0.02 * (high - low),
        "as the slurry reads ",
        rotation=45,
        rotation_mode="anchor",
        transform_rotates_text=True,
        ha="right",
        va="top" if response.indication >= response.slurry.n else "bottom",
        fontsize=SMALL,
        color=QUIET,
    )
    axes.annotate(
        f"probe: {response.state}",
        (0.02, 0.98),
        xycoords="axes fraction",
        ha="left",
        va="top",
        fontsize=SMALL,
        color=INK,
    )
    axes.set_ylim(bottom, top + 0.12 * (top - bottom))
    axes.set_xlabel("slurry [pH]")
    axes.set_ylabel("probe shows [pH]")
