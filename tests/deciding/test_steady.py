"""The steady jar: what alarms, how often by chance, and how soon when the bench really moves."""

from __future__ import annotations

import sys
from datetime import date, timedelta
from math import sqrt
from pathlib import Path
from typing import NamedTuple

import numpy as np
import pytest
from scipy import stats
from uncertainties import ufloat

# Another package's "tests" may shadow this folder's name, so its helper is found by its own.
sys.path.insert(0, str(Path(__file__).parents[1]))

from printed import binomial, last_digit, printed_table

from slurrycalc.deciding.steady import SteadyDay, steady
from slurrycalc.metrology.coverage import half_width
from slurrycalc.metrology.remark import Refusal

JAR = [6.02, 6.05, 5.98, 6.01, 6.04, 5.99]


def days(n: int) -> list[date]:
    # evenly spaced, so that the reference below may count them
    return [date(2015, 1, 10) + timedelta(days=30 * i) for i in range(n)]


def judged(ph: list[float]) -> SteadyDay:
    return steady(days(len(ph)), ph, newest_only=True)[0]


class TestRules:
    def test_a_steady_bench_is_steady(self) -> None:
        states = [day.state for day in steady(days(6), JAR)]
        assert states == ["first", "steady", "steady", "steady", "steady", "steady"]

    def test_a_day_far_off_alarms(self) -> None:
        day = judged([*JAR, 6.40])
        assert (day.state, day.reasons) == ("alarm", ("far",))
        assert "reads +0.39 pH from the mean" in day.text
        assert [remark.kind for remark in day.remarks] == ["steady-jar-alarm"]

    def test_a_day_a_little_off_is_watched_and_the_second_in_a_row_alarms(self) -> None:
        first, second = judged([*JAR, 6.19]), judged([*JAR, 6.19, 6.18])
        assert (first.state, first.reasons) == ("watch", ())
        assert "one day in 20" in first.text
        assert second.state == "alarm"
        assert "two" in second.reasons

    def test_two_days_off_on_either_side_do_not_alarm(self) -> None:
        assert judged([*JAR, 6.19, 5.83]).state == "watch"

    def test_a_slow_drift_alarms_by_its_slope(self) -> None:
        day = judged([6.0 + 0.02 * i for i in range(24)])
        assert day.state == "alarm"
        assert "slope" in day.reasons

    def test_a_day_is_judged_by_what_was_known_until_then(self) -> None:
        ph = [*JAR, 6.40, 6.02, 6.03]
        until_then = [judged(ph[:n]) for n in range(1, len(ph) + 1)]
        assert [day.state for day in steady(days(len(ph)), ph)] == [day.state for day in until_then]

    def test_the_difference_has_the_interval_of_a_new_day_about_an_earlier_mean(self) -> None:
        off = judged(JAR).difference
        earlier = np.array(JAR[:-1])
        s = sqrt((((earlier - earlier.mean()) ** 2).sum() + 2 * 0.1**2) / 6)
        assert off is not None
        assert off.n == pytest.approx(JAR[-1] - earlier.mean())
        assert half_width(off) == pytest.approx(stats.t.ppf(0.975, 6) * s * sqrt(1 + 1 / 5))

    def test_a_bottle_that_all_days_share_cancels(self) -> None:
        bottle = ufloat(0.0, 0.5)
        plain, shared = judged(JAR), judged([y + bottle for y in JAR])  # type: ignore[misc]
        assert plain.difference is not None
        assert shared.difference is not None
        assert half_width(shared.difference) == pytest.approx(half_width(plain.difference))

    def test_a_bottle_that_only_earlier_days_share_does_not(self) -> None:
        bottle = ufloat(0.0, 0.05)
        changed = judged([*(y + bottle for y in JAR[:-1]), JAR[-1]])  # type: ignore[list-item]
        assert changed.difference is not None
        assert changed.difference.s == pytest.approx(sqrt(judged(JAR).difference.s ** 2 + 0.05**2))  # type: ignore[union-attr]

    def test_days_alone_need_three_to_be_judged(self) -> None:
        found = steady(days(4), JAR[:4], expected=None)
        assert [day.state for day in found][:2] == ["first", "first"]
        assert found[2].difference is not None

    @pytest.mark.parametrize(
        ("dates", "ph", "said"),
        [
            ([], [], "was not read yet"),
            (["2024-01-01", "2024-02-01"], [6.0], "2 dates and 1 readings"),
            (["2024-02-01", "2024-01-01"], [6.0, 6.0], "stands after"),
            (["2024-02-01", "2024-02-01"], [6.0, 6.0], "stands twice"),
            (["2024-02-01", "2031-02-01"], [6.0, 6.0], "lies in the future"),
            (["2024-02-01", "2024-03-01"], [6.0, 60], "`60`"),
        ],
    )
    def test_what_cannot_stand_is_refused(self, dates: list[str], ph: list[float], said: str) -> None:
        with pytest.raises(Refusal, match=said):
            steady(dates, ph, today="2024-06-01")


