"""Laws that hold for every calibration."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from slurrycalc.measuring.electrode import Calibration, Fit, Meter, calibrate, nernst_slope
from slurrycalc.measuring.electrode.buffer_kinds import labels
from slurrycalc.measuring.electrode.buffers import Bottle, buffer_ph
from slurrycalc.metrology.budget import budget
from slurrycalc.metrology.coverage import half_width, interval
from slurrycalc.metrology.uncertain import Inputs

efficiencies = st.floats(0.85, 1.05)
offsets = st.floats(-40.0, 40.0)
benches = st.floats(10.0, 35.0)
noises = st.lists(st.floats(-0.8, 0.8), min_size=8, max_size=8)


def points_of(
    which: list[str], meter: Meter, efficiency: float, offset: float, at: list[float], noise: list[float]
) -> list[tuple[str, Any, float]]:
    points: list[tuple[str, Any, float]] = []
    for label, t, e in zip(which, at, noise, strict=False):
        ph = buffer_ph(label, t)
        if meter.shows == "mV":
            points.append((label, offset - efficiency * nernst_slope(t) * (ph - 7.0) + e, t))
        else:
            points.append((label, 7.0 + offset / 60.0 + efficiency * (ph - 7.0) + e / 60.0, t))
    return points


meters = st.sampled_from([Meter("mV"), Meter("pH"), Meter("pH", compensates=False)])


@st.composite
def calibrations(draw: st.DrawFn, least: int = 2) -> tuple[list[tuple[str, Any, float]], Meter]:
    which = draw(st.lists(st.sampled_from(labels()), min_size=least, max_size=6))
    assume(max(float(one) for one in which) - min(float(one) for one in which) > 1.5)
    meter = draw(meters)
    at = draw(st.lists(benches, min_size=6, max_size=6))
    points = points_of(which, meter, draw(efficiencies), draw(offsets), at, draw(noises))
    repeats = draw(st.lists(st.booleans(), min_size=len(points), max_size=len(points)))
    return [
        (label, [shown, shown + 0.01 * (i + 1)] if again else shown, t)
        for i, ((label, shown, t), again) in enumerate(zip(points, repeats, strict=True))
    ], meter


def middle(cal: Calibration) -> float:
    return sum(point.shown for point in cal.points) / len(cal.points)


@given(calibrations(), st.data())
def test_the_order_of_the_points_changes_no_digit(case: tuple[list[Any], Meter], data: st.DataObject) -> None:
    points, meter = case
    other = [
        (label, list(reversed(shown)) if isinstance(shown, list) else shown, t)
        for label, shown, t in data.draw(st.permutations(points))
    ]
    fit: Fit = data.draw(st.sampled_from(["line", "bracket"]))
    if fit == "bracket":
        assume(not {"6.86", "7.00"} <= {label for label, *_ in points})
        assume(not {"9.18", "10.01"} <= {label for label, *_ in points})
    one, two = calibrate(points, meter, fit=fit), calibrate(other, meter, fit=fit)
    a, b = one.ph(middle(one), 20.0), two.ph(middle(one), 20.0)
    assert a.n == b.n
    assert interval(a) == pytest.approx(interval(b), abs=1e-12)
    assert one.verdict == two.verdict
    assert one.remarks == two.remarks


@given(
    st.sampled_from(
        [("4.01", "6.86"), ("4.01", "7.00"), ("7.00", "9.18"), ("7.00", "10.01"), ("4.01", "10.01")]
    ),
    meters,
    efficiencies,
    offsets,
    benches,
    noises,
    st.floats(0.0, 1.0),
)
def test_a_reading_between_two_buffers_lies_between_their_ph(
    which: tuple[str, str],
    meter: Meter,
    efficiency: float,
    offset: float,
    at: float,
    noise: list[float],
    part: float,
) -> None:
    points = points_of(list(which), meter, efficiency, offset, [at, at], noise)
    cal = calibrate(points, meter)
    reading = points[0][1] + part * (points[1][1] - points[0][1])
    low, high = (buffer_ph(label, at) for label in which)
    assert low - 1e-9 <= cal.ph(reading, at).n <= high + 1e-9
    assert cal.read(reading, at).remarks == (() if cal.doubt is None else (cal.doubt,))


@given(meters, efficiencies, benches, st.data())
def test_ph_rises_as_the_reading_goes_towards_it(
    meter: Meter, efficiency: float, at: float, data: st.DataObject
) -> None:
    points = points_of(["4.01", "7.00"], meter, efficiency, 3.0, [at, at], [0.0, 0.0])
    cal = calibrate(points, meter)
    low, high = sorted(data.draw(st.lists(st.floats(3.0, 9.0), min_size=2, max_size=2)))
    a, b = (points_of_ph(ph, meter, efficiency, at) for ph in (low, high))
    assert cal.ph(a, at).n <= cal.ph(b, at).n


def points_of_ph(ph: float, meter: Meter, efficiency: float, at: float) -> float:
    if meter.shows == "mV":
        return 3.0 - efficiency * nernst_slope(at) * (ph - 7.0)
    return 7.0 + 3.0 / 60.0 + efficiency * (ph - 7.0)


@given(
    st.sampled_from(["tolerance", "resolution", "repeatability", "junction", "thermometer"]),
    meters,
    benches,
    st.floats(3.0, 9.0),
    st.floats(1.01, 4.0),
)
def test_the_interval_grows_with_every_uncertainty(
    which: str, meter: Meter, at: float, ph: float, more: float
) -> None:
    points = points_of(["4.01", "7.00"], meter, 0.97, 3.0, [at, at + 1.0], [0.0, 0.0])
    shown = points_of_ph(ph, meter, 0.97, at)

    def width(factor: float) -> float:
        def size(name: str, base: float) -> float:
            return base * (factor if which == name else 1.0)

        scale = 1.0 if meter.shows == "mV" else 1 / 60.0
        own = Meter(
            meter.shows,
            resolution=size("resolution", 0.6 * scale),
            repeatability=size("repeatability", 0.3 * scale),
            junction=size("junction", 0.02),
            compensates=meter.compensates,
        )
        bottles = [(Bottle(b, tolerance=size("tolerance", 0.02)), e, t) for b, e, t in points]
        cal = calibrate(bottles, own, thermometer=size("thermometer", 1.0))
        return half_width(cal.ph(shown, at))

    assert width(more) >= width(1.0)
    if which != "thermometer":
        assert width(more) > width(1.0)


@given(calibrations(), st.floats(-1.0, 1.0))
def test_under_one_calibration_a_difference_cancels_what_is_shared(
    case: tuple[list[Any], Meter], apart: float
) -> None:
    points, meter = case
    cal = calibrate(points, meter)
    one = cal.ph(middle(cal), 20.0)
    same, other = cal.ph(middle(cal), 20.0), cal.ph(middle(cal) + apart, 20.0)
    assert "liquid-junction potential" in {row.name for row in budget(one).rows}
    assert "liquid-junction potential" not in {row.name for row in budget(one - other).rows}
    # Of two equal readings nothing remains but reading them.
    assert {row.name for row in budget(one - same).rows} == {"repeatability, reading", "resolution, reading"}


@given(calibrations())
def test_each_buffer_reads_back_what_the_line_says_of_it(case: tuple[list[Any], Meter]) -> None:
    points, meter = case
    cal = calibrate(points, meter)
    lone = [point for point in cal.points if sum(label == point.buffer for label, *_ in points) == 1]
    for point in lone:
        assert cal.ph(point.shown, point.temperature).n == pytest.approx(point.ph.n + point.off, abs=1e-9)


@given(calibrations(), st.text(min_size=1, max_size=5))
def test_a_key_finds_the_same_reading_again(case: tuple[list[Any], Meter], key: str) -> None:
    points, meter = case
    cal = calibrate(points, meter, inputs=Inputs())
    a, b = (cal.ph(middle(cal), 20.0, key=key) for _ in range(2))
    assert (a - b).s == 0.0
    assert {f"{key}:repeatability", f"{key}:resolution"} <= {row.key for row in budget(a).rows}
