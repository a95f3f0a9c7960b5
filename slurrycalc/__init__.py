"""Soil pH by the 1:2 slurry method, each number with its uncertainty.

The public names, imported when they are first used. Nothing inside the package enters by this door.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    import slurrycalc.report.figures as _figures

    __version__: str
    from slurrycalc.day.door import Logbook as Logbook
    from slurrycalc.deciding.agree import Agreement as Agreement
    from slurrycalc.deciding.agree import agree as agree
    from slurrycalc.deciding.bands import Banding as Banding
    from slurrycalc.deciding.bands import Dilution as Dilution
    from slurrycalc.deciding.bands import banding as banding
    from slurrycalc.deciding.bands import dilution as dilution
    from slurrycalc.deciding.due import Due as Due
    from slurrycalc.deciding.due import InUse as InUse
    from slurrycalc.deciding.due import OpenBottle as OpenBottle
    from slurrycalc.deciding.due import ProbeInUse as ProbeInUse
    from slurrycalc.deciding.due import due as due
    from slurrycalc.deciding.electrode_life import ElectrodeLife as ElectrodeLife
    from slurrycalc.deciding.electrode_life import electrode_life as electrode_life
    from slurrycalc.deciding.exchange import Exchange as Exchange
    from slurrycalc.deciding.exchange import exchange as exchange
    from slurrycalc.deciding.judgement import Judgement as Judgement
    from slurrycalc.deciding.judgement import judge as judge
    from slurrycalc.deciding.steady import SteadyDay as SteadyDay
    from slurrycalc.deciding.steady import steady as steady
    from slurrycalc.deciding.trend import Crossing as Crossing
    from slurrycalc.deciding.trend import LevelStep as LevelStep
    from slurrycalc.deciding.trend import Retest as Retest
    from slurrycalc.deciding.trend import Trend as Trend
    from slurrycalc.deciding.trend import trend as trend
    from slurrycalc.deciding.trial import Trial as Trial
    from slurrycalc.deciding.trial import trial as trial
    from slurrycalc.deciding.upkeep import SaltRise as SaltRise
    from slurrycalc.deciding.upkeep import Upkeep as Upkeep
    from slurrycalc.deciding.upkeep import upkeep as upkeep
    from slurrycalc.deciding.worth import Worth as Worth
    from slurrycalc.deciding.worth import worth as worth
    from slurrycalc.measuring.electrode import Calibration as Calibration
    from slurrycalc.measuring.electrode import calibrate as calibrate
    from slurrycalc.measuring.electrode.buffers import Bottle as Bottle
    from slurrycalc.measuring.electrode.buffers import buffer as buffer
    from slurrycalc.measuring.electrode.buffers import buffer_ph as buffer_ph
    from slurrycalc.measuring.electrode.meter import Meter as Meter
    from slurrycalc.measuring.electrode.points import Point as Point
    from slurrycalc.measuring.probe import Before as Before
    from slurrycalc.measuring.probe import Comparison as Comparison
    from slurrycalc.measuring.probe import ProbeResponse as ProbeResponse
    from slurrycalc.measuring.probe import Update as Update
    from slurrycalc.measuring.probe import bed_before as bed_before
    from slurrycalc.measuring.probe import compare as compare
    from slurrycalc.measuring.probe import response as response
    from slurrycalc.measuring.probe import update as update
    from slurrycalc.measuring.probe import without_record as without_record
    from slurrycalc.measuring.recipe import Ratio as Ratio
    from slurrycalc.measuring.recipe import Recipe as Recipe
    from slurrycalc.measuring.recipe import mix as mix
    from slurrycalc.measuring.recipe import ratio as ratio
    from slurrycalc.measuring.salts import Cell as Cell
    from slurrycalc.measuring.salts import Salts as Salts
    from slurrycalc.measuring.salts import cell_factor as cell_factor
    from slurrycalc.measuring.salts import ec25 as ec25
    from slurrycalc.measuring.salts import salts as salts
    from slurrycalc.measuring.slurry import SlurryResult as SlurryResult
    from slurrycalc.measuring.slurry import slurry_ph as slurry_ph
    from slurrycalc.measuring.slurry.spots import spots as spots
    from slurrycalc.metrology.budget import Budget as Budget
    from slurrycalc.metrology.budget import budget as budget
    from slurrycalc.metrology.coverage import interval as interval
    from slurrycalc.metrology.coverage import probability as probability
    from slurrycalc.metrology.line import Line as Line
    from slurrycalc.metrology.line import straight_line as straight_line
    from slurrycalc.metrology.remark import Refusal as Refusal
    from slurrycalc.metrology.remark import Remark as Remark
    from slurrycalc.metrology.scatter import Scatter as Scatter
    from slurrycalc.metrology.scatter import ScatterFit as ScatterFit
    from slurrycalc.metrology.scatter import scatter_fit as scatter_fit
    from slurrycalc.metrology.uncertain import Inputs as Inputs
    from slurrycalc.metrology.uncertain import Source as Source
    from slurrycalc.metrology.units import parse as parse
    from slurrycalc.metrology.units.sizes import bed_volume as bed_volume

    plot = _figures
else:
    _HOMES = {
        "day.door": ("Logbook",),
        "deciding.agree": ("Agreement", "agree"),
        "deciding.bands": ("Banding", "Dilution", "banding", "dilution"),
        "deciding.due": ("Due", "OpenBottle", "ProbeInUse", "InUse", "due"),
        "deciding.electrode_life": ("ElectrodeLife", "electrode_life"),
        "deciding.exchange": ("Exchange", "exchange"),
        "deciding.judgement": ("Judgement", "judge"),
        "deciding.steady": ("SteadyDay", "steady"),
        "deciding.trend": ("Crossing", "Retest", "LevelStep", "Trend", "trend"),
        "deciding.trial": ("Trial", "trial"),
        "deciding.upkeep": ("SaltRise", "Upkeep", "upkeep"),
        "deciding.worth": ("Worth", "worth"),
        "measuring.electrode": ("Calibration", "calibrate"),
        "measuring.electrode.buffers": ("Bottle", "buffer", "buffer_ph"),
        "measuring.electrode.meter": ("Meter",),
        "measuring.electrode.points": ("Point",),
        "measuring.probe": (
            *("Before", "Comparison", "ProbeResponse", "Update"),
            *("bed_before", "compare", "response", "update", "without_record"),
        ),
        "measuring.recipe": ("Ratio", "Recipe", "mix", "ratio"),
        "measuring.salts": ("Cell", "Salts", "cell_factor", "ec25", "salts"),
        "measuring.slurry": ("SlurryResult", "slurry_ph"),
        "measuring.slurry.spots": ("spots",),
        "metrology.budget": ("Budget", "budget"),
        "metrology.coverage": ("interval", "probability"),
        "metrology.line": ("Line", "straight_line"),
        "metrology.remark": ("Refusal", "Remark"),
        "metrology.scatter": ("Scatter", "ScatterFit", "scatter_fit"),
        "metrology.uncertain": ("Inputs", "Source"),
        "metrology.units": ("parse",),
        "metrology.units.sizes": ("bed_volume",),
    }
    _HOME_OF = {name: home for home, names in _HOMES.items() for name in names}

    def __getattr__(name: str) -> object:
        from importlib import import_module  # noqa: PLC0415  (the front door must cost nothing)

        if name == "__version__":
            value: object = import_module("importlib.metadata").version("slurrycalc")
        elif name == "plot":
            value = import_module("slurrycalc.report.figures")
        elif name not in _HOME_OF:
            raise AttributeError(f"module 'slurrycalc' has no attribute {name!r}")
        else:
            value = getattr(import_module(f"slurrycalc.{_HOME_OF[name]}"), name)
            import_module("slurrycalc.metrology.results").page_of = _page_of
        globals()[name] = value
        return value

    def _page_of(result: object) -> str | None:
        """Give a result's page, for a notebook."""
        from slurrycalc.report.notebook import page_of  # noqa: PLC0415  (only a notebook asks for it)

        return page_of(result)

    def __dir__() -> list[str]:
        return sorted({*globals(), *_HOME_OF, "__version__", "plot"})
