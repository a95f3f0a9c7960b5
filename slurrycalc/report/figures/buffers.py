"""A meter through its buffers: its line, and how far the line passes by each, enlarged."""

from __future__ import annotations

from typing import TYPE_CHECKING

from slurrycalc.metrology.coverage import half_width
from slurrycalc.report.figures.look import INK, LEVEL, QUIET, SMALL, named

if TYPE_CHECKING:
    from matplotlib.axes import Axes

    from slurrycalc.measuring.electrode import Calibration

_LEAST = 0.02
"""The enlarged scale reaches so far at least either way. [pH]"""
SIZES = (0.0, 0.42, 1.0, 0.58), (0.0, 0.0, 1.0, 0.25)
"""Of the line and of what is enlarged below it: left, bottom, width, height, as parts of the axes."""


def meter(axes: Axes, calibration: Calibration, p: float = 0.95) -> None:
    """Draw a meter's line through its buffers, and enlarged how far it passes by each.

    Parameters
    ----------
    axes : matplotlib.axes.Axes
        On which to draw.
    calibration : Calibration
        From `calibrate`.
    p : float
        Coverage probability of the buffers' intervals. [1]
    """
    axes.set_axis_off()
    line, rest = (axes.inset_axes(size) for size in SIZES)
    points, unit = calibration.points, calibration.meter.unit
    # What the line reads at each point lies on it by definition, whatever the bottle's temperature.
    line.plot(
        [one.ph.n + one.off for one in points], [one.shown for one in points], color=LEVEL, linewidth=1.6
    )
    line.plot([one.ph.n for one in points], [one.shown for one in points], "o", color=INK, markersize=5.5)
    last = len(points) - 1
    for i, one in enumerate(points):
        line.annotate(
            f"{named(one.buffer)}: {one.shown:g} {unit}",
            (one.ph.n, one.shown),
            xytext=(-7, 0) if i == last and last else (7, 0),
            textcoords="offset points",
            ha="right" if i == last and last else "left",
            va="center",
            fontsize=SMALL,
            color=INK,
        )
    line.margins(x=0.06, y=0.14)
    line.set_ylabel(f"meter shows [{unit}]")
    halves = [half_width(one.ph, p) for one in points]
    reach = max([_LEAST, *(abs(one.off) + half for one, half in zip(points, halves, strict=True))]) * 1.15
    rest.axhline(0.0, color=LEVEL, linewidth=1.6)
    places = [one.ph.n for one in points]
    off = [one.off for one in points]
    rest.errorbar(places, off, yerr=halves, fmt="o", color=INK, ecolor=QUIET, markersize=4.5, elinewidth=1.0)
    rest.set_ylim(-reach, reach)
    rest.set_xlim(line.get_xlim())
    rest.set_ylabel("line off by\n[pH]", fontsize=SMALL)
    rest.set_xlabel("pH of the buffers")
    if calibration.disputed is not None:
        falls = points[-1].shown < points[0].shown
        line.annotate(
            "on no line",
            (0.99 if falls else 0.02, 0.97),
            xycoords="axes fraction",
            ha="right" if falls else "left",
            va="top",
            fontsize=SMALL,
            color=INK,
        )
