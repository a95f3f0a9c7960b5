"""When a line through time reaches a limit, and by when to read again."""

from __future__ import annotations

from datetime import date, timedelta

import numpy as np
import pytest
import statsmodels.api as sm
from scipy import stats

from slurrycalc.deciding.days import DAYS_PER_MONTH
from slurrycalc.deciding.trend import trend
from slurrycalc.deciding.trend.crossing import Retest, retest_after_one, retest_foreseen
from slurrycalc.deciding.trend.through_time import LevelStep
from slurrycalc.metrology.coverage import half_width, probability

START = date(2023, 1, 10)
FALLING = [5.80, 5.74, 5.72, 5.63, 5.60, 5.57, 5.49, 5.46]


def monthly(n: int) -> list[date]:
    return [START + timedelta(days=round(i * DAYS_PER_MONTH)) for i in range(n)]


def fieller(days: list[date], ph: list[float], limit: float, p: float = 0.95) -> tuple[float, float]:
    """Days from the last one to both ends, in closed form.

    E. C. Fieller (1954), for the ratio (limit - level)/slope: the roots of (level + slope x - limit)² =
    t² var(level + slope x), with the estimates and their covariance from statsmodels.
    """
    x = np.array([(day - days[-1]).days for day in days], float)
    fit = sm.OLS(ph, sm.add_constant(x)).fit()
    a, b = fit.params
    v = fit.cov_params() * stats.t.ppf(0.5 + p / 2, fit.df_resid) ** 2
    ends = np.roots([b * b - v[1, 1], 2 * ((a - limit) * b - v[0, 1]), (a - limit) ** 2 - v[0, 0]])
    return min(ends), max(ends)


class TestAgainstTheClosedForm:
    @pytest.mark.parametrize("limit", [5.3, 5.0, 4.5])
    @pytest.mark.parametrize("p", [0.8, 0.95, 0.99])
    def test_days_are_fieller_s_rounded_outward(self, limit: float, p: float) -> None:
        days = monthly(8)
        found = trend(days, FALLING, expected=None).crossing(limit, p)
        low, high = fieller(days, FALLING, limit, p)
        assert found.state == "dated"
        assert found.earliest == days[-1] + timedelta(days=int(np.floor(low)))
        assert found.latest == days[-1] + timedelta(days=int(np.ceil(high)))
        assert found.likely is not None
        assert found.earliest <= found.likely <= found.latest

    def test_a_limit_that_the_line_has_met_already_has_no_likely_day_ahead(self) -> None:
        found = trend(monthly(8), FALLING).crossing(5.48)
        assert (found.state, found.earliest, found.likely) == ("dated", monthly(8)[-1], None)
        assert found.latest is not None

    def test_of_a_drift_that_is_not_shown_the_earliest_day_is_the_farther_root(self) -> None:
        days, ph = monthly(4), [5.84, 5.74, 5.80, 5.73]
        line = trend(days, ph, expected=None)
        found = line.crossing(5.0)
        low, high = fieller(days, ph, 5.0)
        assert not line.shown
        # both roots bound the days on which the limit is not reached
        assert low < 0.0 < high
        assert found.state == "cannot be dated"
        assert found.earliest == days[-1] + timedelta(days=int(np.ceil(high)))
        assert (found.likely, found.latest) == (None, None)
        assert "no drift is shown" in found.text
        assert "Not before" in found.text

    def test_rising_to_a_ceiling_mirrors_falling_to_a_floor(self) -> None:
        days = monthly(8)
        falling = trend(days, FALLING).crossing(5.0)
        rising = trend(days, [12.0 - y for y in FALLING]).crossing(7.0)
        assert (rising.earliest, rising.likely, rising.latest) == (
            falling.earliest,
            falling.likely,
            falling.latest,
        )


