"""What cannot stand as a calibration or a reading: one sentence that quotes it and shows a right one."""

from __future__ import annotations

from typing import Any

import pytest
from uncertainties import ufloat

from slurrycalc.measuring.electrode import Meter, calibrate, nernst_slope
from slurrycalc.measuring.electrode.buffers import Bottle
from slurrycalc.metrology.remark import Refusal

MV, PH = Meter("mV"), Meter("pH")
GOOD = [("4.01", 178.2, 22.0), ("7.00", 1.8, 22.0)]
GOOD_PH = [("4.01", 4.03, 22.0), ("7.00", 7.02, 22.0)]
NAN, INF = float("nan"), float("inf")

CALIBRATIONS: list[tuple[str, Any, Meter, tuple[str, ...]]] = [
    ("no buffer", [], MV, ("alone fixes no slope", "4.01 beside 7.00")),
    ("one buffer", GOOD[:1], MV, ("`4.01` alone fixes no slope", "4.01 beside 7.00")),
    ("one buffer twice", [*GOOD[:1], ("4.01", 178.4, 22.0)], MV, ("`4.01` alone", "however often")),
    (
        "too close",
        [("6.86", 9.0, 22.0), ("7.00", 1.8, 22.0)],
        MV,
        ("6.86 and 7.00 lie only 0.1", "4.01 and 7.00"),
    ),
    (
        "less than 1 pH apart",
        [("9.18", -127.0, 22.0), ("10.01", -176.0, 22.0)],
        MV,
        ("9.18 and 10.01 lie only 0.84", "1 pH at least"),
    ),
    (
        "two bottles of one label",
        [(Bottle("7.00", "a"), 1.8, 22), (Bottle("7.00", "b"), 2, 22)],
        MV,
        ("0.00 pH",),
    ),
    (
        "two bottles of one name",
        [(Bottle("4.01", "box"), 178.2, 22), (Bottle("7.00", "box"), 1.8, 22)],
        MV,
        ("(box) bears the name of another bottle", "a name of its own"),
    ),
    (
        "a buffer of unknown uncertainty",
        [(ufloat(4.0, NAN), 178.2, 22), GOOD[1]],
        MV,
        ("no pH of a buffer", "ufloat(4.005"),
    ),
    (
        "a buffer of endless uncertainty",
        [(ufloat(4.0, INF), 178.2, 22), GOOD[1]],
        MV,
        ("no pH of a buffer", "ufloat(4.005"),
    ),
    (
        "swapped",
        [("4.01", 1.8, 22), ("7.00", 178.2, 22)],
        MV,
        ("`1.8 mV` in 4.01", "does not fall", "swapped", "176"),
    ),
    ("same reading", [("4.01", 90.0, 22), ("7.00", 90.0, 22)], MV, ("`90 mV`", "does not fall")),
    (
        "swapped on a pH meter",
        [("4.01", 7.02, 22), ("7.00", 4.03, 22)],
        PH,
        ("`7.02 pH` in 4.01", "does not rise"),
    ),
    ("two of three swapped", [*GOOD, ("10.01", 30.0, 22)], MV, ("`1.8 mV` in 7.00", "does not fall")),
    (
        "beyond any electrode",
        [("4.01", 1782, 22), GOOD[1]],
        MV,
        ("`1782 mV`", "±500", "did you mean 178.2 mV?"),
    ),
    ("far below", [("4.01", -600.5, 22), GOOD[1]], MV, ("`-600.5 mV`", "±500")),
    ("pH under a mV meter", GOOD_PH, MV, ("`4.03, 7.02`", "look like pH, not mV", "178 mV")),
    ("pH with its unit", [("4.01", "4.03 pH", 22), GOOD[1]], MV, ("buffer 4.01", "`4.03 pH`", "mV")),
    ("mV under a pH meter", GOOD, PH, ("buffer 4.01", "`178.2`", "no pH", "shows mV")),
    (
        "whole mV under a pH meter",
        [("4.01", 178, 22), ("7.00", 2, 22)],
        PH,
        ("`178`", "say that the meter shows mV"),
    ),
    ("mV with its unit", [("4.01", "178 mV", 22), GOOD_PH[1]], PH, ("`178 mV`", "shows mV")),
    ("lost point", [("4.01", 403, 22), GOOD_PH[1]], PH, ("`403`", "did you mean `4.03`?")),
    ("lost point in text", [("4.01", "403", 22), GOOD_PH[1]], PH, ("`403`", "did you mean `4.03`?")),
    ("negative pH", [("4.01", -4.03, 22), GOOD_PH[1]], PH, ("`-4.03`", "no pH")),
    ("letters", [("4.01", "many", 22), GOOD[1]], MV, ("`many`",)),
    ("empty text", [("4.01", "", 22), GOOD[1]], MV, ("buffer 4.01",)),
    ("nan", [("4.01", NAN, 22), GOOD[1]], MV, ("`nan`",)),
    ("infinity", [("4.01", INF, 22), GOOD[1]], MV, ("`inf`",)),
    ("no indication", [("4.01", [], 22), GOOD[1]], MV, ("`[]`", "178.2 mV")),
    ("none", [("4.01", None, 22), GOOD[1]], MV, ("`None`",)),
    ("frozen", [("4.01", 178.2, -1.0), GOOD[1]], MV, ("`-1 degC`", "0 to 60", "21 degC")),
    (
        "Fahrenheit",
        [("4.01", 178.2, 70.0), GOOD[1]],
        MV,
        ("`70 degC`", "did you mean 70 F, which is 21 degC?"),
    ),
    ("off the table", [("4.01", 178.2, 55.0), GOOD[1]], MV, ("`55` degC", "table of the 4.01 buffer")),
    ("temperature as text", [("4.01", 178.2, "warm"), GOOD[1]], MV, ("`warm`",)),
    (
        "unknown buffer",
        [("4.1", 178.2, 22.0), GOOD[1]],
        MV,
        ("`4.1`", "4.01, 6.86, 7.00, 9.18, 10.01", "mean 4.01?"),
    ),
    ("buffer of one's own", [(ufloat(15.0, 0.01), 178.2, 22.0), GOOD[1]], MV, ("`15` is no pH", "4.005")),
    (
        "described twice",
        [(Bottle("4.01", "a", 0.01), 178, 22), (Bottle("4.01", "a", 0.02), 178, 22), GOOD[1]],
        MV,
        ("4.01 (a)", "two different tolerances"),
    ),
    ("no point", [("4.01",), GOOD[1]], MV, ("is no calibration point", '("4.01", 178.2, 22.0)')),
    ("a text for a point", ["4.01=178.2mV", GOOD[1]], MV, ("`4.01=178.2mV` is no calibration point",)),
]


