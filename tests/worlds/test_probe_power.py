"""How many pairs find a dead probe: half of them in fresh mix, or all in one bed that drifts."""

from __future__ import annotations

import numpy as np
import pytest

from slurrycalc.measuring.probe.response import PROOF, Follows, response

FRESH_ABOVE = 1.5
"""A fresh mix lies so far above the bed. [pH]"""
NOISE = 0.30
"""Of an indication about its response. [pH]"""
SPOT_SD = 0.10
PRINTED_SIZE = 2000

# Pairs, half of them in fresh mix: dead probes found, honest ones passed, in 100 (2,000 draws, seed 2031).
PRINTED = {4: (54, 79), 6: (77, 92), 8: (90, 97), 10: (97, 99)}
DRIFTING = 14
"""Of 100 dead probes, so many are found by 24 pairs of a year in one bed that falls 0.05 a month."""


def states(gain: float, slurry: np.ndarray, size: int, seed: list[int]) -> list[Follows]:
    """Draw probes of a gain at spots of these pH values, and give what their pairs show."""
    rng = np.random.default_rng(seed)
    found: list[Follows] = []
    for _ in range(size):
        spots = slurry + rng.normal(0.0, SPOT_SD, slurry.size)
        shows = np.round(6.0 + gain * (spots - 5.5) + rng.normal(0.0, NOISE, slurry.size), 1)
        found.append(response(shows.tolist(), np.round(spots, 2).tolist(), resolution=0.1).state)
    return found


def in_hundred(state: Follows, gain: float, slurry: np.ndarray, size: int, seed: list[int]) -> float:
    return 100.0 * states(gain, slurry, size, seed).count(state) / size


def half_in_fresh_mix(n: int) -> np.ndarray:
    return np.repeat([5.5, 5.5 + FRESH_ABOVE], n // 2)


def held(found: float, printed: float, size: int) -> bool:
    """Say whether a share in 100 is the printed one, within four standard errors and half a digit."""
    p = min(max(printed / 100.0, 0.02), 0.98)
    return abs(found - printed) <= 400.0 * (p * (1 - p) * (1 / size + 1 / PRINTED_SIZE)) ** 0.5 + 0.5


@pytest.mark.parametrize("n", PRINTED)
def test_pairs_half_in_fresh_mix_find_dead_probes_and_pass_honest_ones_as_printed(n: int) -> None:
    size, (found, passed) = 200, PRINTED[n]
    assert held(in_hundred("does not follow", 0.0, half_in_fresh_mix(n), size, [2030, n]), found, size)
    assert held(in_hundred("follows", 1.0, half_in_fresh_mix(n), size, [2030, n, 1]), passed, size)


@pytest.mark.slow
@pytest.mark.parametrize("n", PRINTED)
def test_many_draws_of_pairs_half_in_fresh_mix_find_as_printed(n: int) -> None:
    size, (found, passed) = PRINTED_SIZE, PRINTED[n]
    assert held(in_hundred("does not follow", 0.0, half_in_fresh_mix(n), size, [2032, n]), found, size)
    assert held(in_hundred("follows", 1.0, half_in_fresh_mix(n), size, [2032, n, 1]), passed, size)


def test_pairs_of_one_drifting_bed_seldom_find_a_dead_probe() -> None:
    year = 5.9 - 0.05 * np.repeat(np.arange(12.0), 2)
    assert held(in_hundred("does not follow", 0.0, year, 300, [2033]), DRIFTING, 300)


def test_a_dead_probe_is_hardly_ever_said_to_follow_whatever_its_pairs() -> None:
    year = 5.9 - 0.05 * np.repeat(np.arange(12.0), 2)
    for slurry in (half_in_fresh_mix(4), half_in_fresh_mix(10), year):
        assert in_hundred("follows", 0.0, slurry, 200, [2034, slurry.size]) <= 2.0


def test_the_screen_asks_for_as_many_pairs_as_the_draws_show_to_be_enough() -> None:
    assert PROOF == "Take six to ten pairs, half of them in fresh mix."
    assert min(PRINTED[6]) >= 75
    assert min(PRINTED[10]) >= 95
