"""The algebra of a bed's model: what must hold of it for any record."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta
from math import sqrt

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from slurrycalc.deciding.bed import (
    DayMean,
    Disturbed,
    Happening,
    Nodes,
    Prior,
    Replaced,
    bed,
    beds,
    day_mean,
    exchanged,
    level,
    levels,
    limit_dates,
    past,
    rate,
    rates,
    read_by,
)
from slurrycalc.deciding.days import DAYS_PER_MONTH
from slurrycalc.metrology.remark import Refusal
from tests.deciding.bed.records import FIRST, eventful, histories, made_up


def numbers(nodes: Nodes) -> np.ndarray:
    """Means, standard deviations and quantiles of level and rate."""
    found = []
    for answer in (levels(nodes, 0.02), rates(nodes)):
        found += [answer.centre(), answer.spread(), *(answer.quantile(p) for p in (0.01, 0.5, 0.99))]
    return np.array(found)


# --- Least squares ---


def test_with_one_node_it_is_generalised_least_squares() -> None:
    read = made_up(3, 14)
    q, sigma, first_rate = 0.02, 0.1, 0.1
    now = bed(read, Prior.known(sigma, q, first_rate))
    t = np.array([(each.day - FIRST).days / DAYS_PER_MONTH for each in read])
    y = np.array([each.mean for each in read])
    # Of a rate that wanders as a Wiener process, the level at s and t has covariance q² (s² t / 2 - s³ / 6).
    s, e = np.minimum.outer(t, t), np.maximum.outer(t, t)
    wandered = q**2 * (s**2 * e / 2.0 - s**3 / 6.0)
    covariance = wandered + np.diag([sigma**2 / 2 + each.u**2 for each in read])
    X = np.column_stack([np.ones_like(t), t])
    weight = np.linalg.inv(covariance)
    precision = X.T @ weight @ X + np.diag([1 / 10.0**2, 1 / first_rate**2])
    beta = np.linalg.solve(precision, X.T @ weight @ y + np.array([y[0] / 10.0**2, 0.0]))
    # The level now is the line's, and what the wander adds to it, foretold from the residuals.
    kriging = wandered[-1] @ weight
    now_level = X[-1] @ beta + kriging @ (y - X @ beta)
    left = X[-1] - kriging @ X
    variance = wandered[-1, -1] - kriging @ wandered[-1] + left @ np.linalg.solve(precision, left)
    assert level(now).value == pytest.approx(now_level, abs=1e-9)
    assert level(now).u == pytest.approx(sqrt(variance), abs=1e-9)


def test_with_one_node_and_no_wander_the_rate_is_that_of_least_squares_to_twelve_digits() -> None:
    read = made_up(4, 20)
    now = bed(read, Prior.known(0.1))
    t = np.array([(each.day - FIRST).days / DAYS_PER_MONTH for each in read])
    y = np.array([each.mean for each in read])
    X, w = np.column_stack([np.ones_like(t), t]), 1.0 / (0.1**2 / 2 + 0.012**2)
    inverse = np.linalg.inv(w * X.T @ X + np.diag([0.01, 100.0]))
    beta = inverse @ (w * X.T @ y + np.array([0.01 * y[0], 0.0]))
    assert rate(now).value == pytest.approx(beta[1], abs=1e-12)
    assert rate(now).u == pytest.approx(sqrt(inverse[1, 1]), abs=1e-12)


# --- Shifts and mirrors ---


def moved(each: Happening, move: float, turn: float = 1.0) -> Happening:
    if isinstance(each, DayMean):
        return replace(each, mean=turn * each.mean + move)
    if isinstance(each, Replaced) and each.mix is not None:
        return replace(each, mix=turn * each.mix + move)
    return each


@given(histories())
@settings(max_examples=40, deadline=None)
def test_a_shift_of_every_ph_by_one_shifts_the_answer_by_one(history: list[Happening]) -> None:
    one = bed(history)
    other = bed([moved(each, 1.0) for each in history])
    for p in (0.01, 0.5, 0.975):
        assert level(other).quantile(p) == pytest.approx(level(one).quantile(p) + 1.0, abs=1e-9)
        assert rate(other).quantile(p) == pytest.approx(rate(one).quantile(p), abs=1e-9)
    assert past(other.nodes, ("floor", 6.5)) == pytest.approx(past(one.nodes, ("floor", 5.5)), abs=1e-9)


@given(histories())
@settings(max_examples=40, deadline=None)
def test_a_rising_bed_and_its_ceiling_are_the_mirror_of_a_falling_one_and_its_floor(
    history: list[Happening],
) -> None:
    one = bed(history)
    other = bed([moved(each, 12.0, -1.0) for each in history])
    assert level(other).quantile(0.9) == pytest.approx(12.0 - level(one).quantile(0.1), abs=1e-9)
    assert rate(other).quantile(0.9) == pytest.approx(-rate(one).quantile(0.1), abs=1e-9)
    assert past(other.nodes, ("ceiling", 7.0)) == pytest.approx(past(one.nodes, ("floor", 5.0)), abs=1e-9)
    floor, ceiling = read_by(one, [("floor", 5.0)]), read_by(other, [("ceiling", 7.0)])
    assert (floor.by, floor.reason) == (ceiling.by, ceiling.reason)
    dates = [limit_dates(one, ("floor", 5.0)), limit_dates(other, ("ceiling", 7.0))]
    assert len({(each.earliest, each.even, each.latest) for each in dates}) == 1


# --- Time ---


@given(histories())
@settings(max_examples=40, deadline=None)
def test_without_a_reading_the_doubt_only_grows(history: list[Happening]) -> None:
    now = bed(history)
    ahead = [now.last + timedelta(days=7 * k) for k in range(26)]
    u = [rate(now, day).u for day in ahead]
    assert np.all(np.diff(u) >= -1e-12)
    # An exchange may have tied level and rate together so that their errors cancel for a while.
    if not any(isinstance(each, Replaced) for each in history):
        wide = [level(now, day).u for day in ahead]
        assert np.all(np.diff(wide) >= -1e-12)


@given(histories(), st.integers(0, 200), st.integers(1, 200))
@settings(max_examples=40, deadline=None)
def test_no_answer_depends_on_what_was_asked_between(history: list[Happening], first: int, then: int) -> None:
    now = bed(history)
    before = numbers(now.nodes)
    later = now.last + timedelta(days=first + then)
    alone = numbers(now.on(later))
    level(now, now.last + timedelta(days=first)).interval()
    read_by(now, [("floor", 5.0)])
    assert np.array_equal(numbers(now.on(later)), alone)
    assert np.array_equal(numbers(now.nodes), before)


def test_a_state_is_the_same_whatever_days_it_was_carried_over() -> None:
    from slurrycalc.deciding.bed import advanced

    start = bed(eventful(5)).nodes
    at_once = advanced(start, start.months + 7.3)
    by_steps = start
    for step in (0.2, 0.9, 1.1, 1.15, 4.0, 4.01, 7.3):
        by_steps = advanced(by_steps, start.months + step)
    assert numbers(by_steps) == pytest.approx(numbers(at_once), abs=1e-12)


# --- Batches ---


def test_a_bed_comes_out_of_a_batch_as_it_does_alone() -> None:
    many = [eventful(1), made_up(2, 3), eventful(3), made_up(4, 20, 45), made_up(5, 1), eventful(6)[:6]]
    for together, alone in zip(beds(many), map(bed, many), strict=True):
        assert (together.first, together.last, together.read) == (alone.first, alone.last, alone.read)
        assert together.nodes.weight.shape == alone.nodes.weight.shape
        assert numbers(together.nodes) == pytest.approx(numbers(alone.nodes), abs=1e-12)
        assert together.nodes.log_likelihood == pytest.approx(alone.nodes.log_likelihood, abs=1e-10)


@given(histories(), st.data())
@settings(max_examples=40, deadline=None)
def test_a_new_entry_is_one_update_of_the_bed_as_it_was(
    history: list[Happening], data: st.DataObject
) -> None:
    cut = data.draw(st.integers(1, len(history)))
    whole, grown = bed(history), bed(history[:cut]).after(*history[cut:])
    assert (grown.last, grown.read, grown.days) == (whole.last, whole.read, whole.days)
    assert numbers(grown.nodes) == pytest.approx(numbers(whole.nodes), abs=1e-12)


# --- Exchanges ---


@given(histories(), st.data())
@settings(max_examples=40, deadline=None)
def test_an_exchange_of_nothing_changes_nothing(history: list[Happening], data: st.DataObject) -> None:
    place = data.draw(st.integers(1, len(history)))
    day = history[place - 1].day
    more = [*history[:place], Replaced(day, 0.0, 6.6, 0.1), *history[place:]]
    assert np.array_equal(numbers(bed(more).nodes), numbers(bed(history).nodes))
    nodes = bed(history).nodes
    assert np.array_equal(numbers(exchanged(nodes, 0.0, 6.6, 0.1)), numbers(nodes))


@pytest.mark.parametrize("start", [4.5, 6.0, 7.5])
def test_an_exchange_of_everything_leaves_the_mix_within_its_placement_noise(start: float) -> None:
    now = bed(made_up(7, start=start))
    after = now.after(Replaced(now.last, 1.0, 6.5, 0.04))
    before = level(now)
    assert level(after).value == pytest.approx(6.5, abs=1e-9)
    placed = 0.04**2 + 0.10**2 * ((6.5 - before.value) ** 2 + before.u**2) + 0.02**2
    assert level(after).u == pytest.approx(sqrt(placed), abs=1e-9)


def test_exchanges_of_one_day_go_in_the_order_of_the_record() -> None:
    now = bed(made_up(8))
    limed, peaty = Replaced(now.last, 0.5, 7.2, 0.05), Replaced(now.last, 0.5, 4.2, 0.05)
    first, last = now.after(limed, peaty), now.after(peaty, limed)
    assert level(first).value < level(last).value - 0.5
    assert level(now.after(limed).after(peaty)).value == pytest.approx(level(first).value, abs=1e-12)


def test_a_reading_after_an_exchange_teaches_how_the_bed_buffers() -> None:
    from slurrycalc.deciding.bed import ratio_known

    now = bed(made_up(9, start=5.4, drift=0.0))
    changed = now.after(Replaced(now.last, 0.3, 6.8, 0.03))
    known = [
        ratio_known(changed.after(day_mean(now.last + timedelta(days=7), [ph] * 4, 0.012)))
        for ph in (5.55, 5.8, 6.2)
    ]
    start = ratio_known(changed)
    assert start is not None
    assert start.ratio == pytest.approx(1.0, abs=1e-9)
    ratios = [each.ratio for each in known if each is not None]
    assert ratios == sorted(ratios)
    assert ratios[0] < 0.7
    assert ratios[-1] > 1.5
    assert all(each is not None and each.u_log < start.u_log for each in known)


def test_a_named_event_can_be_switched_off() -> None:
    plain = made_up(10)
    charcoal = [*plain[:6], Disturbed(plain[5].day, "charcoal"), *plain[6:]]
    assert level(bed(charcoal)).u > level(bed(plain)).u
    off = bed(charcoal, switched_off={"charcoal"})
    assert np.array_equal(numbers(off.nodes), numbers(bed(plain).nodes))


# --- Chances ---


@given(histories())
@settings(max_examples=40, deadline=None)
def test_cumulative_chances_never_fall_and_quantiles_turn_them_round(history: list[Happening]) -> None:
    now = level(bed(history), u_shared=0.022)
    at = np.linspace(now.value - 6 * now.u, now.value + 6 * now.u, 200)
    below = np.array([now.probability(below=x) for x in at])
    assert np.all(np.diff(below) >= -1e-15)
    assert below == pytest.approx(1.0 - np.array([now.probability(above=x) for x in at]), abs=1e-12)
    quantiles = [now.quantile(p) for p in (0.001, 0.025, 0.5, 0.975, 0.999)]
    assert quantiles == sorted(quantiles)
    for p, x in zip((0.001, 0.025, 0.5, 0.975, 0.999), quantiles, strict=True):
        assert now.probability(below=x) == pytest.approx(p, abs=1e-11)


# --- What cannot be ---


@pytest.mark.parametrize(
    ("make", "words"),
    [
        (lambda: bed([Disturbed(FIRST, "lime")]), "no reading yet"),
        (lambda: bed([*made_up(1, 2)[::-1]]), "in order"),
        (lambda: Replaced(FIRST, 1.2, 6.0), "part of a bed"),
        (lambda: Replaced(FIRST, float("nan"), 6.0), "part of a bed"),
        (lambda: Replaced(FIRST, 0.3, 66.0), "fresh mix"),
        (lambda: day_mean(FIRST, [], 0.01), "without a jar"),
        (lambda: day_mean(FIRST, [5.5], -0.01), "calibration"),
        (lambda: DayMean(FIRST, 5.5, 0, 0.0, 0.01), "no bench day"),
        (lambda: bed(made_up(1, 4)).after(Replaced(FIRST, 0.3, 6.6)), "in order"),
    ],
)
def test_what_cannot_be_is_refused_with_a_sentence(make: object, words: str) -> None:
    with pytest.raises(Refusal, match=words):
        make()  # type: ignore[operator]
