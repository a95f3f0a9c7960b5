"""One enclosure's pH: replicates, spots, expectation, flags, and advice with its figure."""

from __future__ import annotations

from math import hypot, inf, sqrt

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import stats
from uncertainties import UFloat, ufloat

from slurrycalc.measuring.electrode import Calibration, Meter, calibrate
from slurrycalc.measuring.electrode.buffers import Bottle
from slurrycalc.measuring.slurry import SlurryResult, slurry_ph
from slurrycalc.measuring.slurry.advice import future
from slurrycalc.measuring.slurry.duplicates import beyond, duplicate_remark, limit
from slurrycalc.measuring.slurry.prospect import Footing, prospect
from slurrycalc.measuring.slurry.spots import spots
from slurrycalc.metrology.budget import budget
from slurrycalc.metrology.coverage import half_width, probability
from slurrycalc.metrology.remark import Refusal
from slurrycalc.metrology.scatter import Scatter
from slurrycalc.metrology.uncertain import Inputs, Source, linear

POINTS = [("4.01", 178.2, 22.0), ("7.00", 1.8, 22.0)]


@pytest.fixture
def cal() -> Calibration:
    return calibrate(POINTS, Meter("mV"))


def kinds(result: SlurryResult) -> list[str]:
    return [remark.kind for remark in result.remarks]


class TestMean:
    def test_is_the_closed_form_of_an_informative_type_a_evaluation(self) -> None:
        # check-values "informative-type-a": a scaled inverse chi-square prior gives t with nu0 + n - 1.
        result = slurry_ph(None, [linear(5.40, {}), linear(5.52, {})], expected=Scatter(0.10, 2))
        assert result.ph.n == pytest.approx(5.46)
        assert result.scatter_dof == 3
        assert result.scatter_sd == pytest.approx(0.09522, abs=0.000005)
        assert result.interval().half_width == pytest.approx(0.2143, abs=0.00005)

    def test_alone_is_student_s_interval(self) -> None:
        values = [5.40, 5.52, 5.61]
        result = slurry_ph(None, [linear(value, {}) for value in values], expected=None)
        reference = stats.ttest_1samp(values, 0.0).confidence_interval(0.95)
        assert result.interval() == pytest.approx((reference.low, reference.high), rel=1e-9)

    def test_takes_numbers_texts_and_pairs_alike(self, cal: Calibration) -> None:
        ways = (
            slurry_ph(cal, [84.3, 85.1], 21.0),
            slurry_ph(cal, ["84.3 mV", "85.1mV"], "21 C"),
            slurry_ph(cal, [(84.3, 21.0), ("85.1 mV", "21 C")]),
            slurry_ph(cal, [84.3, 85.1], [21.0, "21 C"]),
            slurry_ph(cal, [cal.ph(84.3, 21.0), cal.ph(85.1, 21.0)]),
        )
        assert {(round(way.ph.n, 12), round(way.interval().half_width, 12)) for way in ways} == {
            (round(ways[0].ph.n, 12), round(ways[0].interval().half_width, 12))
        }

    @given(st.permutations([83.1, 84.3, 85.1, 86.0]))
    @settings(max_examples=15)
    def test_does_not_depend_on_the_order_of_the_jars(self, readings: list[float]) -> None:
        cal = calibrate(POINTS, Meter("mV"))
        assert slurry_ph(cal, readings, 21.0).interval() == pytest.approx(
            slurry_ph(cal, sorted(readings), 21.0).interval(), abs=1e-12
        )

    @given(st.floats(0.5, 0.98), st.floats(1e-3, 0.019))
    def test_has_an_interval_that_grows_with_p(self, p: float, more: float) -> None:
        result = slurry_ph(None, [ufloat(5.4, 0.01), ufloat(5.5, 0.01)])
        assert result.interval(p + more).half_width > result.interval(p).half_width

    def test_keeps_the_calibration_s_error_whole_with_many_slurries(self, cal: Calibration) -> None:
        one = cal.ph(84.3, 21.0)
        shared = sqrt(cal.ph(84.3, 21.0).s ** 2 - 0.0055**2)
        many = slurry_ph(cal, [84.3 + 0.1 * (i % 5) for i in range(60)], 21.0, expected=None)
        assert one.s > many.ph.s > 0.95 * shared

    def test_of_jars_that_show_the_same_counts_the_display_s_step(self, cal: Calibration) -> None:
        # JCGM 100:2008 (GUM) F.2.2.1: equal indications do not show that nothing scatters.
        by_ph = calibrate([("4.01", 4.03, 22.0), ("7.00", 7.02, 22.0)], Meter("pH", resolution=0.05))
        assert slurry_ph(by_ph, [5.40, 5.40], expected=None).scatter_sd == pytest.approx(
            0.05 / sqrt(12), rel=1e-3
        )
        coarse = calibrate(POINTS, Meter("mV", resolution=2.0, repeatability=0.1))
        assert coarse.slope is not None
        tied = slurry_ph(coarse, [84.0, 84.0], 25.0, expected=None)
        assert tied.scatter_sd == pytest.approx(2.0 / coarse.slope.n / sqrt(12), rel=1e-9)

    def test_of_two_enclosures_differs_without_what_they_share(self, cal: Calibration) -> None:
        stated = Scatter(0.0, inf)
        window, atlas = (slurry_ph(cal, [reading] * 2, 21.0, expected=stated) for reading in (84.3, 84.4))
        assert (window.ph - atlas.ph).s < 0.009 < window.ph.s


