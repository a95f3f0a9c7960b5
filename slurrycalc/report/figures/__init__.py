"""Figures: each a function that draws plain results on the axes that it is given.

Nothing of matplotlib is imported before one is drawn. From Python they are ``slurrycalc.plot``.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from slurrycalc.report.figures.buffers import meter as meter
    from slurrycalc.report.figures.cycle import cycles as cycles
    from slurrycalc.report.figures.month import months as months
    from slurrycalc.report.figures.pair import pairs as pairs
    from slurrycalc.report.figures.single import one_slurry as one_slurry
    from slurrycalc.report.figures.stage import stages as stages
    from slurrycalc.report.figures.step import worked as worked
    from slurrycalc.report.figures.strip import strips as strips
else:
    _HOMES = {
        "cycles": "cycle",
        "meter": "buffers",
        "months": "month",
        "one_slurry": "single",
        "pairs": "pair",
        "stages": "stage",
        "strips": "strip",
        "worked": "step",
    }

    def __getattr__(name: str) -> object:
        from importlib import import_module  # noqa: PLC0415  (a name costs nothing before it is used)

        if name not in _HOMES:
            raise AttributeError(f"module 'slurrycalc.plot' has no figure {name!r}")
        value = getattr(import_module(f"{__name__}.{_HOMES[name]}"), name)
        globals()[name] = value
        return value

    def __dir__() -> list[str]:
        return sorted(_HOMES)
