"""A new electrode has a junction potential of its own: what days share ends with the electrode."""

from __future__ import annotations

from itertools import pairwise
from math import hypot, sqrt

import numpy as np
import pytest

from slurrycalc.data.assumed import JUNCTION
from slurrycalc.day.months.series import drift_of, series_of
from slurrycalc.logbook.mend import undo
from slurrycalc.logbook.past import jars
from slurrycalc.logbook.recall import Recall
from slurrycalc.logbook.record import record
from slurrycalc.logbook.refs import When
from slurrycalc.logbook.step import Step
from slurrycalc.logbook.store import Store
from slurrycalc.measuring.electrode import Meter, Point
from slurrycalc.measuring.electrode import calibrate as calibrated
from slurrycalc.measuring.electrode.buffers import Bottle, buffer_ph
from slurrycalc.metrology.coverage import half_width
from slurrycalc.metrology.uncertain import Inputs, source_of
from tests.logbook.room import Kit, at, calibrate, furnish, read


def bench_days(book: Store, days: tuple[int, ...], shows: tuple[float, ...] = (5.97, 6.02)) -> Kit:
    kit = furnish(book)
    for day in days:
        _, calibration = calibrate(book, kit, at(day))
        read(book, kit, at(day), calibration, kit.atlas, shows)
    return kit


def put_in(book: Store, kit: Kit, day: int, value: str | None = "day") -> str:
    """Say on a day that an electrode was put in on that day; None takes what was said back."""
    step = Step("kit", When(at(day)))
    step.setting(kit.desk, "electrode", at(day).date().isoformat() if value else None)
    return str(record(book, step, at(day)).id)


def differences(book: Store, days: tuple[int, ...]) -> list[float]:
    """Standard uncertainty, by junction potentials, of each day's first jar less that of the day before."""
    recall = Recall(book, Inputs())
    atlas = recall.things.find("enclosure", "atlas")
    first = [jars(recall.readings(atlas, since=at(day).date(), until=at(day).date()))[0].ph for day in days]
    found = []
    for one, other in pairwise(first):
        parts = (other - one).derivatives.items()
        found.append(hypot(*(s * v.std_dev for v, s in parts if source_of(v).key.endswith(":junction"))))
    return found


def test_a_difference_across_a_change_of_electrode_carries_two_junctions_and_one_within_none(
    book: Store,
) -> None:
    days = (0, 28, 56, 84)
    kit = bench_days(book, days)
    assert differences(book, days) == pytest.approx([0.0, 0.0, 0.0])
    put_in(book, kit, 40)
    across = sqrt(2.0) * JUNCTION.value
    assert differences(book, days) == pytest.approx([0.0, across, 0.0])
    put_in(book, kit, 84)
    assert differences(book, days) == pytest.approx([0.0, across, across])


def test_an_electrode_that_was_struck_out_or_taken_back_is_none(book: Store) -> None:
    days = (0, 28)
    kit = bench_days(book, days)
    said = put_in(book, kit, 10)
    assert differences(book, days)[0] > 0.0
    undo(book, at(30), said)
    assert differences(book, days) == [0.0]
    put_in(book, kit, 12)
    assert differences(book, days)[0] > 0.0
    put_in(book, kit, 13, None)
    assert differences(book, days) == [0.0]


def test_two_electrodes_of_a_meter_share_its_thermometer_alone() -> None:
    one, other = (Meter("pH", name="desk", electrode=each) for each in ("2024-05-04", "2024-09-01"))
    points = [("4.01", 4.06, 21.0), ("7.00", 7.04, 21.0)]
    inputs = Inputs()
    first, second = (calibrated(points, meter, inputs=inputs).ph(5.5, 21.0) for meter in (one, other))
    names = [{source_of(v).key for v in each.derivatives} for each in (first, second)]
    assert {key for key in names[0] & names[1] if "meter:desk" in key} == {"meter:desk:thermometer"}


def test_a_trend_and_the_bed_over_a_change_doubt_the_step_that_it_may_make(book: Store) -> None:
    days = tuple(range(0, 224, 28))
    kit = bench_days(book, days)

    def months() -> tuple[float, float]:
        recall = Recall(book, Inputs())
        series = series_of(recall, recall.things.find("enclosure", "atlas"))
        assert series is not None
        return series.taught.rate().s, drift_of(series).per_month.s

    bed, line = months()
    put_in(book, kit, 100)
    new_bed, new_line = months()
    assert new_bed > 1.05 * bed
    assert new_line > 1.05 * line
    recall = Recall(book, Inputs())
    series = series_of(recall, recall.things.find("enclosure", "atlas"))
    assert series is not None
    moved = [float(moved) for moved in series.parts.moved[1:]]
    at_change = sum(day < 100 for day in days) - 1
    assert [round(each, 3) for each in moved] == [
        round(sqrt(2.0) * JUNCTION.value, 3) if i == at_change else 0.0 for i in range(len(moved))
    ]


def test_the_difference_of_two_days_covers_a_drawn_change_of_electrode() -> None:
    """A bed that stands still, another electrode on its second day: 0.018 was stated, 0.033 is true."""
    rng, draws = np.random.default_rng(14), 400
    off, stated = np.empty(draws), {"old": np.empty(draws), "new": np.empty(draws)}
    half = {"old": np.empty(draws), "new": np.empty(draws)}
    labels = ("4.01", "7.00")
    for i in range(draws):
        bottles = dict(zip(labels, rng.uniform(-0.02, 0.02, 2), strict=True))
        days = []
        for _ in range(2):

            def shown(ph: float) -> float:
                return round(ph + rng.normal(0.0, 0.01), 2)

            points = {each: shown(buffer_ph(each, 25.0) + bottles[each]) for each in labels}
            days.append((points, shown(5.6 + rng.normal(0.0, JUNCTION.value))))
        for way, electrodes in (("old", (None, None)), ("new", (None, "2024-05-18"))):
            inputs, read_as = Inputs(), []
            for (points, jar), electrode in zip(days, electrodes, strict=True):
                meter = Meter("pH", name="desk", electrode=electrode)
                taken = [Point(Bottle(each, each), value, 25.0) for each, value in points.items()]
                read_as.append(calibrated(taken, meter, inputs=inputs).ph(jar, 25.0))
            moved = read_as[1] - read_as[0]
            off[i], stated[way][i], half[way][i] = moved.n, moved.s, half_width(moved)
    assert stated["old"].mean() == pytest.approx(0.018, abs=0.001)
    assert stated["new"].mean() == pytest.approx(0.033, abs=0.001)
    assert float(np.std(off)) == pytest.approx(0.033, abs=0.003)
    assert float(np.mean(np.abs(off) <= half["new"])) == pytest.approx(0.95, abs=0.025)
    assert float(np.mean(np.abs(off) <= half["old"])) < 0.80
