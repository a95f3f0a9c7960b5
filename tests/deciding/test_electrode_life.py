"""An electrode through its calibrations: efficiency, offset, and when it is worn out."""

from __future__ import annotations

from datetime import date, timedelta

import numpy as np
import pytest

from slurrycalc.deciding.electrode_life import electrode_life
from slurrycalc.deciding.trend import trend
from slurrycalc.measuring.electrode import Calibration, Meter, calibrate
from slurrycalc.measuring.electrode.buffers import Bottle
from slurrycalc.metrology.coverage import half_width
from slurrycalc.metrology.remark import Refusal
from slurrycalc.metrology.scatter import Scatter
from slurrycalc.metrology.uncertain import Inputs

NERNST_22 = 58.5640


def monthly(n: int) -> list[date]:
    return [date(2023, 1, 10) + timedelta(days=30 * i) for i in range(n)]


def worn(efficiency: list[float], inputs: Inputs | None = None, shows: str = "mV") -> list[Calibration]:
    """Calibrations of an electrode whose efficiency goes as told, in the same two bottles."""
    blue, grey = Bottle("4.01", "blue"), Bottle("7.00", "grey")
    named = Inputs() if inputs is None else inputs
    found = []
    for each in efficiency:
        if shows == "mV":
            step, at_7 = each / 100 * NERNST_22 * 3.0, 2.0
            meter = Meter("mV", name="desk")
        else:
            step, at_7 = -each / 100 * 3.0, 7.04
            meter = Meter("pH", name="desk")
        points = [(blue, at_7 + step, 22.0), (grey, at_7, 22.0)]
        found.append(calibrate(points, meter, inputs=named))
    return found


class TestLife:
    WORN = (99.0, 98.4, 98.1, 97.4, 97.1, 96.4, 96.1, 95.4)

    def test_a_falling_efficiency_is_dated(self) -> None:
        life = electrode_life(monthly(8), worn(list(self.WORN)))
        assert life.shown
        assert life.efficiency_per_month.n == pytest.approx(-0.51, abs=0.03)
        assert life.end.state == "dated"
        assert life.end.earliest < date(2024, 7, 15) < life.end.latest  # type: ignore[operator]
        assert life.text[0].startswith("Efficiency falls by 0.5")
        assert "90 %" in life.text[2]
        assert "common practice" in life.text[2]

    def test_a_steady_one_cannot_be(self) -> None:
        life = electrode_life(monthly(6), worn([98.0, 98.3, 97.9, 98.2, 98.0, 98.1]))
        assert not life.shown
        assert life.end.state == "cannot be dated"

    def test_a_slope_under_the_same_bottles_takes_nothing_from_them(self) -> None:
        calibrations = worn([98.0] * 6)
        life = electrode_life(monthly(6), calibrations, efficiency_scatter=Scatter(0.001, float("inf")))
        # each efficiency is known to the bottles' tolerance, the slope far better
        assert calibrations[0].efficiency.s > 0.3
        assert life.efficiency_now.s > 0.3
        assert life.efficiency_per_month.s < 0.06

    def test_is_the_same_line_as_a_trend_s_in_other_units(self) -> None:
        ph = [5.9, 5.7, 5.8, 5.5]
        days = monthly(4)
        life = electrode_life(days, [(10 * y, 50 * y) for y in ph])
        line = trend(days, ph)
        assert life.efficiency_per_month.n == pytest.approx(10 * line.per_month.n)
        assert half_width(life.efficiency_per_month) == pytest.approx(10 * half_width(line.per_month))
        assert half_width(life.offset_mv_per_month) == pytest.approx(50 * half_width(line.per_month))

    def test_several_of_one_day_count_as_their_mean(self) -> None:
        first, second = monthly(2)
        life = electrode_life([first, first, second], [(98.0, 1.0), (99.0, 2.0), (97.0, 4.0)])
        assert life.days == (first, second)
        assert life.efficiency == (98.5, 97.0)
        assert life.offset == (1.5, 4.0)

    def test_a_meter_that_shows_ph_keeps_its_offset_in_ph_and_says_what_is_followed(self) -> None:
        life = electrode_life(monthly(3), worn([99.0, 98.5, 98.0], shows="pH"))
        assert life.offset_mv is None
        assert life.offset_mv_per_month is None
        assert life.offset_ph is not None
        assert life.offset_ph.n == pytest.approx(0.03, abs=0.005)
        assert "pH a month" in life.text[1]
        assert [remark.kind for remark in life.remarks] == ["meter-in-between"]

    def test_the_dates_cover_the_day_on_which_a_worn_electrode_really_gets_there(self) -> None:
        rng = np.random.default_rng(12)
        days = monthly(10)
        true = 99.0 - 0.5 * np.arange(10)
        reached = days[0] + timedelta(days=18 * 30)
        covered = 0
        for noise in rng.normal(0.0, 1.0, (300, 10)):
            end = electrode_life(days, [(e, 0.0) for e in (true + noise).tolist()]).end
            after = end.earliest is None or end.earliest <= reached
            covered += after and (end.latest is None or reached <= end.latest) and end.state != "moving away"
        assert covered / 300 >= 0.93


@pytest.mark.parametrize(
    ("dates", "calibrations", "said"),
    [
        (["2024-01-01"], [(98.0, 1.0)], "one day of calibration shows no change"),
        (["2024-01-01", "2024-01-01"], [(98.0, 1.0), (98.0, 1.0)], "one day of calibration shows no change"),
        (["2024-02-01", "2024-01-01"], [(98.0, 1.0), (98.0, 1.0)], "stands after"),
        (["2024-02-01", "2031-01-01"], [(98.0, 1.0), (98.0, 1.0)], "lies in the future"),
        (["2024-02-01", "2024-03-01"], [(98.0, 1.0)], "2 dates and 1 calibrations"),
        (["2024-02-01", "2024-03-01"], [(98.0, 1.0), (-98.0, 1.0)], "`-98` is no efficiency"),
        (["2024-02-01", "2024-03-01"], [(98.0, 1.0), (98.0, 5000.0)], "`5000` is no offset"),
        (["2024-02-01", "2024-03-01"], [98.0, 97.0], "is no efficiency and offset"),
    ],
)
def test_what_cannot_stand_is_refused(dates: list[str], calibrations: list, said: str) -> None:
    with pytest.raises(Refusal, match=said):
        electrode_life(dates, calibrations, today="2024-06-01")


def test_calibrations_of_two_kinds_of_meter_are_refused() -> None:
    both = [*worn([98.0]), *worn([98.0], shows="pH")]
    with pytest.raises(Refusal, match="one electrode is followed on one meter"):
        electrode_life(monthly(2), both)