class TestSameSpots:
    def test_are_averaged_first_and_count_as_one(self, cal: Calibration) -> None:
        result = slurry_ph(cal, [84.0, 86.0, 90.0], 21.0, spots=["a", "a", "b"])
        assert (len(result.jars), result.n) == (3, 2)
        averaged = slurry_ph(cal, [85.0, 90.0], 21.0)
        assert result.ph.n == pytest.approx(averaged.ph.n, abs=1e-9)
        assert result.scatter_dof == averaged.scatter_dof
        assert "same-spots" in kinds(result)

    def test_alone_leave_one_slurry(self, cal: Calibration) -> None:
        result = slurry_ph(cal, [84.0, 86.0], 21.0, spots=["a", "a"])
        assert result.n == 1
        assert result.own_share == 0.0
        assert result.interval().half_width > 0.4
        with pytest.raises(Refusal, match="degrees of freedom"):
            slurry_ph(cal, [84.0, 86.0], 21.0, spots=["a", "a"], expected=None)

    def test_unmarked_jars_have_spots_of_their_own(self, cal: Calibration) -> None:
        assert slurry_ph(cal, [84.0, 86.0], 21.0, spots=[None, None]).n == 2
        assert slurry_ph(cal, [84.0, 86.0], 21.0, spots=["a", "b"]).n == 2


class TestExpectation:
    @pytest.mark.parametrize(
        ("n", "expected", "says"),
        [
            (2, Scatter(0.10, 2), "count 1 part in 3"),
            (3, Scatter(0.10, 2), "count 1 part in 2"),
            (4, Scatter(0.10, 2), "count 3 parts in 5"),
            (2, Scatter(0.10, 2.5), "count 29%"),
            (2, None, "your own slurries alone"),
            (2, Scatter(0.10, inf), "a stated one"),
            (1, Scatter(0.10, 2), "one slurry shows no scatter"),
        ],
    )
    def test_is_said_with_how_much_rests_on_it(
        self, cal: Calibration, n: int, expected: Scatter | None, says: str
    ) -> None:
        result = slurry_ph(cal, [84.3 + i for i in range(n)], 21.0, expected=expected)
        assert says in result.rests_on

    def test_from_an_enclosure_s_own_past_counts_in_full(self, cal: Calibration) -> None:
        past = Scatter(0.05, 8)
        result = slurry_ph(cal, [84.3, 85.1], 21.0, expected=past)
        assert result.scatter_dof == 9
        assert result.interval().half_width < slurry_ph(cal, [84.3, 85.1], 21.0).interval().half_width

    def test_stated_as_0_05_gives_the_normal_interval(self) -> None:
        result = slurry_ph(None, [linear(5.4, {}), linear(5.5, {})], expected=Scatter(0.05, inf))
        assert result.interval().half_width == pytest.approx(1.959964 * 0.05 / sqrt(2), rel=1e-6)

    def test_passed_by_far_is_flagged(self, cal: Calibration) -> None:
        calm = slurry_ph(cal, [84.3, 85.1, 86.0], 21.0, expected=Scatter(0.10, 20))
        wild = slurry_ph(cal, [60.0, 84.0, 105.0], 21.0, expected=Scatter(0.10, 20))
        assert "scatters-more" not in kinds(calm)
        assert "scatters-more" in kinds(wild)

    def test_is_passed_by_chance_1_time_in_100(self) -> None:
        rng = np.random.default_rng(8)
        flagged = 0
        for _ in range(600):
            jars = [linear(5.5 + rng.normal(0.0, 0.10), {}) for _ in range(3)]
            flagged += "scatters-more" in kinds(slurry_ph(None, jars, expected=Scatter(0.10, inf)))
        assert flagged <= stats.binom.ppf(0.999, 600, 0.01)
        assert flagged >= 1


