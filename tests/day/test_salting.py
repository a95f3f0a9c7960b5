"""Salts from the record: what days share is no drift, and an upkeep takes the rise as it is."""

from __future__ import annotations

import datetime

import numpy as np
import pytest

from slurrycalc.day.months.salts import Meters, SaltsSeries, salts_series
from slurrycalc.day.record.conductivity import SaltsGiven, Shown, StandardRead, salts_of, together
from slurrycalc.deciding.upkeep import upkeep
from slurrycalc.logbook.conductivities import add_conductivity
from slurrycalc.logbook.recall import Recall
from slurrycalc.logbook.record import record
from slurrycalc.logbook.refs import UTC, When
from slurrycalc.logbook.step import Step
from slurrycalc.logbook.store import Store, in_memory
from slurrycalc.metrology.coverage import half_width, interval
from slurrycalc.metrology.uncertain import Inputs, covariance

FIRST = datetime.date(2024, 1, 6)
NOW = datetime.datetime(2026, 1, 1, 12, tzinfo=UTC)
MONTH = 30.4375


def day(n: int) -> datetime.date:
    return FIRST + datetime.timedelta(days=30 * n)


class Room:
    """A record with one case and one meter."""

    def __init__(self) -> None:
        self.book: Store = in_memory()
        step = Step("kit", When.on(FIRST, UTC))
        self.atlas = step.thing("enclosure", "atlas")
        self.tub = step.thing("enclosure", "leaf mix")
        self.dip = step.thing("meter", "dip")
        record(self.book, step, NOW)

    def read(
        self,
        on: datetime.date,
        shows: list[float],
        *,
        named: bool = True,
        standard: float = 0.0,
        of: str | None = None,
    ) -> None:
        step = Step("salts", When.on(on, UTC))
        enclosure = self.atlas if of is None else of
        meter = self.dip if named else None
        for each in shows:
            add_conductivity(step, "slurry", each, 25.0, enclosure=enclosure, meter=meter)
        add_conductivity(step, "blank", 5.0, 25.0, enclosure=enclosure, meter=meter)
        if standard:
            add_conductivity(
                step, "standard", standard, 25.0, enclosure=enclosure, meter=meter, standard=1413.0
            )
        record(self.book, step, NOW)

    def series(
        self, until: datetime.date | None = None, name: str = "atlas", meters: Meters | None = None
    ) -> SaltsSeries:
        recall = Recall(self.book, Inputs())
        found = salts_series(recall, recall.things.find("enclosure", name), until=until, meters=meters)
        assert found is not None
        return found


def test_what_a_meter_that_nobody_checked_is_off_by_is_the_same_on_every_day_and_no_drift() -> None:
    widths = []
    for named in (True, False):
        room = Room()
        for n in range(6):
            room.read(day(n), [800.0, 810.0, 805.0], named=named)
        series = room.series()
        assert series.line is not None
        widths.append(half_width(series.line.per_month))
    assert widths[0] < widths[1]


def test_how_far_the_slurries_of_a_day_lie_apart_is_not_counted_again_about_the_line() -> None:
    widths = []
    for apart in (0.0, 300.0):
        room = Room()
        for n in range(6):
            room.read(day(n), [800.0 + 10.0 * n - apart, 800.0 + 10.0 * n + apart])
        line = room.series().line
        assert line is not None
        widths.append(half_width(line.per_month))
    assert widths[1] == pytest.approx(widths[0], rel=1e-3)


def test_a_bed_and_its_fresh_mix_share_the_error_of_the_meter_that_read_both() -> None:
    room = Room()
    for n in range(4):
        room.read(day(n), [800.0 + 20.0 * n])
    room.read(day(3), [300.0, 310.0], of=room.tub)
    meters: Meters = {}
    bed, mix = room.series(meters=meters), room.series(name="leaf mix", meters=meters)
    assert bed.line is not None
    # Of the meter 5 %, of the thermometer 1 degC times 1.91 %, both rectangular.
    both = 855.0 * 300.0 * (0.05**2 + 0.0191**2) / 3.0
    assert covariance(bed.line.level(bed.last), mix.newest.ec) == pytest.approx(both, rel=0.03)
    assert covariance(bed.line.per_month, mix.newest.ec) > 0.0
    assert covariance(room.series().newest.ec, mix.newest.ec) == 0.0


