"""The calibration's own model: values, verdict, remarks, checks, drift, brackets."""

from __future__ import annotations

from itertools import pairwise
from math import sqrt
from typing import Any

import pytest
from uncertainties import ufloat

from slurrycalc.measuring.electrode import Calibration, Meter, Point, calibrate, nernst_slope
from slurrycalc.measuring.electrode.buffers import Bottle, buffer_ph
from slurrycalc.metrology.budget import budget
from slurrycalc.metrology.coverage import half_width
from slurrycalc.metrology.uncertain import Inputs

MV = Meter("mV")
TWO = [("4.01", 178.2, 22.0), ("7.00", 1.8, 22.0)]


def millivolts(ph: float, at: float, efficiency: float = 0.97, at_seven: float = 4.0) -> float:
    return at_seven - efficiency * nernst_slope(at) * (ph - 7.0)


def kinds(cal: Calibration) -> set[str]:
    return {remark.kind for remark in cal.remarks}


@pytest.mark.parametrize(
    ("temperature", "slope"),
    # R and F: CODATA 2018, exact; 59.16 mV at 25 degC: IUPAC Recommendations 2002.
    [(0, 54.1988), (15, 57.1751), (20, 58.1672), (25, 59.1593), (30, 60.1515), (37, 61.5404)],
)
def test_the_ideal_slope_is_the_published_one(temperature: float, slope: float) -> None:
    assert nernst_slope(temperature) == pytest.approx(slope, abs=5e-5)


def test_a_known_electrode_is_found_again() -> None:
    points = [
        (label, millivolts(buffer_ph(label, at), at), at) for label, at in (("4.01", 18.0), ("9.18", 27.0))
    ]
    cal = calibrate(points)
    assert cal.efficiency.n == pytest.approx(97.0, abs=1e-9)
    assert cal.offset.n == pytest.approx(4.0, abs=1e-9)
    assert cal.slope is not None
    assert cal.slope.n == pytest.approx(0.97 * 59.1593, abs=1e-4)
    assert cal.zero_ph.n == pytest.approx(7.0 + 4.0 / (0.97 * nernst_slope(25.0)), abs=1e-9)
    assert cal.ph(millivolts(5.4, 31.0), 31.0).n == pytest.approx(5.4, abs=1e-9)


def test_a_display_that_compensates_is_not_corrected_twice() -> None:
    points = [(label, 7.05 + 0.98 * (buffer_ph(label, 20.0) - 7.0), 20.0) for label in ("4.01", "7.00")]
    cal = calibrate(points, Meter("pH"))
    shown = 7.05 + 0.98 * (5.4 - 7.0)
    for at in (5.0, 20.0, 35.0, None):
        assert cal.ph(shown, at).n == pytest.approx(5.4, abs=1e-12)
    assert cal.slope is None
    assert cal.offset.n == pytest.approx(0.05)
    assert cal.zero_ph.n == pytest.approx(7.0 - 0.05 / 0.98)


def test_a_display_that_does_not_compensate_is_corrected_once() -> None:
    def shows(ph: float, at: float) -> float:
        return 7.05 + 0.98 * nernst_slope(at) / nernst_slope(22.5) * (ph - 7.0)

    points = [(label, shows(buffer_ph(label, at), at), at) for label, at in (("4.01", 20.0), ("7.00", 25.0))]
    cal = calibrate(points, Meter("pH", compensates=False))
    assert cal.efficiency.n == pytest.approx(98.0, abs=1e-9)
    assert cal.ph(shows(5.4, 33.0), 33.0).n == pytest.approx(5.4, abs=1e-9)
    assert cal.ph(shows(5.4, 33.0), 20.0).n != pytest.approx(5.4, abs=0.02)


def test_a_measured_label_wins() -> None:
    plain, stated = (calibrate([(b, 178.2, 22.0), TWO[1]]) for b in ("4.01", Bottle("4.01", measured=4.105)))
    assert stated.ph(178.2, 22.0).n - plain.ph(178.2, 22.0).n == pytest.approx(0.1, abs=1e-9)


