"""What a taught bed answers, held to what was foreseen, to draws, and to each other."""

from __future__ import annotations

from datetime import timedelta
from math import exp, sqrt

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from uncertainties import ufloat

from slurrycalc.deciding.bed import (
    READ_EACH_CYCLE,
    Bed,
    Mix,
    NewBench,
    Normals,
    RatioTried,
    Replaced,
    advanced,
    all_worked,
    bed,
    changing,
    day_mean,
    exchanged,
    first_months,
    hold,
    level,
    levels,
    limit_dates,
    next_reading,
    past,
    rate,
    ratio_known,
    reach,
    read_by,
    readings,
    surprises,
    tagged,
    unread_cycles,
    worked,
)
from slurrycalc.metrology.budget import budget
from slurrycalc.metrology.coverage import Interval
from slurrycalc.metrology.remark import Refusal
from slurrycalc.metrology.uncertain import Source
from tests.deciding.bed.records import FIRST, eventful, made_up


def falling(days: int = 10, start: float = 6.0, drift: float = -0.05, seed: int = 1) -> Bed:
    return bed(made_up(seed, days, start=start, drift=drift))


# --- Mixtures of normals ---


@pytest.mark.parametrize("seed", [1, 2])
def test_quantiles_of_a_mixture_are_those_of_draws_from_it(seed: int) -> None:
    random = np.random.default_rng(seed)
    mixture = levels(bed(eventful(seed)).nodes, 0.022)
    n = 400_000
    which = random.choice(mixture.weight.shape[1], n, p=mixture.weight[0])
    drawn = random.normal(mixture.mean[0, which], mixture.sd[0, which])
    for p in (0.005, 0.025, 0.25, 0.5, 0.975, 0.995):
        found = mixture.quantile(p).item()
        assert abs((drawn < found).mean() - p) < 4.5 * sqrt(p * (1 - p) / n)
    assert mixture.centre().item() == pytest.approx(drawn.mean(), abs=5 * drawn.std() / sqrt(n))
    assert mixture.spread().item() == pytest.approx(drawn.std(), rel=0.02)


@given(
    st.lists(
        st.tuples(st.floats(1e-6, 1.0), st.floats(-5.0, 5.0), st.floats(1e-3, 10.0)), min_size=1, max_size=8
    ),
    st.floats(1e-4, 1 - 1e-4),
)
@settings(max_examples=200, deadline=None)
def test_a_quantile_is_the_root_of_the_chance_whatever_the_mixture(
    parts: list[tuple[float, float, float]], p: float
) -> None:
    weight, mean, sd = (np.array([column]) for column in zip(*parts, strict=True))
    mixture = Normals(weight / weight.sum(), mean, sd)
    x = mixture.quantile(p)
    density = (mixture.weight * np.exp(-0.5 * ((x - mean) / sd) ** 2) / sd).sum() / sqrt(2 * np.pi)
    assert abs(mixture.below(x).item() - p) < 1e-12 + 1e-11 * density


# --- Level, rate, the next reading ---


def test_the_level_ahead_is_the_level_now_moved_by_the_rate() -> None:
    now = falling()
    ahead = level(now, now.last + timedelta(days=90))
    assert ahead.value == pytest.approx(level(now).value + rate(now).value * 90 / 30.4375, abs=0.005)
    assert ahead.u > level(now).u


def test_what_all_days_share_is_in_the_level_once_and_in_no_reading() -> None:
    now = falling()
    assert level(now, u_shared=0.03).u == pytest.approx(sqrt(level(now).u ** 2 + 0.03**2), abs=1e-12)
    assert next_reading(now, now.last, 2, 0.012).expected.value == pytest.approx(level(now).value, abs=1e-12)


def test_a_reading_outside_what_was_expected_is_a_surprise_and_the_rest_are_not() -> None:
    history = made_up(2, 10)
    assert surprises(history) == []
    day = history[-1].day + timedelta(days=30)
    low = day_mean(day, [4.9, 5.0], 0.012)
    assert surprises([*history, low]) == [low]
    seen = next_reading(bed(history), day, 2, 0.012, found=low.mean)
    assert seen.surprise
    assert seen.limits.high < 6.5
    assert not next_reading(bed(history), day, 2, 0.012).surprise


