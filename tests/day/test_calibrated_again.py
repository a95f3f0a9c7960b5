"""A meter that was calibrated again in the middle of a day: each jar is read under its own calibration."""

from __future__ import annotations

import datetime

import msgspec
import pytest

from slurrycalc.data.shipped import shipped
from slurrycalc.day.bench.bench_day import bench_day
from slurrycalc.day.bench.worksheet import Day, PointEntry, read_worksheet
from slurrycalc.day.record import Keeper
from slurrycalc.logbook.recall import Recall
from slurrycalc.logbook.refs import When
from slurrycalc.logbook.step import Step
from slurrycalc.logbook.store import in_memory
from slurrycalc.metrology.remark import Refusal
from slurrycalc.metrology.uncertain import Inputs, covariance

NOON = datetime.datetime(2024, 5, 4, 12, tzinfo=datetime.UTC)
LATER = ("B2", "C1", "C2")
"""Jars that were read after the second calibration."""


def declared() -> Day:
    """Give the reading-room's day, with a second calibration on a display that reads 0.3 higher by then."""
    day, _ = read_worksheet(shipped("examples", "reading-room.toml").read_bytes())
    again = tuple(
        PointEntry(buffer=point.buffer, shows=float(point.shows) + 0.3, temperature=21.0, calibration=2)
        for point in day.points
    )
    jars = tuple(
        msgspec.structs.replace(jar, shows=float(jar.shows) + 0.3, calibration=2)  # type: ignore[arg-type]
        if jar.label in LATER
        else jar
        for jar in day.jars
    )
    close = msgspec.structs.replace(day.close, shows=7.35)
    return msgspec.structs.replace(day, points=(*day.points, *again), jars=jars, close=close)


def test_each_jar_is_read_under_its_own_calibration() -> None:
    plain, _ = read_worksheet(shipped("examples", "reading-room.toml").read_bytes())
    once = bench_day(plain, inputs=Inputs())
    twice = bench_day(declared(), inputs=Inputs())
    assert [jar.ph.n for jar in twice.jars] == pytest.approx([jar.ph.n for jar in once.jars], abs=1e-9)
    assert [jar.label for jar in twice.jars if jar.calibration == 2] == list(LATER)
    assert len(twice.before) == 1
    # Only the last calibration was closed.
    assert twice.before[0].drift is None
    assert twice.calibration.drift is not None


def test_bottles_stay_the_same_error_and_points_do_not() -> None:
    twice = {jar.label: jar.ph for jar in bench_day(declared(), inputs=Inputs()).jars}
    same = covariance(twice["A1"], twice["A2"])
    across = covariance(twice["A1"], twice["C1"])
    assert 0 < across < same


def test_the_record_gives_the_same_numbers_back() -> None:
    book, inputs = in_memory(), Inputs()
    keeper = Keeper(book, Step("run", When(NOON)), now=NOON, new=True, inputs=inputs)
    shown = bench_day(declared(), keeper=keeper)
    keeper.record(book)
    recalled = Recall(book, Inputs()).readings()
    found = {row.label: recalled.number(i) for i, row in enumerate(recalled.rows)}
    for jar in shown.jars:
        assert found[jar.label].n == pytest.approx(jar.ph.n, abs=1e-9)
        assert found[jar.label].s == pytest.approx(jar.ph.s, rel=1e-9)
    mine = {jar.label: jar.ph for jar in shown.jars}
    assert covariance(found["A1"], found["C1"]) == pytest.approx(covariance(mine["A1"], mine["C1"]), rel=1e-9)


def test_a_jar_under_a_calibration_that_is_not_there_is_refused_with_its_place() -> None:
    day = declared()
    jars = (msgspec.structs.replace(day.jars[0], calibration=3), *day.jars[1:])
    with pytest.raises(Refusal, match=r"jar 1, calibration: `3` is no calibration of this day.*1, 2"):
        bench_day(msgspec.structs.replace(day, jars=jars))


def test_calibrations_are_numbered_from_one_without_gaps() -> None:
    day = declared()
    points = (*day.points[:2], *(msgspec.structs.replace(point, calibration=3) for point in day.points[2:]))
    with pytest.raises(Refusal, match=r"point 3, calibration: `3` numbers no calibration"):
        bench_day(msgspec.structs.replace(day, points=points))