class TestDuplicates:
    def test_good_ones_lie_farther_apart_as_often_as_is_said(self) -> None:
        rng = np.random.default_rng(1)
        for sd, said in ((0.05, 0.03), (0.10, 0.29)):
            apart = np.abs(np.diff(rng.normal(0.0, sd, (200_000, 2)))).ravel() > 0.15
            assert beyond(0.15, sd) == pytest.approx(apart.mean(), abs=0.004)
            assert beyond(0.15, sd) == pytest.approx(said, abs=0.005)

    def test_the_range_of_more_slurries_has_its_own_limit(self) -> None:
        rng = np.random.default_rng(2)
        spread = np.ptp(rng.normal(0.0, 0.10, (100_000, 4)), axis=1)
        assert beyond(0.25, 0.10, 4) == pytest.approx(np.mean(spread > 0.25), abs=0.005)
        # ISO 5725-6: critical ranges 2.8, 3.3, 3.6 (from memory) times one standard deviation.
        factors = [limit(n) / limit(2) * 2.77 for n in (2, 3, 4)]
        assert factors == pytest.approx([2.8, 3.3, 3.6], abs=0.05)

    def test_are_flagged_with_how_often_good_ones_lie_as_far_apart_as_these(self, cal: Calibration) -> None:
        result = slurry_ph(cal, [84.3, 94.0], 21.0)
        (said,) = (remark.text for remark in result.remarks if remark.kind == "far-apart")
        width = abs(result.slurries[0].n - result.slurries[1].n)
        at_first, at_second = (round(100 * beyond(width, sd)) for sd in (0.05, 0.10))
        assert (at_first, at_second) == (2, 24)
        assert said == (
            "The two slurries lie 0.17 pH apart, farther than the 0.15 that duplicates keep (ISO 10390, from "
            f"memory, borrowed from homogenised soil). Of good ones, {at_first} in 100 lie as far apart as "
            f"these where slurries scatter by 0.05, and {at_second} in 100 at 0.10: mix a third."
        )

    def test_a_difference_that_no_good_ones_show_is_said_once_for_both_scatters(self) -> None:
        remark = duplicate_remark([5.0, 6.2])
        assert remark is not None
        often = "less than 1 in 100 lie as far apart as these, even where slurries scatter by 0.10"
        assert often in remark.text
        assert beyond(1.2, 0.10) < 0.01

    @given(st.floats(5.0, 6.0), st.floats(0.0, 0.15))
    def test_within_the_limit_are_not(self, ph: float, apart: float) -> None:
        assert duplicate_remark([ph, ph + apart]) is None


