"""How a probe responds to slurry pH: against a grid, against a straight line, and what is shared."""

from __future__ import annotations

from math import inf, sqrt

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from slurrycalc.measuring.probe.response import PROOF, USUAL_GAIN, ProbeResponse, response
from slurrycalc.metrology.line import straight_line
from slurrycalc.metrology.remark import Refusal
from slurrycalc.metrology.scatter import Scatter
from slurrycalc.metrology.uncertain import covariance, nameless

SLURRY = [5.0, 5.1, 5.0, 5.2, 6.5, 6.6, 6.5, 6.4]
PROBE = [5.4, 5.6, 5.5, 5.5, 6.9, 7.1, 7.0, 6.7]


def drawn(gain: float, noise: float, n: int, spread: float, seed: int) -> tuple[list[float], list[float]]:
    rng = np.random.default_rng(seed)
    slurry = rng.normal(5.6, spread, n)
    return (6.0 + gain * (slurry - 5.6) + rng.normal(0.0, noise, n)).tolist(), slurry.tolist()


def grid(probe: list[float], slurry: list[float]) -> tuple[float, float, float]:
    """Integrate the posterior of gain and scatter: mean gain, its sd, and P(gain > 0.5)."""
    dx, dy = np.subtract(probe, np.mean(probe)), np.subtract(slurry, np.mean(slurry))
    n, gain, ln_s = len(dx), np.linspace(-1.5, 3.0, 1801), np.linspace(-4.0, 1.5, 221)
    square = ((dx[:, None] - np.outer(dy, gain)) ** 2).sum(axis=0)
    variance = np.exp(2.0 * ln_s)[:, None]
    # The intercept is flat and integrated out: n - 1 instead of n. Scatter(0.30, 2) is scaled inverse chi2.
    ln_p = -0.5 * square / variance - (n - 1 + 2) * ln_s[:, None] - 2 * 0.30**2 / (2.0 * variance)
    ln_p = ln_p - 0.5 * ((gain - USUAL_GAIN[0]) / USUAL_GAIN[1]) ** 2
    p = np.exp(ln_p - ln_p.max()).sum(axis=0)
    p /= p.sum()
    mean = float(p @ gain)
    return mean, sqrt(float(p @ (gain - mean) ** 2)), float(p[gain > 0.5].sum())


class TestGain:
    @pytest.mark.parametrize("gain", [0.0, 0.5, 1.0])
    @pytest.mark.parametrize(("n", "spread"), [(2, 0.3), (6, 0.1), (6, 0.8), (20, 0.2), (20, 0.8)])
    def test_agrees_with_a_grid_over_gain_and_scatter(self, gain: float, n: int, spread: float) -> None:
        for seed in range(8):
            pairs = drawn(gain, 0.3, n, spread, seed)
            found, (mean, sd, chance) = response(*pairs), grid(*pairs)
            # The closed form takes the scatter as found and the grid averages over it: the gain differs, and
            # is no more flattered than by 0.015, so that the same probes follow.
            assert found.gain.n == pytest.approx(mean, abs=0.5 * sd)
            assert found.gain.s == pytest.approx(sd, rel=0.45)
            assert chance - 0.13 < found.chance < chance + 0.015
            assert (found.state == "follows") == (chance >= 0.95)

    def test_of_many_pairs_agrees_with_the_grid_to_a_hundredth(self) -> None:
        pairs = drawn(0.9, 0.3, 200, 0.6, 1)
        found, (mean, sd, _) = response(*pairs), grid(*pairs)
        assert found.gain.n == pytest.approx(mean, abs=0.01 * sd)
        assert found.gain.s == pytest.approx(sd, rel=0.01)

    def test_without_any_expectation_is_the_straight_line_of_indication_on_slurry(self) -> None:
        found, reference = response(PROBE, SLURRY, None, gain=None), stats.linregress(SLURRY, PROBE)
        assert found.gain.n == pytest.approx(reference.slope, rel=1e-12)
        assert found.gain.s == pytest.approx(reference.stderr, rel=1e-9)
        assert found.dof == len(PROBE) - 2

    def test_with_known_scatter_is_the_line_of_known_uncertainties(self) -> None:
        found = response(PROBE, SLURRY, Scatter(0.2, inf), gain=None)
        line = straight_line(SLURRY, PROBE, 1e-9, 0.2)
        assert found.gain.n == pytest.approx(line.slope.n, rel=1e-9)
        assert found.gain.s == pytest.approx(line.slope.s, rel=1e-6)

    def test_is_not_flattened_by_the_probe_s_own_scatter_as_a_line_the_other_way_is(self) -> None:
        gains, turned = [], []
        for seed in range(200):
            probe, slurry = drawn(1.0, 0.3, 24, 0.2, seed)
            gains.append(response(probe, slurry, gain=None).gain.n)
            turned.append(float(np.polyfit(probe, slurry, 1)[0]))
        assert np.mean(gains) == pytest.approx(1.0, abs=0.08)
        assert np.mean(turned) < 0.4

    def test_is_what_is_expected_where_pairs_lie_at_one_ph(self) -> None:
        found = response([6.0, 6.1, 5.9], [5.5, 5.5, 5.5])
        assert (found.gain.n, found.gain.s) == pytest.approx(USUAL_GAIN)
        assert found.state == "not shown yet"
        assert [remark.kind for remark in found.remarks] == ["pairs-at-one-ph"]

    @given(st.permutations(range(8)), st.floats(-1.5, 1.5), st.floats(-1.5, 1.5))
    def test_knows_no_order_and_no_zero_of_a_scale(self, order: list[int], up: float, down: float) -> None:
        found = response([PROBE[i] + up for i in order], [SLURRY[i] + down for i in order])
        straight = response(PROBE, SLURRY)
        assert found.gain.n == pytest.approx(straight.gain.n, abs=1e-9)
        assert found.chance == pytest.approx(straight.chance, abs=1e-9)

    def test_of_a_coarse_display_that_shows_the_same_twice_scatters_by_its_step_too(self) -> None:
        fine, coarse = (response([5.5, 5.5, 7.0], [5.1, 5.2, 6.5], resolution=r) for r in (0.0, 0.5))
        assert coarse.sd == pytest.approx(sqrt(fine.sd**2 + 0.5**2 / 12))


