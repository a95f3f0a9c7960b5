"""The look of all figures: colours that stay apart for colour-blind eyes and in grey, one font, one line.

The hues are those of M. Okabe and K. Ito, "Color Universal Design" (2002, 2008; from memory): blue,
vermillion, bluish green, sky blue. None is told by its hue alone: each mark has a shape or a tone of its own,
and its word.
"""

from __future__ import annotations

from typing import Any, Final

from slurrycalc.metrology.quote import clean

INK: Final = "#1b1b1b"
QUIET: Final = "#595959"
"""Of what helps to read: scales, events. Seven times as dark as paper."""
RANGE: Final = "#d3e9f7"
"""Of the range wanted: a tone of sky blue, light in grey too."""
FLOOR: Final = "#d55e00"
LEVEL: Final = "#0072b2"
FOUND: Final = "#009e73"
FONT: Final = "DejaVu Sans"
"""Comes with matplotlib."""
LIKE_IT: Final = f"'{FONT}', Verdana, sans-serif"
"""In an SVG: the others are as wide or narrower, so that no label grows into the next."""
TEXT, SMALL = 10.0, 9.5
"""[pt]"""
WIDTH: Final = 4.3
"""Of a figure: 310 pt, so that a page 360 px wide shows its words as large as its own. [inch]"""
RC: Final[dict[Any, Any]] = {
    "font.family": FONT,
    "font.size": TEXT,
    "svg.fonttype": "none",
    "svg.hashsalt": "slurrycalc",
    "axes.spines.top": False,
    "axes.spines.right": False,
    "axes.edgecolor": QUIET,
    "axes.labelcolor": INK,
    "axes.labelsize": TEXT,
    "axes.linewidth": 0.8,
    "text.color": INK,
    "text.parse_math": False,
    "xtick.color": QUIET,
    "xtick.labelcolor": INK,
    "xtick.labelsize": SMALL,
    "ytick.color": QUIET,
    "ytick.labelcolor": INK,
    "ytick.labelsize": SMALL,
    "figure.facecolor": "white",
    "axes.facecolor": "none",
}
"""Held while a figure of ours is made; on somebody's own axes their own settings stay."""
LONGEST = 18
"""Of a name on a figure. [characters]"""


def named(text: str, longest: int = LONGEST) -> str:
    """Make a person's text fit for a figure: harmless, and cut where it is long."""
    safe = clean(text)
    return safe if len(safe) <= longest else f"{safe[: longest - 1]}…"