@pytest.mark.parametrize(
    ("points", "meter", "said"), [case[1:] for case in CALIBRATIONS], ids=[c[0] for c in CALIBRATIONS]
)
def test_points_that_cannot_stand_are_refused(points: Any, meter: Meter, said: tuple[str, ...]) -> None:
    with pytest.raises(Refusal) as caught:
        calibrate(points, meter)
    for part in said:
        assert part in str(caught.value)
    assert "\n" not in str(caught.value)


def test_bracketing_needs_every_pair_of_neighbours_apart() -> None:
    points = [("4.01", 178.2, 22.0), ("6.86", 9.9, 22.0), ("7.00", 1.8, 22.0)]
    assert calibrate(points).dof == 1
    with pytest.raises(Refusal, match=r"6\.86 and 7\.00 lie only 0\.1"):
        calibrate(points, fit="bracket")


READINGS: list[tuple[str, Meter, Any, Any, tuple[str, ...]]] = [
    ("beyond", MV, 843.0, 21.0, ("`843 mV`", "did you mean 84.3 mV?")),
    ("lost point", PH, 541, 21.0, ("`541`", "did you mean `5.41`?")),
    ("54.1", PH, 54.1, 21.0, ("`54.1` is no pH", "`5.41`")),
    ("mV", PH, "84.3 mV", 21.0, ("`84.3 mV`", "shows mV")),
    ("pH", MV, "5.41 pH", 21.0, ("`5.41 pH`", "shows pH")),
    ("hot", MV, 84.3, 61.0, ("`61 degC`", "0 to 60")),
    ("nan", MV, NAN, 21.0, ("`nan`",)),
    ("nan temperature", MV, 84.3, NAN, ("`nan`",)),
]


