"""Every public call takes texts and quantities of any registry, and counts with them as with numbers."""

from __future__ import annotations

import warnings
from collections.abc import Callable
from typing import Any

import numpy as np
import pint
import pytest
from uncertainties import ufloat

import slurrycalc as sc

FOREIGN = pint.UnitRegistry(cache_folder=None)
Q = FOREIGN.Quantity
POINTS = [("4.01", 178.2, 22.0), ("7.00", 1.8, 22.0)]


@pytest.fixture
def cal() -> sc.Calibration:
    return sc.calibrate(POINTS)


@pytest.mark.parametrize(
    "said",
    [
        sc.Meter("mV", "0.2 mV", "0.5mV", "0.03"),
        sc.Meter("mV", "0.2", "0,5", "0.03 pH"),
        sc.Meter("mV", Q(2e-4, "volt"), Q(500.0, "microvolt"), Q(0.03, "")),
    ],
)
def test_a_meters_figures(said: sc.Meter) -> None:
    assert (said.resolution, said.repeatability, said.junction) == pytest.approx((0.2, 0.5, 0.03))


@pytest.mark.parametrize(("shows", "step", "repeatability"), [("mV", 0.1, 0.3), ("pH", 0.01, 0.01)])
def test_a_meters_figures_left_out_are_the_usual_ones(shows: str, step: float, repeatability: float) -> None:
    # Common practice for the steps; repeatability and junction potential from memory.
    meter = sc.Meter(shows)  # type: ignore[arg-type]
    assert (meter.least_step.value, meter.least_step.known) == (step, "common practice")
    assert (meter.own_repeatability.value, meter.own_repeatability.known) == (repeatability, "memory")
    assert (meter.residual_junction.value, meter.residual_junction.known) == (0.02, "memory")


def test_a_meters_figures_of_another_kind_are_refused() -> None:
    with pytest.raises(sc.Refusal, match="mV"):
        sc.Meter("pH", resolution="0.1 mV")
    with pytest.raises(sc.Refusal, match="potential"):
        sc.Meter("mV", resolution=Q(0.1, "gram"))


def test_a_bottles_figures() -> None:
    number = sc.buffer("4.01", 20.0, 4.02, 0.01)
    for said in (
        sc.buffer("4,01", "20 C", "4.02", "0.01"),
        sc.buffer("4.01", Q(293.15, "kelvin"), Q(4.02, ""), Q(0.01, "")),
        sc.buffer(sc.Bottle("4.01", tolerance="0.01", measured="4.02"), "68 F"),
    ):
        assert (said.n, said.s) == pytest.approx((number.n, number.s), abs=1e-12)


@pytest.mark.parametrize(
    "read",
    [
        lambda cal: cal.ph("84.3 mV", "21 C"),
        lambda cal: cal.ph(Q(0.0843, "volt"), Q(294.15, "kelvin")),
        lambda cal: cal.ph(np.float64(84.3), np.int64(21)),
        lambda cal: sc.calibrate(
            [(4.01, Q(178.2, "mV"), Q(22, "degC")), ["7", "1.8mV", "71.6 F"]], sc.Meter()
        ).ph(84.3, 21.0),
    ],
)
def test_points_and_readings(cal: sc.Calibration, read: Callable[[sc.Calibration], Any]) -> None:
    number, said = cal.ph(84.3, 21.0), read(cal)
    assert (said.n, said.s) == pytest.approx((number.n, number.s), abs=1e-9)


def test_arrays_keep_their_units(cal: sc.Calibration) -> None:
    numbers = cal.ph_array([84.3, 85.1], [21.0, 22.0])
    with warnings.catch_warnings():
        warnings.simplefilter("error")
        said = cal.ph_array(Q(np.array([0.0843, 0.0851]), "volt"), Q(np.array([294.15, 295.15]), "kelvin"))
        one = cal.ph_array(Q(84.3, "mV"), Q(69.8, "degF"))
    for ours, theirs in zip(numbers, said, strict=True):
        assert ours == pytest.approx(theirs, abs=1e-9)
    assert float(one[0]) == pytest.approx(numbers[0][0], abs=1e-9)
    shown = sc.calibrate([("4.01", 4.03, 22.0), ("7.00", 7.02, 22.0)], sc.Meter("pH"))
    assert shown.ph_array(Q([5.41], ""))[0] == pytest.approx(shown.ph_array([5.41])[0])
    with pytest.raises(sc.Refusal, match="gram"):
        cal.ph_array(Q(np.array([84.3]), "gram"))


@pytest.mark.parametrize(
    "readings",
    [
        ["84.3 mV", Q(0.0851, "volt")],
        Q([84.3, 85.1], "mV"),
        np.array([84.3, 85.1]),
        [("84.3mV", "21 C"), (85.1, Q(294.15, "kelvin"))],
    ],
)
def test_slurries(cal: sc.Calibration, readings: Any) -> None:
    number, said = (sc.slurry_ph(cal, each, "21 C").interval() for each in ([84.3, 85.1], readings))
    assert said == pytest.approx(number, abs=1e-9)


@pytest.mark.parametrize("reading", [84, "84 mV", Q(0.084, "volt"), np.int64(84), np.float32(84)])
def test_a_lone_slurry(cal: sc.Calibration, reading: Any) -> None:
    assert sc.slurry_ph(cal, reading, 21).ph.n == pytest.approx(sc.slurry_ph(cal, [84.0], 21).ph.n, abs=1e-9)


def test_a_ph_to_be_judged() -> None:
    number = sc.judge(5.2, (5.4, 6.5), 5.0)
    for said in (sc.judge("5.2", ("5.4", "6.5"), "5.0"), sc.judge(Q(5.2, ""), (Q(5.4, ""), 6.5))):
        assert (said.in_range, said.above_floor) == (number.in_range, number.above_floor)


def test_spots_and_pairs() -> None:
    assert sc.spots("0.10", Q(0.1, "")) == sc.spots(0.10, "0.1 pH") == sc.spots(0.10, 0.10)
    said, number = sc.compare(["5.9", Q(6.1, "")], ["5,41", 5.7]), sc.compare([5.9, 6.1], [5.41, 5.7])
    assert said.limits == pytest.approx(number.limits, abs=1e-12)
    pairs = sc.response(["5.9", Q(6.1, "")], ["5,41", 5.7])
    read, again = (sc.update(sc.without_record(), pairs, shows).interval() for shows in ("5,9", 5.9))
    assert read == pytest.approx(again, abs=1e-12)


@pytest.mark.parametrize(
    ("call", "says"),
    [
        (lambda: sc.calibrate(POINTS, "mV"), 'Meter\\("mV"\\)'),
        (lambda: sc.slurry_ph(None, None), "`None` is no list of readings"),
        (lambda: sc.slurry_ph(None, {5.4}), "no list of readings"),
        (lambda: sc.slurry_ph(None, [ufloat(5.4, float("nan"))]), "`5.4.*nan` is not finite"),
        (lambda: sc.slurry_ph(None, [ufloat(float("inf"), 0.1)]), "not finite"),
        (lambda: sc.spots("wide", 0.1), "`wide`"),
        (lambda: sc.judge(None), "`None` is not a pH"),
        (lambda: sc.judge(54.0), "`54.0` is no pH.*did you mean `5.4`"),
        (lambda: sc.judge(float("nan")), "not finite"),
    ],
)
def test_what_is_no_such_thing_is_refused_in_one_sentence(call: Callable[[], Any], says: str) -> None:
    with pytest.raises(sc.Refusal, match=says):
        call()
