"""Marks that several figures share: the range wanted, the floor, and words where there is room for them."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from slurrycalc.measuring.wording import typed
from slurrycalc.report.figures.look import FLOOR, INK, RANGE, SMALL

if TYPE_CHECKING:
    from matplotlib.axes import Axes

Box = tuple[float, float, float, float]
"""Left, right, bottom, top, in the units of the axes."""
_LETTER, _LINE = 0.0205, 0.075
"""Width of a letter and height of a line, as parts of usual axes."""
_PLACES = tuple(0.05 * i for i in range(19))


def limits(axes: Axes, wanted: tuple[float, float], floor: float) -> None:
    """Shade the range wanted and mark the floor, across the axes. [pH]."""
    axes.axhspan(*wanted, color=RANGE, linewidth=0, zorder=0)
    axes.axhline(floor, color=FLOOR, linewidth=2.2, zorder=1)


def limit_words(axes: Axes, wanted: tuple[float, float], floor: float, taken: Sequence[Box] = ()) -> None:
    """Say what the shade and the line are, each where least is in the way."""
    bottom, top = axes.get_ylim()
    low, high = wanted
    if bottom <= floor <= top:
        words(axes, f"floor {typed(floor)}", [(floor, floor + _LINE * (top - bottom) <= top)], taken)
    if min(high, top) > max(low, bottom):
        text = f"your range, {typed(low)} to {typed(high)}"
        words(axes, text, [(min(high, top), False), (max(low, bottom), True)], taken)


def words(axes: Axes, text: str, beside: Sequence[tuple[float, bool]], taken: Sequence[Box] = ()) -> None:
    """Write a label above (or below) one of some heights, where least is in the way."""
    (left, right), (bottom, top) = axes.get_xlim(), axes.get_ylim()
    wide, high = _LETTER * len(text), _LINE * (top - bottom)

    def in_the_way(at: tuple[float, tuple[float, bool]]) -> int:
        start, (y, above) = left + at[0] * (right - left), at[1]
        box = (start, start + wide * (right - left), y if above else y - high, y + high if above else y)
        return sum(_meet(box, other) for other in taken)

    fitting = [place for place in _PLACES if place + wide <= 1.0] or [0.0]
    place, (y, above) = min(((place, one) for one in beside for place in fitting), key=in_the_way)
    axes.annotate(
        text,
        (place, y),
        xycoords=axes.get_yaxis_transform(),
        xytext=(3, 2.5 if above else -2.5),
        textcoords="offset points",
        ha="left",
        va="bottom" if above else "top",
        fontsize=SMALL,
        color=INK,
        zorder=6,
    )


def _meet(one: Box, other: Box) -> bool:
    return one[0] <= other[1] and other[0] <= one[1] and one[2] <= other[3] and other[2] <= one[3]
