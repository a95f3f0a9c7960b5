"""How much of a bed to exchange: what the model says, what is assured, and what a hand has to carry."""

from __future__ import annotations

from datetime import date
from math import log, sqrt

import msgspec
import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from uncertainties import UFloat, ufloat

from slurrycalc.cli import as_json
from slurrycalc.deciding.exchange import Exchange, exchange
from slurrycalc.deciding.exchange.stages import stages_needed
from slurrycalc.deciding.mixing import MIXING, assured, buffering, chance, fraction_of, fresh_weight
from slurrycalc.measuring.electrode import Meter, calibrate
from slurrycalc.measuring.slurry import slurry_ph
from slurrycalc.metrology.along import Along
from slurrycalc.metrology.remark import Refusal
from slurrycalc.metrology.units import magnitude

PH = st.floats(4.0, 8.0)


def kinds(plan: Exchange) -> set[str]:
    return {remark.kind for remark in plan.remarks}


class TestMixing:
    @given(st.floats(0.001, 0.999), st.floats(0.1, 10.0))
    def test_part_and_weight_are_each_other_turned_round(self, fraction: float, r: float) -> None:
        assert fraction_of(fresh_weight(fraction, r), r) == pytest.approx(fraction, abs=1e-12)

    @given(st.floats(0.0, 1.0), st.floats(0.1, 10.0), PH, PH)
    def test_acid_is_conserved_where_two_buffered_volumes_meet(
        self, fraction: float, r: float, old: float, fresh: float
    ) -> None:
        # Each volume takes up its capacity times its change of pH; together they take up nothing.
        after = old + fresh_weight(fraction, r) * (fresh - old)
        assert (1 - fraction) * (after - old) + fraction * r * (after - fresh) == pytest.approx(0, abs=1e-9)

    @given(st.floats(0.01, 0.9), st.floats(0.01, 0.9), st.floats(0.1, 10.0))
    def test_a_bigger_exchange_comes_nearer_to_the_fresh_mix(self, a: float, b: float, r: float) -> None:
        less, more = sorted((a, b))
        assert fresh_weight(less, r) <= fresh_weight(more, r)


