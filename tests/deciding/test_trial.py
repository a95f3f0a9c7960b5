"""A trial: doses read backward, held against scipy and statsmodels, and against jars that were made up."""

from __future__ import annotations

import sys
from math import inf, log, sqrt
from pathlib import Path

import msgspec
import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import stats
from uncertainties import ufloat

# Another package's "tests" may shadow this folder's name, so its helper is found by its own.
sys.path.insert(0, str(Path(__file__).parents[1]))

from printed import binomial, numbers, printed_table

from slurrycalc.cli import as_json
from slurrycalc.deciding.exchange import exchange
from slurrycalc.deciding.mixing import fraction_of, fresh_weight
from slurrycalc.deciding.trial import Trial, trial
from slurrycalc.deciding.trial.capacity import capacity_ratio
from slurrycalc.deciding.trial.curve import fit_curve
from slurrycalc.metrology.coverage import half_width
from slurrycalc.metrology.remark import Refusal
from slurrycalc.metrology.scatter import Scatter

DOSES = [0, 1, 2, 3, 4, 5]
PH = [5.08, 5.31, 5.44, 5.66, 5.80, 5.97]
USUAL = Scatter(0.10, 2)


# As printed: coverage of the interval and of the assured dose, the least of three ratios of capacities, by
# the true scatter of jars.
SCATTERS, PRINTED = printed_table("parts of fresh mix")
PRINTED_TRIALS = 2000
TRUE_DOSE = 0.2


def kinds(found: Trial) -> set[str]:
    return {remark.kind for remark in found.remarks}


def mixed_jars(parts: list[float], r: float, now: float = 5.1, fresh: float = 6.6) -> np.ndarray:
    return np.array([now + fresh_weight(part, r) * (fresh - now) for part in parts])


def held_to(parts: str, scatter: str, trials: int) -> None:
    """Simulate a cell of the printed table, and hold both of its figures to that."""
    doses, rng = numbers(parts), np.random.default_rng(95)
    cell = PRINTED[parts][SCATTERS.index(scatter)]
    shares = []
    for r in (0.5, 1.0, 2.0):
        goal, jars, held = float(mixed_jars([TRUE_DOSE], r)[0]), mixed_jars(doses, r), []
        for _ in range(trials):
            ph = jars + rng.normal(0.0, float(scatter), len(doses))
            level = fit_curve(doses, ph.tolist(), USUAL).level(TRUE_DOSE)
            held.append(
                (abs(level.n - goal) <= half_width(level), level.n - half_width(level, 0.90) <= goal)
            )
        shares.append(np.mean(held, axis=0))
    for found, printed in zip(np.min(shares, axis=0), cell.split(", "), strict=True):
        assert abs(found - float(printed)) <= binomial(printed, trials, PRINTED_TRIALS, 3), (cell, found)