def test_texts_and_numbers_are_the_same() -> None:
    said = calibrate([("4.01", "178.2mV", "71.6F"), Point("7", "1,8 mV", "22 C")])
    assert said.ph("84.3 mV", "21C").n == pytest.approx(calibrate(TWO).ph(84.3, 21.0).n, abs=1e-12)


def test_the_same_bottle_read_twice_counts_as_one_buffer() -> None:
    twice = calibrate([*TWO, ("4.01", 178.8, 22.0)])
    once = calibrate([("4.01", 178.5, 22.0), TWO[1]])
    assert len(twice.points) == 2
    assert twice.dof == 0
    assert twice.ph(84.3, 21.0).n == pytest.approx(once.ph(84.3, 21.0).n, abs=1e-12)
    own = [row for row in budget(twice.efficiency).rows if row.name == "repeatability, buffer 4.01"]
    assert [row.u for row in own] == [0.3, 0.3]


def test_pooling_allows_for_temperatures() -> None:
    at = (18.0, 26.0)
    points = [("4.01", millivolts(buffer_ph("4.01", t), t), t) for t in at]
    cal = calibrate([*points, ("7.00", millivolts(buffer_ph("7.00", 22.0), 22.0), 22.0)])
    assert cal.efficiency.n == pytest.approx(97.0, abs=1e-9)


def test_two_bottles_of_one_label_are_two_buffers() -> None:
    cal = calibrate([*TWO, (Bottle("7.00", "second"), 2.4, 22.0)])
    assert len(cal.points) == 3
    assert cal.p_value is not None
    assert cal.p_value > 0.05


def test_a_buffer_of_ones_own_keeps_its_links() -> None:
    mine = ufloat(4.2, 0.03)
    cal = calibrate([(mine, 167.0, 22.0), TWO[1]])
    assert cal.ph(167.0, 22.0, junction=False).derivatives[mine] == pytest.approx(1.0)
    assert cal.check(mine + 0.0, 167.0, 22.0).difference.derivatives.get(mine, 0.0) == pytest.approx(
        0.0, abs=1e-9
    )


def test_repeated_indications_speak_for_themselves_and_are_pooled() -> None:
    cal = calibrate([("4.01", [178.0, 178.6], 22.0), ("7.00", [1.8, 2.2, 2.0], 22.0)])
    rows = [row for row in budget(cal.efficiency).rows if row.name.startswith("repeatability")]
    pooled = sqrt((2 * 0.3**2 + 0.2**2 + 0.2**2) / 3)  # GUM 4.2.4
    assert {(row.type, row.dof) for row in rows} == {("A", 3.0)}
    assert sorted(row.u for row in rows) == pytest.approx([pooled / sqrt(3), pooled / sqrt(2)])


def test_a_stated_repeatability_wins_over_repeated_indications() -> None:
    cal = calibrate([("4.01", [178.0, 178.6], 22.0), TWO[1]], Meter("mV", repeatability=0.5))
    rows = {row.name: row for row in budget(cal.efficiency).rows}
    assert rows["repeatability, buffer 4.01"].u == pytest.approx(0.5 / sqrt(2))
    assert rows["repeatability, buffer 4.01"].known == "given"


def test_one_thermometer_is_one_source() -> None:
    rows = [row for row in budget(calibrate(TWO).ph(84.3, 21.0)).rows if row.name == "thermometer"]
    assert [row.u for row in rows] == pytest.approx([1 / sqrt(3)])


def test_a_temperature_that_was_not_read_is_the_buffers_and_said() -> None:
    cal = calibrate([("4.01", 178.2, 20.0), ("7.00", 1.8, 24.0)])
    reading = cal.read(84.3)
    assert reading.temperature == 22.0
    assert [remark.kind for remark in reading.remarks] == ["temperature-not-read"]
    assert reading.ph.n == cal.ph(84.3, 22.0).n
    (row,) = (row for row in budget(reading.ph).rows if row.name == "slurry temperature, not read")
    assert row.u == pytest.approx(5 / sqrt(3))
    assert "temperature-not-read" not in kinds(cal)


