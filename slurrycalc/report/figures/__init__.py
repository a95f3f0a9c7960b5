"""Figures: each a function that draws plain results on the axes that it is given.

Nothing of matplotlib is imported before one is drawn. From Python they are ``slurrycalc.plot``.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from slurrycalc.report.figures.month import months as months
    from slurrycalc.report.figures.strip import strips as strips
else:
    _HOMES = {
        "strips": "strip",
        "months": "month",
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