class TestWhatElseMayBe:
    def test_moving_away_is_said(self) -> None:
        found = trend(monthly(8), [11.0 - y for y in FALLING]).crossing(5.0)
        assert found.state == "moving away"
        assert found.text == "It lies above pH 5.0, and moves away from it."
        below = trend(monthly(8), [y - 1.0 for y in FALLING]).crossing(5.0)
        assert below.text == "It lies below pH 5.0, and moves away from it."

    def test_a_limit_that_may_be_reached_already_starts_now(self) -> None:
        found = trend(monthly(8), FALLING).crossing(5.45)
        assert found.state == "dated"
        assert found.earliest == monthly(8)[-1]
        assert found.text.startswith("It may have reached pH 5.45 already, and does so by ")

    def test_where_neither_drift_nor_distance_is_shown_it_starts_now_without_end(self) -> None:
        found = trend(monthly(3), [5.1, 5.0, 5.05]).crossing(5.0)
        assert (found.state, found.earliest, found.latest) == ("cannot be dated", monthly(3)[-1], None)
        assert "Not before" not in found.text

    def test_a_limit_farther_off_than_a_line_is_drawn_is_said(self) -> None:
        days = monthly(40)
        slow = [6.5 - 0.004 * i + 0.002 * (-1) ** i for i in range(40)]
        found = trend(days, slow, expected=None).crossing(4.0)
        assert (found.state, found.earliest, found.latest) == ("beyond", None, None)
        assert found.text == "It does not reach pH 4.0 within 10 years, if it goes on as it has."

    def test_a_latest_day_beyond_the_horizon_is_left_open(self) -> None:
        # a slope just shown: its least value reaches the limit in a lifetime
        days = monthly(8)
        rng = np.random.default_rng(0)
        noise = rng.normal(0.0, 0.08, 8)
        for fall in np.linspace(0.0, 0.08, 200):
            found = trend(days, (5.9 - fall * np.arange(8) + noise).tolist()).crossing(5.0)
            if found.state == "dated":
                break
        assert found.latest is None
        assert "a latest day within 10 years cannot be given" in found.text

    def test_more_coverage_takes_more_days(self) -> None:
        line = trend(monthly(8), FALLING)
        narrow, wide = line.crossing(5.0, 0.8), line.crossing(5.0, 0.99)
        assert wide.earliest < narrow.earliest < narrow.latest < wide.latest  # type: ignore[operator]


class TestRetest:
    def test_falls_on_the_first_day_on_which_the_limit_may_be_passed(self) -> None:
        line = trend(monthly(8), FALLING)
        found = line.retest_by(5.0)
        assert found.reason == "limit"
        day_before = found.by - timedelta(days=1)
        assert probability(line.level(found.by), below=5.0) >= 0.05
        assert probability(line.level(day_before), below=5.0) < 0.05
        assert "above 5 in 100" in found.text

    def test_is_twelve_months_on_at_most(self) -> None:
        line = trend(monthly(20), [6.5 + 0.01 * (-1) ** i for i in range(20)])
        found = line.retest_by(5.0)
        assert (found.by, found.reason) == (line.days[-1] + timedelta(days=365), "longest")

    def test_is_now_where_the_limit_may_be_passed_already(self) -> None:
        line = trend(monthly(3), [5.2, 5.1, 5.1])
        found = line.retest_by(5.0)
        assert (found.by, found.reason) == (line.days[-1], "at once")

    def test_minds_a_ceiling_as_well_as_a_floor(self) -> None:
        line = trend(monthly(8), [12.0 - y for y in FALLING])
        assert line.retest_by(5.0).reason == "longest"
        mirrored = trend(monthly(8), FALLING).retest_by(5.0)
        assert line.retest_by(5.0, ceiling=7.0).by == line.retest_by(ceiling=7.0).by == mirrored.by

    def test_after_a_single_bench_day_is_a_month_on(self) -> None:
        found = retest_after_one(date(2024, 5, 4))
        assert (found.by, found.reason) == (date(2024, 6, 3), "first reading")
        assert "common practice" in found.text

    @pytest.mark.parametrize("seed", range(40))
    def test_is_the_day_that_a_look_at_every_day_finds(self, seed: int) -> None:
        rng = np.random.default_rng(seed)
        n = int(rng.integers(2, 9))
        days = monthly(n)
        ph = 5.9 + rng.normal(-0.05, 0.05) * np.arange(n) + rng.normal(0.0, 0.05, n)
        line = trend(days, ph.tolist())

        def kept(each: int) -> bool:
            level = line.level(days[-1] + timedelta(days=each))
            return level.n - half_width(level, 0.90) > 5.0

        first = next((each for each in range(366) if not kept(each)), 365)
        assert line.retest_by(5.0).by == days[-1] + timedelta(days=first)


@pytest.mark.parametrize(("asked", "by"), [(-40, 7), (3, 7), (7, 7), (30, 30), (75, 75), (120, 75)])
def test_a_foreseen_exchange_is_read_when_the_bed_asks_from_a_week_to_75_days_after_it(
    asked: int, by: int
) -> None:
    by_bed = Retest(START + timedelta(days=asked), "limit", "as the bed asks")
    found = retest_foreseen(by_bed, LevelStep(START, foreseen=True))
    assert (found.by - START).days == by
    assert (found is by_bed) == (asked == by)
    assert found is by_bed or (found.reason == "step" and "since the exchange of 10 January" in found.text)
