"""Probes calibrated on the upper half of a field's pH, asked on the lower: six in-field sensors (LimeSoDa).

Leaving pairs out at random does not show what a line turned the wrong way does to a low spot. The data are
read from the registry package LimeSoDa (Schmidinger et al., CC BY-SA 4.0) and not copied here. Nothing of a
record is taken to be known.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import cache

import numpy as np
import pytest
from LimeSoDa import load_dataset

from slurrycalc.measuring.probe import compare, response, update, without_record

# Gain of indication on laboratory pH, by least squares over the whole field.
FIELDS = {"BB.51": 0.73, "BB.250": 0.35, "SA.112": 0.17, "BB.72": 0.12, "BB.30_1": 0.11, "RP.62": 0.06}
PAIRS = 20
ASKED = 8
SUBSETS = 60


@cache
def field(name: str) -> tuple[np.ndarray, np.ndarray]:
    """Sensor and laboratory pH of a field."""
    data = load_dataset(name)["Dataset"]
    return data["pH_ISE"].to_numpy(float), data["pH_target"].to_numpy(float)


def draws(name: str, way: str) -> list[tuple[np.ndarray, np.ndarray]]:
    """Choose pairs to learn from and pairs to be asked: at random, or the upper half and then the lower."""
    _, laboratory = field(name)
    rng, n = np.random.default_rng([2035, len(laboratory)]), len(laboratory)
    chosen = []
    for _ in range(SUBSETS):
        if way == "at random":
            order = rng.permutation(n)
            learn, ask = order[: min(PAIRS, n - ASKED)], order[-ASKED:]
        else:
            order = np.argsort(laboratory + rng.uniform(0, 1e-6, n))
            upper, lower = order[n // 2 :], order[: n // 2]
            learn = rng.permutation(upper)[:PAIRS]
            ask = rng.permutation(lower)[:ASKED]
        chosen.append((learn, ask))
    return chosen


@cache
def judged(name: str, way: str) -> np.ndarray:
    """Give, for each asked spot: covered by update and by offset turned round, truly low, each called above.

    "Low" is below the field's lowest quarter, for fields have other floors than beds.
    """
    sensor, laboratory = field(name)
    floor = float(np.quantile(laboratory, 0.25))
    rows = []
    for learn, ask in draws(name, way):
        shown, beside = sensor[learn].tolist(), laboratory[learn].tolist()
        found, classic = response(shown, beside), compare(shown, beside)
        for i in ask:
            by_update = update(without_record(), found, float(sensor[i]))
            low, high = by_update.interval()
            was_low, was_high = sensor[i] - classic.limits[1], sensor[i] - classic.limits[0]
            rows.append(
                (
                    low <= laboratory[i] <= high,
                    was_low <= laboratory[i] <= was_high,
                    laboratory[i] < floor,
                    by_update.says_above(floor),
                    was_low > floor,
                    (high - low) / 2,
                )
            )
    return np.array(rows, float)


@pytest.mark.parametrize("name", FIELDS)
def test_the_fields_gains_are_those_that_the_expectation_names(name: str) -> None:
    sensor, laboratory = field(name)
    assert float(np.polyfit(laboratory, sensor, 1)[0]) == pytest.approx(FIELDS[name], abs=0.005)


def shares(names: Sequence[str], way: str) -> tuple[float, float]:
    """Give the least coverage by field, of the update and of the offset turned round."""
    each = np.array([judged(name, way)[:, :2].mean(axis=0) for name in names])
    return float(each[:, 0].min()), float(each[:, 1].min())


@pytest.mark.slow
def test_the_update_covers_the_lower_half_where_the_offset_turned_round_does_not() -> None:
    new, old = shares(list(FIELDS), "upper half, then lower")
    assert new >= 0.95  # found: 0.965 to 1.00 by field, 0.99 on average
    assert old < 0.50  # found: 0.42 to 0.68


@pytest.mark.slow
def test_both_cover_pairs_left_out_at_random() -> None:
    new, old = shares(list(FIELDS), "at random")
    assert new >= 0.90  # found: 0.917 on BB.51, the one field whose sensor follows, and 1.00 on the others
    assert old >= 0.90


@pytest.mark.slow
@pytest.mark.parametrize("way", ["at random", "upper half, then lower"])
def test_hardly_a_low_spot_is_called_above_by_the_update(way: str) -> None:
    called = {name: rows[rows[:, 2] == 1.0, 3].mean() for name in FIELDS for rows in [judged(name, way)]}
    assert max(called.values()) <= 0.03  # found: 0.025 on BB.250, whose upper half follows and lower does not
    assert np.mean(list(called.values())) <= 0.005


@pytest.mark.slow
def test_many_a_low_spot_is_called_above_by_the_offset_turned_round() -> None:
    rows = np.concatenate([judged(name, "upper half, then lower") for name in FIELDS])
    assert rows[rows[:, 2] == 1.0, 4].mean() > 0.20  # found: 0.21