def test_readings_drawn_from_the_model_are_a_surprise_once_in_a_hundred() -> None:
    random = np.random.default_rng(7)
    mixture = readings(falling().nodes, 2, 0.012)
    which = random.choice(mixture.weight.shape[1], 20_000, p=mixture.weight[0])
    drawn = random.normal(mixture.mean[0, which], mixture.sd[0, which])
    low, high = mixture.quantile(0.005), mixture.quantile(0.995)
    assert np.mean((drawn < low) | (drawn > high)) == pytest.approx(0.01, abs=0.003)


def test_a_drift_that_triples_is_said_to_be_changing_and_an_even_one_is_not() -> None:
    assert not changing(falling(18))
    months = np.arange(18)
    ph = 6.4 - 0.03 * months - 0.12 * np.maximum(months - 10, 0)
    tripled = [
        day_mean(FIRST + timedelta(days=30 * int(k)), [x - 0.03, x + 0.03], 0.012)
        for k, x in zip(months, ph, strict=True)
    ]
    assert changing(bed(tripled))
    assert rate(bed(tripled)).value < -0.1


# --- Limits and reading again ---


def test_the_days_of_a_limit_are_where_the_chance_passes_what_they_say() -> None:
    now = falling()
    dates = limit_dates(now, ("floor", 5.0), u_shared=0.022)
    assert dates.earliest is not None
    assert dates.even is not None
    assert dates.earliest < dates.even
    for day, chance in ((dates.earliest, 0.025), (dates.even, 0.5)):
        day_before = past(now.on(day - timedelta(days=1)), ("floor", 5.0), 0.022).item()
        assert day_before <= chance < past(now.on(day), ("floor", 5.0), 0.022).item()


def test_a_bed_that_stands_has_no_latest_day_and_one_past_its_limit_has_all_on_the_day_of_its_reading() -> (
    None
):
    steady = bed(made_up(3, 10, drift=0.0))
    assert limit_dates(steady, ("floor", 4.0)).latest is None
    low = bed(made_up(3, 10, start=4.0, drift=0.0))
    dates = limit_dates(low, ("floor", 5.0))
    assert {dates.earliest, dates.even, dates.latest} == {low.last}


def test_months_to_a_limit_do_not_depend_on_the_batch() -> None:
    from slurrycalc.deciding.bed.bed import together

    several = [falling(seed=seed, start=6.0 - 0.05 * seed) for seed in range(6)]
    batch = together([each.nodes for each in several])
    at = first_months(batch, ("floor", 5.0), [0.01, 0.5], batch.months + 24.0, u_shared=0.02)
    for i, each in enumerate(several):
        until = each.nodes.months + 24.0
        alone = first_months(each.nodes, ("floor", 5.0), [0.01, 0.5], until, u_shared=0.02)
        for one, other in zip(alone, at, strict=True):
            assert np.array_equal(np.isnan(one), np.isnan(other[i : i + 1]))
            assert np.isnan(one).all() or one.item() == pytest.approx(other[i], abs=1e-9)


def test_by_when_a_bed_is_read_again_follows_the_rules() -> None:
    bounds = [("floor", 5.0), ("ceiling", 7.5)]
    single = bed(made_up(4, 1))
    assert read_by(single, bounds).reason in {"first reading", "limit"}
    assert single.last + timedelta(days=7) <= read_by(single, bounds).by <= single.last + timedelta(days=31)
    steady = bed(made_up(4, 24, drift=0.0))
    safe = read_by(steady, bounds)
    assert safe.reason in {"longest", "limit"}
    assert steady.read + timedelta(days=60) < safe.by <= steady.read + timedelta(days=183)
    nearing = falling(12, 5.9)
    soon = read_by(nearing, bounds)
    assert soon.reason == "limit"
    chance = past(nearing.on(soon.by), bounds[0]).item()
    assert chance > 0.01 or soon.by == nearing.last + timedelta(days=7)
    low = falling(12, 5.4)
    assert (read_by(low, bounds).reason, read_by(low, bounds).by) == ("at once", low.last)


