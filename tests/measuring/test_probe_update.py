"""What an indication adds to the record: limits it tends to, the gate, and what it says."""

from __future__ import annotations

from itertools import pairwise
from math import inf, sqrt

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from slurrycalc.measuring.probe import (
    Before,
    ProbeResponse,
    Update,
    bed_before,
    response,
    update,
    without_record,
)
from slurrycalc.metrology.coverage import half_width, probability
from slurrycalc.metrology.line import straight_line
from slurrycalc.metrology.remark import Refusal
from slurrycalc.metrology.scatter import Scatter
from slurrycalc.metrology.uncertain import covariance, nameless

SLURRY = [5.0, 5.1, 5.0, 5.2, 6.5, 6.6, 6.5, 6.4]
PROBE = [5.4, 5.6, 5.5, 5.5, 6.9, 7.1, 7.0, 6.7]
HONEST = response(PROBE, SLURRY)
UNPROVEN = response(PROBE[:4], SLURRY[:4])
DEAD = response([6.0, 6.1, 6.0, 5.9, 6.1, 6.0, 6.0, 6.1], SLURRY)


def bed(**other: object) -> Before:
    said: dict[str, object] = {"rate": -0.05, "months": 2.0, "spot_variance": 0.01, **other}
    return bed_before(5.3, 0.1, **said)  # type: ignore[arg-type]


def kinds(found: Update) -> list[str]:
    return [remark.kind for remark in found.remarks]


def test_the_three_probes_of_these_tests_are_what_they_are_called() -> None:
    assert [one.state for one in (HONEST, UNPROVEN, DEAD)] == ["follows", "not shown yet", "does not follow"]


class TestBefore:
    def test_of_a_spot_has_the_bed_s_doubt_what_was_not_read_and_the_spot(self) -> None:
        assert bed().ph.s == pytest.approx(sqrt(0.1**2 + (0.05 * 2) ** 2 + 0.01))
        assert bed(measurand="bed").ph.s == pytest.approx(sqrt(0.1**2 + (0.05 * 2) ** 2))

    def test_of_a_steady_bed_still_doubts_what_was_not_read(self) -> None:
        assert bed(rate=0.0, measurand="bed").ph.s == pytest.approx(sqrt(0.1**2 + (0.02 * 2) ** 2))

    def test_has_the_shared_calibration_once(self) -> None:
        bottle = nameless(0.03, "bottle")
        found = bed(shared=0.0 + bottle)
        assert covariance(found.ph, 0.0 + bottle) == pytest.approx(0.03**2)
        assert found.ph.n == 5.3

    @pytest.mark.parametrize(
        "wrong", [{"months": -1.0}, {"spot_variance": -0.1}, {"months": inf}, {"rate": float("nan")}]
    )
    def test_is_refused_of_what_cannot_be(self, wrong: dict[str, float]) -> None:
        with pytest.raises(Refusal, match="cannot be the"):
            bed(**wrong)


