"""How each kind of check value is computed again: inputs in, the product's own code, numbers out.

A function here may use any formula of the product and none of the entry's expected values. What it gives back
is keyed by the names under the entry's ``expected``; a list runs along one of the inputs.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from math import inf, sqrt
from typing import Any

import numpy as np
from scipy.special import chdtr
from uncertainties import UFloat, ufloat

from slurrycalc.measuring.electrode import Meter, calibrate, nernst_slope
from slurrycalc.measuring.electrode.buffers import Bottle
from slurrycalc.measuring.expected import SLURRIES
from slurrycalc.measuring.probe import compare
from slurrycalc.measuring.probe.limits import classic_limits
from slurrycalc.measuring.recipe import ratio as slurry_ratio
from slurrycalc.measuring.slurry.duplicates import beyond, limit
from slurrycalc.metrology.budget import budget
from slurrycalc.metrology.coverage import half_width, probability
from slurrycalc.metrology.line import straight_line
from slurrycalc.metrology.scatter import Scatter, scatter_fit
from slurrycalc.metrology.uncertain import Source, covariance, fresh_key
from slurrycalc.metrology.units import magnitude
from slurrycalc.verify.decisions import DECISIONS

Inputs = Mapping[str, Any]
Got = dict[str, Any]


# --- The electrode and its buffers ---


def nernst(given: Inputs) -> Got:
    """Compute the ideal slope of an electrode at each temperature."""
    return {"slope": [nernst_slope(temperature) for temperature in given["temperature"]]}


def electrode(given: Inputs) -> Got:
    """Calibrate in two buffers at each temperature, and read a slurry there."""
    first, second = given["labels"]
    columns = (given[name] for name in ("first", "second", "reading", "temperature"))
    got: Got = {"ph": [], "efficiency": []}
    for one, other, reading, at in zip(*columns, strict=True):
        calibration = calibrate([(first, one, at), (second, other, at)], meter=Meter("mV"))
        got["ph"].append(calibration.ph(reading, at).n)
        got["efficiency"].append(_value(calibration.efficiency))
    return got


def chain(given: Inputs) -> Got:
    """Calibrate by two buffers and read two slurries."""
    tolerance = given["bottle_tolerance"]
    points = [(Bottle(label, tolerance=tolerance), *read) for label, *read in given["points"]]
    calibration = calibrate(points, Meter("mV", **given["meter"]), thermometer=given["thermometer"])
    first, second = (calibration.ph(reading, temperature) for reading, temperature in given["readings"])
    numbers = {
        "slope": calibration.slope,
        "efficiency": calibration.efficiency,
        "offset": calibration.offset_mv,
        "ph": first,
        "difference": first - second,
    }
    got: Got = {}
    for name, number in numbers.items():
        got |= {name: number.n, f"u_{name}": number.s}
    return got


# --- Kitchen measures and the recipe ---


def amounts(given: Inputs) -> Got:
    """Turn amounts as people write them into the unit that is counted in."""
    return {given["kind"]: [magnitude(amount, given["kind"]) for amount in given["amount"]]}


def counts(given: Inputs) -> Got:
    """Count how many of one measure make another."""
    pairs = zip(given["amount"], given["each"], strict=True)
    return {"count": [magnitude(amount, "volume") / magnitude(each, "volume") for amount, each in pairs]}


def ratio(given: Inputs) -> Got:
    """Give the water over the substrate of a slurry."""
    return {"water_to_substrate": _value(slurry_ratio(given["substrate"], given["water"]).by_volume)}


# --- Ranges and limits ---


def duplicate_chance(given: Inputs) -> Got:
    """Say how often good duplicates lie farther apart than a limit."""
    return {"chance": [beyond(given["limit"], sd) for sd in given["scatter"]]}


def critical_range(given: Inputs) -> Got:
    """Divide the width that several slurries may take by the standard deviation that 0.15 stands for."""
    sd = limit(2) / (sqrt(2) * half_width(ufloat(0.0, 1.0)))
    return {"factor": [limit(n) / sd for n in given["n"]]}


def conformance(given: Inputs) -> Got:
    """Give the probability that a quantity lies beyond a limit some standard uncertainties away."""
    return {"probability": probability(ufloat(0.0, 1.0), above=-given["distance_in_u"])}


# --- Uncertainty ---


def effective_dof(given: Inputs) -> Got:
    """Give the combined standard uncertainty and the Welch-Satterthwaite degrees of freedom."""
    total = sum(_error(u, dof) for u, dof in zip(given["u"], given["dof"], strict=True))
    rows = budget(total)
    return {"u": rows.u, "dof": rows.dof}


def coverage_factor(given: Inputs) -> Got:
    """Give the half-width of the interval of a unit standard uncertainty."""
    return {"k": [half_width(_error(1.0, dof), given["p"]) for dof in given["dof"]]}


def informative_mean(given: Inputs) -> Got:
    """Fit the mean of a few observations with an expectation of their scatter."""
    y = given["slurries"]
    fit = scatter_fit([[1.0]] * len(y), y, Scatter(given["sd"], given["dof"]))
    (mean,) = fit.coefficients
    return {"mean": mean.n, "dof": fit.dof, "sd": fit.sd, "half_width": half_width(mean)}


def normal_and_t(given: Inputs) -> Got:
    """Give the half-width of a sum of t-distributed parts and a normal one."""
    parts = [_error(u, dof) for u, dof in given["t"]] + [_error(given["normal"], inf)]
    return {"half_width": half_width(sum(parts))}


def _error(u: float, dof: float) -> UFloat:
    key = fresh_key("check")
    source = Source(key, key) if dof == inf else Source(key, key, type="A", dof=dof, group=key)
    return ufloat(0.0, u, tag=source)


# --- Straight lines and least squares ---


def weighted_line(given: Inputs) -> Got:
    """Fit a straight line through points with known uncertainties."""
    line = straight_line(given["x"], given["y"], given.get("u_x"), given["u_y"])
    got = _intercept_and_slope(line.intercept, line.slope)
    got |= {"covariance": covariance(line.intercept, line.slope), "chi2": line.chi2, "dof": line.dof}
    if "read_back" in given:
        x = line.inverse(ufloat(*given["read_back"]))
        got |= {"x": x.n, "u_x": x.s}
    return got


def ordinary_line(given: Inputs) -> Got:
    """Fit a straight line through points that only scatter."""
    x = np.asarray(given["x"], dtype=float) - given["origin"]
    fit = scatter_fit(np.column_stack([np.ones_like(x), x]), given["y"], None)
    intercept, slope = fit.coefficients
    got = _intercept_and_slope(intercept, slope)
    correlation = covariance(intercept, slope) / (intercept.s * slope.s)
    got |= {"correlation": correlation, "scatter": fit.sd, "dof": fit.dof}
    if "at" in given:
        level = fit.level([1.0, given["at"] - given["origin"]])
        got |= {"level": level.n, "u_level": level.s}
    return got


def polynomial(given: Inputs) -> Got:
    """Fit a polynomial through points at equal steps, some series of them one after the other."""
    y = given["y"]
    steps = np.tile(np.arange(1, len(y) // given["series"] + 1), given["series"])
    fit = scatter_fit((given["x_step"] * steps[:, None]) ** np.arange(given["degree"] + 1.0), y, None)
    got: Got = {"scatter": fit.sd}
    for power, coefficient in enumerate(fit.coefficients):
        got |= {f"b{power}": coefficient.n, f"u_b{power}": coefficient.s}
    return got


def through_origin(given: Inputs) -> Got:
    """Fit a straight line through the origin."""
    fit = scatter_fit([[x] for x in given["x"]], given["y"], None)
    (slope,) = fit.coefficients
    return {"slope": slope.n, "u_slope": slope.s, "scatter": fit.sd}


def _intercept_and_slope(intercept: UFloat, slope: UFloat) -> Got:
    return {"intercept": intercept.n, "u_intercept": intercept.s, "slope": slope.n, "u_slope": slope.s}


# --- Probe against slurry, scatter of slurries ---


def limits_of_agreement(given: Inputs) -> Got:
    """Give the classic limits of agreement of two methods."""
    differences = [first - second for first, second in zip(given["first"], given["second"], strict=True)]
    limits = classic_limits(differences, factor=given["factor"])
    got: Got = {"mean": limits.mean, "sd": limits.sd, "lower": limits.lower, "upper": limits.upper}
    around = {"mean": limits.mean_ci, "lower": limits.lower_ci, "upper": limits.upper_ci}
    for name, (low, high) in around.items():
        got |= {f"{name}_low": low, f"{name}_high": high}
    return got


def probe_pairs(given: Inputs) -> Got:
    """Compare a probe with the slurries of the same spots."""
    comparison = compare(given["probe"], given["slurry"])
    return {"pairs": comparison.n, "sd": comparison.spread, "offset": comparison.offset.n}


def scatter_expectation(given: Inputs) -> Got:
    """Say how much of the scatter expected of slurries lies below a relative standard deviation."""
    sd = [given["ph"] * percent / 100 for percent in given["rsd_percent"]]
    return {"share_below": [1 - chdtr(SLURRIES.dof, SLURRIES.dof * (SLURRIES.sd / s) ** 2) for s in sd]}


def pooled_scatter(given: Inputs) -> Got:
    """Pool the standard deviation within groups, their means fitted as columns of one model."""
    groups = given["groups"]
    belongs_to = np.repeat(np.arange(len(groups)), [len(group) for group in groups])
    fit = scatter_fit(np.eye(len(groups))[belongs_to], [value for group in groups for value in group], None)
    return {"sd": fit.sd, "dof": fit.dof}


def _value(x: float | UFloat) -> float:
    return float(x.n) if isinstance(x, UFloat) else float(x)


CALCULATORS: dict[str, Callable[[Inputs], Got]] = {
    "amounts": amounts,
    "chain": chain,
    "conformance": conformance,
    "counts": counts,
    "coverage_factor": coverage_factor,
    "critical_range": critical_range,
    "duplicate_chance": duplicate_chance,
    "effective_dof": effective_dof,
    "electrode": electrode,
    "half_width": normal_and_t,
    "informative_mean": informative_mean,
    "limits_of_agreement": limits_of_agreement,
    "nernst": nernst,
    "ordinary_line": ordinary_line,
    "polynomial": polynomial,
    "pooled_scatter": pooled_scatter,
    "probe_pairs": probe_pairs,
    "ratio": ratio,
    "scatter_expectation": scatter_expectation,
    "through_origin": through_origin,
    "weighted_line": weighted_line,
    **DECISIONS,
}
