"""A probe read weekly in the loop, held to the table of reference/methods.md."""

from __future__ import annotations

import os

import numpy as np
import pytest

from slurrycalc.deciding.bed import observed, unread
from tests.printed import numbers, printed_table
from tests.worlds.bed_worlds import CALIBRATION, JARS
from tests.worlds.loop import Rules, Turns
from tests.worlds.loop_probe import HABITS, KINDS, PLACES, STOPS, Leaves, Weekly, weekly
from tests.worlds.loop_truth import DAYS, FLOOR, WORLDS, Truth

COLUMNS, PRINTED = printed_table("a probe read weekly: kind, keeper")
ROWS = [(kind, habit) for habit in HABITS[1:] for kind in KINDS]


def test_the_table_keeps_the_aim_in_every_row_and_has_all_rows() -> None:
    assert set(PRINTED) == {f"{kind}, {habit}" for habit in HABITS for kind in KINDS}
    for row in PRINTED.values():
        wrong, below = numbers(row[COLUMNS.index("wrong of those below")])
        assert wrong <= 0.01 * below
    # It is no empty comfort: beds do pass below, and a probe that follows does reassure.
    beside = PRINTED["honest, exchanges nothing"]
    assert numbers(beside[COLUMNS.index("bed below")])[0] > 0.05
    assert numbers(beside[COLUMNS.index("said above")])[0] > 0.3
    assert numbers(PRINTED["dead, exchanges nothing"][COLUMNS.index("said above")])[0] <= 0.01


def test_a_probe_in_beds_that_nobody_exchanges_calls_no_low_bed_above_its_floor() -> None:
    found = weekly("tripled late", "honest", "exchanges nothing", 25, 41)
    assert found.below > 50
    assert found.wrong <= 0.01 * found.below
    assert found.above > 0.2 * found.shown


@pytest.mark.slow
@pytest.mark.timeout(3600)
@pytest.mark.parametrize(("kind", "habit"), ROWS if "LOOP_BEDS" in os.environ else ROWS[::4])
def test_every_kind_says_what_its_row_says(kind: str, habit: str) -> None:
    row = dict(zip(COLUMNS, PRINTED[f"{kind}, {habit}"], strict=True))
    found = [weekly(world, kind, habit, 25, 42) for world in PLACES]
    shown, below, above, wrong = (
        sum(getattr(each, name) for each in found) for name in ("shown", "below", "above", "wrong")
    )
    # Indications of a bed go together: count beds, 75 of them.
    assert above / shown == pytest.approx(numbers(row["said above"])[0], abs=0.15)
    assert below / shown == pytest.approx(numbers(row["bed below"])[0], abs=0.05)
    assert wrong <= 0.01 * max(below, 100)


def test_beds_left_alone_are_read_no_more_and_one_who_exchanges_nothing_does_not() -> None:
    truth = Truth(WORLDS["straight"], np.random.default_rng(3), 2)
    mean, squares = truth.read()
    nodes = observed(unread(mean, Rules().prior), mean - 1.2, JARS, squares, CALIBRATION)
    day, ones = np.zeros(2, dtype=np.int64), np.ones(2, dtype=bool)
    assert Turns(2, Rules()).acts(nodes, day, ones, ones).all()
    nothing = Leaves(2, Rules())
    assert not nothing.acts(nodes, day, ones, ones).any()
    assert (nothing.next(nodes, day)[0] == DAYS).all()
    late = Leaves(2, Rules(), STOPS)
    assert late.acts(nodes, day, ones, ones).all()
    assert not late.acts(nodes, day + 1200, ones, ones).any()


def test_pairs_show_the_spots_where_the_jars_stood() -> None:
    truth, random = Truth(WORLDS["steady"], np.random.default_rng(4), 3), np.random.default_rng(5)
    truth.read()
    found = Weekly(KINDS["honest"], random)
    found.offset, found.wander = np.zeros(3), np.zeros(3)
    found.pairs, found.responses, found.shared = {}, {}, 0.0
    found._pair(truth, 1, 0)
    shows, slurries, days = found.pairs[1]
    assert slurries[:2] == pytest.approx(truth.spots[:, 1] + truth.junction[1], abs=0.15)
    assert shows == pytest.approx([*truth.spots[:, 1], slurries[2]], abs=1.3)
    assert days == [0, 0, 0]
    assert min(shows) > FLOOR - 1.3