class TestUpdate:
    def test_is_that_of_a_bed_and_an_indication_written_out(self) -> None:
        before, months, k = bed(), 4.0, 1
        g, u_g, s, n = HONEST.gain.n, HONEST.gain.s, HONEST.sd, HONEST.n
        m, u_m = before.ph.n, before.ph.s
        v = s**2 * (1 / k + 1 / n) + 0.05**2 * months + u_g**2 * ((m - np.mean(SLURRY)) ** 2 + u_m**2)
        K = g * u_m**2 / (g**2 * u_m**2 + v)
        found = update(before, HONEST, 5.2, months)
        assert found.weight == pytest.approx(K, rel=1e-9)
        away = 5.2 - np.mean(PROBE) - g * (m - np.mean(SLURRY))
        assert found.ph.n == pytest.approx(m + K * away, rel=1e-12)
        assert found.ph.s == pytest.approx(sqrt(1 - K * g) * u_m, rel=1e-9)

    def test_of_the_bed_s_mean_has_the_spots_in_the_indications(self) -> None:
        before, k = bed(measurand="bed", spot_variance=0.04), 3
        g, n, m, u_m = HONEST.gain.n, HONEST.n, before.ph.n, before.ph.s
        v = HONEST.sd**2 * (1 / k + 1 / n) + HONEST.gain.s**2 * ((m - np.mean(SLURRY)) ** 2 + u_m**2)
        v += g**2 * 0.04 / k
        found = update(before, HONEST, [5.1, 5.2, 5.3])
        assert found.weight == pytest.approx(g * u_m**2 / (g**2 * u_m**2 + v), rel=1e-9)
        assert found.text.startswith("The bed's mean: ")

    def test_tends_to_the_inverse_of_the_line_where_nothing_is_known_before(self) -> None:
        # The gain's doubt grows with the bed's, so the limit is that of a gain known well: 16,000 pairs.
        line = straight_line(SLURRY, PROBE, 1e-9, 0.2)
        many = response(PROBE * 2000, SLURRY * 2000, Scatter(0.2, inf), gain=None)
        found = update(bed_before(6.0, 3.0, rate=0.0, months=0.0, spot_variance=0.0), many, 5.8)
        assert found.ph.n == pytest.approx((5.8 - line.intercept.n) / line.slope.n, abs=0.005)
        assert found.ph.s == pytest.approx(0.2 / line.slope.n, rel=0.01)

    @pytest.mark.parametrize("u", [0.5, 1.0, 2.0])
    def test_of_a_wide_bed_lies_within_the_doubt_of_the_line_turned_round(self, u: float) -> None:
        line = straight_line(SLURRY, PROBE, 1e-9, 0.2)
        known = response(PROBE, SLURRY, Scatter(0.2, inf), gain=None)
        found = update(bed_before(5.8, u, rate=0.0, months=0.0, spot_variance=0.0), known, 6.0)
        inverse = (6.0 + nameless(0.2, "indication") - line.intercept) / line.slope
        assert found.ph.n == pytest.approx(inverse.n, abs=0.1 * inverse.s + 0.2 * inverse.s / u**2)
        assert found.ph.s <= u

    def test_leaves_the_record_as_it_is_where_the_probe_scatters_without_end(self) -> None:
        poor = response(PROBE, SLURRY, Scatter(50.0, inf), gain=(1.0, 0.01))
        found = update(bed(), poor, 4.0)
        assert found.state == "follows"
        assert found.ph.n == pytest.approx(5.3, abs=1e-3)
        assert half_width(found.ph) == pytest.approx(half_width(bed().ph), rel=1e-3)

    def test_keeps_what_bed_and_pairs_share_and_narrows_the_rest(self) -> None:
        bottle = nameless(0.05, "bottle")
        pairs = response(PROBE, [ph + bottle for ph in SLURRY])
        shared = update(bed(shared=0.0 + bottle), pairs, 5.2)
        alone = update(bed(), HONEST, 5.2)
        assert covariance(shared.ph, 0.0 + bottle) == pytest.approx(0.05**2, rel=1e-9)
        assert shared.ph.s == pytest.approx(sqrt(alone.ph.s**2 + 0.05**2), rel=1e-3)
        assert shared.ph.n == pytest.approx(alone.ph.n, abs=1e-4)

    def test_counts_a_calibration_that_only_the_pairs_have_as_doubt_of_the_probe(self) -> None:
        bottle = nameless(0.2, "bottle")
        doubtful = update(bed(), response(PROBE, [ph + bottle for ph in SLURRY]), 5.2)
        known = update(bed(), HONEST, 5.2)
        assert doubtful.weight < known.weight
        assert doubtful.ph.s > known.ph.s

    def test_of_older_pairs_counts_for_less_and_of_later_ones_for_no_more(self) -> None:
        weights = [update(bed(), HONEST, 5.2, months).weight for months in (-3.0, 0.0, 6.0, 24.0)]
        assert weights[0] == weights[1] > weights[2] > weights[3]

    def test_of_several_indications_counts_for_more(self) -> None:
        assert update(bed(), HONEST, [5.2] * 4).ph.s < update(bed(), HONEST, 5.2).ph.s

    def test_takes_words_as_numbers_and_refuses_what_shows_no_ph(self) -> None:
        assert update(bed(), HONEST, "5.2").ph.n == update(bed(), HONEST, [5.2]).ph.n
        with pytest.raises(Refusal, match="no indication was given"):
            update(bed(), HONEST, [])
        with pytest.raises(Refusal, match="the probe's indication"):
            update(bed(), HONEST, 15.0)


