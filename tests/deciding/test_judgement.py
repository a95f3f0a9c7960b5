"""Where an enclosure stands, and what would settle an open question."""

from __future__ import annotations

from dataclasses import asdict, is_dataclass
from math import inf, sqrt

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from uncertainties import UFloat, ufloat

from slurrycalc.deciding.judgement import Judgement, judge
from slurrycalc.measuring.electrode import Calibration, Meter, calibrate
from slurrycalc.measuring.probe import ProbeResponse, bed_before, response, update
from slurrycalc.measuring.slurry import SlurryResult, slurry_ph
from slurrycalc.measuring.slurry.advice import future
from slurrycalc.metrology.coverage import probability
from slurrycalc.metrology.remark import Refusal
from slurrycalc.metrology.scatter import Scatter


@pytest.fixture(scope="module")
def cal() -> Calibration:
    return calibrate([("4.01", 178.2, 22.0), ("7.00", 1.8, 22.0)], Meter("mV"))


def at(cal: Calibration, *values: float) -> SlurryResult:
    """Slurries that read about these pH values."""
    return slurry_ph(cal, [178.2 - 59.0 * (ph - 4.0025) for ph in values], 22.0)


def kinds(judgement: Judgement) -> set[str]:
    return {remark.kind for remark in judgement.remarks}


LOW = 5.4
"""Edge about which the simulated days lie. [pH]"""


class TestAnswers:
    @pytest.mark.parametrize(
        ("ph", "u", "in_range", "above_floor"),
        [
            (5.9, 0.10, "yes", "yes"),
            (5.2, 0.10, "no", "yes"),
            (5.1, 0.10, "no", "not settled"),
            (4.7, 0.10, "no", "no"),
            (7.0, 0.10, "no", "yes"),
            (5.4, 0.10, "not settled", "yes"),
            (6.5, 0.10, "not settled", "yes"),
            (5.5, 0.50, "not settled", "not settled"),
        ],
    )
    def test_are_yes_no_or_not_settled(self, ph: float, u: float, in_range: str, above_floor: str) -> None:
        found = judge(ufloat(ph, u))
        assert (found.in_range.state, found.above_floor.state) == (in_range, above_floor)

    def test_turn_at_exactly_the_guard_band(self) -> None:
        # JCGM 106: one-sided 95 % needs 1.645 standard uncertainties.
        assert judge(ufloat(5.0 + 1.6449 * 0.1, 0.1)).above_floor.state == "yes"
        assert judge(ufloat(5.0 + 1.6447 * 0.1, 0.1)).above_floor.state == "not settled"
        assert judge(ufloat(5.0 - 1.6447 * 0.1, 0.1)).above_floor.state == "not settled"
        assert judge(ufloat(5.0 - 1.6449 * 0.1, 0.1)).above_floor.state == "no"

    def test_carry_the_conformance_probability(self) -> None:
        # JCGM 106: beyond a one-sided limit 1.4 u away, 0.92 (from memory).
        assert judge(ufloat(5.14, 0.1)).above_floor.probability == pytest.approx(0.919, abs=0.0005)

    def test_of_an_exact_number_are_sure(self) -> None:
        found = judge(5.9)
        assert (found.in_range.probability, found.above_floor.probability) == (1.0, 1.0)
        assert judge(5.39).in_range.state == "no"
        assert judge(5.4).in_range.state == "yes"

    @given(st.floats(4.0, 8.0), st.floats(0.01, 0.5))
    def test_have_probabilities_that_add_up(self, ph: float, u: float) -> None:
        found = judge(ufloat(ph, u))
        whole = found.below_range + found.in_range.probability + found.above_range
        assert whole == pytest.approx(1.0, abs=1e-9)
        assert 1 - found.above_floor.probability <= found.below_range + 1e-9

    @given(st.floats(4.5, 6.0), st.floats(0.01, 0.4), st.floats(0.0, 0.5))
    def test_about_the_floor_grow_with_the_ph(self, ph: float, u: float, more: float) -> None:
        low, high = (judge(ufloat(value, u)).above_floor.probability for value in (ph, ph + more))
        assert high >= low - 1e-12

    @given(st.floats(4.5, 6.9), st.floats(0.01, 0.4))
    def test_that_need_more_are_never_more_settled(self, ph: float, u: float) -> None:
        easy, hard = (judge(ufloat(ph, u), p=p) for p in (0.9, 0.99))
        for question in ("in_range", "above_floor"):
            states = getattr(easy, question).state, getattr(hard, question).state
            assert states[1] in (states[0], "not settled")


