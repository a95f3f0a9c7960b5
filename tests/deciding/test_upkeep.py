"""An upkeep held against a bed of single parcels that is drifted and exchanged step by step."""

from __future__ import annotations

from math import sqrt

import msgspec
import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from uncertainties import ufloat

from slurrycalc.cli import as_json
from slurrycalc.deciding.trend import trend
from slurrycalc.deciding.upkeep import SaltRise, Upkeep, upkeep
from slurrycalc.deciding.upkeep.cycles import Course, cycles, fraction_for_share, steady_share
from slurrycalc.metrology.remark import Refusal

SALTS = SaltRise("60 uS/cm", "0.4 mS/cm", "1.25 mS/cm")


def kinds(plan: Upkeep) -> set[str]:
    return {remark.kind for remark in plan.remarks}


class Bed:
    """A bed of parcels, each with a volume and a buffering capacity of its own, all at one pH.

    Nothing here knows the formulas: acid comes in, is shared out by capacity, and substrate is carried.
    """

    def __init__(self, ph: float) -> None:
        self.ph = ph
        self.volume = [1.0]
        self.capacity = [1.0]

    def acid(self, amount: float) -> None:
        self.ph -= amount / sum(v * c for v, c in zip(self.volume, self.capacity, strict=True))

    def exchange(self, fraction: float, fresh: float, r: float) -> None:
        self.volume = [v * (1 - fraction) for v in self.volume] + [fraction]
        self.capacity.append(r)
        held = [v * c for v, c in zip(self.volume, self.capacity, strict=True)]
        ph = [self.ph] * (len(held) - 1) + [fresh]
        self.ph = sum(h * p for h, p in zip(held, ph, strict=True)) / sum(held)

    def age(self, part: float) -> None:
        """Bring every capacity a part of the way to the old substrate's; pH stays."""
        self.capacity = [c + part * (1.0 - c) for c in self.capacity]


def run(
    start: float, fresh: float, a: float, every: float, fraction: float, r: float, ageing: str
) -> list[tuple[float, float]]:
    """Just after each exchange, and just before the next, by twenty steps a cycle."""
    bed, seen, steps = Bed(start), [], 20
    for _ in range(120):
        bed.exchange(fraction, fresh, r)
        after = bed.ph
        if ageing == "at once":
            bed.age(1.0)
        for k in range(steps):
            bed.acid(a * every / steps)
            if ageing == "slowly":
                # evenly over the cycle: of what is left, 1 part in as many as there are steps to go
                bed.age(1.0 / (steps - k))
        seen.append((after, bed.ph))
    return seen


class TestSteps:
    @pytest.mark.parametrize("r", [0.5, 1.0, 2.0])
    @pytest.mark.parametrize(("keeps", "ageing"), [(True, "never"), (False, "at once")])
    def test_are_those_of_a_bed_of_parcels(self, r: float, keeps: bool, ageing: str) -> None:
        parcels = run(5.2, 6.6, 0.08, 3.0, 0.25, r, ageing)
        steps = cycles(Course(5.2, 6.6, -0.24), 0.25, r, keeps=keeps, count=len(parcels))
        assert np.array(steps) == pytest.approx(np.array(parcels), abs=1e-9)

    @pytest.mark.parametrize("r", [0.5, 0.8, 1.0, 1.3, 2.0])
    @pytest.mark.parametrize("fraction", [0.1, 0.25, 0.6])
    def test_end_no_lower_than_the_worse_of_keeping_and_ageing(self, r: float, fraction: float) -> None:
        lows = {
            ageing: run(6.0, 6.6, 0.08, 3.0, fraction, r, ageing)[-1][1]
            for ageing in ("never", "at once", "slowly")
        }
        worst = 6.6 - 0.24 / steady_share(fraction, r)
        assert min(lows["never"], lows["at once"]) == pytest.approx(worst, abs=2e-4)
        assert lows["slowly"] >= worst - 1e-9

    @pytest.mark.parametrize("r", [0.5, 1.0, 2.0])
    def test_end_where_the_formulas_of_the_method_say(self, r: float) -> None:
        f, a, every, fresh = 0.3, 0.08, 3.0, 6.6
        high = fresh - a * every * (1 - f) / (f * r)
        ends = [run(5.5, fresh, a, every, f, r, ageing)[-1] for ageing in ("never", "at once")]
        assert [after for after, _ in ends] == pytest.approx([high, high], abs=1e-6)
        assert min(low for _, low in ends) == pytest.approx(high - a * every * max(1, 1 / r), abs=1e-6)

    @given(st.floats(0.01, 0.99), st.floats(0.2, 5.0))
    def test_share_and_part_are_each_other_turned_round(self, fraction: float, r: float) -> None:
        back = fraction_for_share(steady_share(fraction, r), r)
        assert back == pytest.approx(fraction, abs=1e-9)