def test_asked_later_a_bed_is_to_be_read_on_the_same_day_or_at_once() -> None:
    now = falling(10)
    first = read_by(now, [("floor", 5.0)])
    for k in (1, 10, 30, 300):
        day = now.last + timedelta(days=k)
        later = read_by(now, [("floor", 5.0)], day)
        assert later.by == max(first.by, day)
        assert (later.reason == "at once") == (later.chance > 0.05)


# --- Exchanges ---


def test_an_exchange_that_is_not_needed_says_so_and_one_that_is_reaches_what_was_asked() -> None:
    high = bed(made_up(5, start=6.4, drift=0.0))
    mix = Mix(6.6, 0.05)
    plan = reach(high, high.last, ("floor", 5.4), mix)
    assert (plan.fraction, plan.stages, plan.today) == (0.0, (), 0.0)
    low = bed(made_up(5, start=5.1, drift=0.0))
    plan = reach(low, low.last, ("floor", 5.6), mix)
    assert plan.fraction is not None
    assert plan.chance_now < 0.05
    whole = exchanged(low.nodes, plan.fraction, mix.ph, mix.u)
    assert 1.0 - past(whole, ("floor", 5.6)).item() == pytest.approx(0.95, abs=0.002)
    assert all(part <= 1 / 3 + 1e-12 for part in plan.stages)
    assert sum(plan.stages) >= plan.fraction - 1e-9
    assert plan.chance_after >= 0.95


def test_no_part_of_a_bed_reaches_a_ph_beyond_the_mix() -> None:
    low = bed(made_up(5, start=5.1, drift=0.0))
    plan = reach(low, low.last, ("floor", 6.8), Mix(6.6, 0.05))
    assert plan.fraction is None
    assert plan.chance_after < 0.5


def test_what_a_plan_says_is_what_the_record_says_once_it_is_done() -> None:
    low = bed(made_up(6, start=5.2, drift=-0.02))
    mix = Mix(6.6, 0.06)
    plan = reach(low, low.last, ("floor", 5.4), mix, u_shared=0.022)
    done, day = low, low.last
    for k, part in enumerate(plan.stages):
        done = done.after(Replaced(day + timedelta(days=28 * k), part, mix.ph, mix.u))
    assert len(plan.stages) > 1
    assert level(done, u_shared=0.022).probability(above=5.4) == pytest.approx(plan.chance_after, abs=1e-12)


@pytest.mark.parametrize("chances", [READ_EACH_CYCLE, unread_cycles(4)])
def test_an_upkeep_holds_each_low_with_its_chance_and_a_smaller_one_does_not(
    chances: tuple[float, ...],
) -> None:
    now = bed(made_up(7, 14, start=6.2, drift=-0.05))
    mix = Mix(6.7, 0.05)
    plan = hold(now, now.last, ("floor", 5.2), mix, chances=chances, u_shared=0.022)
    assert plan.fraction is not None
    assert 0.0 < plan.fraction < 1 / 3
    assert plan.toward > 0.95
    assert all(low >= chance for low, chance in zip(plan.lows, chances, strict=True))
    nodes, kept = now.nodes, []
    for _ in chances:
        nodes = exchanged(nodes, plan.fraction - 0.005, mix.ph, mix.u)
        nodes = advanced(nodes, nodes.months + 3.0)
        kept.append(1.0 - past(nodes, ("floor", 5.2), 0.022).item())
    assert any(low < chance for low, chance in zip(kept, chances, strict=True))


def test_an_upkeep_that_cannot_keep_up_names_no_part() -> None:
    now = bed(made_up(7, 14, start=6.4, drift=-0.2))
    plan = hold(now, now.last, ("floor", 5.4), Mix(6.0, 0.05))
    assert plan.fraction is None
    assert min(plan.lows) < 0.5


