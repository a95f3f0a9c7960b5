"""An enclosure's bench days as the record has them."""

from __future__ import annotations

import datetime

import numpy as np
import pytest

from slurrycalc.day.months.retest import retest_of
from slurrycalc.day.months.series import MOST_DAYS, all_series, drift_of, series_of
from slurrycalc.day.record.keeper import Keeper
from slurrycalc.deciding.trend import trend
from slurrycalc.logbook.mend import undo
from slurrycalc.logbook.recall import Recall
from slurrycalc.logbook.refs import When
from slurrycalc.logbook.step import Step
from slurrycalc.logbook.store import Store, in_memory
from slurrycalc.measuring.slurry import slurry_ph
from slurrycalc.metrology.uncertain import Inputs

FIRST = datetime.date(2024, 1, 2)
NOW = datetime.datetime(2026, 6, 1, 12, 0, tzinfo=datetime.UTC)


def month(i: int) -> datetime.date:
    return FIRST + datetime.timedelta(days=30 * i)


def bench_day(book: Store, day: datetime.date, jars: dict[str, list[tuple[float, str | None]]]) -> int:
    """Calibrate the meter in two bottles that stay the same, and read slurries; give the entry's number."""
    keeper = Keeper(book, Step("run", When.on(day, datetime.UTC)), now=NOW, new=True, inputs=Inputs())
    step, meter = keeper.step, keeper.thing("meter", "desk", fresh={"shows": "pH"})
    under = step.calibration("pH", meter=meter.uid)
    for name, label, shows in (("acid 2", "4.01", 4.03), ("neutral 2", "7.00", 7.02)):
        bottle = keeper.thing("bottle", name, fresh={"label": label})
        step.point(under, bottle.uid, shows, 21.0)
    for name, readings in jars.items():
        enclosure = keeper.thing("enclosure", name)
        for shows, spot in readings:
            step.reading(step.slurry(enclosure.uid, spot=spot), under, shows, 21.0)
    return keeper.record(book).id.entry


def event(book: Store, day: datetime.date, name: str, kind: str) -> int:
    keeper = Keeper(book, Step("event", When.on(day, datetime.UTC)), now=NOW)
    keeper.step.event(keeper.thing("enclosure", name).uid, kind)
    return keeper.record(book).id.entry


@pytest.fixture
def book() -> Store:
    return in_memory()


def test_a_day_is_the_mean_of_its_slurries_and_the_same_spots_count_as_one(book: Store) -> None:
    bench_day(book, month(0), {"atlas": [(5.8, None), (6.0, None)]})
    bench_day(book, month(1), {"atlas": [(5.5, "moss"), (5.7, "Moss"), (6.0, None)]})
    recall = Recall(book, Inputs())
    series = series_of(recall, recall.things.find("enclosure", "atlas"))
    assert series is not None
    numbers = list(map(recall.readings().number, range(5)))
    expected = [(numbers[0] + numbers[1]) / 2, ((numbers[2] + numbers[3]) / 2 + numbers[4]) / 2]
    for got, by_hand in zip(map(series.ph.number, range(2)), expected, strict=True):
        assert got.n == pytest.approx(by_hand.n, abs=1e-12)
        assert got.s == pytest.approx(by_hand.s, rel=1e-9)
    assert series.slurries == (2, 3)


def test_its_mean_is_that_of_a_result_of_the_day(book: Store) -> None:
    bench_day(book, month(0), {"atlas": [(5.8, "a"), (6.0, "a"), (5.6, "b")]})
    recall = Recall(book, Inputs())
    series = series_of(recall, recall.things.find("enclosure", "atlas"))
    readings = recall.readings()
    result = slurry_ph(None, [readings.number(i) for i in range(3)], spots=["a", "a", "b"])
    assert series is not None
    assert series.ph.number(0).n == pytest.approx(result.ph.n, abs=1e-12)


def test_other_mixtures_and_what_was_struck_out_are_no_part_of_it(book: Store) -> None:
    bench_day(book, month(0), {"atlas": [(5.8, None)]})
    struck = bench_day(book, month(1), {"atlas": [(7.7, None)]})
    bench_day(book, month(2), {"atlas": [(5.6, None)], "stairs": [(6.2, None)]})
    keeper = Keeper(book, Step("read", When.on(month(3), datetime.UTC)), now=NOW)
    enclosure = keeper.thing("enclosure", "atlas")
    step = keeper.step
    step.reading(step.slurry(enclosure.uid, ratio=5.0), None, 6.9, 21.0, u=0.1)
    step.reading(step.slurry(enclosure.uid, ratio=2.0, solution="calcium chloride 0.01 M"), None, 4.9, u=0.1)
    keeper.record(book)
    undone = undo(book, NOW, str(struck))
    assert undone
    recall = Recall(book, Inputs())
    found = all_series(recall)
    atlas, stairs = (recall.things.find("enclosure", name) for name in ("atlas", "stairs"))
    assert found[atlas.id].days == (month(0), month(2))
    assert found[stairs.id].days == (month(2),)
    one = series_of(recall, atlas)
    assert one is not None
    np.testing.assert_array_equal(one.ph.values, found[atlas.id].ph.values)