class TestRemarks:
    def test_a_reading_outside_the_buffers_is_computed_and_said(self, cal: Calibration) -> None:
        result = slurry_ph(cal, [210.0, 211.0], 21.0)
        assert "outside-buffers" in kinds(result)
        assert result.ph.n < 4.0

    def test_a_temperature_that_was_not_read_is_said_once(self, cal: Calibration) -> None:
        assert kinds(slurry_ph(cal, [84.3, 85.1])).count("temperature-not-read") == 1
        assert "temperature-not-read" not in kinds(slurry_ph(cal, [84.3, 85.1], 21.0))

    def test_a_meter_that_compensates_needs_none(self) -> None:
        cal = calibrate([("4.01", 4.03, 22.0), ("7.00", 7.02, 22.0)], Meter("pH"))
        assert "temperature-not-read" not in kinds(slurry_ph(cal, [5.41, 5.47]))


class TestAdvice:
    def test_names_the_next_slurry_with_its_figure(self, cal: Calibration) -> None:
        result = slurry_ph(cal, [84.3, 85.1], 21.0)
        advice = result.advice
        assert (advice.action, advice.n, advice.p_settles) == ("slurries", 1, None)
        assert advice.text.startswith("A third slurry would bring ±0.19 to about ±0.13")
        assert advice.expected_half_width < result.interval().half_width

    def test_s_figure_is_the_median_of_what_a_third_slurry_really_brings(self) -> None:
        rng = np.random.default_rng(12)
        shared = ufloat(0.0, 0.022)
        brought, expected = [], []
        for _ in range(400):
            sd = 0.10 * sqrt(2 / rng.chisquare(2))
            jars = [5.6 + rng.normal(0.0, sd) + shared + ufloat(0.0, 1e-9) for _ in range(3)]
            two = slurry_ph(None, jars[:2])
            brought.append(slurry_ph(None, jars).interval().half_width)
            expected.append(two.advice.expected_half_width)
        below = np.mean(np.array(brought) <= np.array(expected))
        assert below == pytest.approx(0.5, abs=3 * 0.5 / sqrt(400))

    def test_says_that_nothing_helps_where_the_junction_is_the_largest_part(self, cal: Calibration) -> None:
        result = slurry_ph(cal, [84.3, 84.4], 21.0, expected=Scatter(0.005, inf))
        assert result.advice.action == "nothing"
        assert "junction" in result.advice.text
        assert "memory" in result.advice.text

    @pytest.mark.parametrize("buffers", [2, 3])
    def test_names_a_slurry_that_narrows_it_though_the_junction_is_the_largest_part(
        self, buffers: int
    ) -> None:
        points = [("4.01", 4.03, 22.0), ("7.00", 7.02, 22.0), ("10.01", 10.03, 22.0)][:buffers]
        result = slurry_ph(calibrate(points, Meter("pH")), [6.5], 22.0, expected=Scatter(0.017, inf))
        assert "junction" in result.budget.rows[0].name
        one_more = future(result.footing, "slurries", 1).half_width()
        assert one_more < 0.95 * result.interval().half_width
        assert (result.advice.action, result.advice.expected_half_width) == ("slurries", one_more)

    def test_names_a_third_buffer_where_the_bottles_are_the_largest_part(self) -> None:
        cal = calibrate([("4.01", 4.03, 22.0), ("7.00", 7.02, 22.0)], Meter("pH", junction=0.0))
        result = slurry_ph(cal, [6.98] * 4, 22.0, expected=Scatter(0.002, inf))
        assert result.advice.action == "buffer"
        assert "10.01" in result.advice.text

    def test_a_third_buffer_brings_what_is_said(self) -> None:
        meter = Meter("pH", junction=0.0)
        points = [("4.01", 4.03, 22.0), ("7.00", 7.02, 22.0)]
        stated = Scatter(0.002, inf)
        two = slurry_ph(calibrate(points, meter), [6.98] * 4, 22.0, expected=stated)
        # The bottle's pH at 22 degC is 10.06; a meter with this line shows it as 10.10.
        more = calibrate([*points, ("10.01", 10.10, 22.0)], meter)
        three = slurry_ph(more, [6.98] * 4, 22.0, expected=stated)
        assert two.advice.expected_half_width == pytest.approx(three.interval().half_width, rel=0.05)

    def test_another_day_brings_what_is_said(self) -> None:
        inputs = Inputs()
        meter = Meter("mV", repeatability=3.0, name="desk")

        def day() -> list[UFloat]:
            bottles = Bottle("4.01", name="first"), Bottle("7.00", name="second")
            points = [(bottles[0], 178.2, 22.0), (bottles[1], 1.8, 22.0)]
            cal = calibrate(points, meter, inputs=inputs)
            return [cal.ph(84.3, 21.0), cal.ph(85.1, 21.0)]

        stated = Scatter(0.02, inf)
        first, second = day(), day()
        today, then = (slurry_ph(None, jars, expected=stated) for jars in (first, second))
        said = future(today.footing, "day", 2).half_width()
        assert said == pytest.approx(then.interval().half_width, rel=1e-3)
        # The two days lie apart by what both calibrations have of their own.
        moved = [row.contribution for row in budget(then.ph - today.ph).rows if "scatter" not in row.name]
        assert future(today.footing, "day", 2).moves_u == pytest.approx(hypot(*moved), rel=1e-6)

    def test_another_day_brings_nothing_against_bottles_that_are_kept(self) -> None:
        inputs, meter = Inputs(), Meter("mV", resolution=0.01, repeatability=0.01, name="desk")

        def day() -> list[UFloat]:
            bottles = Bottle("4.01", "first", tolerance=0.1), Bottle("7.00", "second", tolerance=0.1)
            points = [(bottles[0], 178.2, 22.0), (bottles[1], 1.8, 22.0)]
            cal = calibrate(points, meter, inputs=inputs)
            return [cal.ph(84.3, 21.0), cal.ph(84.3, 21.0)]

        stated = Scatter(0.001, inf)
        first, second = day(), day()
        today = slurry_ph(None, first, expected=stated)
        then = slurry_ph(None, second, expected=stated).interval().half_width
        assert future(today.footing, "day", 2).half_width() == pytest.approx(then, rel=0.01)
        assert then == pytest.approx(today.interval().half_width, rel=0.01)