class TestParts:
    @pytest.mark.parametrize("r", [0.5, 1.0, 2.0])
    def test_hold_the_floor_in_a_bed_of_parcels_and_a_little_less_does_not(self, r: float) -> None:
        plan = upkeep(-0.08, 6.6, 5.4, every=3, buffering=r)
        assert plan.fraction is not None

        def lowest(fraction: float) -> float:
            ways = ("never", "at once", "slowly")
            return min(low for way in ways for _, low in run(5.4, 6.6, 0.08, 3.0, fraction, r, way))

        assert lowest(plan.fraction) >= 5.4 - 1e-9
        assert lowest(0.97 * plan.fraction) < 5.4 - 0.005

    def test_of_the_plain_case_are_drift_over_distance(self) -> None:
        plan = upkeep(-0.08, 6.6, 5.4, every=3, buffering=1.0)
        assert plan.fraction == pytest.approx(0.24 / 1.2)
        assert plan.assured_fraction == pytest.approx(plan.fraction, abs=1e-9)
        assert plan.low is not None
        assert plan.high is not None
        assert (plan.low, plan.high) == pytest.approx((5.4, 5.64))

    def test_are_assured_over_drift_mix_and_buffering_in_as_many_cases_as_they_say(self) -> None:
        d, fresh = ufloat(-0.08, 0.015), ufloat(6.6, 0.1)
        plan = upkeep(d, fresh, 5.4, every=2)
        f = plan.assured_fraction
        assert f is not None
        rng = np.random.default_rng(81)
        n = 200_000
        a, mix = -rng.normal(d.n, d.s, n), rng.normal(fresh.n, fresh.s, n)
        r = 2.0 ** rng.uniform(-1, 1, n)
        low = mix - 2 * a / np.minimum(f * r, f * r / (1 - f + f * r))
        assert np.mean(low >= 5.4) == pytest.approx(0.95, abs=4 * sqrt(0.95 * 0.05 / n))

    def test_take_the_upper_limit_of_the_drift_where_the_buffering_is_known(self) -> None:
        # One-sided: 1.645 standard uncertainties.
        plan = upkeep(ufloat(-0.08, 0.015), 6.6, 5.4, every=3, buffering=1.0)
        assert plan.assured_fraction == pytest.approx((0.08 + 1.6449 * 0.015) * 3 / 1.2, abs=1e-4)

    def test_come_from_a_record_as_it_is(self) -> None:
        days = ["2024-01-02", "2024-02-01", "2024-03-03", "2024-04-02", "2024-05-04", "2024-06-01"]
        drift = trend(days, [5.82, 5.71, 5.69, 5.58, 5.54, 5.44])
        plan = upkeep(drift.per_month, "6.6+-0.2", 5.0, every=2, now=drift.now)
        assert plan.even is not None
        assert plan.assured is not None
        assert 0 < plan.even.fraction < plan.assured.fraction < 0.5

    @settings(max_examples=30)
    @given(st.floats(0.005, 0.2), st.floats(0.005, 0.2), st.floats(0.001, 0.03))
    def test_grow_with_the_drift(self, a: float, b: float, u: float) -> None:
        less, more = (upkeep(ufloat(-each, u), 6.6, 5.4, every=2) for each in sorted((a, b)))
        if more.fraction is not None:
            assert less.fraction is not None
            assert less.fraction <= more.fraction + 1e-9
        if more.assured_fraction is not None:
            assert less.assured_fraction is not None
            assert less.assured_fraction <= more.assured_fraction + 1e-9

    def test_that_hold_a_ceiling_are_those_that_hold_a_floor_in_a_mirror(self) -> None:
        falling = upkeep("-0.08+-0.03", "6.6+-0.2", 5.4)
        rising = upkeep("0.08+-0.03", "7.4+-0.2", ceiling=8.6)
        assert rising.fraction == pytest.approx(falling.fraction)
        assert rising.assured_fraction == pytest.approx(falling.assured_fraction, abs=1e-7)
        assert rising.even is not None
        assert rising.even.high is not None
        assert rising.even.high == pytest.approx(8.6)
        assert rising.even.decided_by == "ceiling"
        assert rising.assured is not None
        assert falling.assured is not None
        assert rising.assured.worst == pytest.approx(14.0 - falling.assured.worst)
        assert falling.assured.worst < falling.assured.low
        ends = [14.0 - end for end in reversed(falling.assured.between)]
        assert rising.assured.between == pytest.approx(ends, abs=1e-3)

    def test_are_nothing_where_the_bed_surely_keeps_its_limit_by_itself(self) -> None:
        plan = upkeep("0.10+-0.01", "6.6+-0.2", 5.4)
        assert (plan.fraction, plan.assured_fraction) == (0.0, 0.0)
        assert plan.text[1] == "Exchange nothing; go on reading it."

    def test_are_something_for_assurance_where_no_drift_is_shown(self) -> None:
        plan = upkeep("0.01+-0.05", "6.6+-0.2", 5.4)
        assert plan.fraction == 0.0
        assert plan.assured_fraction is not None
        assert plan.assured_fraction > 0.05
        assert "no exchange is needed if all is as measured" in plan.text[0]
        # A bed that is not seen to come nearer to its floor has no steady pH worth telling: here it was 12.
        assert plan.assured is not None
        assert (plan.assured.low, plan.assured.high, plan.assured.between) == (None, None, None)
        assert plan.assured.worst is None