class TestParts:
    def test_are_those_of_the_worked_example(self) -> None:
        plan = exchange(5.1, 6.6, 5.9)
        assert plan.fraction == pytest.approx(0.533, abs=5e-4)
        assert plan.assured_fraction == pytest.approx(0.681, abs=5e-4)
        doubtful = exchange(ufloat(5.1, 0.10), ufloat(6.6, 0.10), 5.9)
        assert doubtful.assured_fraction == pytest.approx(0.70, abs=5e-3)

    @given(PH, PH, st.floats(0.02, 0.98), st.floats(0.6, 0.99))
    def test_of_exact_numbers_are_the_closed_form(
        self, now: float, fresh: float, share: float, p: float
    ) -> None:
        assume(abs(fresh - now) > 0.05)
        wanted = now + share * (fresh - now)
        plan = exchange(now, fresh, wanted, p=p)
        # P(r >= r0) = p for ln r uniform on ±ln 2 has r0 = 2^(1 - 2p).
        q = share / (1 - share) * 2 ** (2 * p - 1)
        assert plan.fraction == pytest.approx(share, abs=1e-9)
        assert plan.assured_fraction == pytest.approx(q / (1 + q), abs=1e-7)

    def test_of_nearly_exact_numbers_are_nearly_those_of_exact_ones(self) -> None:
        exact = exchange(5.1, 6.6, 5.9).assured_fraction
        for u in (1e-6, 1e-4, 1e-3, 1e-2):
            near = exchange(ufloat(5.1, u), ufloat(6.6, u), 5.9).assured_fraction
            assert near == pytest.approx(exact, abs=5e-4)

    def test_average_over_the_buffering_by_16_points_of_gauss_and_legendre(self) -> None:
        line = Along(ufloat(5.1, 0.1) - 5.9, ufloat(6.6, 0.1) - ufloat(5.1, 0.1))
        x, weight = np.polynomial.legendre.leggauss(16)
        for fraction in (0.4, 0.55, 0.7, 0.85):
            r = np.exp(x * log(2))
            plain = line.above_zero(fraction * r / (1 - fraction + fraction * r)) @ weight / 2
            assert chance(line, MIXING, fraction, buffering(None)) == pytest.approx(plain, abs=2e-3)

    @given(st.floats(5.2, 6.4), st.floats(5.2, 6.4), st.floats(0.01, 0.3))
    def test_grow_with_what_is_wanted(self, a: float, b: float, u: float) -> None:
        low, high = sorted((a, b))
        bed, mix = ufloat(5.1, u / 4), ufloat(6.6, u / 4)
        less, more = (exchange(bed, mix, wanted) for wanted in (low, high))
        assert less.fraction <= more.fraction
        if more.assured_fraction is not None:
            assert less.assured_fraction <= more.assured_fraction + 1e-9

    @given(st.floats(0.01, 0.2), st.floats(0.01, 0.2))
    def test_that_bring_down_are_those_that_bring_up_in_a_mirror(self, u: float, v: float) -> None:
        up = exchange(ufloat(5.1, u), ufloat(6.6, v), 5.9)
        down = exchange(ufloat(8.9, u), ufloat(7.4, v), 8.1)
        assert (up.direction, down.direction) == ("up", "down")
        assert down.fraction == pytest.approx(up.fraction, abs=1e-9)
        if up.assured_fraction is None:
            assert down.assured_fraction is None
        else:
            assert down.assured_fraction == pytest.approx(up.assured_fraction, abs=1e-7)

    def test_need_less_where_a_trial_has_shown_the_buffering(self) -> None:
        known = exchange("5.1+-0.1", "6.6+-0.1", 5.9, buffering="1.0+-0.2")
        unknown = exchange("5.1+-0.1", "6.6+-0.1", 5.9)
        assert known.fraction == pytest.approx(unknown.fraction)
        assert known.assured_fraction < unknown.assured_fraction
        assert (known.buffering_known, unknown.buffering_known) == ("measured", "memory")
        assert "buffering-assumed" in kinds(unknown) - kinds(known)

    def test_hold_in_as_many_cases_as_they_say(self) -> None:
        rng = np.random.default_rng(71)
        n, u, v = 200_000, 0.10, 0.08
        plan = exchange(ufloat(5.1, u), ufloat(6.6, v), 5.9)
        assert plan.assured_fraction is not None
        f, r = plan.assured_fraction, 2.0 ** rng.uniform(-1, 1, n)
        now, fresh = rng.normal(5.1, u, n), rng.normal(6.6, v, n)
        after = now + f * r / (1 - f + f * r) * (fresh - now)
        assert np.mean(after >= 5.9) == pytest.approx(0.95, abs=4 * sqrt(0.95 * 0.05 / n))
        assert plan.chance == pytest.approx(0.95, abs=1e-6)

    def test_hold_for_beds_read_by_two_slurries_under_one_calibration(self) -> None:
        cal = calibrate([("4.01", 178.2, 22.0), ("7.00", 1.8, 22.0)], Meter("mV"))
        bed, mix = (slurry_ph(cal, read, 21.0) for read in ([108.3, 111.1], [24.3, 25.1]))
        plan = exchange(bed, mix, 5.9)
        assert plan.assured_fraction is not None
        rng = np.random.default_rng(72)
        n = 100_000
        # Drawn anew from the tagged inputs, each once: what both share stays shared.
        drawn: dict[object, np.ndarray] = {}
        scatter: dict[object, np.ndarray] = {}
        for variable in bed.ph.derivatives | mix.ph.derivatives:
            source, z = variable.tag, rng.standard_normal(n)
            if np.isfinite(source.dof):
                if source.group not in scatter:
                    scatter[source.group] = np.sqrt(source.dof / rng.chisquare(source.dof, n))
                z = z * scatter[source.group]
            drawn[variable] = z * variable.std_dev
        now, fresh = (
            result.ph.n + sum(by * drawn[variable] for variable, by in result.ph.derivatives.items())
            for result in (bed, mix)
        )
        r, f = 2.0 ** rng.uniform(-1, 1, n), plan.assured_fraction
        after = now + f * r / (1 - f + f * r) * (fresh - now)
        assert np.mean(after >= 5.9) == pytest.approx(0.95, abs=4 * sqrt(0.95 * 0.05 / n))

    def test_none_can_where_the_fresh_mix_itself_is_not_there(self) -> None:
        plan = exchange(5.1, 6.0, 6.5)
        assert (plan.fraction, plan.assured_fraction, plan.planned, plan.stages) == (None, None, None, ())
        assert "none-can" in kinds(plan)
        assert plan.text[0] == "No exchange brings the bed to 6.5 or higher: the fresh mix itself reads 6.00."

    def test_none_is_sure_where_the_fresh_mix_is_doubtful(self) -> None:
        plan = exchange(5.1, "6.0+-0.3", 5.9)
        assert plan.fraction is not None
        assert plan.assured_fraction is None
        assert plan.planned == plan.fraction
        assert "none-assured" in kinds(plan)
        assert "between 5.70 and 6.30" in plan.text[0]

    def test_a_bed_that_is_perhaps_there_still_gets_its_assured_part(self) -> None:
        plan = exchange("5.42+-0.2", 6.6, 5.4)
        assert plan.fraction == 0.0
        assert plan.assured_fraction is not None
        assert 0.05 < plan.assured_fraction < 0.2

    def test_smallest_first_even_where_more_makes_less_sure(self) -> None:
        # A bed that is nearly sure, and a fresh mix that is anything: a whole new bed would be less sure.
        line = Along(ufloat(0.15, 0.1), ufloat(1.0, 1.0))
        f = assured(line, MIXING, buffering(1.0), 0.95)
        assert f is not None
        assert f < 0.05
        assert chance(line, MIXING, 1.0, buffering(1.0)) < 0.9


