"""Three and more buffers: are they straight, which may be off, and does the interval still hold."""

from __future__ import annotations

from math import sqrt

import numpy as np
import pytest

from slurrycalc.measuring.electrode import Calibration, Meter, calibrate, nernst_slope
from slurrycalc.measuring.electrode.buffers import Bottle, buffer_ph
from slurrycalc.metrology.budget import budget
from slurrycalc.metrology.coverage import interval

THREE, FOUR = ("4.01", "7.00", "10.01"), ("4.01", "6.86", "9.18", "10.01")


def millivolts(ph: float, at: float = 22.0) -> float:
    return 4.0 - 0.98 * nernst_slope(at) * (ph - 7.0)


def with_errors(errors: dict[str, float], labels: tuple[str, ...] = THREE) -> Calibration:
    """Calibrate where a bottle is off by so many pH from its label."""
    return calibrate([(b, millivolts(buffer_ph(b, 22.0) + errors.get(b, 0.0)), 22.0) for b in labels])


def test_straight_buffers_are_not_disputed() -> None:
    cal = with_errors({})
    assert cal.p_value == pytest.approx(1.0)
    assert cal.disputed is None


def test_each_suspect_carries_the_error_that_would_explain_it() -> None:
    disputed = with_errors({"7.00": 0.15}).disputed
    assert disputed is not None
    assert {one.buffer for one in disputed.suspects} == set(THREE)
    errors = {one.buffer: one.error for one in disputed.suspects}
    assert errors["7.00"] == pytest.approx(0.15, abs=1e-9)
    # Similar triangles: the line through 10.01 and the false 7.00 passes 4.01 by so much.
    neutral, basic, acid = (buffer_ph(b, 22.0) for b in ("7.00", "10.01", "4.01"))
    at_acid = basic - (basic - acid) * (basic - neutral) / (basic - neutral - 0.15)
    assert errors["4.01"] == pytest.approx(at_acid - acid, abs=1e-9)
    for label, error in errors.items():
        assert f"{label} by {error:+.2f}" in disputed.text


def test_a_bottle_corrected_by_its_suspected_error_is_straight() -> None:
    disputed = with_errors({"7.00": 0.15}).disputed
    assert disputed is not None
    for one in disputed.suspects:
        points = [
            (
                Bottle(b, measured=buffer_ph(b) + one.error, tolerance=0.02) if b == one.buffer else b,
                millivolts(buffer_ph(b, 22.0) + (0.15 if b == "7.00" else 0.0)),
                22.0,
            )
            for b in THREE
            if abs(one.error) <= 0.2 or b != one.buffer
        ]
        cal = calibrate(points)
        assert cal.disputed is None


def test_three_buffers_cannot_say_which() -> None:
    disputed = with_errors({"7.00": 0.15}).disputed
    assert disputed is not None
    assert disputed.named is None
    assert "a fourth could" in disputed.text


@pytest.mark.parametrize("label", FOUR)
@pytest.mark.parametrize("error", [-0.2, 0.2])
def test_from_four_buffers_on_the_bad_one_is_named(label: str, error: float) -> None:
    disputed = with_errors({label: error}, FOUR).disputed
    assert disputed is not None
    assert disputed.named == label
    assert next(one.error for one in disputed.suspects if one.buffer == label) == pytest.approx(
        error, abs=1e-9
    )
    assert f"Without {label} the others make a line" in disputed.text


def test_two_bad_buffers_of_four_are_not_blamed_on_one() -> None:
    disputed = with_errors({"4.01": 0.3, "9.18": -0.3}, FOUR).disputed
    assert disputed is not None
    assert disputed.named is None
    assert "No single buffer explains it" in disputed.text