class Judged(NamedTuple):
    """The same rules in plain formulas, for many jars at once, shape (jars, days)."""

    alarm: np.ndarray
    watch: np.ndarray


def reference(y: np.ndarray, sd: float = 0.10, worth: float = 2.0) -> Judged:
    jars, n = y.shape
    alarm, watch = np.zeros((2, jars, n), bool)

    def spread(rss: np.ndarray, dof: int) -> np.ndarray:
        return np.sqrt((rss + worth * sd**2) / (dof + worth))

    def limits(earlier: np.ndarray, p: float) -> tuple[np.ndarray, np.ndarray]:
        m = earlier.shape[1]
        mean = earlier.mean(axis=1)
        s = spread(((earlier - mean[:, None]) ** 2).sum(axis=1), m - 1)
        return mean, stats.t.ppf(0.5 + p / 2, m - 1 + worth) * s * sqrt(1 + 1 / m)

    for k in range(1, n):
        mean, h = limits(y[:, :k], 0.998)
        alarm[:, k] = np.abs(y[:, k] - mean) > h
        mean, h = limits(y[:, :k], 0.95)
        watch[:, k] = np.abs(y[:, k] - mean) > h
        if k >= 2:
            mean, h = limits(y[:, : k - 1], 0.95)
            off = y[:, k - 1 : k + 1] - mean[:, None]
            alarm[:, k] |= (off > h[:, None]).all(axis=1) | (off < -h[:, None]).all(axis=1)
            t = np.arange(k + 1) - k / 2
            about = y[:, : k + 1] - y[:, : k + 1].mean(axis=1)[:, None]
            slope = about @ t / (t @ t)
            s = spread(((about - np.outer(slope, t)) ** 2).sum(axis=1), k - 1)
            alarm[:, k] |= np.abs(slope) > stats.t.ppf(0.9995, k - 1 + worth) * s / sqrt(t @ t)
    return Judged(alarm, watch & ~alarm)


def test_the_reference_judges_as_the_product_does() -> None:
    rng = np.random.default_rng(31)
    y = 6.0 + rng.choice([0.03, 0.10, 0.20], (12, 1)) * rng.standard_normal((12, 24))
    y[:6, 12:] += 0.2
    by_formula = reference(y)
    for i, jar in enumerate(y):
        product = steady(days(24), jar.tolist())
        assert [day.state == "alarm" for day in product] == by_formula.alarm[i].tolist()
        assert [day.state == "watch" for day in product] == by_formula.watch[i].tolist()
    assert by_formula.alarm.any()
    assert by_formula.watch.any()


# As printed: the jar's scatter; alarms in twenty steady years, a shift caught, a drift caught.
_, PRINTED = printed_table("scatter")
PRINTED_JARS = 20_000


def test_the_printed_rules_are_there_to_be_held() -> None:
    assert list(PRINTED) == ["0.03", "0.05", "0.10", "0.15"]


@pytest.mark.slow
@pytest.mark.parametrize("sd", PRINTED)
def test_twenty_steady_years_alarm_in_as_many_months_as_printed(sd: str) -> None:
    rng = np.random.default_rng(20260701)
    months = reference(float(sd) * rng.standard_normal((1500, 240))).alarm.sum(axis=1)
    noise = 3 * months.std() * sqrt(1 / len(months) + 1 / PRINTED_JARS)
    assert abs(months.mean() - float(PRINTED[sd][0])) <= noise + last_digit(PRINTED[sd][0])


@pytest.mark.parametrize("sd", PRINTED)
def test_a_shift_of_0_15_after_a_year_is_caught_within_three_months_as_printed(sd: str) -> None:
    rng = np.random.default_rng(20260702)
    y = float(sd) * rng.standard_normal((3000, 15))
    y[:, 12:] += 0.15
    caught = reference(y).alarm[:, 12:].any(axis=1).mean()
    assert abs(caught - float(PRINTED[sd][1])) <= binomial(PRINTED[sd][1], len(y), PRINTED_JARS)


@pytest.mark.parametrize("sd", PRINTED)
def test_a_drift_of_0_01_a_month_after_a_year_is_caught_within_eighteen_as_printed(sd: str) -> None:
    rng = np.random.default_rng(20260703)
    y = float(sd) * rng.standard_normal((3000, 30))
    y[:, 12:] += 0.01 * np.arange(1, 19)
    caught = reference(y).alarm[:, 12:].any(axis=1).mean()
    assert abs(caught - float(PRINTED[sd][2])) <= binomial(PRINTED[sd][2], len(y), PRINTED_JARS)
