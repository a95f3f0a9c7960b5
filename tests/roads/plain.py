"""What a road says of a day, as one plain record of paths and values, and how two of them differ."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from fnmatch import fnmatchcase
from typing import Any

Record = dict[str, Any]
"""Path, like ``case/window/pH``, to a number, a word or a list of words."""

NEVER = {"new-on-record", "held-back"}
"""Kinds of remarks that tell of the road and not of the day."""


def of_day(day: Mapping[str, Any]) -> Record:
    """Take in a whole bench day, as `run` and the guide write it."""
    found: Record = {}
    for one in day["enclosures"]:
        put(found, f"case/{one['name']}", of_bed(one, one["judgement"], one["remarks"]))
    put_order(found, (one["name"] for one in day["enclosures"]))
    for kind in ("steady", "fresh"):
        for one in day[kind]:
            said = one.get("said")
            put(found, f"case/{one['name']}", of_apart(one, said, one["remarks"]))
    put(found, "meter", of_calibrations([*day["before"], day["calibration"]], day["check"]))
    if day["probe"] is not None:
        put(found, "probe", of_comparison(day["probe"]))
        # The frozen product gives one where none was declared, too.
        if day["probe"]["next"] is not None and day["probe"].get("declared", True):
            put(found, "probe/next", of_indicated(day["probe"]["next"]))
    return found


def of_read(read: Mapping[str, Any]) -> Record:
    """Take in one enclosure's reading, as `read` writes it."""
    one = read["enclosure"]
    if one is not None:
        return of_bed(one, one["judgement"], one["remarks"])
    one = read["steady"] or read["fresh"]
    return of_apart(one, one.get("said"), one["remarks"])


def of_bed(
    one: Mapping[str, Any], standing: Mapping[str, Any], remarks: Iterable[Mapping[str, Any]]
) -> Record:
    found = of_apart(one, None, remarks)
    put(found, "", of_standing(standing))
    again = one.get("again")
    if again is not None:
        found["again"] = f"{again['by']}, {again['reason']}"
    return found


def of_apart(
    one: Mapping[str, Any], steady: Mapping[str, Any] | None, remarks: Iterable[Mapping[str, Any]]
) -> Record:
    """Take in what a steady jar and a tub of fresh mix have: a pH, and no limits."""
    found = of_slurry(one["slurry"])
    found["remarks"] = kinds(remarks)
    if one.get("shares") is not None:
        put(found, "shares", {key: plain(value) for key, value in one["shares"].items()})
    if steady is not None:
        found["steady"] = steady["state"]
        found["steady off by"] = plain(steady["difference"])
        # Said of the bench, whether of the jar itself or beside it.
        found["remarks"] = [kind for kind in found["remarks"] if not kind.startswith("steady-jar-")]
    return found


def of_slurry(slurry: Mapping[str, Any]) -> Record:
    found = measured(slurry["ph"])
    for key in ("n", "scatter_sd", "scatter_dof", "own_sd", "own_share"):
        found[key] = plain(slurry[key])
    put(found, "jars", {str(k): each["value"] for k, each in enumerate(slurry["jars"], 1)})
    put(found, "jars u", {str(k): each["standard_uncertainty"] for k, each in enumerate(slurry["jars"], 1)})
    return found


def of_standing(standing: Mapping[str, Any]) -> Record:
    """Take in where a pH stands, and what to do: the first task."""
    found: Record = {}
    for key in ("in_range", "above_floor"):
        found[key] = standing[key]["state"]
        found[f"{key} p"] = plain(standing[key]["probability"])
    for key in ("below_range", "above_range", "ready", "floor"):
        found[key] = plain(standing[key])
    found["range"] = " to ".join(str(plain(end)) for end in standing["target"])
    for each in standing["advice"]:
        settles = f"settles {each['question']}"
        found[settles] = f"{each['action']} {each['n']}"
        found[f"{settles} p"] = plain(each["p_settles"])
        found[f"{settles} half-width"] = plain(each["expected_half_width"])
    found["task"] = task(standing)
    return found