def test_a_buffer_whose_temperature_was_not_read_takes_the_others() -> None:
    cal = calibrate([("4.01", 178.2, 20.0), ("7.00", 1.8)])
    assert [point.temperature for point in cal.points] == [20.0, 20.0]
    assert "temperature-not-read" in kinds(cal)
    assert "7.00" in next(remark.text for remark in cal.remarks if remark.kind == "temperature-not-read")


def test_where_no_temperature_was_read_25_degc_is_taken() -> None:
    cal = calibrate([("4.01", 178.2), ("7.00", 1.8)])
    assert [point.temperature for point in cal.points] == [25.0, 25.0]
    names = {row.name for row in budget(cal.ph(84.3)).rows}
    assert {"buffer temperature, not read", "slurry temperature, not read"} <= names
    assert "thermometer" not in names


def test_a_display_that_compensates_needs_no_temperature_of_the_slurry() -> None:
    cal = calibrate([("4.01", 4.03, 22.0), ("7.00", 7.02, 22.0)], Meter("pH"))
    assert cal.read(5.4).remarks == ()


def test_two_buffers_say_that_nothing_checks_them() -> None:
    assert kinds(calibrate(TWO)) == {"two-buffers"}
    three = calibrate([*TWO, ("10.01", -176.0, 22.0)])
    assert kinds(three) == set()
    assert (three.dof, three.disputed) == (1, None)


@pytest.mark.parametrize(
    ("efficiency", "at_seven", "state"),
    # Common practice: 95 to 102 % good, 90 to 95 % clean, else do not use; offset within 30 mV.
    [
        (0.98, 5.0, "good"), (0.951, 0.0, "good"), (1.019, 0.0, "good"), (0.949, 0.0, "clean"),
        (0.901, 0.0, "clean"), (0.899, 0.0, "do not use"), (1.021, 0.0, "do not use"),
        (0.98, 29.0, "good"), (0.98, 31.0, "clean"), (0.98, -31.0, "clean"), (0.85, 31.0, "do not use"),
    ],
)  # fmt: skip
def test_the_verdict_follows_common_practice(efficiency: float, at_seven: float, state: str) -> None:
    points = [(b, millivolts(buffer_ph(b, 25.0), 25.0, efficiency, at_seven), 25.0) for b in ("4.01", "7.00")]
    verdict = calibrate(points).verdict
    assert verdict.state == state
    assert verdict.known == "common practice"
    assert len(verdict.reasons) >= 2


def test_a_limit_inside_the_interval_is_mentioned() -> None:
    points = [(b, millivolts(buffer_ph(b, 25.0), 25.0, 0.948), 25.0) for b in ("4.01", "7.00")]
    assert any("95 % lies inside the interval" in reason for reason in calibrate(points).verdict.reasons)


def test_of_a_meter_that_shows_ph_the_display_is_judged_and_that_is_said() -> None:
    def verdict(slope: float, at_seven: float) -> Any:
        points = [(b, 7 + at_seven + slope * (buffer_ph(b, 25.0) - 7.0), 25.0) for b in ("4.01", "7.00")]
        cal = calibrate(points, Meter("pH"))
        assert "display-judged" in kinds(cal)
        return cal.verdict.state

    assert verdict(1.0, 0.0) == "good"
    assert verdict(0.93, 0.0) == "clean"
    assert verdict(0.85, 0.0) == "do not use"
    # 30 mV over the ideal slope at 25 degC: 0.507 pH.
    assert verdict(1.0, 0.50) == "good"
    assert verdict(1.0, 0.52) == "clean"


def test_outside_the_buffers_the_reading_is_flagged_and_its_interval_grows() -> None:
    cal = calibrate(TWO)
    readings = [cal.read(millivolts(ph, 22.0, 1.0, 2.0), 22.0) for ph in (4.005, 3.9, 3.0, 2.0)]
    assert [bool(one.remarks) for one in readings] == [False, True, True, True]
    above = [cal.read(millivolts(ph, 22.0, 1.0, 2.0), 22.0) for ph in (7.0, 7.02, 7.1, 9.0)]
    assert [bool(one.remarks) for one in above] == [False, False, True, True]
    assert "lies 1.99 outside the buffers, 4.00 to 7.01" in above[-1].remarks[0].text
    widths = [half_width(one.ph) for one in readings]
    assert all(near < far for near, far in pairwise(widths))