class TestOutlook:
    def test_with_nothing_done_is_today_s_interval(self, cal: Calibration) -> None:
        for readings in ([84.3], [84.3, 85.1], [84.3, 90.0, 87.0]):
            result = slurry_ph(cal, readings, 21.0)
            nothing_done = prospect(result.footing, 0).half_width()
            assert nothing_done == pytest.approx(result.interval().half_width, rel=2e-3)

    @pytest.mark.parametrize("dof", [1.0, 1.5, 2.0, 3.0, 30.0, inf])
    @pytest.mark.parametrize("shared", [0.0, 0.003, 0.03, 0.5])
    def test_keeps_its_digits_at_any_probability(self, dof: float, shared: float) -> None:
        ahead = prospect(Footing(2, 0.10, dof, shared, 0.0), 0)
        now = slurry_of(2, 0.10, dof) + (ufloat(0.0, shared) if shared else 0.0)
        for p in (0.02, 0.5, 0.9, 0.99, 0.999, 0.99999):
            assert ahead.half_width(p) == pytest.approx(half_width(now, p), rel=1e-4)
        # A range that the truth lies in with exactly 0.001, far out in the tail of few degrees of freedom.
        out = 0.5 + half_width(now, 0.997)
        inside = probability(now, above=out - 0.5, below=out + 0.5)
        edge = ahead._edges(np.array([0.10]), out - 0.5, out + 0.5, 1.0 - inside)[2]
        assert float(edge[0]) == pytest.approx(0.0, abs=1e-3 * out)

    @pytest.mark.parametrize("more", [1, 3])
    def test_agrees_with_a_monte_carlo(self, more: int) -> None:
        rng = np.random.default_rng(1)
        size, n, s, dof = 100_000, 2, 0.10, 3.0
        sd = s * np.sqrt(dof / rng.chisquare(dof, size))
        mean = rng.standard_normal(size) * sd / sqrt(n)
        new = mean[:, None] + sd[:, None] * rng.standard_normal((size, more))
        moved = new.sum(axis=1) / (n + more)
        within = ((new - new.mean(axis=1, keepdims=True)) ** 2).sum(axis=1)
        between = n * more / (n + more) * new.mean(axis=1) ** 2
        scatter = np.sqrt((dof * s**2 + within + between) / (dof + more))
        grid = np.geomspace(scatter.min(), scatter.max(), 60)
        shared = ufloat(0.0, 0.03)
        one_sided = [
            half_width(slurry_of(n + more, each, dof + more) + shared, 0.90) for each in grid.tolist()
        ]
        needed = np.interp(scatter, grid, one_sided)
        ahead = prospect(Footing(n, s, dof, 0.03, 0.0), more)
        assert ahead.median_scatter == pytest.approx(np.median(scatter), rel=0.01)
        for centre in (0.0, 0.1, 0.2):
            settled = np.mean(np.abs(centre + moved) >= needed)
            assert ahead.settles(5.0 + centre, 5.0, inf) == pytest.approx(settled, abs=0.012)
            assert ahead.settles(5.0 - centre, -inf, 5.0) == pytest.approx(settled, abs=0.012)
            # A wide range is two limits of which only the near one matters.
            assert ahead.settles(5.0 + centre, 5.0, 9.0) == pytest.approx(settled, abs=0.012)