class TestHands:
    def test_carry_litres_quarts_and_cups_that_are_one_amount(self) -> None:
        plan = exchange(5.1, 6.6, 5.3, "60x45 cm", depth="10 cm")
        assert plan.amounts is not None
        assert plan.amounts.bed == 27000.0
        assert plan.amounts.each.volume == pytest.approx(27000 * plan.planned)
        for said in (plan.amounts.each.litres, plan.amounts.each.quarts, plan.amounts.each.cups):
            assert magnitude(said, "volume") == pytest.approx(plan.amounts.each.volume, rel=0.03)
        assert plan.amounts.stays.volume + plan.amounts.each.volume == pytest.approx(27000)

    @pytest.mark.parametrize(
        ("volume", "depth"), [("27 L", None), (27000.0, None), ("0.6x0.45 m", "100 mm"), ("28.531 qt", None)]
    )
    def test_the_bed_may_be_said_in_any_unit(self, volume: str | float, depth: str | None) -> None:
        same = exchange(5.1, 6.6, 5.3, "60x45 cm", depth="10 cm")
        other = exchange(5.1, 6.6, 5.3, volume, depth=depth)
        assert other.amounts is not None
        assert same.amounts is not None
        assert other.amounts.each.volume == pytest.approx(same.amounts.each.volume, rel=1e-4)

    def test_what_stays_at_a_stage_is_all_but_what_that_stage_takes(self) -> None:
        plan = exchange(5.1, 6.6, 5.9, "27 L")
        assert plan.amounts is not None
        assert len(plan.stages) == 3
        assert plan.amounts.stays.volume + plan.amounts.each.volume == pytest.approx(27000)
        assert plan.amounts.all.volume == pytest.approx(3 * plan.amounts.each.volume)

    def test_stages_take_a_third_at_most_and_end_where_one_exchange_would(self) -> None:
        plan = exchange(5.1, 6.6, 5.9, "27 L", start="2024-05-04")
        assert [stage.on for stage in plan.stages] == [date(2024, 5, 4), date(2024, 6, 1), date(2024, 6, 29)]
        assert all(stage.fraction <= 1 / 3 for stage in plan.stages)
        left = np.prod([1 - stage.fraction for stage in plan.stages])
        assert 1 - left == pytest.approx(plan.planned)
        assert plan.predicted is not None
        assert plan.stages[-1].ph.n == pytest.approx(plan.predicted.n)
        assert plan.amounts is not None
        assert plan.amounts.all.volume == pytest.approx(3 * plan.amounts.each.volume)
        assert "4 May 2024, 1 June 2024 and 29 June 2024" in plan.text[1]
        assert "in-stages" in kinds(plan)

    def test_stages_and_their_spacing_may_be_said_in_words(self) -> None:
        said = exchange(5.1, 6.6, 5.9, "27 L", start="2024-05-04", spacing="2 weeks", at_once="25 %")
        counted = exchange(5.1, 6.6, 5.9, "27 L", start="2024-05-04", spacing=14, at_once="1/4")
        assert [stage.on for stage in said.stages] == [stage.on for stage in counted.stages]
        assert len(said.stages) == 4

    @given(st.floats(0.001, 0.999), st.floats(0.05, 0.95))
    def test_so_many_stages_are_enough_and_one_fewer_is_not(self, fraction: float, at_once: float) -> None:
        n = stages_needed(fraction, at_once)
        assert 1 - (1 - at_once) ** n >= fraction - 1e-6
        assert n == 1 or 1 - (1 - at_once) ** (n - 1) < fraction + 1e-6

    def test_a_new_bed_is_called_one(self) -> None:
        plan = exchange(5.1, 6.6, 6.55, "27 L")
        assert plan.stages == ()
        assert plan.amounts is None
        assert "new-bed" in kinds(plan)

    def test_steps_keep_a_part_of_the_old_and_its_animals(self) -> None:
        steps = " ".join(exchange(5.1, 6.6, 5.9, "27 L").steps)
        for word in ("animals out", "leaf litter", "small fauna", "Keep what comes out", "moist for 7 days"):
            assert word in steps

    def test_cautions_come_with_it(self) -> None:
        cautions = exchange(5.1, 6.6, 5.9).cautions
        assert cautions[0].startswith("Unplug")
        assert any("animals out" in each for each in cautions)