class TestOfAProbe:
    RECORD = bed_before(6.0, 0.05, rate=0.0, months=1.0, spot_variance=0.001)
    SLURRY = (5.0, 5.1, 5.0, 5.2, 6.5, 6.6, 6.5, 6.4)

    def pairs(self, n: int) -> ProbeResponse:
        return response([5.4, 5.6, 5.5, 5.5, 6.9, 7.1, 7.0, 6.7][:n], self.SLURRY[:n])

    def test_that_follows_is_an_answer_like_any(self) -> None:
        found = judge(update(self.RECORD, self.pairs(8), 6.5))
        assert (found.above_floor.state, found.doubts) == ("yes", ())

    def test_that_may_not_reassure_is_never_yes(self) -> None:
        found = judge(update(self.RECORD, self.pairs(4), 6.5))
        assert found.above_floor.probability > 0.99
        assert (found.in_range.state, found.above_floor.state) == ("not settled", "not settled")
        assert not found.settled

    def test_that_disagrees_with_the_record_is_in_doubt_until_a_slurry_is_read(self) -> None:
        found = judge(update(self.RECORD, self.pairs(8), 4.0))
        assert [one.kind for one in found.doubts] == ["disagrees-with-record"]
        assert found.sentences[0] == "By a probe alone, and a slurry comes first."
        assert not found.ready


class TestSayings:
    def test_surely_below_range_and_perhaps_below_the_floor_is_ready_to_be_acted_on(self) -> None:
        found = judge(ufloat(5.1, 0.1))
        assert kinds(found) == {"below-range", "perhaps-below-floor"}
        assert found.ready
        assert found.sentences[0].startswith("Below your range, 5.4 to 6.5")
        assert found.sentences[1].startswith("Not settled whether above the floor, 5.0")

    def test_a_chance_above_1_in_20_of_being_below_the_floor_is_said_even_inside(self) -> None:
        # A wide range down to near the floor: inside at 0.95 while the floor is open needs p below 0.95.
        found = judge(ufloat(5.55, 0.3), target=(5.0, 8.0), floor=5.0, p=0.9)
        assert found.in_range.state == "yes"
        assert "perhaps-below-floor" not in kinds(judge(ufloat(5.6, 0.3), (5.0, 8.0), 5.0, 0.9))
        low = judge(ufloat(5.45, 0.3), target=(5.0, 8.0), floor=5.0, p=0.9)
        assert low.in_range.state == "yes"
        (said,) = (remark.text for remark in low.remarks)
        assert said == "Perhaps below the floor, 5.0: 7 in 100, although it reads inside its range."

    def test_a_sure_case_inside_needs_no_words_and_no_deed(self) -> None:
        found = judge(ufloat(5.9, 0.1))
        assert (found.remarks, found.advice, found.ready) == ((), (), False)

    def test_surely_above_its_range_is_ready_too(self) -> None:
        assert kinds(judge(ufloat(7.2, 0.1))) == {"above-range"}
        assert judge(ufloat(7.2, 0.1)).ready