def slurry_of(n: int, sd: float, dof: float) -> UFloat:
    return ufloat(0.0, sd / sqrt(n), tag=Source("scatter", "scatter", "A", dof=dof, group="scatter"))


class TestSpots:
    @pytest.mark.parametrize(("spread", "margin"), [(0.10, 0.10), (0.20, 0.10), (0.20, 0.05), (0.05, 0.3)])
    def test_is_the_smallest_number_that_keeps_the_margin(self, spread: float, margin: float) -> None:
        n = spots(spread, margin)

        def width(k: int) -> float:
            return float(stats.t.ppf(0.975, k - 1)) * spread / sqrt(k)

        assert width(n) <= margin
        assert n == 2 or width(n - 1) > margin

    # Up to 0.8 * 3 at 0.05: beyond, even the most spots would not do.
    @given(st.floats(0.01, 0.8), st.floats(0.05, 1.0), st.floats(1.0, 3.0))
    def test_grows_with_the_spread_and_shrinks_with_the_margin(
        self, spread: float, margin: float, factor: float
    ) -> None:
        assert spots(spread * factor, margin) >= spots(spread, margin)
        assert spots(spread, margin * factor) <= spots(spread, margin)

    @pytest.mark.parametrize(
        ("spread", "margin"), [(-0.1, 0.1), (0.1, 0.0), (0.1, -0.1), (inf, 0.1), (0.1, float("nan")), (1.0,
        1e-4)]
    )
    def test_refuses_what_cannot_be(self, spread: float, margin: float) -> None:
        with pytest.raises(Refusal, match="pH"):
            spots(spread, margin)


@pytest.mark.parametrize(
    ("readings", "options", "says"),
    [
        ([], {}, "no slurry was read"),
        ([84.3, 85.1], {"temperature": [21.0]}, "1 temperatures and 2 readings"),
        ([84.3, 85.1], {"spots": ["a"]}, "marks the spots of 1 jars, and 2"),
        ([84.3, 85.1], {"spots": "ab"}, "`ab`"),
        ([(84.3, 21.0, 1)], {}, "no pair of reading and temperature"),
        (["wet"], {}, "wet"),
        ([float("nan")], {}, "nan"),
        ([8430.0], {}, "8430"),
        (["5.41 pH"], {}, "5.41 pH"),
        ([84.3], {"temperature": "70"}, "70"),
        ([84.3], {"expected": 0.05}, "Scatter"),
        ([84.3], {"expected": None}, "degrees of freedom"),
    ],
)
def test_what_cannot_stand_is_refused_in_one_sentence(
    cal: Calibration, readings: list[object], options: dict[str, object], says: str
) -> None:
    with pytest.raises(Refusal, match=says):
        slurry_ph(cal, readings, **options)  # type: ignore[arg-type]


def test_a_number_without_a_calibration_is_refused() -> None:
    with pytest.raises(Refusal, match="needs a calibration"):
        slurry_ph(None, [84.3])