class TestSalts:
    def test_come_to_what_a_step_by_step_count_gives(self) -> None:
        plan = upkeep(None, None, every=3, salts=SALTS)
        f = plan.fraction
        assert f == pytest.approx(60 * 3 / 850)
        c = 900.0
        for _ in range(300):
            c = c + f * (400 - c) + 180
        assert c == pytest.approx(1250, abs=1e-6)
        assert plan.even is not None
        assert plan.even.salts is not None
        assert plan.even.salts.n == pytest.approx(1250)

    def test_are_assured_without_a_thought_of_buffering(self) -> None:
        # 1250 - 400 f >= 3 rise with 95 in 100, for rise and fresh mix in doubt: a quadratic equation in f.
        plan = upkeep(None, None, salts=SaltRise(ufloat(60, 8), ufloat(400, 30), 1250.0))
        f = plan.assured_fraction
        assert f is not None
        assert f * 850 - 180 == pytest.approx(1.64485 * sqrt((3 * 8) ** 2 + (f * 30) ** 2), abs=1e-2)

    def test_and_ph_together_take_the_larger_part_and_say_which(self) -> None:
        by_ph = upkeep("-0.08+-0.03", "6.6+-0.2", 5.4)
        by_salts = upkeep(None, None, salts=SALTS)
        both = upkeep("-0.08+-0.03", "6.6+-0.2", 5.4, salts=SALTS)
        assert both.fraction == pytest.approx(max(by_ph.fraction, by_salts.fraction))
        assert both.assured_fraction == pytest.approx(max(by_ph.assured_fraction, by_salts.assured_fraction))
        row = next(row for row in both.table if row.every == 3)
        assert row.decided_by == "floor"
        assert "the floor asks for the most" in both.text[0]
        saltier = SaltRise("130 uS/cm", "0.4 mS/cm", "1.25 mS/cm")
        other = upkeep("-0.08+-0.03", "6.6+-0.2", 5.4, salts=saltier)
        assert next(row for row in other.table if row.every == 3).decided_by == "salts"


