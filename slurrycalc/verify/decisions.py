"""How the check values of decisions and of salts are computed again, beside those of `recompute`."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from datetime import date, timedelta
from math import sqrt
from typing import Any

from uncertainties import ufloat

from slurrycalc.deciding.agree import agree
from slurrycalc.deciding.bed import Prior, advanced, bench_moved, observed, unread
from slurrycalc.deciding.days import DAYS_PER_MONTH
from slurrycalc.deciding.exchange import exchange
from slurrycalc.deciding.trend import trend
from slurrycalc.deciding.upkeep import upkeep
from slurrycalc.deciding.upkeep.cycles import STEADY, Course, worst
from slurrycalc.measuring.salts import cell_factor, salts
from slurrycalc.metrology.uncertain import covariance

Inputs = Mapping[str, Any]
Got = dict[str, Any]


def conductivity_25(given: Inputs) -> Got:
    """Bring readings of one solution to 25 degC by a meter that shows its standard rightly."""
    cell = cell_factor(1413.0, 25.0, 1413.0)
    both = zip(given["reading"], given["temperature"], strict=True)
    return {"conductivity_25": [salts([(float(reading), float(at))], cell).ec.n for reading, at in both]}


def e_n_score(given: Inputs) -> Got:
    """Compare two results of one substrate."""
    found = agree(
        f"{given['ours']}+-{given['our_half_width']}", (given["theirs"], given["their_half_width"])
    )
    return {"e_n": found.e_n, "agrees": int(found.agrees)}


def exchanged(given: Inputs) -> Got:
    """Plan an exchange."""
    u = given.get("standard_uncertainty", 0.0)
    now, fresh = (ufloat(given[name], u) if u else given[name] for name in ("now", "fresh"))
    plan = exchange(now, fresh, given["wanted"])
    return {"fraction": plan.fraction, "assured_fraction": plan.assured_fraction}


def steady_low(given: Inputs) -> Got:
    """Step through an upkeep to its steady bed."""
    way = Course(given["fresh"], given["fresh"], given["drift"] * given["every"])
    return {"low": [worst(way, given["fraction"], [r], STEADY)[-1] for r in given["buffering"]]}


def upkeep_part(given: Inputs) -> Got:
    """Plan the upkeep that just holds each limit."""
    both = zip(given["floor"], given["buffering"], strict=True)
    plans = (upkeep(given["drift"], given["fresh"], low, given["every"], r) for low, r in both)
    return {"fraction": [plan.fraction for plan in plans]}


def local_trend(given: Inputs) -> Got:
    """Filter level and rate of a bed with known variances, one jar a day."""
    y = given["series"]
    prior = Prior.known(given["scatter"], given["wander"], given["first_rate"])
    nodes = unread(y[0], prior)
    for day, each in zip(given["days"], y, strict=True):
        nodes = observed(advanced(nodes, day / DAYS_PER_MONTH), each, 1, 0.0, 0.0)
    level, rate, variance, _, of_rate = (part.item() for part in nodes.moments)
    likelihood = nodes.log_likelihood[0]
    return {
        "level": level,
        "u_level": sqrt(variance),
        "rate": rate,
        "u_rate": sqrt(of_rate),
        "log_likelihood": likelihood,
    }


def local_level(given: Inputs) -> Got:
    """Filter a level that moves by an unknown amount before each reading, and does not drift."""
    y, sd = given["series"], sqrt(given["reading_variance"])
    prior = Prior.known(sd, rate=0.0, level=sqrt(given["prior_variance"]))
    nodes = observed(unread(y[0], prior), y[0], 1, 0.0, 0.0)
    first = nodes.log_likelihood[0]
    for each in y[1:]:
        nodes = observed(bench_moved(nodes, sqrt(given["level_variance"])), each, 1, 0.0, 0.0)
    level, _, variance, _, _ = (part.item() for part in nodes.moments)
    return {"level": level, "variance": variance, "log_likelihood": nodes.log_likelihood[0] - first}


def through_time(given: Inputs) -> Got:
    """Draw a line through time, with a day for each thousandth of x and y lifted to what a pH can be."""

    def day(x: float) -> date:
        return date(1940, 1, 1) + timedelta(days=round(1000 * x))

    line = trend([day(x) for x in given["x"]], [y + 7.0 for y in given["y"]], expected=None)
    intercept, level = (line.level(day(x)) - 7.0 for x in (given["origin"], given["at"]))
    slope = line.per_month * (1000 / DAYS_PER_MONTH)
    return {
        "intercept": intercept.n,
        "u_intercept": intercept.s,
        "slope": slope.n,
        "u_slope": slope.s,
        "correlation": covariance(intercept, slope) / (intercept.s * slope.s),
        "scatter": line.scatter_sd,
        "level": level.n,
        "u_level": level.s,
        "dof": line.scatter_dof,
    }


DECISIONS: dict[str, Callable[[Inputs], Got]] = {
    "conductivity_25": conductivity_25,
    "e_n_score": e_n_score,
    "exchange": exchanged,
    "local_level": local_level,
    "local_trend": local_trend,
    "through_time": through_time,
    "steady_low": steady_low,
    "upkeep_part": upkeep_part,
}