def integrated(before: Before, shows: float, p: float = 0.95) -> tuple[float, float, float]:
    """Integrate the pH over gain and scatter, by the honest probe's pairs: low, middle, high."""
    dx, dy, n = np.subtract(PROBE, np.mean(PROBE)), np.subtract(SLURRY, np.mean(SLURRY)), len(PROBE)
    gain, s = np.linspace(-0.5, 2.0, 251)[:, None, None], np.exp(np.linspace(-4.0, 1.0, 81))[None, :, None]
    ph = np.linspace(3.0, 8.0, 501)[None, None, :]
    square = ((dx[:, None] - np.outer(dy, gain.ravel())) ** 2).sum(axis=0)[:, None, None]
    ln_p = -0.5 * square / s**2 - (n - 1 + 2) * np.log(s) - 2 * 0.30**2 / (2 * s**2)
    ln_p = ln_p - 0.5 * ((gain - 0.8) / 0.4) ** 2 - 0.5 * ((ph - before.ph.n) / before.ph.s) ** 2
    variance = s**2 * (1 + 1 / n)
    away = shows - np.mean(PROBE) - gain * (ph - np.mean(SLURRY))
    ln_p = ln_p - 0.5 * away**2 / variance - 0.5 * np.log(variance)
    density = np.exp(ln_p - ln_p.max()).sum(axis=(0, 1))
    cumulated = np.cumsum(density / density.sum())
    low, middle, high = np.interp([(1 - p) / 2, 0.5, (1 + p) / 2], cumulated, ph.ravel())
    return float(low), float(middle), float(high)


@pytest.mark.parametrize("u", [0.1, 0.3, 1.0])
@pytest.mark.parametrize("shows", [5.2, 5.7, 6.3])
def test_the_update_agrees_with_integration_over_gain_scatter_and_ph(u: float, shows: float) -> None:
    before = bed_before(5.3, u, rate=0.0, months=0.0, spot_variance=0.0)
    found, (low, middle, high) = update(before, HONEST, shows), integrated(before, shows)
    half = (high - low) / 2
    assert found.ph.n == pytest.approx(middle, abs=0.35 * half)
    # Narrower only where indication and record stray from each other, and then a slurry is asked for.
    assert 0.88 * half <= found.interval().half_width <= 1.05 * half


pairs_of_any_probe = st.lists(
    st.tuples(st.floats(3.0, 9.0), st.floats(4.0, 8.0)), min_size=1, max_size=12
).map(lambda rows: response([x for x, _ in rows], [y for _, y in rows]))
beds = st.builds(
    bed_before,
    st.floats(4.0, 7.0),
    st.floats(0.02, 1.0),
    rate=st.floats(-0.3, 0.3),
    months=st.floats(0.0, 12.0),
    spot_variance=st.floats(0.0, 0.1),
    dof=st.sampled_from([2.0, 5.0, inf]),
    measurand=st.sampled_from(["spot", "bed"]),
    overdue=st.booleans(),
)


