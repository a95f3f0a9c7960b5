"""How the check values of salts, exchanges and upkeeps are computed again, beside those of `recompute`."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from uncertainties import ufloat

from slurrycalc.data.bands import bands
from slurrycalc.deciding.bands import banding
from slurrycalc.deciding.exchange import exchange
from slurrycalc.deciding.upkeep import upkeep
from slurrycalc.deciding.upkeep.cycles import STEADY, Way, worst
from slurrycalc.measuring.salts import cell_factor, salts

Inputs = Mapping[str, Any]
Got = dict[str, Any]


def conductivity_25(given: Inputs) -> Got:
    """Bring readings of one solution to 25 degC by a meter that shows its standard rightly."""
    cell = cell_factor(1413.0, 25.0, 1413.0)
    both = zip(given["reading"], given["temperature"], strict=True)
    return {"conductivity_25": [salts([(float(reading), float(at))], cell).ec.n for reading, at in both]}


def salt_bands(given: Inputs) -> Got:
    """Say where each band begins, by looking a hair below and above its edge."""
    begins = {row.name: row.low for row in bands()}
    edges = [begins[name] for name in given["band"]]
    seen = [banding(edge + 1e-6).band == name for edge, name in zip(edges, given["band"], strict=True)]
    return {"from": [edge / 1000.0 if right else None for edge, right in zip(edges, seen, strict=True)]}


def exchanged(given: Inputs) -> Got:
    """Plan an exchange."""
    u = given.get("standard_uncertainty", 0.0)
    now, fresh = (ufloat(given[name], u) if u else given[name] for name in ("now", "fresh"))
    plan = exchange(now, fresh, given["wanted"])
    return {"fraction": plan.fraction, "assured_fraction": plan.assured_fraction}


def steady_low(given: Inputs) -> Got:
    """Step through an upkeep to its steady bed, and plan the one that just holds that."""
    got: Got = {"low": [], "fraction": []}
    for r in given["buffering"]:
        way = Way(given["fresh"], given["fresh"], given["drift"] * given["every"])
        low = worst(way, given["fraction"], [r], STEADY)[-1]
        plan = upkeep(given["drift"], given["fresh"], low, given["every"], r)
        got["low"].append(low)
        got["fraction"].append(plan.fraction)
    return got


DECISIONS: dict[str, Callable[[Inputs], Got]] = {
    "conductivity_25": conductivity_25,
    "exchange": exchanged,
    "salt_bands": salt_bands,
    "upkeep": steady_low,
}
