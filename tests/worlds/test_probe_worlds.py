"""The update's coverage, width and false comfort in worlds whose truth is known, as methods.md prints them.

``PROBE_WORLDS=300 .venv/bin/pytest tests/worlds -m slow`` draws as many worlds a cell as the printed table.
"""

from __future__ import annotations

import os
from functools import cache
from math import sqrt
from statistics import fmean

import pytest

from tests.printed import README, binomial, last_digit, numbers, printed_table
from tests.worlds.probe_worlds import KINDS, Score, World, score

COLUMNS, PRINTED = printed_table("worlds of a probe")
PRINTED_SIZE = 300
SLOW_SIZE = int(os.environ.get("PROBE_WORLDS", "30"))
QUICK_SIZE = 15


@cache
def scores(cells: tuple[World, ...], size: int) -> list[Score]:
    return [score(cell, size, seed=2029) for cell in cells]


def held(name: str, cells: tuple[World, ...], size: int) -> None:
    """Hold cells of a kind to its printed row: least coverage, and low spots called above the floor."""
    coverage, comfort = (
        PRINTED[name][COLUMNS.index(column)] for column in ("least coverage", "low called above")
    )
    found = scores(cells, size)
    # The spots of a world are covered together or not: count worlds.
    least = min(one.coverage for one in found)
    assert least >= numbers(coverage)[0] - binomial(coverage, size, PRINTED_SIZE, of=len(cells)), name
    # About a third of the worlds lie below the floor.
    worst = max(one.false_comfort for one in found)
    assert worst <= numbers(comfort)[0] + binomial(comfort, size // 3, PRINTED_SIZE // 3), name


@pytest.mark.parametrize("name", KINDS)
def test_a_few_cells_of_a_kind_keep_the_printed_coverage(name: str) -> None:
    held(name, KINDS[name][:: len(KINDS[name]) // 3], QUICK_SIZE)


@pytest.mark.slow
@pytest.mark.timeout(7200)
@pytest.mark.parametrize("name", KINDS)
def test_all_cells_of_a_kind_keep_the_printed_coverage(name: str) -> None:
    held(name, KINDS[name], SLOW_SIZE)


@pytest.mark.slow
@pytest.mark.timeout(7200)
@pytest.mark.parametrize("name", KINDS)
def test_the_mean_half_width_of_a_kind_is_as_printed_and_the_probe_widens_nothing(name: str) -> None:
    found = scores(KINDS[name], SLOW_SIZE)
    width = fmean(one.half_width for one in found)
    printed = PRINTED[name][COLUMNS.index("half-width")]
    # Widths of worlds scatter by 0.1, and every cell has the same worlds.
    noise = 3 * 0.1 * sqrt(1 / SLOW_SIZE + 1 / PRINTED_SIZE)
    assert width == pytest.approx(numbers(printed)[0], abs=noise + last_digit(printed))
    assert width <= fmean(one.by_record for one in found)


def test_the_table_has_a_row_for_each_kind_of_world() -> None:
    assert list(PRINTED) == list(KINDS)


def test_the_readme_says_what_the_table_says() -> None:
    cells = {name: dict(zip(COLUMNS, row, strict=False)) for name, row in PRINTED.items()}
    least = {name: float(row["least coverage"]) for name, row in cells.items()}
    assert "covers the spot 93 times in 100 or more in the worst of 81 kinds" in README
    assert least.pop("honest, one bed") >= 0.93
    assert "covers 81 times in the worst cell (the record alone 59)" in README
    tripled = "drift tripled since the last bench day"
    assert (int(100 * least.pop(tripled)), int(100 * float(cells[tripled]["by record"]))) == (81, 59)
    assert "95 times or more in beds with a weak, a wandering or a dead one" in " ".join(README.split())
    assert min(least.values()) >= 0.95
    assert "at most 3 of 100 spots below the floor are called above it" in README
    assert max(float(row["low called above"]) for row in cells.values()) <= 0.03
