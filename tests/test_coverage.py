"""The promise, kept by the full chain: from bottles, electrode and jars to one enclosure's interval.

Most cells are simulated by arrays with the product's half-widths (see `chain`); the first test holds that way
against the product itself, from the raw readings on.
"""

from __future__ import annotations

import sys
from math import inf, sqrt
from pathlib import Path

import numpy as np
import pytest

# Another package's "tests" may shadow this folder's name, so its helpers are found by their own.
sys.path.insert(0, str(Path(__file__).parent))

from chain import BENCHES, Bench, by_arrays, by_product, calibrated, coverage, draw, worst
from printed import binomial, numbers, printed_table

from slurrycalc.measuring.electrode import Calibration
from slurrycalc.measuring.expected import DEFAULT
from slurrycalc.measuring.slurry import slurry_ph
from slurrycalc.metrology.scatter import Scatter

# As printed: slurries, then the least coverage of eight benches at each true scatter, the mean half-width at
# 0.05, and what the slurries alone give there: least to most coverage, half-width.
COLUMNS, TABLE = printed_table("slurries")
SCATTERS = [float(column) for column in COLUMNS[:5]]
PRINTED_SIZE = 20_000
SIZE = 8_000
QUICK_SIZE = 3_000


def sampling(p: float, size: int) -> float:
    """Three standard errors of a share, the last printed digit on top."""
    return 3.0 * sqrt(max(p * (1.0 - p), 0.001) / size) + 0.001


def test_the_table_is_there_to_be_held() -> None:
    assert list(TABLE) == ["1", "2", "3", "4", "6"]
    assert SCATTERS == [0.02, 0.05, 0.10, 0.15, 0.20]


@pytest.mark.parametrize(("n", "scatter"), [("1", 0.20), ("2", 0.10), ("2", 0.20), ("4", 0.15)])
def test_one_enclosure_s_interval_covers_as_a_cell_of_the_table_says(n: str, scatter: float) -> None:
    cell = TABLE[n][SCATTERS.index(scatter)]
    least, _, _ = worst(int(n), scatter, size=QUICK_SIZE, seed=11)
    assert abs(least - float(cell)) <= binomial(cell, QUICK_SIZE, PRINTED_SIZE, len(BENCHES)), least


@pytest.mark.slow
@pytest.mark.parametrize("bench", BENCHES, ids=str)
def test_arrays_and_product_give_the_same_interval_draw_by_draw(bench: Bench) -> None:
    draws = draw(bench, 2, 0.10, 150, np.random.default_rng(5))
    ph, half_width = by_arrays(bench, draws)
    product_ph, product_half_width = by_product(bench, draws)
    # Three buffers: the product's weights differ a little, and it widens the interval where they disagree.
    assert np.abs(ph - product_ph).max() < 0.004
    assert np.median(np.abs(half_width / product_half_width - 1)) < 0.002
    assert (product_half_width >= half_width * 0.99).all()
    within = np.abs(product_ph - draws.truth) <= product_half_width
    assert within.mean() >= 0.99 - sampling(0.99, 150)


@pytest.mark.slow
@pytest.mark.parametrize("n", TABLE)
def test_one_enclosure_s_interval_covers_as_the_table_says(n: str) -> None:
    *cells, half_width_at_005, alone = TABLE[n]
    for scatter, cell in zip(SCATTERS, cells, strict=True):
        least, _, half_width = worst(int(n), scatter, size=SIZE, seed=12)
        assert abs(least - float(cell)) <= binomial(cell, SIZE, PRINTED_SIZE, len(BENCHES)), (scatter, least)
        if scatter == 0.05:
            assert half_width == pytest.approx(float(half_width_at_005), abs=0.006)
    if n != "1":
        said_least, said_most, said_half_width = numbers(alone)
        least, most, half_width = worst(int(n), 0.05, None, size=SIZE, seed=13)
        lean = binomial(f"{said_least:.3f}", SIZE, PRINTED_SIZE, len(BENCHES))
        assert abs(least - said_least) <= lean, least
        assert abs(most - said_most) <= lean, most
        assert half_width == pytest.approx(said_half_width, abs=0.012)


@pytest.mark.slow
@pytest.mark.parametrize("n", [2, 3, 4, 6])
def test_slurries_alone_keep_the_promise_at_any_scatter(n: int) -> None:
    for scatter in (0.02, 0.05, 0.10, 0.20, 0.60):
        least, _, _ = worst(n, scatter, None, size=SIZE)
        assert least >= 0.95 - sampling(0.95, SIZE)


@pytest.mark.slow
@pytest.mark.parametrize(
    ("factor", "promised"), [(1.0, 0.95), (1.5, 0.93), (2.0, 0.90)], ids=["as expected", "1.5 times", "twice"]
)
def test_the_promise_holds_for_any_number_of_slurries(factor: float, promised: float) -> None:
    for n in (1, 2, 3, 4, 6, 10):
        least, _, _ = worst(n, 0.10 * factor, size=SIZE)
        assert least >= promised - sampling(promised, SIZE), n


@pytest.mark.slow
def test_a_stated_scatter_that_is_true_covers_as_it_says() -> None:
    bench = BENCHES[0]
    covered, half_width = coverage(bench, 2, 0.05, Scatter(0.05, inf), size=SIZE)
    assert covered >= 0.95 - sampling(0.95, SIZE)
    assert covered <= 0.97
    assert half_width < 0.10


@pytest.mark.slow
def test_usual_shortcuts_would_not_have_kept_the_promise() -> None:
    # "2 x u" of the mean from duplicates alone: README says that it covers about 72 to 94 %.
    bench = BENCHES[0]
    draws = draw(bench, 2, 0.10, SIZE, np.random.default_rng(9))
    ph, _ = by_arrays(bench, draws, DEFAULT)
    jars = draws.readings / 58.0
    twice_u = 2.0 * np.sqrt(jars.var(axis=1, ddof=1) / 2.0 + 0.023**2)
    assert 0.70 < np.mean(np.abs(ph - draws.truth) <= twice_u) < 0.94


@pytest.mark.slow
def test_scoops_of_one_spot_counted_as_composites_would_not_keep_it() -> None:
    # Spots differ by 0.2, the bench repeats to 0.03: two scoops of one spot against two composites of three.
    bench, size, between, within = BENCHES[0], 300, 0.20, 0.03
    rng = np.random.default_rng(4)
    counted = {"as two": [], "as one": [], "composites": []}
    base = draw(bench, 2, 0.0, size, rng)
    for i in range(size):
        truth = base.truth[i]
        cal = calibrated(bench, base.points[i])
        one_spot = truth + rng.normal(0.0, between) + rng.normal(0.0, within, 2)
        composites = truth + rng.normal(0.0, between, (2, 3)).mean(axis=1) + rng.normal(0.0, within, 2)
        for name, jars, marks in (
            ("as two", one_spot, None),
            ("as one", one_spot, ["spot", "spot"]),
            ("composites", composites, None),
        ):
            readings = [_shown(cal, ph) for ph in jars]
            low, high = slurry_ph(cal, readings, 21.0, spots=marks).interval()
            counted[name].append(low <= truth <= high)
    assert np.mean(counted["as two"]) < 0.75
    assert np.mean(counted["as one"]) > 0.93
    assert np.mean(counted["composites"]) > 0.90


def _shown(cal: Calibration, ph: float) -> float:
    low, high = cal.points
    slope = (high.shown - low.shown) / (high.ph.n - low.ph.n)
    return round(low.shown + slope * (ph - low.ph.n), 1)
