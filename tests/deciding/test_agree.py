"""An outside result against ours: the interval of the difference, E_n, and what cannot be compared."""

from __future__ import annotations

from math import hypot, sqrt

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats
from uncertainties import ufloat

from slurrycalc.deciding.agree import agree
from slurrycalc.deciding.agree.preparation import Preparation, preparation
from slurrycalc.measuring.electrode import calibrate
from slurrycalc.measuring.slurry import slurry_ph
from slurrycalc.metrology.coverage import half_width
from slurrycalc.metrology.remark import Refusal
from slurrycalc.metrology.uncertain import linear

Z = stats.norm.ppf(0.975)


class TestScore:
    # E_n = (x1 - x2)/sqrt(U1^2 + U2^2), ISO 13528:2015; the figures are computed by hand from that formula:
    # 5.60 ± 0.20 against 5.35 ± 0.15 is 0.25/0.25, and against 5.30 ± 0.15 it is 0.30/0.25.
    @pytest.mark.parametrize(("theirs", "e_n", "agrees"), [(5.36, 0.96, True), (5.30, 1.20, False)])
    def test_is_the_difference_over_both_half_widths(self, theirs: float, e_n: float, agrees: bool) -> None:
        found = agree(ufloat(5.60, 0.20 / Z), (theirs, 0.15))
        assert found.e_n == pytest.approx(e_n, rel=1e-9)
        assert found.agrees is agrees
        assert found.interval().half_width == pytest.approx(0.25, rel=1e-9)
        assert f"E_n {e_n:+.2f}" in found.text

    @given(st.floats(4.0, 7.0), st.floats(4.0, 7.0), st.floats(0.01, 0.5), st.floats(0.01, 0.5))
    def test_of_independent_normal_results_says_what_the_interval_says(
        self, one: float, other: float, u_1: float, u_2: float
    ) -> None:
        found = agree(ufloat(one, u_1), ufloat(other, u_2))
        assert found.e_n is not None
        assert found.e_n == pytest.approx((one - other) / (Z * hypot(u_1, u_2)), abs=1e-9)
        if abs(abs(found.e_n) - 1.0) > 1e-9:
            assert found.agrees == (abs(found.e_n) <= 1.0)

    def test_changes_its_sign_with_the_order(self) -> None:
        one, other = ufloat(5.6, 0.1), ufloat(5.4, 0.05)
        there, back = agree(one, other), agree(other, one)
        assert there.e_n == pytest.approx(-back.e_n)  # type: ignore[operator]
        assert there.agrees == back.agrees

    def test_is_not_defined_for_results_that_share_a_source(self) -> None:
        bottle = ufloat(0.0, 0.1)
        found = agree(5.6 + bottle + ufloat(0, 0.01), 5.5 + bottle + ufloat(0, 0.01))
        assert found.e_n is None
        assert found.difference.s == pytest.approx(0.01 * sqrt(2))
        assert not found.agrees
        assert [remark.kind for remark in found.remarks] == ["not-independent"]

    def test_rests_on_our_whole_budget(self) -> None:
        cal = calibrate([("4.01", 178.2, 22.0), ("7.00", 1.8, 22.0)])
        ours = slurry_ph(cal, [84.3, 85.1], 22.0)
        found = agree(ours, "5.48", "1:2 water by volume")
        assert found.ours is ours.ph
        assert found.e_n == pytest.approx(
            (ours.ph.n - 5.48) / hypot(ours.interval().half_width, 0.10), rel=1e-9
        )

    def test_a_result_without_uncertainty_is_given_the_method_s_and_says_so(self) -> None:
        found = agree(ufloat(5.6, 0.1), 5.5)
        assert half_width(found.theirs) == pytest.approx(0.10)
        assert [remark.kind for remark in found.remarks] == ["outside-uncertainty-assumed"]
        assert "soil method 207" in found.remarks[0].text

    def test_disagreement_by_chance_is_as_rare_as_it_says(self) -> None:
        rng = np.random.default_rng(5)
        pairs = 5.5 + rng.normal(0.0, [0.1, 0.05], (2000, 2))
        agreed = [agree(ufloat(a, 0.1), ufloat(b, 0.05)).agrees for a, b in pairs.tolist()]
        assert abs(np.mean(agreed) - 0.95) < 4 * sqrt(0.95 * 0.05 / 2000)