class TestInverse:
    def test_of_a_line_is_fieller_s_interval(self) -> None:
        # E. C. Fieller, J. R. Stat. Soc. B 16 (1954) 175 (from memory): the roots of a quadratic equation.
        x, y, goal = np.array([0.0, 10.0, 20.0]), np.array([5.10, 5.34, 5.61]), 5.4
        found = trial(x.tolist(), y.tolist(), goal, expected=None)
        assert found.way == "line"
        line = stats.linregress(x, y)
        sxx = float(((x - x.mean()) ** 2).sum())
        s2 = float(((y - line.intercept - line.slope * x) ** 2).sum()) / (len(x) - 2)
        t2 = float(stats.t.ppf(0.975, len(x) - 2)) ** 2
        d = goal - y.mean()
        roots = np.roots(
            [line.slope**2 - t2 * s2 / sxx, -2 * line.slope * d, d * d - t2 * s2 / len(x)]
        ) + x.mean()
        assert found.dose == pytest.approx((goal - line.intercept) / line.slope)
        assert (found.low, found.high) == pytest.approx(tuple(sorted(roots.real)), abs=1e-6)

    def test_of_a_curve_ends_where_statsmodels_band_meets_the_target(self) -> None:
        import statsmodels.api as sm

        found = trial(DOSES, PH, 5.5, expected=None)
        assert found.way == "curve"
        assert found.low is not None
        assert found.high is not None

        def columns(x: list[float]) -> np.ndarray:
            return np.column_stack([np.ones(len(x)), x, np.square(x)])

        fit = sm.OLS(PH, columns([float(each) for each in DOSES])).fit()
        band = fit.get_prediction(columns([found.low, found.dose, found.high])).summary_frame(alpha=0.05)
        assert band["mean_ci_upper"].iloc[0] == pytest.approx(5.5, abs=1e-6)
        assert band["mean"].iloc[1] == pytest.approx(5.5, abs=1e-9)
        assert band["mean_ci_lower"].iloc[2] == pytest.approx(5.5, abs=1e-6)
        one_sided = fit.get_prediction(columns([found.assured_dose])).summary_frame(alpha=0.10)
        assert one_sided["mean_ci_lower"].iloc[0] == pytest.approx(5.5, abs=1e-6)

    def test_with_an_expectation_is_that_of_pooled_scatter(self) -> None:
        import statsmodels.api as sm

        found = trial(DOSES, PH, 5.5)
        design = np.column_stack([np.ones(6), DOSES, np.square(DOSES)])
        rss = float(sm.OLS(PH, design).fit().ssr)
        assert found.scatter_dof == 5
        assert found.scatter_sd == pytest.approx(sqrt((rss + 2 * 0.10**2) / 5))
        assert found.own_share == pytest.approx(3 / 5)

    def test_lies_between_the_doses_tried_or_says_that_it_does_not(self) -> None:
        found = trial(DOSES, PH, 6.5, unit="g/L")
        assert (found.dose, found.low, found.high, found.assured_dose) == (None, None, None, None)
        assert "outside-doses" in kinds(found)
        assert "nothing is said beyond them" in " ".join(remark.text for remark in found.remarks)
        assert "5.0 g/L gives 5.97" in found.text[0]
        near_end = trial(DOSES, PH, 5.95)
        assert near_end.dose is not None
        assert near_end.high is None
        assert near_end.assured_dose is None

    @settings(max_examples=40)
    @given(st.lists(st.floats(4.5, 7.5), min_size=5, max_size=5), st.floats(4.5, 7.5))
    def test_never_leaves_the_doses_tried(self, ph: list[float], goal: float) -> None:
        doses = [0.0, 1.0, 2.0, 4.0, 7.0]
        found = trial(doses, ph, goal)
        said = [found.dose, found.low, found.high, found.assured_dose]
        assert all(0.0 <= each <= 7.0 for each in said if each is not None)
        if found.dose is not None:
            assert found.level(found.dose).n == pytest.approx(goal, abs=1e-6)
            assert (found.low or 0.0) <= found.dose <= (7.0 if found.high is None else found.high)

    @settings(max_examples=25)
    @given(st.floats(5.2, 5.9), st.floats(0.01, 100.0))
    def test_is_the_same_in_any_unit_of_dose(self, goal: float, size: float) -> None:
        plain = trial(DOSES, PH, goal)
        scaled = trial([size * each for each in DOSES], PH, goal)
        for a, b in ((plain.dose, scaled.dose), (plain.low, scaled.low), (plain.high, scaled.high)):
            assert (a is None) == (b is None)
            if a is not None:
                assert b == pytest.approx(size * a, rel=1e-6, abs=1e-6 * size)

    def test_is_the_same_from_the_highest_dose_down(self) -> None:
        down = trial(DOSES[::-1], PH[::-1], 5.5)
        up = trial(DOSES, PH, 5.5)
        assert down.dose == pytest.approx(up.dose)
        assert (down.low, down.high) == pytest.approx((up.low, up.high))

    def test_grows_with_what_is_wanted(self) -> None:
        doses = [trial(DOSES, PH, goal).dose for goal in (5.2, 5.4, 5.6, 5.8)]
        assert doses == sorted(doses)  # type: ignore[type-var]

    def test_carries_what_the_jars_share(self) -> None:
        shared = ufloat(0.0, 0.05)
        alone = trial(DOSES, PH, 5.5)
        together = trial(DOSES, [each + shared for each in PH], 5.5)
        assert together.dose == pytest.approx(alone.dose)
        assert together.low < alone.low  # type: ignore[operator]
        assert together.high > alone.high  # type: ignore[operator]

    @pytest.mark.parametrize(("row", "scatter"), [(1, 0.10), (2, 0.05), (2, 0.15)])
    def test_covers_the_true_dose_of_bent_mixtures_as_a_cell_says(self, row: int, scatter: float) -> None:
        held_to(list(PRINTED)[row], f"{scatter:.2f}", 100)

    @pytest.mark.slow
    @pytest.mark.parametrize("parts", PRINTED)
    def test_covers_the_true_dose_of_bent_mixtures_as_printed(self, parts: str) -> None:
        for scatter in SCATTERS:
            held_to(parts, scatter, 400)


