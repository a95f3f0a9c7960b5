"""One enclosure's pH from its slurries, and what more slurries would bring."""

from slurrycalc.measuring.slurry.enclosure import SlurryResult, slurry_ph

__all__ = ["SlurryResult", "slurry_ph"]