def test_a_check_buffer_is_judged_by_the_interval_of_its_difference() -> None:
    cal = calibrate(TWO)
    good = cal.check("10.01", millivolts(buffer_ph("10.01", 22.0), 22.0, 1.001, 2.4), 22.0)
    bad = cal.check("10.01", millivolts(buffer_ph("10.01", 22.0) + 0.3, 22.0, 1.001, 2.4), 22.0)
    assert (good.agrees, bad.agrees) == (True, False)
    assert bad.difference.n - good.difference.n == pytest.approx(0.3, abs=0.001)
    names = {row.name for row in budget(bad.difference).rows}
    assert "buffer 10.01" in names
    assert "liquid-junction potential" not in names


def test_a_second_bottle_of_the_same_label_may_check() -> None:
    assert calibrate(TWO).check(Bottle("7.00", "second"), 2.0, 22.0).agrees


def test_drift_is_what_the_same_bottle_reads_at_the_close() -> None:
    cal = calibrate(TWO)
    slope = 1.0 / (cal.efficiency.n / 100 * nernst_slope(22.0))
    closed = cal.close("7.00", 1.8 - 6.0, 22.0)
    assert closed.drift is not None
    assert closed.drift.change.n == pytest.approx(6.0 * slope, abs=1e-9)
    assert closed.drift.u == pytest.approx(6.0 * slope / sqrt(3))
    assert closed.drift.flagged
    assert "drift" in kinds(closed)


def test_of_a_bottle_that_reads_the_same_again_only_the_two_readings_remain() -> None:
    cal = calibrate(TWO)
    again = cal.close("7.00", 1.8, 22.0).drift
    assert again is not None
    own = sqrt(2 * (0.3**2 + 0.1**2 / 12)) / (cal.efficiency.n / 100 * nernst_slope(22.0))
    assert again.change.s == pytest.approx(own, rel=1e-9)
    assert "buffer 7.00" not in {row.name for row in budget(again.change).rows}


def test_every_reading_of_the_day_carries_the_drift_and_a_difference_does_not() -> None:
    cal = calibrate(TWO)
    closed = cal.close("7.00", 1.8 - 6.0, 22.0)
    before, after = cal.ph(84.3, 21.0), closed.ph(84.3, 21.0)
    assert closed.drift is not None
    assert after.n == before.n
    assert after.s**2 - before.s**2 == pytest.approx(closed.drift.u**2)
    assert "drift until the close" not in {row.name for row in budget(after - closed.ph(90.0, 21.0)).rows}


def test_a_small_change_is_no_drift_to_be_seen() -> None:
    closed = calibrate(TWO).close("7.00", 1.9, 22.0)
    assert closed.drift is not None
    assert not closed.drift.flagged
    assert "drift" not in kinds(closed)


def test_a_warmer_bottle_at_the_close_is_no_drift() -> None:
    at = (20.0, 26.0)
    points = [(b, millivolts(buffer_ph(b, at[0]), at[0]), at[0]) for b in ("4.01", "7.00")]
    closed = calibrate(points).close("4.01", millivolts(buffer_ph("4.01", at[1]), at[1]), at[1])
    assert closed.drift is not None
    assert closed.drift.change.n == pytest.approx(0.0, abs=1e-9)


def test_of_several_closings_the_largest_counts() -> None:
    cal = calibrate(TWO)
    small, large = ("7.00", 1.8 - 3.0, 22.0), ("4.01", 178.2 - 6.0, 22.0)
    one, other = cal.close(*small).close(*large), cal.close(*large).close(*small)
    for closed in (one, other):
        assert closed.drift is not None
        assert closed.drift.buffer == "4.01"
        assert [remark.kind for remark in closed.remarks].count("drift") == 1