class TestCurve:
    def test_needs_four_jars_of_three_doses_and_says_so(self) -> None:
        assert trial([0, 1, 2], [5.1, 5.3, 5.5], 5.4).way == "line"
        assert "line-assumed" in kinds(trial([0, 1, 2], [5.1, 5.3, 5.5], 5.4))
        assert trial([0, 0, 2, 2], [5.1, 5.1, 5.5, 5.6], 5.4).way == "line"
        assert trial([0, 1, 1, 2], [5.1, 5.3, 5.3, 5.5], 5.4).way == "curve"

    def test_that_turns_is_said_to_and_gives_the_smaller_dose(self) -> None:
        found = trial([0, 1, 2, 3, 4], [5.1, 5.9, 6.2, 5.9, 5.2], 5.6)
        assert "turns" in kinds(found)
        assert found.dose is not None
        assert found.dose < 2

    def test_that_hardly_bends_is_not_said_to_turn(self) -> None:
        assert "turns" not in kinds(trial([0, 1, 2, 4], [5.1, 5.5, 5.8, 6.0], 5.6))

    def test_without_an_effect_is_said_to_have_none(self) -> None:
        found = trial([0, 1, 2, 4], [5.10, 5.12, 5.08, 5.11], 5.1)
        assert "no-effect" in kinds(found)
        assert found.assured_dose is None


class TestBuffering:
    @pytest.mark.parametrize("r", [0.5, 1.0, 2.0, 3.0])
    def test_of_exact_jars_comes_back(self, r: float) -> None:
        parts = [0.0, 0.2, 0.4, 0.6, 0.8, 1.0]
        found = capacity_ratio(parts, mixed_jars(parts, r).tolist(), Scatter(0.03, 2))
        assert found is not None
        assert found.n == pytest.approx(r, rel=1e-5)

    def test_agrees_with_scipy_s_least_squares(self) -> None:
        from scipy.optimize import curve_fit

        rng = np.random.default_rng(92)
        parts = np.array([0.0, 0.1, 0.25, 0.5, 0.5, 0.75, 1.0])
        ph = mixed_jars(parts.tolist(), 1.5) + rng.normal(0, 0.04, len(parts))

        def model(f: np.ndarray, now: float, fresh: float, ln_r: float) -> np.ndarray:
            r = np.exp(ln_r)
            return now + f * r / (1 - f + f * r) * (fresh - now)

        best, covariance = curve_fit(model, parts, ph, p0=[5.0, 6.5, 0.0])
        found = capacity_ratio(parts.tolist(), ph.tolist(), None)
        assert found is not None
        assert log(found.n) == pytest.approx(best[2], abs=1e-5)
        assert found.s / found.n == pytest.approx(sqrt(covariance[2, 2]), rel=1e-3)

    @pytest.mark.parametrize("r", [0.5, 1.0, 2.0])
    def test_is_covered_and_unbiased_where_jars_show_it(self, r: float) -> None:
        rng = np.random.default_rng(93)
        parts, n, held, logs = [0.0, 0.0, 0.3, 0.5, 0.7, 1.0, 1.0], 150, 0, []
        for _ in range(n):
            jars = (mixed_jars(parts, r) + rng.normal(0, 0.06, len(parts))).tolist()
            found = capacity_ratio(parts, jars, USUAL)
            if found is not None:
                held += abs(log(found.n / r)) <= half_width(found / found.n)
                logs.append(log(found.n))
        assert len(logs) > 0.85 * n
        assert held / len(logs) >= 0.95 - 3.3 * sqrt(0.95 * 0.05 / len(logs))
        assert np.mean(logs) == pytest.approx(log(r), abs=0.06)

    def test_is_not_claimed_where_jars_do_not_show_it(self) -> None:
        few = trial([0, 10, 20, 30], [5.1, 5.3, 5.4, 5.6], 5.4, unit="%")
        assert few.buffering is None
        assert "buffering-not-shown" in kinds(few)
        assert capacity_ratio([0.0, 1.0, 1.0], [5.1, 6.6, 6.6], USUAL) is None
        # Between half as well and as well again, and no better: ln 2 is assumed without jars.
        parts, sizes = [0.0, 0.25, 0.5, 0.75, 1.0], []
        for sd in (0.05, 0.08, 0.12, 0.2):
            found = capacity_ratio(parts, mixed_jars(parts, 1.0).tolist(), Scatter(sd, inf))
            if found is not None:
                sizes.append(half_width(found / found.n))
        assert len(sizes) in {1, 2, 3}
        assert max(sizes) < log(2.0)
        assert capacity_ratio([0.0, 0.5, 1.0], [5.1, 5.1, 5.1], USUAL) is None

    def test_of_other_doses_is_none(self) -> None:
        assert trial(DOSES, PH, 5.5, unit="g/L").buffering is None

    def test_makes_an_exchange_smaller(self) -> None:
        parts = [0.0, 0.15, 0.3, 0.5, 0.75, 1.0]
        jars = trial([100 * part for part in parts], mixed_jars(parts, 1.6).round(2).tolist(), 5.9, unit="%")
        assert jars.buffering is not None
        with_it = exchange("5.1+-0.1", "6.6+-0.1", 5.9, buffering=jars.buffering)
        without = exchange("5.1+-0.1", "6.6+-0.1", 5.9)
        assert with_it.assured_fraction < without.assured_fraction
        # The dose itself is the part of an even chance.
        assert jars.dose == pytest.approx(100 * fraction_of(0.8 / 1.5, 1.6), abs=1.0)
        assert with_it.fraction == pytest.approx(jars.dose / 100, abs=0.03)