@pytest.mark.parametrize(
    ("meter", "reading", "at", "said"), [case[1:] for case in READINGS], ids=[c[0] for c in READINGS]
)
def test_readings_that_cannot_stand_are_refused(
    meter: Meter, reading: Any, at: Any, said: tuple[str, ...]
) -> None:
    cal = calibrate(GOOD if meter is MV else GOOD_PH, meter)
    with pytest.raises(Refusal) as caught:
        cal.ph(reading, at)
    for part in said:
        assert part in str(caught.value)


@pytest.mark.parametrize(
    ("readings", "temperatures", "said"),
    [
        ([84.3, 843.0], None, "`843` mV in reading 2 cannot be"),
        ([84.3, NAN], None, "`nan` mV in reading 2"),
        ([84.3, 85.0], [21.0, 61.0], "`61` degC with reading 2"),
        ([84.3, 85.0], [NAN, 21.0], "`nan` degC with reading 1"),
    ],
)
def test_a_file_of_readings_is_refused_with_the_place(readings: Any, temperatures: Any, said: str) -> None:
    with pytest.raises(Refusal, match=said):
        calibrate(GOOD).ph_array(readings, temperatures)


def test_a_file_and_its_temperatures_must_have_one_length() -> None:
    with pytest.raises(Refusal, match="3 readings and 2 temperatures"):
        calibrate(GOOD).ph_array([84.3, 85.0, 86.0], [21.0, 22.0])


def test_a_file_of_texts_is_refused() -> None:
    with pytest.raises(Refusal, match="plain numbers only"):
        calibrate(GOOD).ph_array(["84.3", "warm"])


def test_a_bottle_of_the_calibration_is_no_check_of_it() -> None:
    with pytest.raises(Refusal, match=r"`7\.00` cannot check a calibration that rests on it"):
        calibrate(GOOD).check("7.00", 1.8, 22.0)


def test_a_bottle_not_read_before_shows_no_drift() -> None:
    with pytest.raises(Refusal, match=r"`10\.01` was not read before.*one of 4\.01, 7\.00"):
        calibrate(GOOD).close("10.01", -175.0, 22.0)


@pytest.mark.parametrize(
    ("settings", "said"),
    [
        ({"shows": "ph"}, "`ph` is nothing that a pH meter shows"),
        ({"resolution": 0.0}, "`0` cannot be the resolution"),
        ({"resolution": -0.1}, "`-0.1` mV cannot be the resolution"),
        ({"repeatability": NAN}, "`nan` mV cannot be the repeatability"),
        ({"junction": -0.02}, "`-0.02` pH cannot be the junction"),
        ({"junction": 20.0}, "`20` pH cannot be the junction"),
        ({"shows": "pH", "resolution": 1.0}, "`1` pH cannot be the resolution"),
    ],
)
def test_a_meter_that_cannot_be_is_refused(settings: dict[str, Any], said: str) -> None:
    with pytest.raises(Refusal) as caught:
        Meter(**settings)
    assert said in caught.value.sentence


@pytest.mark.parametrize("thermometer", [-1.0, 11.0, NAN])
def test_a_thermometer_that_cannot_be_is_refused(thermometer: float) -> None:
    with pytest.raises(Refusal, match="cannot be what a thermometer is off by"):
        calibrate(GOOD, thermometer=thermometer)


def test_an_unknown_fit_is_refused() -> None:
    with pytest.raises(Refusal, match="`curve` is no way to fit buffers"):
        calibrate(GOOD, fit="curve")  # type: ignore[arg-type]


@pytest.mark.parametrize("temperature", [-300.0, NAN])
def test_no_slope_below_absolute_zero(temperature: float) -> None:
    with pytest.raises(Refusal, match="below absolute zero"):
        nernst_slope(temperature)