def test_bracketing_goes_through_every_buffer() -> None:
    points = [("4.01", 178.2, 22.0), ("7.00", 1.2, 22.0), ("10.01", -175.0, 22.0)]
    bracketed = calibrate(points, fit="bracket", meter=Meter("mV", junction=0.0))
    assert bracketed.disputed is None
    for label, shown, at in points:
        assert bracketed.ph(shown, at).n == pytest.approx(buffer_ph(label, at), abs=1e-9)
    acid = calibrate(points[:2], meter=Meter("mV", junction=0.0)).ph(84.3, 21.0)
    basic = calibrate(points[1:], meter=Meter("mV", junction=0.0)).ph(-84.3, 21.0)
    assert bracketed.ph(84.3, 21.0).n == pytest.approx(acid.n, abs=1e-12)
    assert bracketed.ph(84.3, 21.0).s == pytest.approx(acid.s, rel=1e-9)
    assert bracketed.ph(-84.3, 21.0).n == pytest.approx(basic.n, abs=1e-12)
    assert bracketed.ph(-84.3, 21.0).s == pytest.approx(basic.s, rel=1e-9)


def test_each_reading_is_bracketed_by_its_own_neighbours() -> None:
    # A bent electrode in five buffers: steeper the more acid.
    bottles = [(ufloat(ph, 0.01), 4.0 - 57.0 * (ph - 7.0) + 0.8 * (ph - 7.0) ** 2) for ph in (2, 4, 7, 9, 11)]
    points = [(bottle, shown, 22.0) for bottle, shown in bottles]
    bracketed = calibrate(points, fit="bracket")
    doubt = bracketed.disputed
    assert doubt is not None
    for low, high in pairwise(points):
        alone = calibrate([low, high])
        for part in (0.01, 0.5, 0.99):
            shown = low[1] + part * (high[1] - low[1])
            assert bracketed.ph(shown, 22.0).n == pytest.approx(alone.ph(shown, 22.0).n, abs=1e-12)
    # Beyond the last buffer the last piece goes on.
    assert bracketed.ph(points[0][1] + 20.0, 22.0).n == pytest.approx(
        calibrate(points[:2]).ph(points[0][1] + 20.0, 22.0).n, abs=1e-12
    )


def test_a_named_meters_junction_and_thermometer_cancel_between_days_and_a_nameless_ones_do_not() -> None:
    def two_days(meter: Meter) -> set[str]:
        inputs = Inputs()
        march, april = (calibrate(TWO, meter, inputs=inputs).ph(84.3, 21.0) for _ in range(2))
        return {row.name for row in budget(march - april).rows}

    # A thermometer's error moves a pH, and the more the farther it is from pH 7: the same on both days.
    for one in ("liquid-junction potential", "thermometer"):
        assert one not in two_days(Meter("mV", name="desk"))
        assert one in two_days(MV)


def test_a_named_bottle_cancels_between_days_and_a_nameless_one_does_not() -> None:
    def two_days(acid: Bottle, neutral: Bottle) -> set[str]:
        inputs = Inputs()
        points = [(acid, 178.2, 22.0), (neutral, 1.8, 22.0)]
        march, april = (calibrate(points, inputs=inputs).ph(84.3, 21.0) for _ in range(2))
        return {row.name for row in budget(march - april).rows}

    names = two_days(Bottle("4.01", "acid 2"), Bottle("7.00"))
    assert "buffer 4.01 (acid 2)" not in names
    assert "buffer 7.00" in names


def test_the_same_keys_give_the_same_calibration_again() -> None:
    inputs = Inputs()

    def once() -> Any:
        points = [Point("4.01", [178.0, 178.6], None, "point:1"), Point("7.00", [1.8, 2.0], 22.0, "point:2")]
        cal = calibrate(points, inputs=inputs, key="calibration:3").close("7.00", -4.0, 22.0, key="close:3")
        return cal.ph([84.3, 84.9], None, key="jar:A1")

    assert (once() - once()).s == 0.0