@pytest.mark.parametrize(
    ("doses", "ph", "target", "named", "why"),
    [
        ([0, 20, 10], [5.1, 5.5, 5.3], 5.4, {}, "go up and down"),
        ([0, 10, 0, 10], [5.1, 5.3, 5.1, 5.3], 5.2, {}, "go up and down"),
        ([10, 10], [5.1, 5.3], 5.2, {}, "two different doses"),
        ([], [], 5.2, {}, "two different doses"),
        ([0, 10, 120], [5.1, 5.3, 5.5], 5.4, {"unit": "%"}, "more than the whole jar"),
        ([0, -10], [5.1, 5.3], 5.2, {}, "0 or more"),
        ([0, float("nan")], [5.1, 5.3], 5.2, {}, "0 or more"),
        ([0, inf], [5.1, 5.3], 5.2, {}, "0 or more"),
        (["0 g", "10 %"], [5.1, 5.3], 5.2, {}, "cannot be compared"),
        (["0 g", "10 g"], [5.1, 5.3], 5.2, {"unit": "%"}, "cannot be compared"),
        (["x", 1], [5.1, 5.3], 5.2, {}, "does not begin with a number"),
        ([None, 1], [5.1, 5.3], 5.2, {}, "is no dose"),
        ("0 10", [5.1, 5.3], 5.2, {}, "two lists"),
        ([0, 10], [5.1], 5.2, {}, "do not go together"),
        ([0, 10], 5.1, 5.2, {}, "do not go together"),
        ([0, 10], [5.1, "53"], 5.2, {}, "did you mean `5.3`?"),
        ([0, 10], [5.1, 5.3], "abc", {}, "pH wanted"),
        ([0, 10], [5.1, 5.3], 54, {}, "did you mean `5.4`?"),
        ([0, 10], [5.1, 5.3], 5.2, {"expected": None}, "no scatter of their own"),
        ([0, 10], [5.1, 5.3], 5.2, {"p": 0.3}, "no probability"),
        ([0, 10], [5.1, 5.3], 5.2, {"unit": "g/L \x1b[31m"}, "no unit of a dose"),
    ],
)
def test_what_cannot_stand_is_refused_in_one_sentence(
    doses: object, ph: object, target: object, named: dict[str, object], why: str
) -> None:
    with pytest.raises(Refusal) as refused:
        trial(doses, ph, target, **named)  # type: ignore[arg-type]
    sentence = str(refused.value)
    assert why in sentence
    assert sentence.isprintable()
    assert sentence.endswith((".", "?"))


def test_a_dose_that_was_not_tried_has_no_level() -> None:
    with pytest.raises(Refusal, match="outside the doses tried, 0 to 5"):
        trial(DOSES, PH, 5.5).level(6)


def test_jars_only_is_always_said() -> None:
    found = trial(DOSES, PH, 5.5)
    assert "jars-only" in kinds(found)
    assert any("never into an occupied bed" in each for each in found.cautions)


def test_a_trial_is_written_as_json_by_its_schema() -> None:
    from jsonschema import Draft202012Validator

    form = as_json.form(Trial)
    schema = msgspec.json.schema(form.shape)
    for found in (trial(DOSES, PH, 5.5), trial(DOSES, PH, 6.5, unit="g/L")):
        written = msgspec.json.decode(msgspec.json.encode(form.write(found, 0.95)))
        Draft202012Validator(schema).validate(written)
