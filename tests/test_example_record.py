"""The example logbook is what its maker makes, and tells the story that README tells."""

from __future__ import annotations

import datetime
import filecmp
from pathlib import Path

import pytest

from slurrycalc.day.months.series import Series, all_series, drift_of, series_of
from slurrycalc.deciding.steady import steady
from slurrycalc.deciding.trend import Trend
from slurrycalc.logbook.exporting import export
from slurrycalc.logbook.merging import import_package
from slurrycalc.logbook.recall import Recall
from slurrycalc.logbook.store import Store, in_memory
from slurrycalc.metrology.uncertain import Inputs
from tests import example_record as example


@pytest.fixture(scope="module")
def book() -> Store:
    book = in_memory()
    import_package(book, example.FOLDER, example.WRITTEN)
    return book


@pytest.fixture(scope="module")
def cases(book: Store) -> dict[str, Series]:
    return {series.enclosure.name: series for series in all_series(Recall(book, Inputs())).values()}


@pytest.fixture(scope="module")
def lines(cases: dict[str, Series]) -> dict[str, Trend]:
    return {name: drift_of(series) for name, series in cases.items()}


def test_the_files_are_what_their_maker_writes(tmp_path: Path) -> None:
    export(example.build(in_memory()), tmp_path / "again", example.WRITTEN)
    same = filecmp.dircmp(tmp_path / "again", example.FOLDER)
    assert not same.left_only
    assert not same.right_only
    assert not same.diff_files, "write them anew: python tests/example_record.py"


def test_atlas_turns_acid_as_fast_as_it_was_made_to(lines: dict[str, Trend]) -> None:
    low, high = lines["atlas"].interval()
    assert lines["atlas"].shown
    assert low < -0.036 < high
    truth = example.level("atlas", lines["atlas"].days[-1])
    assert abs(lines["atlas"].now.n - truth) < 2 * lines["atlas"].now.s


def test_stairs_stays(lines: dict[str, Trend]) -> None:
    assert not lines["stairs"].shown


def test_window_was_exchanged_and_the_steps_are_what_was_done(lines: dict[str, Trend]) -> None:
    assert [step.done[0].on for step in lines["window"].steps] == [
        datetime.date(2024, 5, 11),
        datetime.date(2024, 6, 8),
        datetime.date(2025, 4, 12),
    ]
    for step, gain in zip(lines["window"].steps, (0.46, 0.36, 0.32), strict=True):
        assert abs(step.size.n - gain) < 2.5 * step.size.s


def test_the_steady_jar_alarmed_on_the_day_of_the_stale_bottles_and_on_no_other(
    cases: dict[str, Series],
) -> None:
    jar = cases["shelf jar"]
    kept = [jar.ph.number(i) for i in range(len(jar.days))]
    assert {day.state for day in steady(jar.days, kept)} <= {"first", "steady", "watch"}
    recall = Recall(example.build(in_memory(), undone=False), Inputs())
    jar = series_of(recall, recall.things.find("enclosure", "shelf jar"), until=example.OFF)
    assert jar is not None
    days = steady(jar.days, [jar.ph.number(i) for i in range(len(jar.days))])
    assert [day.day for day in days if day.state == "alarm"] == [example.OFF]