def test_a_ceiling_is_held_by_the_mirror_of_what_holds_a_floor() -> None:
    from dataclasses import replace

    history = made_up(8, 14, start=6.2, drift=-0.05)
    turned = [replace(each, mean=12.0 - each.mean) for each in history]
    down, up = bed(history), bed(turned)
    floor = hold(down, down.last, ("floor", 5.2), Mix(6.7, 0.05))
    ceiling = hold(up, up.last, ("ceiling", 6.8), Mix(5.3, 0.05))
    assert ceiling.fraction == pytest.approx(floor.fraction, abs=1e-9)
    assert ceiling.toward == pytest.approx(floor.toward, abs=1e-9)


# --- Did it work? ---


def test_an_exchange_is_held_against_the_reading_that_follows() -> None:
    history = made_up(9, 8, start=5.3, drift=0.0)
    exchange = Replaced(history[-1].day, 0.3, 6.6, 0.05)
    before = bed(history)
    start = level(before).value
    reading = day_mean(exchange.day + timedelta(days=7), [start + 0.36, start + 0.42], 0.012)
    found = worked(before, exchange, reading)
    assert found.expected.value == pytest.approx(0.3 * (6.6 - start), abs=0.05)
    assert found.found.value == pytest.approx(0.39, abs=0.01)
    assert not found.surprise
    assert found.ratio.ratio == pytest.approx(1.0, abs=0.15)
    again = all_worked([*history, exchange, reading])
    assert [(one.exchange, one.reading, one.ratio) for one in again] == [(exchange, reading, found.ratio)]
    weak = day_mean(reading.day, [start + 0.02, start - 0.02], 0.012)
    assert worked(before, exchange, weak).ratio.ratio < 0.75
    with pytest.raises(Refusal, match="no part or no mix"):
        worked(before, Replaced(exchange.day), reading)


def test_a_trial_says_what_r_is_before_any_exchange_and_adds_to_what_they_taught_after() -> None:
    now = falling()
    assert ratio_known(now) is None
    tried = now.after(RatioTried(now.last, 0.5, 0.1))
    known = ratio_known(tried)
    assert known is not None
    assert known.ratio == pytest.approx(exp(0.5), abs=1e-9)
    assert known.u_log == pytest.approx(0.1, rel=0.25)
    assert known.interval(1.96).low < exp(0.5) < known.interval(1.96).high
    assert level(tried).value == pytest.approx(level(now).value, abs=1e-12)
    changed = now.after(Replaced(now.last, 0.2, 6.6, 0.05))
    later = ratio_known(changed.after(RatioTried(now.last, 0.5, 0.1)))
    assert later is not None
    assert later.ratio == pytest.approx(exp(0.5), rel=0.25)


def test_new_bottles_make_the_level_no_surer() -> None:
    now = falling()
    assert level(now.after(NewBench(now.last))).u == pytest.approx(
        sqrt(level(now).u ** 2 + 0.012**2), abs=1e-12
    )


# --- Its budget ---


def test_the_budget_has_a_row_for_the_bed_and_one_for_each_shared_input() -> None:
    bottle = ufloat(0.0, 0.02, tag=Source("bottle:3", "buffer 4.01"))
    junction = ufloat(0.0, 0.02, tag=Source("junction", "junction of the electrode"))
    shared = 0.5 * bottle + junction
    one, other = (tagged(level(bed(made_up(seed, 8))), shared) for seed in (1, 2))
    rows = {row.name: row.contribution for row in budget(one).rows}
    assert rows["buffer 4.01"] == pytest.approx(0.01)
    assert rows["junction of the electrode"] == pytest.approx(0.02)
    assert rows["days and model of the bed"] == pytest.approx(level(bed(made_up(1, 8))).u)
    assert {row.name for row in budget(one - other).rows} == {"days and model of the bed"}
    whole = level(bed(made_up(1, 8)), u_shared=float(shared.s))
    assert one.s == pytest.approx(whole.u, abs=1e-12)
    assert isinstance(whole.interval(), Interval)
