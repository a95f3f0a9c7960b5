"""A figure made whole: its canvas, and its bytes as SVG or PNG."""

from __future__ import annotations

import warnings
from io import BytesIO
from typing import TYPE_CHECKING, Any, Literal

from slurrycalc.report import figures
from slurrycalc.report.figures.look import FONT, LIKE_IT, RC, WIDTH

if TYPE_CHECKING:
    from slurrycalc.report.page import Figure as Told

Kind = Literal["svg", "png"]
DPI = 200
"""Of a PNG: 920 pixels wide."""


def figure_bytes(told: Told, kind: Kind) -> bytes:
    """Draw a figure; the same bytes for the same results under one version of matplotlib.

    Parameters
    ----------
    told : Figure
        What to draw.
    kind : {"svg", "png"}
        Form.
    """
    from matplotlib import rc_context, rcParamsDefault  # noqa: PLC0415  (only where something is drawn)
    from matplotlib.figure import Figure  # noqa: PLC0415

    # Somebody's own settings would change the bytes.
    usual: dict[Any, Any] = {name: value for name, value in rcParamsDefault.items() if name != "backend"}
    into = BytesIO()
    with rc_context(usual | RC), warnings.catch_warnings():
        # A name may hold letters that its font has not; in an SVG the reader's own font shows them.
        warnings.filterwarnings("ignore", message="Glyph .* missing from")
        canvas = Figure(figsize=(WIDTH, told.height), layout="constrained")
        getattr(figures, told.name)(canvas.add_subplot(), *told.of)
        canvas.savefig(into, format=kind, dpi=DPI, metadata={"Date" if kind == "svg" else "Software": None})
    made = into.getvalue()
    return made.replace(f"'{FONT}'".encode(), LIKE_IT.encode()) if kind == "svg" else made