class TestPlans:
    @pytest.mark.parametrize("r", [0.5, 1.0, 2.0])
    def test_give_the_steady_bed_between_its_exchanges(self, r: float) -> None:
        plan = upkeep(-0.08, 6.6, 5.4, every=3, buffering=r)
        assert plan.even is not None
        assert plan.even.low is not None
        assert plan.even.high is not None
        parcels = [run(5.4, 6.6, 0.08, 3.0, plan.even.fraction, r, way)[-1] for way in ("never", "at once")]
        after, before = min(parcels, key=lambda swing: swing[1])
        assert (plan.even.high, plan.even.low) == pytest.approx((after, before), abs=1e-3)

    @pytest.mark.parametrize("buffering", [0.5, 1.0, 2.0])
    def test_keep_every_cycle_inside_that_begins_inside(self, buffering: float) -> None:
        plan = upkeep("-0.08+-0.01", "6.6+-0.1", 5.4, every=3, buffering=buffering, now=5.4)
        assert plan.assured is not None
        assert all(cycle.before >= 5.4 for cycle in plan.assured.cycles if cycle.before is not None)

    @pytest.mark.parametrize(
        ("limits", "now", "which", "says"),
        [
            ({"floor": 5.4}, "5.1+-0.1", "floor", "The bed lies below the floor, 5.4, now (more than 99"),
            ({"floor": 5.4}, "5.45+-0.1", "floor", "The bed may lie below the floor, 5.4, now (16 in 100)"),
            ({"ceiling": 5.6}, "5.9+-0.1", "ceiling", "The bed lies above the ceiling, 5.6, now (more"),
        ],
    )
    def test_promise_nothing_where_the_bed_lies_past_its_limit_or_may(
        self, limits: dict[str, float], now: str, which: str, says: str
    ) -> None:
        drift, fresh = ("-0.08+-0.02", "6.6+-0.1") if which == "floor" else ("0.08+-0.02", "5.0+-0.1")
        plan = upkeep(drift, fresh, now=now, **limits)  # type: ignore[arg-type]
        assert [each.which for each in plan.passed] == [which]
        assert (plan.even, plan.assured, plan.longest, plan.table) == (None, None, None, ())
        assert (plan.fraction, plan.assured_fraction, plan.low, plan.high) == (None, None, None, None)
        meaning, task = plan.text
        assert meaning.startswith(says)
        assert task.startswith("Exchange first")
        assert "keeps" not in meaning
        assert "no upkeep is promised before" in task

    def test_promise_again_once_the_bed_surely_keeps_its_limit(self) -> None:
        for now in ("5.6+-0.1", 5.4, None):
            plan = upkeep("-0.08+-0.02", "6.6+-0.1", 5.4, now=now)
            assert plan.passed == ()
            assert "keeps pH at 5.4 or above in 95 cases of 100" in plan.text[0]

    def test_ask_for_an_exchange_first_where_salts_lie_past_their_limit_though_the_ph_does_not(self) -> None:
        salts = SaltRise("60 uS/cm", "0.4 mS/cm", "1.25 mS/cm", "1.4 mS/cm")
        plan = upkeep("-0.08+-0.02", "6.6+-0.1", 5.4, now="5.7+-0.1", salts=salts)
        assert [each.which for each in plan.passed] == ["salts"]
        assert plan.text[0] == "The bed lies above the limit of salts, 1.25 mS/cm, now (more than 99 in 100)."

    def test_need_more_to_be_sure_of_where_more_is_asked_for(self) -> None:
        plain, strict = (upkeep("-0.08+-0.02", "6.6+-0.1", 5.4, now="5.5+-0.1", p=p) for p in (0.9, 0.99))
        assert plain.passed == ()
        assert [each.which for each in strict.passed] == ["floor"]

    @pytest.mark.parametrize("days", [2, 3, 4, 7])
    def test_of_a_bed_that_reads_alike_every_day_are_finite(self, days: int) -> None:
        """The slope of equal numbers is what rounding leaves: some 1e-16 on either side of 0."""
        dates = [f"2026-0{month}-05" for month in range(1, days + 1)]
        for ph in (4.93, 5.0, 5.3, 5.62, 5.8, 6.05):
            plan = upkeep(trend(dates, [ph] * days).per_month, "6.9+-0.1", 4.5, every=3)
            assert plan.fraction == 0.0
            assert plan.assured is not None
            assert plan.assured.between is None or np.isfinite(plan.assured.between).all()

    def test_of_a_drift_that_is_nearly_none_end_where_ph_does(self) -> None:
        plan = upkeep("-0.000001+-0.05", "6.6+-0.1", 5.4, every=3)
        assert plan.even is not None
        assert plan.even.between == (0.0, 14.0)

    def test_tell_the_worst_that_the_capacities_may_do(self) -> None:
        plan = upkeep(-0.08, 6.6, 5.4, every=3)
        assert plan.assured is not None
        worst = [run(5.4, 6.6, 0.08, 3.0, plan.assured.fraction, r, "never") for r in (0.5, 1.0, 2.0)]
        assert plan.assured.worst == pytest.approx(min(low for way in worst for _, low in way), abs=1e-6)

    @pytest.mark.parametrize("buffering", [None, "1.02+-0.60"])
    @pytest.mark.parametrize(
        ("drift", "floor", "ceiling"), [("-0.019+-0.012", 5.0, None), ("0.03+-0.02", None, 8.2)]
    )
    def test_give_the_steady_bed_with_an_interval_that_leans_as_drawn_beds_do(
        self, buffering: str | None, drift: str, floor: float | None, ceiling: float | None
    ) -> None:
        plan = upkeep(drift, "6.69+-0.15", floor, 3, buffering, ceiling=ceiling).assured
        assert plan is not None
        assert plan.between is not None
        rng = np.random.default_rng(83)
        n, f = 200_000, plan.fraction
        at, half = map(float, drift.split("+-"))
        d = rng.normal(at, half / 1.96, n)
        drawn = 1.02 * np.exp(rng.normal(0.0, 0.60 / 1.02 / 1.96, n))
        r = 2.0 ** rng.uniform(-1, 1, n) if buffering is None else drawn
        bed = rng.normal(6.69, 0.15 / 1.96, n) + 3 * d / np.minimum(f * r, f * r / (1 - f + f * r))
        low, high = plan.between
        for outside in (bed < low, bed > high):
            assert np.mean(outside) == pytest.approx(0.025, abs=2e-3)
        # The limit is held in 95 cases of 100, so it lies inside, a little way from the end.
        limit = floor if ceiling is None else ceiling
        assert limit is not None
        assert low < limit < high

    def test_give_no_interval_where_all_is_taken_as_exact(self) -> None:
        plan = upkeep(-0.08, 6.6, 5.4, buffering=1.0)
        assert plan.even is not None
        assert plan.even.between is None

    def test_tell_the_worst_of_a_buffering_that_jars_left_in_doubt(self) -> None:
        plan = upkeep(-0.08, 6.6, 5.4, every=3, buffering="1.0+-0.5")
        assert plan.even is not None
        r = 1.0 / np.exp(0.5)
        (worst,) = {min(low for _, low in run(5.4, 6.6, 0.08, 3.0, plan.even.fraction, r, "never"))}
        assert plan.even.worst == pytest.approx(worst, abs=1e-6)
        first = plan.even.cycles[0]
        assert first.worst is not None
        assert first.before is not None
        assert first.worst < first.before

    def test_tabulate_how_often_and_how_much(self) -> None:
        plan = upkeep(-0.08, 6.6, 5.4, every=5, buffering=1.0)
        assert [row.every for row in plan.table] == [1, 2, 3, 4, 5, 6, 12]
        parts = [row.fraction for row in plan.table]
        assert parts == pytest.approx([0.08 * row.every / 1.2 for row in plan.table])

    def test_name_the_longest_interval_at_which_a_third_is_enough(self) -> None:
        plan = upkeep("-0.08+-0.03", "6.6+-0.2", 5.4)
        assert plan.longest is not None
        then = upkeep("-0.08+-0.03", "6.6+-0.2", 5.4, every=plan.longest).assured_fraction
        later = upkeep("-0.08+-0.03", "6.6+-0.2", 5.4, every=plan.longest + 0.1).assured_fraction
        assert then is not None
        assert later is not None
        assert then <= 1 / 3 < later
        assert "too-much-at-once" in kinds(plan)
        assert f"every {plan.longest:g} months" in plan.text[1]

    def test_that_are_impossible_are_said_to_be(self) -> None:
        plan = upkeep(-0.5, 6.6, 5.4, every=6)
        assert (plan.even, plan.assured) == (None, None)
        assert "impossible" in kinds(plan)
        assert plan.text[0] == "No part of the bed, exchanged every 6 months, keeps pH at 5.4 or above."
        assert plan.table[0].fraction is not None

    def test_say_amounts_where_the_bed_is_known(self) -> None:
        plan = upkeep(-0.04, 6.6, 5.4, volume="60x45 cm", depth="10 cm", buffering=1.0)
        assert plan.assured is not None
        assert plan.assured.amount is not None
        assert plan.assured.amount.volume == pytest.approx(2700)
        assert "2.7 L" in plan.text[1]

    def test_may_be_asked_for_in_months_with_the_word(self) -> None:
        assert upkeep(-0.04, 6.6, 5.4, every="2 months").every == 2.0