def test_a_step_on_the_first_day_comes_after_its_reading_and_the_last_meter_of_a_day_counts() -> None:
    room = Room()
    room.read(day(0), [900.0])
    step = Step("event", When.on(day(0), UTC))
    step.event(room.atlas, "exchange")
    record(room.book, step, NOW)
    for n in range(1, 4):
        room.read(day(n), [500.0])
    room.read(day(3), [700.0], named=False)
    series = room.series()
    assert series.line is not None
    assert series.line.sizes[0].n < -300.0
    assert series.newest.ec.n == pytest.approx(695.0)


def test_of_two_standards_of_a_day_the_last_counts() -> None:
    room = Room()
    room.read(day(0), [800.0], standard=1413.0)
    room.read(day(0), [800.0], standard=1300.0)
    assert room.series().newest.ec.n == pytest.approx(795.0 * 1413.0 / 1300.0)


def test_the_rise_is_what_an_upkeep_holds() -> None:
    room = Room()
    for n in range(8):
        room.read(day(n), [505.0 + 60.0 * 30 * n / MONTH, 505.0 + 60.0 * 30 * n / MONTH])
    series = room.series()
    rise = series.rise("0.2 mS/cm", "1.25 mS/cm")
    assert rise is not None
    assert rise.rise.n == pytest.approx(60.0, rel=1e-9)
    assert rise.now.n == pytest.approx(series.days[-1].ec.n, rel=1e-6)
    plan = upkeep(None, None, None, 3.0, salts=rise)
    # Before each exchange the steady bed stands at fresh + rise * every / fraction.
    assert plan.fraction == pytest.approx(60.0 * 3.0 / (1250.0 - 200.0), rel=1e-6)


def test_one_day_gives_no_rise_and_says_why() -> None:
    room = Room()
    room.read(day(0), [800.0])
    series = room.series()
    assert series.rise("0.2 mS/cm", "1.25 mS/cm") is None
    assert series.line is None
    assert "one day of salts shows no change" in series.why


def test_what_is_known_later_does_not_count() -> None:
    room = Room()
    for n in range(3):
        room.read(day(n), [800.0 + n])
    assert room.series(until=day(1)).last == day(1)
    assert len(room.series().days) == 3


def test_a_standard_that_was_read_with_the_second_jar_counts_for_the_first() -> None:
    room = Room()
    room.read(day(0), [800.0])
    room.read(day(0), [820.0], standard=1300.0)
    series = room.series()
    standard = StandardRead(1413.0, (Shown(1300.0, 25.0),))
    one = SaltsGiven((Shown(800.0, 25.0), Shown(820.0, 25.0)), Shown(5.0, 25.0), standard)
    assert series.newest.ec.n == pytest.approx(salts_of(one).ec.n)
    assert together([SaltsGiven((Shown(1.0),)), one]).standard is standard


def test_the_interval_of_the_rise_covers_the_truth() -> None:
    rng = np.random.default_rng(20)
    held, times, rise = 0, 120, 40.0
    for _ in range(times):
        room = Room()
        error = 1.0 + 0.05 * (2.0 * rng.random() - 1.0)
        for n in range(4):
            true = 600.0 + rise * 30 * n / MONTH
            # A day's spots, and two slurries from each.
            level = true + 60.0 * rng.standard_normal()
            room.read(day(n), [float((level + 60.0 * rng.standard_normal()) * error + 5.0) for _ in range(2)])
        line = room.series().line
        assert line is not None
        low, high = interval(line.per_month)
        held += low <= rise <= high
    # Two standard deviations of a binomial draw below 0.95.
    assert held / times >= 0.95 - 2.0 * (0.95 * 0.05 / times) ** 0.5