class TestEnough:
    @pytest.mark.parametrize(
        ("now", "fresh", "wanted", "toward", "says"),
        [
            ("6.1+-0.1", 6.6, 5.9, "up", "5.9 or higher already (more than 99 in 100)"),
            ("5.95+-0.1", 6.6, 5.9, "up", "5.9 or higher already (84 in 100)"),
            ("5.7+-0.1", 5.0, 5.9, "down", "5.9 or lower already (more than 99 in 100)"),
            # Where the mix lies is no matter, once the side is known.
            ("6.3+-0.1", 6.1, 5.9, "up", "5.9 or higher already (more than 99 in 100)"),
            (5.4, 6.6, 5.4, None, "5.4 or higher already (more than 99 in 100)"),
        ],
    )
    def test_is_an_answer_that_exchanges_nothing(
        self, now: str | float, fresh: float, wanted: float, toward: str | None, says: str
    ) -> None:
        plan = exchange(now, fresh, wanted, "27 L", start="2024-05-04", toward=toward)  # type: ignore[arg-type]
        assert plan.enough
        assert (plan.fraction, plan.assured_fraction, plan.stages, plan.amounts) == (0.0, 0.0, (), None)
        assert plan.chance is not None
        assert plan.chance >= 0.8
        assert plan.text == (f"Enough: the bed lies at {says}.", "Exchange nothing; go on reading it.")

    def test_wants_eight_in_ten_or_less_where_less_is_asked_for(self) -> None:
        cases = (("5.93+-0.1", 0.95, False), ("5.945+-0.1", 0.95, True), ("5.93+-0.1", 0.7, True))
        for now, p, enough in cases:
            assert exchange(now, 6.6, 5.9, p=p, toward="up").enough is enough

    def test_is_not_said_of_a_bed_that_may_be_meant_to_go_the_other_way(self) -> None:
        for now, fresh in ((6.1, 6.6), (5.1, 4.5)):
            with pytest.raises(Refusal, match=r"takes it away from 5\.9"):
                exchange(now, fresh, 5.9)


def test_numbers_without_doubt_are_said_to_be_taken_as_exact() -> None:
    assert "taken-as-exact" in kinds(exchange(5.1, 6.6, 5.9))
    assert "taken-as-exact" not in kinds(exchange("5.1+-0.2", "6.6+-0.2", 5.9))