def test_steps_are_those_from_the_first_day_on_and_only_what_shifts_the_level(book: Store) -> None:
    bench_day(book, month(1), {"atlas": [(5.8, None)], "stairs": [(6.0, None)]})
    bench_day(book, month(3), {"atlas": [(5.6, None)]})
    for day, name, kind in (
        *((month(0), "atlas", "exchange"), (month(2), "atlas", "exchange"), (month(2), "atlas", "feed")),
        *((month(4), "atlas", "calcium"), (month(2), "stairs", "new-mix")),
    ):
        event(book, day, name, kind)
    struck = event(book, month(2), "atlas", "calcium")
    undo(book, NOW, str(struck))
    recall = Recall(book, Inputs())
    found = all_series(recall)
    atlas = found[recall.things.find("enclosure", "atlas").id]
    assert [(step.on, step.name) for step in atlas.steps] == [(month(2), "exchange"), (month(4), "calcium")]
    stairs = found[recall.things.find("enclosure", "stairs").id]
    assert [step.name for step in stairs.steps] == ["new-mix"]


def test_steps_of_the_first_day_and_of_the_day_of_asking_count(book: Store) -> None:
    for i in range(3):
        bench_day(book, month(i), {"atlas": [(5.8, None)]})
    event(book, month(0), "atlas", "exchange")
    event(book, month(3), "atlas", "calcium")
    recall = Recall(book, Inputs())
    series = series_of(recall, recall.things.find("enclosure", "atlas"), until=month(3))
    assert series is not None
    assert [step.on for step in series.steps] == [month(0), month(3)]


def test_few_days_and_something_done_on_the_last_ask_for_a_reading_after_that(book: Store) -> None:
    bench_day(book, month(0), {"atlas": [(5.8, None)]})
    bench_day(book, month(1), {"atlas": [(5.9, None)]})
    event(book, month(0), "atlas", "exchange")
    recall = Recall(book, Inputs())
    before = series_of(recall, recall.things.find("enclosure", "atlas"))
    event(book, month(1), "atlas", "calcium")
    recall = Recall(book, Inputs())
    after = series_of(recall, recall.things.find("enclosure", "atlas"))
    assert before is not None
    assert after is not None
    assert (retest_of(before).reason, retest_of(after).reason) == ("limit", "step")


def test_the_newest_days_count_unless_a_first_day_is_given(book: Store) -> None:
    for i in range(MOST_DAYS + 3):
        bench_day(book, FIRST + datetime.timedelta(days=7 * i), {"atlas": [(5.8, None)]})
    recall = Recall(book, Inputs())
    atlas = recall.things.find("enclosure", "atlas")
    newest, since = series_of(recall, atlas), series_of(recall, atlas, since=FIRST)
    assert newest is not None
    assert since is not None
    assert (len(newest.days), newest.earlier) == (MOST_DAYS, 3)
    assert (len(since.days), since.earlier) == (MOST_DAYS + 3, 0)
    assert series_of(recall, atlas, since=datetime.date(2025, 6, 1)) is None


def test_a_trend_of_the_record_is_that_of_its_numbers_and_two_share_their_bottles(book: Store) -> None:
    rng = np.random.default_rng(3)
    days = [month(i) for i in range(6)]
    for i, day in enumerate(days):
        base = {"atlas": 5.9 - 0.05 * i, "stairs": 6.1}
        jars = {
            name: [(round(ph + e, 2), None) for e in rng.normal(0, 0.08, 2)] for name, ph in base.items()
        }
        bench_day(book, day, jars)
    inputs = Inputs()
    recall = Recall(book, inputs)
    found = all_series(recall)
    lines = {}
    for name in ("atlas", "stairs"):
        enclosure = recall.things.find("enclosure", name)
        readings = recall.readings(enclosure)
        numbers = [(readings.number(2 * i) + readings.number(2 * i + 1)) / 2 for i in range(6)]
        direct, line = trend(days, numbers), drift_of(found[enclosure.id], today=NOW.date())
        assert line.per_month.n == pytest.approx(direct.per_month.n, abs=1e-9)
        assert line.per_month.s == pytest.approx(direct.per_month.s, abs=1e-9)
        assert line.level(days[-1]).s == pytest.approx(direct.level(days[-1]).s, abs=1e-9)
        lines[name] = direct, line
    # What the bottles did to both levels is one error.
    both = [lines["atlas"][k].now - lines["stairs"][k].now for k in (0, 1)]
    assert both[0].s == pytest.approx(both[1].s, abs=1e-9)
    apart = np.hypot(lines["atlas"][1].now.s, lines["stairs"][1].now.s)
    assert both[1].s < apart - 1e-4


def test_what_was_recorded_for_later_days_does_not_count_up_to_a_day(book: Store) -> None:
    for i in range(4):
        bench_day(book, month(i), {"atlas": [(5.8 - 0.1 * i, None)]})
    event(book, month(1), "atlas", "exchange")
    event(book, month(3), "atlas", "calcium")
    recall = Recall(book, Inputs())
    series = series_of(recall, recall.things.find("enclosure", "atlas"), until=month(2))
    assert series is not None
    assert series.days == (month(0), month(1), month(2))
    assert [step.name for step in series.steps] == ["exchange"]
    assert all_series(recall, until=FIRST - datetime.timedelta(days=1)) == {}
