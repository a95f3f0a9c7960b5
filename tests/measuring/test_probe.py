"""A probe against slurries: offset, limits, line, and what an indication means."""

from __future__ import annotations

from math import inf, sqrt

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats
from uncertainties import ufloat

from slurrycalc.measuring.probe import compare
from slurrycalc.measuring.probe.limits import classic_limits
from slurrycalc.metrology.coverage import half_width
from slurrycalc.metrology.remark import Refusal
from slurrycalc.metrology.scatter import Scatter

PROBE = [5.9, 6.1, 6.0, 5.5, 6.4, 6.9, 6.3, 5.8]
SLURRY = [5.4, 5.7, 5.8, 5.3, 5.9, 6.3, 5.9, 5.2]

# Bland & Altman, Lancet 327 (1986) 307-310, Table 1, first readings with either meter. [l/min]
FIRST = [494, 395, 516, 434, 476, 557, 413, 442, 650, 433, 417, 656, 267, 478, 178, 423, 427]
SECOND = [512, 430, 520, 428, 500, 600, 364, 380, 658, 445, 432, 626, 260, 477, 259, 350, 451]


def kinds(result: object) -> set[str]:
    return {remark.kind for remark in result.remarks}  # type: ignore[attr-defined]


class TestClassicLimits:
    def test_agree_with_the_paper_s_worked_example(self) -> None:
        limits = classic_limits([a - b for a, b in zip(FIRST, SECOND, strict=True)], factor=2)
        # The paper goes on from rounded values: tolerance 0.3.
        assert limits.n == 17
        assert limits.mean == pytest.approx(-2.1, abs=0.3)
        assert limits.sd == pytest.approx(38.8, abs=0.3)
        assert (limits.lower, limits.upper) == pytest.approx((-79.7, 75.5), abs=0.3)
        assert limits.mean_ci == pytest.approx((-22.0, 17.8), abs=0.3)
        assert limits.lower_ci == pytest.approx((-114.3, -45.1), abs=0.3)
        assert limits.upper_ci == pytest.approx((40.9, 110.1), abs=0.3)

    def test_take_the_normal_quantile_where_no_factor_is_given(self) -> None:
        limits = classic_limits([0.1, 0.2, 0.4], p=0.95)
        assert limits.factor == pytest.approx(stats.norm.ppf(0.975))

    def test_are_refused_below_three_pairs_and_for_what_is_no_number(self) -> None:
        with pytest.raises(Refusal, match="from 2 pairs"):
            classic_limits([0.1, 0.2])
        with pytest.raises(Refusal, match="no finite number"):
            classic_limits([0.1, 0.2, float("nan")])

    def test_stand_beside_a_comparison_from_three_pairs_on(self) -> None:
        assert compare(PROBE[:2], SLURRY[:2]).classic is None
        pairs = compare(PROBE[:3], SLURRY[:3])
        assert pairs.classic is not None
        assert pairs.classic.mean == pytest.approx(pairs.offset.n)

    def test_are_narrower_than_the_prediction_for_the_next_pair(self) -> None:
        pairs = compare(PROBE[:4], SLURRY[:4])
        assert pairs.classic is not None
        low, high = pairs.limits
        assert low < pairs.classic.lower < pairs.classic.upper < high


class TestOffset:
    def test_by_the_pairs_alone_is_student_s_interval(self) -> None:
        pairs = compare(PROBE, SLURRY, expected=None)
        differences = np.subtract(PROBE, SLURRY)
        reference = stats.ttest_1samp(differences, 0.0).confidence_interval(0.95)
        assert pairs.offset.n == pytest.approx(differences.mean())
        assert half_width(pairs.offset) == pytest.approx((reference.high - reference.low) / 2, rel=1e-9)
        assert pairs.own_share == 1.0

    def test_works_from_the_first_pair(self) -> None:
        pairs = compare([5.9], [5.4])
        assert pairs.offset.n == pytest.approx(0.5)
        assert pairs.spread is None
        assert pairs.own_share == 0.0
        # Scatter(0.40, 2) alone: t with 2 degrees of freedom; the prediction adds a new pair's scatter.
        t = stats.t.ppf(0.975, 2)
        assert half_width(pairs.offset) == pytest.approx(t * 0.40, rel=1e-9)
        low, high = pairs.limits
        assert (high - low) / 2 == pytest.approx(t * 0.40 * sqrt(2), rel=1e-9)

    def test_pools_the_pairs_with_what_was_expected(self) -> None:
        pairs = compare(PROBE[:3], SLURRY[:3], expected=Scatter(0.40, 2))
        differences = np.subtract(PROBE[:3], SLURRY[:3])
        expected = sqrt((2 * differences.var(ddof=1) + 2 * 0.40**2) / 4)
        assert pairs.scatter_sd == pytest.approx(expected)
        assert pairs.scatter_dof == 4
        assert pairs.own_share == pytest.approx(0.5)

    def test_keeps_what_the_slurries_share_however_many_pairs_there_are(self) -> None:
        shared = ufloat(0.0, 0.05)
        few, many = (
            compare(PROBE * n, [y + shared for y in SLURRY * n], expected=Scatter(1e-6, inf)) for n in (1, 50)
        )
        assert few.offset.s == pytest.approx(0.05, rel=1e-4)
        assert many.offset.s == pytest.approx(0.05, rel=1e-4)

    def test_of_two_probes_against_the_same_slurries_differ_without_the_calibration(self) -> None:
        shared = ufloat(0.0, 0.05)
        slurries = [y + shared for y in SLURRY]
        stated = Scatter(1e-6, inf)
        other = compare([x + 0.2 for x in PROBE], slurries, stated)
        difference = compare(PROBE, slurries, stated).offset - other.offset
        assert difference.s < 1e-5

    @given(st.lists(st.floats(4.0, 7.0), min_size=1, max_size=8), st.floats(-2.0, 2.0))
    def test_is_what_was_put_in(self, slurry: list[float], offset: float) -> None:
        pairs = compare([y + offset for y in slurry], slurry)
        assert pairs.offset.n == pytest.approx(offset, abs=1e-9)

    @given(st.permutations(range(8)))
    def test_does_not_depend_on_the_order_of_the_pairs(self, order: list[int]) -> None:
        shuffled = compare([PROBE[i] for i in order], [SLURRY[i] for i in order])
        straight = compare(PROBE, SLURRY)
        assert shuffled.offset.n == pytest.approx(straight.offset.n, abs=1e-12)
        assert shuffled.limits == pytest.approx(straight.limits, abs=1e-9)