def test_what_is_predicted_is_as_doubtful_as_draws_say() -> None:
    plan = exchange(ufloat(5.1, 0.05), ufloat(6.6, 0.04), 5.7, buffering=ufloat(1.3, 0.1))
    assert plan.planned is not None
    assert plan.predicted is not None
    rng = np.random.default_rng(73)
    n, f = 200_000, plan.planned
    r, now, fresh = rng.normal(1.3, 0.1, n), rng.normal(5.1, 0.05, n), rng.normal(6.6, 0.04, n)
    after = now + f * r / (1 - f + f * r) * (fresh - now)
    assert plan.predicted.n == pytest.approx(float(after.mean()), abs=2e-3)
    assert plan.predicted.s == pytest.approx(float(after.std()), rel=0.02)


def test_the_buffering_that_is_assumed_stands_in_the_budget_of_what_is_predicted() -> None:
    from slurrycalc.metrology.budget import budget

    plan = exchange("5.1+-0.2", "6.6+-0.2", 5.9)
    assert isinstance(plan.predicted, UFloat)
    row = next(row for row in budget(plan.predicted).rows if "buffering" in row.name)
    assert row.known == "memory"
    assert row.share > 0.5


@pytest.mark.parametrize(
    ("arguments", "named", "why"),
    [
        ((5.1, 4.5, 5.9), {}, "more acid than the bed, 5.1"),
        ((7.2, 7.5, 6.4), {}, "more alkaline than the bed, 7.2"),
        ((5.9, 6.6, 5.4), {}, "the bed needs no exchange"),
        ((6.6, 6.6, 5.4), {}, "changes nothing"),
        ((5.1, "coir", 5.9), {}, "anywhere from 5.5 to 6.5 (memory)"),
        ((5.1, "neutral", 5.9), {}, "no measured pH"),
        (("403", 6.6, 5.9), {}, "did you mean `4.03`?"),
        ((5.1, 6.6, "59"), {}, "did you mean `5.9`?"),
        ((5.1, "6.6+-", 5.9), {}, "pH of the fresh mix"),
        ((float("nan"), 6.6, 5.9), {}, "not finite"),
        ((5.1, ufloat(6.6, float("nan")), 5.9), {}, "no finite doubt"),
        ((5.1, 6.6, 5.9, "60x45 cm"), {"depth": "0 cm"}, "no bed"),
        ((5.1, 6.6, 5.9, "60x45 cm"), {}, "without a depth"),
        ((5.1, 6.6, 5.9), {"depth": "10 cm"}, "a depth without a footprint"),
        ((5.1, 6.6, 5.9, "-27 L"), {}, "negative"),
        ((5.1, 6.6, 5.9, "27 kg"), {}, "a mass where a volume is wanted"),
        ((5.1, 6.6, 5.9), {"buffering": 0}, "leave it away"),
        ((5.1, 6.6, 5.9), {"buffering": "1000"}, "leave it away"),
        ((5.1, 6.6, 5.9), {"at_once": 1.2}, "no part of a bed"),
        ((5.1, 6.6, 5.9), {"at_once": 0.0}, "no part of a bed"),
        ((5.1, 6.6, 5.9), {"spacing": 0.0}, "cannot lie between two stages"),
        ((5.1, 6.6, 5.9), {"spacing": "5 min"}, "for instance 7 d"),
        ((5.1, 6.6, 5.9), {"at_once": "a third"}, "does not begin with a number"),
        ((5.1, 6.6, 5.9), {"start": "03/04"}, "is no date"),
        ((5.1, 6.6, 5.9), {"p": 1.0}, "no probability"),
        ((5.1, 6.6, 5.9), {"p": 0.4}, "no probability"),
    ],
)
def test_what_cannot_stand_is_refused_in_one_sentence(
    arguments: tuple[object, ...], named: dict[str, object], why: str
) -> None:
    with pytest.raises(Refusal) as refused:
        exchange(*arguments, **named)  # type: ignore[arg-type]
    sentence = str(refused.value)
    assert why in sentence
    assert "\n" not in sentence
    assert sentence.endswith((".", "?"))


def test_a_plan_is_written_as_json_by_its_schema() -> None:
    from jsonschema import Draft202012Validator

    form = as_json.form(Exchange)
    schema = msgspec.json.schema(form.shape)
    for plan in (exchange("5.1+-0.2", 6.6, 5.9, "27 L", start="2024-05-04"), exchange(5.1, 6.0, 6.5)):
        written = msgspec.json.decode(msgspec.json.encode(form.write(plan, 0.95)))
        Draft202012Validator(schema).validate(written)
    assert written["fraction"] is None
