"""A jar that lies by itself does not teach its bed: the others do, with room in case it was none."""

from __future__ import annotations

from math import hypot, sqrt

import pytest

from slurrycalc.day.months.series import Series, drift_of, series_of
from slurrycalc.day.months.surprise import surprise_of
from slurrycalc.deciding.bed import DayMean, bed, spot_variance
from slurrycalc.logbook.recall import Recall
from slurrycalc.logbook.store import Store, in_memory
from slurrycalc.metrology.uncertain import Inputs
from tests.day.test_series import bench_day, event, month

QUIET = [(5.60, None), (5.66, None), (5.63, None)]
SLIP = [(5.60, None), (6.23, None), (5.64, None)]


def series(book: Store) -> Series:
    recall = Recall(book, Inputs())
    found = series_of(recall, recall.things.find("enclosure", "atlas"))
    assert found is not None
    return found


def record(*days: list[tuple[float, str | None]]) -> Store:
    book = in_memory()
    for i, jars in enumerate(days):
        bench_day(book, month(i), {"atlas": jars})
    return book


def day_means(found: Series) -> list[DayMean]:
    return [each for each in found.history() if isinstance(each, DayMean)]


def test_a_day_with_one_teaches_by_the_others_and_doubts_how_far_it_would_move_the_mean() -> None:
    with_it = series(record(QUIET, QUIET, QUIET, SLIP, QUIET))
    without = series(record(QUIET, QUIET, QUIET, [SLIP[0], SLIP[2]], QUIET))
    ((day, moves),) = with_it.odd.items()
    assert day == month(3)
    got, expected = day_means(with_it)[3], day_means(without)[3]
    assert (got.mean, got.jars, got.squares) == (expected.mean, 2, expected.squares)
    # All three have their mean a third of the way to the slip, and it may lie anywhere up to there.
    slip = with_it.ph.values[3] + 3 * moves
    assert slip == pytest.approx(6.23 - 5.62 + got.mean, abs=0.01)
    assert got.u == pytest.approx(hypot(expected.u, moves / sqrt(3.0)))
    others = zip(day_means(with_it), day_means(without), strict=True)
    assert all(one == other for i, (one, other) in enumerate(others) if i != 3)


def test_left_standing_it_would_have_taught_the_bed_a_scatter_for_good() -> None:
    found = series(record(QUIET, QUIET, QUIET, SLIP, *[QUIET] * 6))
    taught = [
        DayMean(each.day, each.mean + 0.2, 3, 0.24, each.u) if each.day == month(3) else each
        for each in day_means(found)
    ]
    quiet = series(record(*[QUIET] * 10))
    assert sqrt(spot_variance(found.taught.bed)) < 1.1 * sqrt(spot_variance(quiet.taught.bed))
    assert sqrt(spot_variance(bed(taught))) > 1.8 * sqrt(spot_variance(found.taught.bed))


def test_the_first_day_is_judged_by_those_after_it() -> None:
    alone = series(record(SLIP))
    assert alone.odd == {}
    assert alone.slurries == (3,)
    later = series(record(SLIP, QUIET, QUIET, QUIET))
    assert list(later.odd) == [month(0)]
    assert later.slurries == (2, 3, 3, 3)
    assert abs(drift_of(later).per_month.n) < 0.01


def test_it_is_said_of_the_last_day_alone() -> None:
    assert surprise_of(series(record(QUIET, QUIET, SLIP, QUIET))) is None
    said = surprise_of(series(record(QUIET, QUIET, QUIET, SLIP)))
    assert said is not None
    assert said.kind == "odd-jar"


def test_a_day_after_a_patchy_mix_is_not_held_to_the_quiet_months_before_it() -> None:
    patchy = [(5.50, None), (5.62, None), (5.86, None)]
    assert list(series(record(*[QUIET] * 8, patchy)).odd) == [month(8)]
    book = record(*[QUIET] * 8)
    event(book, month(7), "atlas", "new-mix")
    bench_day(book, month(8), {"atlas": patchy})
    assert series(book).odd == {}
