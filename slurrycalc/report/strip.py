"""Where pH values lie, drawn with characters: interval, value, range wanted and floor on one scale."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from math import ceil, floor, isfinite

FLOOR, WANTED, INTERVAL, VALUE = "┃", "░", "─", "●"
"""Each has a plain spelling."""
STEP = 0.5
"""The scale begins and ends at a multiple of it. [pH]"""
BELOW = 0.1
"""So much room there is below the lowest of what is drawn. [pH]"""
APART = 4
"""Between two numbers of the scale stand so many characters at least."""


@dataclass(frozen=True, slots=True)
class Span:
    """Where one pH lies. [pH]."""

    low: float
    value: float
    high: float
    wanted: tuple[float, float]
    floor: float


def strips(spans: Sequence[Span | None], width: int) -> tuple[str, tuple[str, ...]]:
    """Draw pH values on the one scale that holds them all.

    Parameters
    ----------
    spans : sequence of Span or None
        One at least; None of a line that stays empty. [pH]
    width : int
        Of each line. [characters]

    Returns
    -------
    str
        The scale.
    tuple of str
        A line for each.

    Examples
    --------
    >>> scale, (line,) = strips([Span(4.89, 5.01, 5.14, (5.4, 6.5), 5.0)], 35)
    >>> print(scale); print(line)
    4.5     5.0     5.5     6.0     6.5
           ──●──   ░░░░░░░░░░░░░░░░░░░
    """
    low, high = bounds([one for one in spans if one is not None])
    last = width - 3  # Room for the last number, which stands under its place.

    def at(ph: float) -> int:
        return round((min(max(ph, low), high) - low) / (high - low) * last)

    return _scale(low, high, at, width), tuple(
        "" if one is None else _line(one, at, last + 1) for one in spans
    )


def bounds(spans: Sequence[Span]) -> tuple[float, float]:
    """Give the ends of a scale that holds all spans, one at least. [pH]."""
    ends = [end for one in spans for end in (one.low, one.high, one.floor, *one.wanted) if isfinite(end)]
    # What lies just below a floor is seen to lie there.
    low, high = STEP * floor((min(ends) - BELOW) / STEP), STEP * ceil(max(ends) / STEP)
    return low, max(high, low + STEP)


def _scale(low: float, high: float, at: Callable[[float], int], width: int) -> str:
    """Write as many of the scale's numbers as have room."""
    marks = [low + STEP * i for i in range(round((high - low) / STEP) + 1)]
    every = 1
    while every < len(marks) and at(marks[every]) - at(low) < APART + 3:
        every += 1
    line = [" "] * (width + 3)
    for mark in marks[::every]:
        text = f"{mark:.1f}"
        line[at(mark) : at(mark) + len(text)] = text
    return "".join(line).rstrip()


def _line(one: Span, at: Callable[[float], int], width: int) -> str:
    line = [" "] * (width + 1)
    for sign, start, end in (
        (WANTED, *one.wanted),
        (INTERVAL, one.low, one.high),
        (FLOOR, one.floor, one.floor),
        (VALUE, one.value, one.value),
    ):
        for place in range(at(start), at(end) + 1):
            line[place + 1] = sign  # A number of the scale has its middle there.
    return "".join(line).rstrip()