class TestAdvice:
    def test_is_given_for_each_open_question_and_no_other(self, cal: Calibration) -> None:
        open_floor = judge(at(cal, 5.05, 5.13))
        assert [advice.question for advice in open_floor.advice] == ["above floor"]
        open_both = judge(at(cal, 5.2))
        assert [advice.question for advice in open_both.advice] == ["in range", "above floor"]
        assert judge(at(cal, 5.9, 5.95)).advice == ()

    def test_names_the_fewest_slurries_that_can_be_expected_to_settle_it(self, cal: Calibration) -> None:
        result = at(cal, 5.05, 5.21)
        (advice,) = (each for each in judge(result).advice if each.question == "above floor")
        assert advice.action == "slurries"
        assert advice.p_settles is not None
        assert advice.p_settles >= 0.4

        def expected(n: int) -> tuple[float, bool]:
            ahead = future(result.footing, "slurries", n)
            return ahead.settles(result.ph.n, 5.0, inf), ahead.expected().settles(result.ph.n, 5.0, inf) > 0.5

        assert advice.p_settles == pytest.approx(expected(advice.n)[0])
        assert all(p < 0.5 and not clear for p, clear in map(expected, range(1, advice.n)))
        assert f"±{result.interval().half_width:.2f}" in advice.text

    def test_says_that_nothing_at_the_bench_will_where_that_is_so(self, cal: Calibration) -> None:
        result = at(cal, 5.0, 5.02)
        (advice,) = (each for each in judge(result).advice if each.question == "above floor")
        assert (advice.action, advice.n) == ("nothing", 0)
        assert advice.text.startswith("Nothing that you can do at the bench")
        assert advice.p_settles is not None
        assert advice.p_settles < 0.5

    def test_brings_the_expected_interval_clear_of_the_limit(self, cal: Calibration) -> None:
        for values in ((5.05, 5.21), (5.02, 5.30), (5.2,), (5.0, 5.1, 5.3)):
            result = at(cal, *values)
            (advice,) = (each for each in judge(result).advice if each.question == "above floor")
            assert advice.action == "slurries"
            # One-sided 95 % is the half-width of 90 %.
            clear = future(result.footing, "slurries", advice.n).half_width(0.90) <= result.ph.n - 5.0
            assert clear or (advice.p_settles or 0.0) >= 0.5

    def test_takes_the_third_buffer_where_that_is_enough(self) -> None:
        cal = calibrate([("4.01", 4.03, 22.0), ("7.00", 7.02, 22.0)], Meter("pH", junction=0.0))
        result = slurry_ph(cal, [7.0] * 4, 22.0, expected=Scatter(0.001, inf))
        now = judge(result, target=(5.0, 7.0), floor=5.0)
        assert now.in_range.state == "not settled"
        assert result.footing.third_buffer == "10.01"
        half = result.footing.shared_u * 1.645
        third = result.footing.third_buffer_u * 1.645  # type: ignore[operator]
        assert third < half
        edge = result.ph.n + (half + third) / 2
        (advice,) = judge(result, target=(5.0, edge), floor=5.0).advice
        assert advice.action == "buffer"
        assert "10.01" in advice.text

    def test_takes_the_third_buffer_first_where_slurries_would_do_as_well(self) -> None:
        cal = calibrate([("4.01", 4.03, 22.0), ("7.00", 7.02, 22.0)], Meter("pH", junction=0.0))
        result = slurry_ph(cal, [6.98, 6.98], 22.0, expected=Scatter(0.02, inf))
        edge = result.ph.n + 1.6 * result.ph.s
        for ahead in (future(result.footing, "buffer", 0), future(result.footing, "slurries", 6)):
            assert ahead.expected().settles(result.ph.n, 5.0, edge) > 0.5
        (advice,) = judge(result, target=(5.0, edge)).advice
        assert advice.action == "buffer"

    def test_takes_what_settles_it_in_half_of_the_cases(self) -> None:
        # The mean where it is, not even six more slurries would clear the floor; but it may move either way.
        result = slurry_ph(None, [ufloat(5.075, 1e-3)])
        (advice,) = (each for each in judge(result).advice if each.question == "above floor")
        ahead = future(result.footing, "slurries", advice.n)
        assert ahead.expected().settles(result.ph.n, 5.0, inf) < 0.5
        assert (advice.action, advice.p_settles) == ("slurries", pytest.approx(0.55, abs=0.06))

    def test_is_not_given_for_a_number_whose_making_is_not_known(self) -> None:
        assert judge(ufloat(5.4, 0.1)).advice == ()