class TestShared:
    def test_calibration_of_all_slurries_is_in_their_mean_and_not_in_the_gain(self) -> None:
        bottle = nameless(0.05, "bottle")
        found = response(PROBE, [ph + bottle for ph in SLURRY])
        assert found.slurry.s == pytest.approx(0.05)
        assert covariance(found.slurry, 0.0 + bottle) == pytest.approx(0.05**2)
        assert covariance(found.gain, 0.0 + bottle) == pytest.approx(0.0, abs=1e-12)

    def test_slope_of_a_calibration_is_in_the_gain(self) -> None:
        efficiency = nameless(0.02, "efficiency")
        found = response(PROBE, [ph + (ph - 7.0) * efficiency for ph in SLURRY], Scatter(0.2, inf), gain=None)
        # A calibration that stretches the slurries by 2 % shrinks the gain by as much.
        assert covariance(found.gain, 0.0 + efficiency) / 0.02**2 == pytest.approx(-found.gain.n, rel=0.01)

    def test_what_one_slurry_has_alone_is_left_to_the_scatter_of_the_pairs(self) -> None:
        found = response(PROBE, [ph + nameless(0.1, "jar") for ph in SLURRY])
        assert found.slurry.s == 0.0
        assert response([5.9], [5.4 + nameless(0.1, "jar")]).slurry.s == pytest.approx(0.1)


class TestState:
    def of(self, gain: float, n: int = 10) -> ProbeResponse:
        slurry = np.repeat([5.5, 7.0], n // 2) + np.tile([0.0, 0.1], n // 2)
        return response((6.0 + gain * (slurry - 5.5)).tolist(), slurry.tolist())

    def test_goes_by_the_chance_of_a_gain_above_a_half(self) -> None:
        assert [self.of(gain).state for gain in (0.0, 0.5, 1.0)] == [
            "does not follow",
            "not shown yet",
            "follows",
        ]
        chances = [self.of(gain).chance for gain in (0.0, 0.3, 0.6, 0.9)]
        assert chances == sorted(chances)

    def test_prints_a_gain_only_where_the_probe_follows(self) -> None:
        assert self.of(1.0).text[0].startswith("This probe follows your slurries: 1.00 ± 0.")
        assert not any(ch.isdigit() for ch in "".join(self.of(0.0).text + self.of(0.5).text))

    def test_of_a_probe_that_falls_as_ph_rises_is_that_it_does_not_follow(self) -> None:
        assert self.of(-1.0).state == "does not follow"

    def test_of_few_pairs_of_one_bed_is_not_shown(self) -> None:
        found = response([5.9, 6.1, 6.0], [5.4, 5.7, 5.5])
        assert found.state == "not shown yet"
        assert found.text == ("Not yet shown to follow: it may warn, not reassure.", PROOF)

    def test_of_many_pairs_says_how_many_are_missing_and_where(self) -> None:
        bed, fresh = [5.4, 5.5, 5.3, 5.6, 5.5, 5.4], [6.5, 6.6]
        loose = [5.6, 6.4, 5.5, 6.5, 5.4, 6.3, 6.2, 6.3]
        said = [
            response(loose[: len(slurries)], slurries).text[1]
            for slurries in (bed[:5], bed, bed + fresh, [ph + 1.0 for ph in bed] + [5.4, 5.3])
        ]
        assert said == [
            PROOF,
            "Take five more pairs, in fresh mix.",
            "Take three more pairs, in fresh mix.",
            "Take three more pairs, in a bed.",
        ]


def test_pairs_that_stand_alone_and_show_nothing_are_refused() -> None:
    with pytest.raises(Refusal, match="alone show no response"):
        response([6.0, 6.1, 5.9], [5.5, 5.5, 5.5], gain=None)
    with pytest.raises(Refusal, match="alone show no response"):
        response([6.0, 7.1], [5.5, 6.5], None, gain=None)
    with pytest.raises(Refusal, match="agree to the last digit"):
        response([6.0, 6.5, 7.0], [5.5, 6.0, 6.5], None, gain=None)
    with pytest.raises(Refusal, match="make no pairs"):
        response([6.0], [])
