"""The law bites: a fault that is planted in one road of a copy is found, and on that road."""

from __future__ import annotations

import os
import re
import shutil
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import NamedTuple

import pytest

from tests.roads.frozen import ROOT, Frozen, NoHistory

pytestmark = [
    pytest.mark.slow,
    pytest.mark.skipif("ROADS_PLANTED" not in os.environ, reason="long: ROADS_PLANTED=1 runs it"),
]

DAYS = 300
"""Within so many drawn days a fault must be found."""


class Planted(NamedTuple):
    road: str
    """The one it is planted in; of a worksheet's text both that read it, parted by a comma."""
    what: str
    file: str
    old: str
    new: str


PLANTED = [
    Planted(
        "commands",
        "what --spots marks is lost",
        "cli/bench_words.py",
        "temperature=celsius_words(one.temperature), spot=mark",
        "temperature=celsius_words(one.temperature), spot=None",
    ),
    Planted(
        "commands",
        "--close is lost",
        "cli/bench_words.py",
        "close=None if self._close is None else _point(self._close),",
        "close=None,",
    ),
    Planted(
        "worksheet",
        "what the line asks is not handed on",
        "cli/commands/day.py",
        "bench_day(sheet, places, keeper=keeper, asked=asked)",
        "bench_day(sheet, places, keeper=keeper)",
    ),
    Planted(
        "worksheet, python",
        "the thermometer's tolerance is lost",
        "day/bench/worksheet.py",
        "        day: Day = msgspec.convert(raw, _WrittenDay)\n",
        "        day = msgspec.structs.replace(msgspec.convert(raw, _WrittenDay), thermometer=None)\n",
    ),
    Planted(
        "table",
        "the temperature of a row is lost",
        "day/bench/table.py",
        'temperature=cells.get("temperature"),',
        "temperature=None,",
    ),
    Planted(
        "table",
        "what the line asks is not handed on",
        "cli/commands/day.py",
        "bench_day(declared, rows, keeper=keeper, asked=asked, holds_back",
        "bench_day(declared, rows, keeper=keeper, holds_back",
    ),
    Planted(
        "guide",
        "what the probe showed is lost",
        "day/bench/guided/declaring.py",
        "        probe=cup.probe,\n",
        "        probe=None,\n",
    ),
    Planted(
        "guide",
        "a jar is read under the first calibration, whichever it was",
        "day/bench/guided/declaring.py",
        "_jar(cup, numbers.get(cup.calibration, 1))",
        "_jar(cup, 1)",
    ),
    Planted(
        "python",
        "what is asked is not handed on",
        "day/door.py",
        "keeper=keeper, asked=asked or JudgedBy())",
        "keeper=keeper)",
    ),
    Planted(
        "recalled",
        "the first jar of a day is taken for all of them",
        "day/bench/standing.py",
        "look.slurries.of(enclosure, readings, mine)",
        "look.slurries.of(enclosure, readings, mine[:1])",
    ),
    Planted(
        "recalled",
        "the range and the floor of an enclosure are forgotten",
        "day/bench/standing.py",
        "look = _Look(recall, JudgedBy(p=p), own)",
        "look = _Look(recall, JudgedBy((None, 4.0), p=p), own)",
    ),
]


@pytest.fixture(scope="module")
def frozen() -> Iterator[Path]:
    """Build the frozen product once for all of them."""
    try:
        one = Frozen()
    except NoHistory as none:
        pytest.skip(str(none))
    yield one.package
    one.close()


def copied(folder: Path) -> Path:
    without = shutil.ignore_patterns("__pycache__")
    for name in ("slurrycalc", "tests", "reference", "examples"):
        shutil.copytree(ROOT / name, folder / name, ignore=without)
    shutil.copy(ROOT / "pyproject.toml", folder)
    return folder


def roads_that_differ(folder: Path, frozen: Path) -> set[str]:
    """Hold the law in a copy, and give the roads on which it is broken first."""
    command = [sys.executable, "-m", "pytest", "tests/roads/test_roads.py", "-q", "-p", "no:cacheprovider"]
    ran = subprocess.run(
        [*command, "-m", "slow", "-k", "test_a_drawn_day", "-s"],
        cwd=folder,
        env=os.environ | {"ROADS_DAYS": str(DAYS), "ROADS_SEED": "3", "ROADS_FROZEN": str(frozen)},
        capture_output=True,
        text=True,
        timeout=120 + 15 * DAYS,
        check=False,
    )
    assert ran.returncode == 1, ran.stdout[-2000:] + ran.stderr
    found = set(
        re.findall(r"^E +(?:AssertionError: )?([a-z ]+): \w[^:]*: expected ", ran.stdout, re.MULTILINE)
    )
    assert found, ran.stdout[-2000:]
    return found


@pytest.mark.timeout(240 + 15 * DAYS)
@pytest.mark.parametrize("planted", PLANTED, ids=lambda each: f"{each.road}: {each.what}")
def test_a_planted_fault_is_found_on_its_road(planted: Planted, frozen: Path, tmp_path: Path) -> None:
    path = copied(tmp_path) / "slurrycalc" / planted.file
    text = path.read_text(encoding="utf-8")
    assert text.count(planted.old) == 1, f"{planted.file} no longer holds the place of it once: plant it anew"
    path.write_text(text.replace(planted.old, planted.new), encoding="utf-8")
    found = roads_that_differ(tmp_path, frozen)
    # What a road writes wrong is recalled wrong as well.
    wrong = {road for road in found if not road.startswith("recalled after ")}
    assert wrong == (set(planted.road.split(", ")) if planted.road != "recalled" else set()), found