def task(standing: Mapping[str, Any]) -> str:
    """Say what comes first, in words that every road has."""
    if standing["ready"]:
        return "act"
    if not standing["advice"]:
        return "nothing"
    most = max(standing["advice"], key=lambda each: (each["action"] in ("day", "nothing"), each["n"]))
    return f"{most['action']} {most['n']}"


def of_calibrations(calibrations: Iterable[Mapping[str, Any]], check: Mapping[str, Any] | None) -> Record:
    found: Record = {}
    for number, one in enumerate(calibrations, 1):
        put(found, str(number), of_calibration(one))
    if check is not None:
        found |= {"check/off by": plain(check["difference"]), "check/agrees": check["agrees"]}
    return found


def of_calibration(one: Mapping[str, Any]) -> Record:
    found: Record = {"verdict": one["verdict"]["state"], "remarks": kinds(one["remarks"])}
    put(found, "efficiency", measured(one["efficiency"]))
    for key in ("offset_mv", "offset_ph", "zero_ph"):
        if one[key] is not None:
            put(found, key, measured(one[key]))
    if one["drift"] is not None:
        put(found, "drift", {**measured(one["drift"]["change"]), "flagged": one["drift"]["flagged"]})
    return found


def of_comparison(probe: Mapping[str, Any]) -> Record:
    comparison, seen = probe["comparison"], probe.get("response")
    said = comparison["remarks"] if seen is None else [*comparison["remarks"], *seen["remarks"]]
    found: Record = {"remarks": kinds(said)}
    put(found, "offset", measured(comparison["offset"]))
    for key in ("n", "scatter_sd"):
        found[key] = plain(comparison[key])
    if seen is not None:
        found |= {"follows": seen["state"], "use": probe["worth"]["state"], "bed": probe["bed"]}
        put(found, "gain", measured(seen["gain"]))
        put(found, "use", {key: plain(probe["worth"][key]) for key in ("before", "after")})
    return found


def of_indicated(indicated: Mapping[str, Any]) -> Record:
    return measured(indicated["ph"]) | {"remarks": kinds(indicated["remarks"])}


def measured(one: Mapping[str, Any]) -> Record:
    low, high = one["interval"]
    return {
        "value": one["value"],
        "u": one["standard_uncertainty"],
        "low": low,
        "high": high,
        "dof": one["dof"],
    }


def plain(value: Any) -> Any:
    return value["value"] if isinstance(value, dict) else value


def kinds(remarks: Iterable[Mapping[str, Any]]) -> list[str]:
    return sorted({remark["kind"] for remark in remarks} - NEVER)


def put(found: Record, at: str, more: Mapping[str, Any]) -> None:
    found.update({f"{at}/{key}" if at else key: value for key, value in more.items()})


def put_order(found: Record, names: Iterable[str]) -> None:
    """Note which enclosure comes first, second, ..., the worst first."""
    found["order"] = ", ".join(names)


NEAR = 1e-9


def differences(expected: Record, got: Record, unsaid: Iterable[str] = ()) -> dict[str, tuple[Any, Any]]:
    """Find the paths at which two records differ.

    A path that matches one of `unsaid` need not be there; every other one must be in both.
    """
    skipped = tuple(unsaid)
    found = {}
    for path in sorted({*expected, *got}):
        if any(fnmatchcase(path, pattern) for pattern in skipped):
            continue
        one, other = expected.get(path, "not there"), got.get(path, "not there")
        if not same(one, other):
            found[path] = (one, other)
    return found


def same(one: Any, other: Any) -> bool:
    if isinstance(one, bool) or not isinstance(one, int | float) or not isinstance(other, int | float):
        return bool(one == other)
    return math.isclose(one, other, rel_tol=NEAR, abs_tol=NEAR)