@pytest.mark.slow
class TestPSettles:
    """The chance that advice names is the share of such days on which the question is then answered."""

    SHARED = 0.025

    def days(self, more: int, high: float, expected: Scatter) -> tuple[np.ndarray, np.ndarray]:
        """Of simulated days that leave the question open: the chance named, and whether it was answered."""
        rng = np.random.default_rng([3, more])
        said, settled = [], []
        shared = ufloat(0.0, self.SHARED)
        while len(said) < 400:
            # As the expectation has it: any pH, and a scatter drawn from what is expected of it.
            spread = 1.0 if expected.dof == inf else sqrt(expected.dof / rng.chisquare(expected.dof))
            truth = rng.uniform(LOW - 0.4, LOW + 0.4)
            jars = [truth + rng.normal(0.0, expected.sd * spread) + shared for _ in range(2 + more)]
            today = slurry_ph(None, jars[:2], expected=expected)
            if not self.is_open(today.ph, high):
                continue
            said.append(future(today.footing, "slurries", more).settles(today.ph.n, LOW, high))
            settled.append(not self.is_open(slurry_ph(None, jars, expected=expected).ph, high))
        return np.array(said), np.array(settled)

    def is_open(self, ph: UFloat, high: float) -> bool:
        return 0.05 < probability(ph, above=LOW, below=min(high, 99.0)) < 0.95

    @pytest.mark.parametrize(
        ("more", "high", "expected"),
        [
            (1, inf, Scatter(0.10, 2)),
            (3, inf, Scatter(0.10, 2)),
            (6, inf, Scatter(0.10, 2)),
            (2, 5.9, Scatter(0.10, 2)),
            (2, inf, Scatter(0.10, inf)),
        ],
        ids=["one more", "three more", "six more", "a range", "a stated scatter"],
    )
    def test_is_what_happens(self, more: int, high: float, expected: Scatter) -> None:
        said, settled = self.days(more, high, expected)
        assert said.mean() == pytest.approx(settled.mean(), abs=0.05)
        # And not only on average: where more is promised, more is kept.
        for part in np.array_split(np.argsort(said), 3):
            happens = settled[part].mean()
            error = sqrt(max(happens * (1 - happens), 0.01) / part.size)
            assert said[part].mean() == pytest.approx(happens, abs=3 * error + 0.005)


@pytest.mark.parametrize(
    ("options", "says"),
    [
        ({"target": (6.5, 5.4)}, "empty"),
        ({"target": (5.4,)}, "no range and floor"),
        ({"target": ("a", "b")}, "no range and floor"),
        ({"target": (5.4, 65.0)}, "`65`"),
        ({"floor": -1.0}, "`-1`"),
        ({"floor": float("nan")}, "`nan`"),
        ({"floor": 5.6}, "above the range's lower edge"),
        ({"p": 0.5}, "`0.5`"),
        ({"p": 1.0}, "`1`"),
    ],
)
def test_limits_that_cannot_be_are_refused_in_one_sentence(options: dict[str, object], says: str) -> None:
    with pytest.raises(Refusal, match=says):
        judge(5.5, **options)  # type: ignore[arg-type]


@given(st.lists(st.floats(4.0, 7.0), min_size=1, max_size=4))
def test_a_result_and_its_ph_are_judged_alike(values: list[float]) -> None:
    assume(max(values) - min(values) < 2.0)
    result = slurry_ph(None, [ufloat(value, 0.01) for value in values])
    whole, bare = judge(result), judge(result.ph)
    assert (whole.in_range, whole.above_floor) == (bare.in_range, bare.above_floor)
    assert is_dataclass(whole)
    assert asdict(whole.in_range) == asdict(bare.in_range)
