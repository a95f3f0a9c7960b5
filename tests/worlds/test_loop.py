"""Keepers who do as told for five years, and first days, held to the tables of reference/methods.md."""

from __future__ import annotations

import os
from math import sqrt

import numpy as np
import pytest

from tests.printed import numbers, printed_table
from tests.worlds import first_day, loop, straight_keeper
from tests.worlds.loop import CHUNK, Kept
from tests.worlds.loop_truth import DAYS, WORLDS, Truth, World

PRINTED, DRAWN = 1000, int(os.environ.get("LOOP_BEDS", "25"))
"""Beds of a world as printed, and as drawn here: LOOP_BEDS=1000 is a night's work."""
FEW = ("straight", "tripled late", "r 0.4, kept")
"""Worlds that are drawn by the straight line too, where LOOP_BEDS asks for no more."""
FIRST_PRINTED, FIRST_DRAWN = 5000, 2000
_, LOOPS = printed_table("five years as told: world")
_, FIRSTS = printed_table("first day: scatter")
_, BY_LINE = printed_table("by the straight line: world")


def same_share(found: float, printed: float, drawn: int, of: int) -> bool:
    """Whether two shares differ by no more than three and a half standard errors, of 1 in all at least."""
    p = min(max((found * drawn + printed * of) / (drawn + of), 1.0 / of), 1.0 - 1.0 / of)
    return abs(found - printed) <= 3.5 * sqrt(p * (1.0 - p) * (1.0 / drawn + 1.0 / of)) + 5e-4


def held(name: str, seed: int) -> None:
    """Hold a world to its row."""
    unseen, broken, substrate, readings, *beside = LOOPS[name]
    found = loop.cells(name, DRAWN, seed)
    assert same_share(numbers(found[0])[0], numbers(unseen)[0], DRAWN, PRINTED)
    assert same_share(float(found[1]), float(broken), DRAWN, PRINTED)
    assert float(found[2]) == pytest.approx(float(substrate), rel=0.35, abs=0.15)
    assert float(found[3]) == pytest.approx(float(readings), abs=0.7)
    for ours, other in zip(found[4:], beside, strict=True):
        assert same_share(numbers(ours)[0], numbers(other)[0], DRAWN, PRINTED)
        assert numbers(ours)[1] == pytest.approx(numbers(other)[1], rel=0.35, abs=0.15)


def test_the_table_has_all_worlds_and_the_bound_of_each() -> None:
    assert set(LOOPS) == set(WORLDS)
    for unseen, *_ in LOOPS.values():
        share, _, bound = (*numbers(unseen)[:1], None, numbers(unseen)[1])
        assert bound == pytest.approx(Kept(PRINTED).bound(round(share * PRINTED)), abs=6e-4)


def test_the_table_keeps_the_aim_but_where_drift_and_readings_both_turn_bad() -> None:
    beyond = {name for name, (unseen, *_) in LOOPS.items() if numbers(unseen)[1] > 0.08}
    assert beyond == {"salts, tripled", "odd and off, tripled"}
    assert max(float(readings) for _, _, _, readings, *_ in LOOPS.values()) <= 5.2
    assert float(LOOPS["steady"][2]) <= 0.15


def test_a_steady_bed_is_left_alone() -> None:
    kept = loop.to_the_letter(WORLDS["steady"], 2 * CHUNK, 31)
    assert kept.unseen == kept.broken == 0
    assert kept.substrate / kept.beds <= 0.15


@pytest.mark.slow
@pytest.mark.parametrize("name", WORLDS)
def test_who_does_as_told_fares_as_the_table_says(name: str) -> None:
    held(name, 32)


@pytest.mark.parametrize("scatter", first_day.SCATTERS)
def test_a_first_day_says_what_the_table_says(scatter: float) -> None:
    printed = FIRSTS[f"σ {scatter:.2f}"]
    for ours, other in zip(first_day.cells(scatter, FIRST_DRAWN, 33), printed, strict=True):
        # Each share is of a part of the beds, a fifth at least.
        assert same_share(float(ours), float(other), FIRST_DRAWN // 5, FIRST_PRINTED // 5)


def test_a_true_bed_mixes_and_drifts_by_the_law() -> None:
    """Without scatter in placement: φ of the way to the mix, and the rate over the new capacity."""
    truth = Truth(World("straight", ratio=2.0, keeps=True, placement=0.0), np.random.default_rng(1), 4)
    before = truth.level.copy()
    truth.exchange(np.full(4, 0.25), np.full(4, 6.6))
    phi = 0.25 * 2.0 / (0.75 + 0.25 * 2.0)
    assert truth.level == pytest.approx(before + phi * (6.6 - before), abs=0.09)
    after, falls = truth.level.copy(), truth.natural[:100].sum(axis=0)
    truth.on(np.full(4, 100))
    assert truth.level == pytest.approx(after + falls / 1.25, abs=1e-9)


@pytest.mark.parametrize("fading", [0.4, -0.4])
def test_a_step_that_fades_or_comes_late_does_so(fading: float) -> None:
    truth = Truth(
        World("steady", 1.0, keeps=False, placement=0.0, fading=fading), np.random.default_rng(2), 50
    )
    before = truth.level.copy()
    truth.exchange(np.full(50, 1.0 / 3.0), np.full(50, 8.0))
    truth.on(np.full(50, DAYS))
    whole = (8.0 - before) / 3.0
    assert (truth.level - before).mean() == pytest.approx(
        (whole * (1.0 - max(fading, 0.0))).mean(), abs=0.02
    )  # fmt: skip


def test_who_knows_the_truth_leaves_no_bed_outside_its_range_for_long() -> None:
    kept = loop.who_knows(WORLDS["doubled at 18"], CHUNK, 34)
    assert kept.broken == 0


@pytest.mark.slow
@pytest.mark.parametrize("name", WORLDS if "LOOP_BEDS" in os.environ else FEW)
def test_by_the_straight_line_it_fares_as_its_table_says(name: str) -> None:
    unseen, broken, substrate, readings = BY_LINE[name]
    found = straight_keeper.by_the_line(WORLDS[name], CHUNK, 36)
    assert same_share(found.unseen / CHUNK, numbers(unseen)[0], CHUNK, 100)
    assert same_share(found.broken / CHUNK, float(broken), CHUNK, 100)
    assert found.substrate / CHUNK == pytest.approx(float(substrate), rel=0.35, abs=0.2)
    assert found.a_year == pytest.approx(float(readings), abs=0.7)