class TestPreparation:
    @pytest.mark.parametrize(
        ("text", "read"),
        [
            ("1:2", Preparation(2.0)),
            ("1:2 water", Preparation(2.0)),
            ("1:2.5 KCl", Preparation(2.5, "KCl")),
            ("1:5 in 0.01 CaCl2 by mass", Preparation(5.0, "CaCl2", "mass")),
            ("1:5 CaCl₂ w/v", Preparation(5.0, "CaCl2", "mass")),
            ("saturated paste", Preparation(None)),
            ("Paste", Preparation(None)),
        ],
    )
    def test_is_read_as_laboratories_write_it(self, text: str, read: Preparation) -> None:
        assert preparation(text) == read
        assert preparation(str(read)) == read

    @pytest.mark.parametrize(
        ("text", "said"),
        [
            ("", "must say one ratio or paste"),
            ("water", "must say one ratio or paste"),
            ("1:2 1:5", "must say one ratio or paste"),
            ("paste 1:2", "must say one ratio or paste"),
            ("1:2 vinegar", "`vinegar` in `1:2 vinegar` says nothing of a preparation"),
            ("5:1", "could be 5 parts of liquid to 1 of substrate, or the reverse; write 1:5"),
            ("2:3", "is no ratio of 1 part of substrate"),
            ("1:0", "is no ratio of 1 part of substrate"),
        ],
    )
    def test_what_cannot_be_read_is_refused(self, text: str, said: str) -> None:
        with pytest.raises(Refusal, match=said):
            preparation(text)

    @pytest.mark.parametrize(
        ("method", "why"),
        [
            ("1:2 CaCl2", "a salt solution gives a lower pH"),
            ("1:5 KCl", "a salt solution gives a lower pH"),
            ("paste", "about 0.25 above a saturated paste"),
            ("1:5 water", "pH rises with the water"),
            ("1:2 by mass", "by mass is several by volume"),
        ],
    )
    def test_another_one_is_refused_with_its_reason(self, method: str, why: str) -> None:
        with pytest.raises(Refusal) as refusal:
            agree(ufloat(5.6, 0.1), (5.5, 0.1), method)
        assert why in str(refusal.value)
        assert "ask for 1:2 in water by volume" in str(refusal.value)

    def test_the_same_one_is_compared_whatever_it_is(self) -> None:
        assert agree(ufloat(5.6, 0.1), (5.5, 0.1), "paste", ours_method="saturated paste").agrees

    def test_a_ratio_without_a_basis_is_taken_by_volume_and_said(self) -> None:
        kinds = [remark.kind for remark in agree(ufloat(5.6, 0.1), (5.5, 0.1), "1:2 water").remarks]
        assert kinds == ["basis-assumed"]
        assert agree(ufloat(5.6, 0.1), (5.5, 0.1), "1:2 by volume").remarks == ()


@pytest.mark.parametrize(
    ("ours", "theirs", "said"),
    [
        ("5.6", (5.5, 0.1), "our `5.6` has no uncertainty"),
        (5.6, (5.5, 0.1), "our `5.6` has no uncertainty"),
        (linear(5.6, {}), (5.5, 0.1), "our `5.6` has no uncertainty"),
        (ufloat(56, 0.1), (5.5, 0.1), "our result: "),
        (ufloat(5.6, 0.1), (55, 0.1), "`55` is no pH"),
        (ufloat(5.6, 0.1), ("abc", 0.1), "`abc`"),
        (ufloat(5.6, 0.1), (5.5, -0.1), "`-0.1` is no half-width"),
        (ufloat(5.6, 0.1), (5.5, float("nan")), "`nan` is no half-width"),
    ],
)
def test_what_cannot_stand_is_refused(ours: object, theirs: object, said: str) -> None:
    with pytest.raises(Refusal, match=said):
        agree(ours, theirs)  # type: ignore[arg-type]


def test_numbers_may_be_texts_with_their_half_widths() -> None:
    found = agree("5.60+-0.20", "5.36 ± 0.15", "1:2 by volume")
    assert found.e_n == pytest.approx(0.96)
    assert found.remarks == ()