def test_the_doubt_is_the_largest_distance_to_any_two_buffer_line() -> None:
    cal = with_errors({"7.00": 0.15})
    points = [(b, millivolts(buffer_ph(b, 22.0) + (0.15 if b == "7.00" else 0.0)), 22.0) for b in THREE]
    pairs = [calibrate([points[i], points[j]]) for i, j in ((0, 1), (1, 2), (0, 2))]
    for shown in (150.0, 84.3, 0.0, -100.0):
        reading = cal.ph(shown, 22.0)
        farthest = max(abs(pair.ph(shown, 22.0).n - reading.n) for pair in pairs)
        (row,) = (row for row in budget(reading).rows if row.name == "disputed buffer")
        assert row.contribution == pytest.approx(farthest / sqrt(2), rel=1e-9)


def test_the_doubt_is_said_and_shared() -> None:
    cal = with_errors({"7.00": 0.15})
    assert "disputed-buffer" in {remark.kind for remark in cal.remarks}
    near = cal.ph(84.3, 22.0) - cal.ph(84.4, 22.0)
    doubt = [row.contribution for row in budget(near).rows if row.name == "disputed buffer"]
    assert sum(doubt) < 2e-4


def test_what_the_doubt_says_of_itself_is_so() -> None:
    cal = with_errors({"7.00": 0.15})
    (said,) = (remark.text for remark in cal.remarks if remark.kind == "disputed-buffer")
    assert "of every reading carries this doubt; those of the efficiency, slope and offset do not" in said
    numbers = {"ph": cal.ph(84.3, 22.0), "part": cal.efficiency, "zero": cal.zero_ph, "offset": cal.offset}
    sources = {name: {row.name for row in budget(number).rows} for name, number in numbers.items()}
    assert [name for name, rows in sources.items() if "disputed buffer" in rows] == ["ph"]


@pytest.mark.parametrize("labels", [THREE, FOUR])
def test_good_buffers_are_rarely_disputed(labels: tuple[str, ...]) -> None:
    rng = np.random.default_rng(11)
    runs = 500
    disputed = sum(_day(rng, labels, {})[0].disputed is not None for _ in range(runs))
    assert disputed <= runs * 0.05 + 3 * sqrt(runs * 0.05 * 0.95)


@pytest.mark.slow
def test_a_disputed_calibration_covers_far_more_than_its_line_alone() -> None:
    # One bottle of three, whichever, is off by up to 0.3 pH; slurries from pH 4.5 to 7. Largest
    # distance over √2 covers 0.97 of such days, over √3 0.93; their plain line covers 0.4.
    rng = np.random.default_rng(4)
    hits, plain, n = 0, 0, 0
    while n < 1500:
        cal, truth, shown = _day(rng, THREE, {str(rng.choice(THREE)): float(rng.uniform(-0.3, 0.3))})
        if cal.disputed is None:
            continue
        n += 1
        reading = cal.ph(shown, 22.0)
        low, high = interval(reading)
        hits += low <= truth <= high
        doubt = sum(row.contribution**2 for row in budget(reading).rows if row.name == "disputed buffer")
        plain += abs(reading.n - truth) <= 1.96 * sqrt(reading.s**2 - doubt)
    assert hits / n >= 0.95
    assert plain / n < 0.5


def _day(
    rng: np.random.Generator, labels: tuple[str, ...], gross: dict[str, float]
) -> tuple[Calibration, float, float]:
    """Draw a calibration with every error that the budget knows, a true slurry pH and its reading."""
    warm, junction = rng.uniform(-1.0, 1.0), rng.normal(0.0, 0.02)
    points = []
    for label in labels:
        ph = buffer_ph(label, 22.0 + warm) + rng.uniform(-0.02, 0.02) + gross.get(label, 0.0)
        points.append((label, round(millivolts(ph, 22.0 + warm) + rng.normal(0.0, 0.3), 1), 22.0))
    truth = float(rng.uniform(4.5, 7.0))
    shown = round(millivolts(truth - junction, 22.0 + warm) + rng.normal(0.0, 0.3), 1)
    return calibrate(points, Meter("mV")), truth, shown