class TestLaws:
    @given(
        pairs_of_any_probe | st.sampled_from([HONEST, UNPROVEN, DEAD]),
        beds | st.builds(without_record),
        st.lists(st.floats(3.0, 9.0), min_size=2, max_size=4).map(sorted),
        st.floats(0.0, 12.0),
    )
    def test_the_answer_never_falls_as_the_indication_rises(
        self, pairs: ProbeResponse, before: Before, shown: list[float], months: float
    ) -> None:
        found = [update(before, pairs, shows, months) for shows in shown]
        for lower, higher in pairwise(found):
            assert lower.ph.n <= higher.ph.n + 1e-9
            assert lower.interval().low <= higher.interval().low + 1e-9
            above = [probability(one.ph, above=5.0) for one in (lower, higher)]
            assert above[0] <= above[1] + 1e-9
            assert lower.says_above(5.0) <= higher.says_above(5.0)
            assert lower.warns_of(5.0) >= higher.warns_of(5.0)

    @given(beds | st.builds(without_record), st.floats(3.0, 9.0), st.floats(0.0, 12.0))
    def test_a_probe_that_does_not_follow_moves_nothing(
        self, before: Before, shows: float, months: float
    ) -> None:
        found = update(before, DEAD, shows, months)
        assert found.weight == 0.0
        assert (found.ph.n, found.ph.s) == (before.ph.n, before.ph.s)
        assert found.interval() == before.interval()
        assert not found.says_above(4.0)

    @given(beds | st.builds(without_record), st.floats(3.0, 9.0), st.floats(0.0, 12.0))
    def test_a_probe_not_shown_to_follow_neither_raises_nor_narrows_nor_reassures(
        self, before: Before, shows: float, months: float
    ) -> None:
        found = update(before, UNPROVEN, shows, months)
        assert found.ph.n <= before.ph.n
        assert half_width(found.ph) == half_width(before.ph)
        assert not found.says_above(3.0)

    @given(beds, st.floats(3.0, 9.0), st.floats(0.0, 12.0))
    def test_no_probe_reassures_past_three_months_or_past_the_day_to_read_again(
        self, before: Before, shows: float, months: float
    ) -> None:
        assume(before.overdue or (before.months or 0.0) > 3.0)
        found = update(before, HONEST, shows, months)
        assert not found.says_above(3.0)
        assert found.needs_slurry
        assert "slurry-first" in kinds(found)

    @given(beds, st.floats(3.0, 9.0))
    def test_the_doubt_after_is_never_more_than_before(self, before: Before, shows: float) -> None:
        assert update(before, HONEST, shows).ph.s <= before.ph.s + 1e-12


class TestWords:
    def test_of_one_that_follows_are_the_record_s_and_then_the_probe_s(self) -> None:
        found = update(bed_before(4.89, 0.35, rate=-0.1, months=2.0, spot_variance=0.01), HONEST, 5.0)
        assert found.text == "This spot: your slurries say 4.89 ± 0.81 today. With the probe: 4.62 ± 0.38."
        assert kinds(found) == ["outside-pairs"]

    def test_of_one_not_shown_say_what_it_may_and_how_to_show_it(self) -> None:
        high, low = update(bed(), UNPROVEN, 6.5), update(bed(), UNPROVEN, 4.5)
        assert high.text == "This spot: your slurries say 5.30 ± 0.34 today. The probe adds nothing."
        assert low.text.startswith("This spot: your slurries say 5.30 ± 0.34 today. The probe warns of ")
        (said,) = (remark.text for remark in high.remarks if remark.kind == "not-yet-shown")
        assert said == (
            "Not yet shown to follow: it may warn, not reassure. Take six to ten pairs, half of them in "
            "fresh mix."
        )

    def test_of_a_dead_one_send_to_the_slurries(self) -> None:
        found = update(bed(), DEAD, 6.0)
        assert found.text == "This spot: your slurries say 5.30 ± 0.34 today. The probe adds nothing."
        assert "does-not-follow" in kinds(found)

    def test_ask_for_a_slurry_where_record_and_probe_disagree_whatever_the_probe(self) -> None:
        for probe in (HONEST, UNPROVEN, DEAD):
            for shows in (4.0, 8.0):
                found = update(bed(), probe, shows)
                assert found.needs_slurry
                assert found.agreement < 0.05
                assert "disagrees-with-record" in kinds(found)
        assert not update(bed(), HONEST, 5.7).needs_slurry

    def test_without_a_record_say_so(self) -> None:
        found = update(without_record(), HONEST, 5.7)
        assert found.text.startswith("This spot: without slurries of its bed 6.0 ± 2.0. With the probe: ")
        assert found.says_above(3.0)
        assert not update(without_record(), HONEST, 5.7, months=4.0).says_above(3.0)
        assert "slurry-first" in kinds(update(without_record(), HONEST, 5.7, months=4.0))