def test_the_limits_cover_the_next_pair_as_they_say() -> None:
    # 400 probes of true scatter 0.3, two pairs each, each judged on 20 new spots.
    rng = np.random.default_rng(3)
    covered = []
    for _ in range(400):
        offset = rng.normal(0.0, 0.5)
        slurry = rng.uniform(4.8, 6.6, 22)
        probe = slurry + offset + rng.normal(0.0, 0.3, 22)
        low, high = compare(probe[:2].tolist(), slurry[:2].tolist()).limits
        covered.append(np.mean((probe[2:] - slurry[2:] >= low) & (probe[2:] - slurry[2:] <= high)))
    assert np.mean(covered) >= 0.95


def test_a_comparison_says_the_mean_difference_and_not_what_an_indication_means() -> None:
    said = repr(compare([5.9, 6.1], [5.4, 5.7]))
    assert "On average the probe shows 0.45 more than a slurry of the same spot, by 2 pairs." in said
    assert not hasattr(compare([5.9], [5.4]), "correct")


def test_pairs_that_scatter_more_than_expected_are_flagged() -> None:
    pairs = compare([5.0, 6.9, 5.1, 6.8], [5.9, 5.8, 6.0, 5.9], expected=Scatter(0.2, inf))
    assert "scatters-more" in kinds(pairs)
    assert "scatters-more" not in kinds(compare(PROBE, SLURRY))


@pytest.mark.parametrize(
    ("probe", "slurry", "says"),
    [
        ([5.9, 6.1], [5.4], "2 probe indications and 1 slurries"),
        ([], [], "at least one pair"),
        ([5.9], [59], "did you mean `5.9`"),
        (["wet"], [5.4], "wet"),
        ([float("nan")], [5.4], "nan"),
        ([5.9], [float("inf")], "inf"),
        (5.9, 5.4, "two lists"),
        ("5.9", "5.4", "two lists"),
        ([5.9], [ufloat(54.0, 0.1)], "54"),
    ],
)
def test_what_cannot_be_compared_is_refused_in_one_sentence(probe: object, slurry: object, says: str) -> None:
    with pytest.raises(Refusal, match=says):
        compare(probe, slurry)  # type: ignore[arg-type]


def test_the_pairs_alone_need_two() -> None:
    with pytest.raises(Refusal, match="degrees of freedom"):
        compare([5.9], [5.4], expected=None)


def test_pairs_alone_that_agree_to_the_last_digit_claim_no_certainty() -> None:
    # JCGM 100:2008 (GUM) F.2.2.1: equal indications do not show that nothing scatters.
    offset = [5.9, 6.1], [5.4, 5.6]
    for probe, slurry in (offset, ([5.0, 5.5, 6.0], [4.5, 5.0, 5.5])):
        with pytest.raises(Refusal, match="nothing scatters"):
            compare(probe, slurry, expected=None)
        assert half_width(compare(probe, slurry).offset) > 0.1
    stepped = compare([5.9, 6.1], [5.4, 5.6], expected=None, resolution=0.1)
    assert stepped.scatter_sd == pytest.approx(0.1 / sqrt(12), rel=1e-9)


def test_a_bare_number_is_no_expectation() -> None:
    with pytest.raises(Refusal, match=r"Scatter\(0.10, 2\)"):
        compare([5.9], [5.4], expected=0.4)  # type: ignore[arg-type]