@pytest.mark.parametrize(
    ("arguments", "named", "why"),
    [
        ((-0.08, 5.2, 5.4), {}, "more acid than the floor, 5.4"),
        ((-0.08, 5.4, 5.4), {}, "at the floor"),
        ((0.08, 6.8), {"ceiling": 6.5}, "more alkaline than the ceiling"),
        ((-0.08, 6.6), {}, "needs a limit"),
        ((None, 6.6, 5.4), {}, "needs the drift"),
        ((-0.08, None, 5.4), {}, "needs the drift"),
        ((-8, 6.6, 5.4), {}, "faster than any bed drifts"),
        ((-0.08, 6.6, 5.4, 0), {}, "no interval between two exchanges"),
        ((-0.08, 6.6, 5.4, -1), {}, "no interval between two exchanges"),
        ((-0.08, 6.6, 5.4, "soon"), {}, "no interval between two exchanges"),
        ((-0.08, 6.6, 6.5), {"ceiling": 5.4}, "leaves no room"),
        ((None, None), {"salts": SaltRise(60, 1300, "1.25 mS/cm")}, "no less salt than the limit"),
        ((None, None), {"salts": SaltRise("60", 400, "1.25 mS/cm")}, "no unit"),
        ((-0.08, 6.6, "54"), {}, "did you mean `5.4`?"),
        ((-0.08, 6.6, 5.4), {"volume": "60x45 cm", "depth": "0 cm"}, "no bed"),
        ((-0.08, 6.6, 5.4), {"depth": "10 cm"}, "without a footprint"),
        ((-0.08, 6.6, 5.4), {"at_once": 1.5}, "no part of a bed"),
        ((-0.08, 6.6, 5.4), {"p": 0.5}, "no probability"),
        (("x", 6.6, 5.4), {}, "drift per month"),
    ],
)
def test_what_cannot_stand_is_refused_in_one_sentence(
    arguments: tuple[object, ...], named: dict[str, object], why: str
) -> None:
    with pytest.raises(Refusal) as refused:
        upkeep(*arguments, **named)  # type: ignore[arg-type]
    sentence = str(refused.value)
    assert why in sentence
    assert "\n" not in sentence
    assert sentence.endswith((".", "?"))


def test_a_plan_is_written_as_json_by_its_schema() -> None:
    from jsonschema import Draft202012Validator

    form = as_json.form(Upkeep)
    schema = msgspec.json.schema(form.shape)
    for plan in (
        upkeep("-0.08+-0.03", "6.6+-0.2", 5.4, salts=SALTS, volume="27 L"),
        upkeep(-0.5, 6.6, 5.4, every=6),
        upkeep(None, None, salts=SALTS),
    ):
        written = msgspec.json.decode(msgspec.json.encode(form.write(plan, 0.95)))
        Draft202012Validator(schema).validate(written)
