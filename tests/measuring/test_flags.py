"""Flags of scatter fire where a bed turns patchy, and seldom where it is as it was."""

from __future__ import annotations

from math import sqrt

import numpy as np
import pytest

from slurrycalc.measuring.expected import SLURRIES
from slurrycalc.measuring.slurry import slurry_ph
from slurrycalc.metrology.scatter import Scatter, scatter_fit
from slurrycalc.metrology.uncertain import linear

FLAGS = {"scatters-more", "odd-jar"}


def flagged(jars: int, now: float, days: int, *, before: float = 0.05, draws: int = 400) -> float:
    """Share of days with a flag, at a scatter, after so many days at the scatter before."""
    rng = np.random.default_rng(12)
    found = 0
    for _ in range(draws):
        past = rng.normal(0.0, before, (days, jars))
        dof = days * (jars - 1)
        expected = SLURRIES
        if days:
            rss = float(((past - past.mean(axis=1, keepdims=True)) ** 2).sum())
            expected = Scatter(sqrt(rss / dof), dof) + SLURRIES
        values = [linear(float(each), {}) for each in 5.5 + rng.normal(0.0, now, jars)]
        found += bool(FLAGS & {remark.kind for remark in slurry_ph(None, values, expected=expected).remarks})
    return found / draws


@pytest.mark.parametrize(("jars", "days"), [(2, 0), (2, 6), (3, 0), (3, 6)])
def test_days_like_those_before_are_seldom_flagged(jars: int, days: int) -> None:
    for sd in (0.05, 0.10):
        assert flagged(jars, sd, days, before=sd) <= 0.03


@pytest.mark.parametrize(("jars", "share"), [(2, (0.15, 0.26, 0.46)), (3, (0.39, 0.58, 0.77))])
def test_a_bed_that_turned_patchy_is_flagged(jars: int, share: tuple[float, ...]) -> None:
    found = tuple(flagged(jars, sd, 6) for sd in (0.15, 0.20, 0.30))
    assert found == pytest.approx(share, abs=0.08)


def test_against_what_is_usual_alone_two_jars_are_flagged_from_0_43_on() -> None:
    def seen(sd: float, expected: Scatter) -> bool:
        return scatter_fit([[1], [1]], [5.5 - sd / sqrt(2.0), 5.5 + sd / sqrt(2.0)], expected).surprising

    assert (seen(0.42, SLURRIES), seen(0.44, SLURRIES)) == (False, True)
    # By a record the level stays at 1 in 100: F(1, 20) = 8.1.
    record = Scatter(0.10, 20)
    assert (seen(0.28, record), seen(0.29, record)) == (False, True)


def test_what_is_said_of_chance_is_the_level_that_was_passed() -> None:
    for expected, sd, said in (
        (SLURRIES, 0.5, "less than 5 in 100"),
        (Scatter(0.1, 20), 0.3, "less than 1 in 100"),
    ):
        values = [linear(5.5 - sd / sqrt(2.0), {}), linear(5.5 + sd / sqrt(2.0), {})]
        (text,) = (
            remark.text
            for remark in slurry_ph(None, values, expected=expected).remarks
            if remark.kind == "scatters-more"
        )
        assert f"(by chance {said})" in text
