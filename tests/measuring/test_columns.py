"""Lists, arrays and columns of a table are the same to every public call that takes several values."""

from __future__ import annotations

import subprocess
import sys
from collections.abc import Callable
from datetime import date
from pathlib import Path
from typing import Any

import numpy as np
import pandas as pd
import pytest
from uncertainties import ufloat

import slurrycalc as sc

DAYS = ["2024-01-02", "2024-03-01", "2024-05-01"]
INDEX = [7, 5, 6]


def column(values: list[Any]) -> Any:
    """A column cut from a larger table: its index does not begin at 0."""
    return pd.Series(values, index=INDEX[: len(values)])


@pytest.fixture
def cal() -> sc.Calibration:
    return sc.calibrate([("4.01", 178.2, 22.0), ("7.00", 1.8, 22.0)])


@pytest.mark.parametrize("kind", [np.array, column, tuple])
def test_slurries_with_temperatures_and_spots(cal: sc.Calibration, kind: Callable[[list[Any]], Any]) -> None:
    plain = sc.slurry_ph(cal, [84.3, 85.1, 90.0], temperature=[21.0, 22.0, 23.0], spots=["a", "b", "a"])
    many = sc.slurry_ph(
        cal, kind([84.3, 85.1, 90.0]), temperature=kind([21.0, 22.0, 23.0]), spots=kind(["a", "b", "a"])
    )
    assert (many.ph.n, many.interval(), many.n) == (plain.ph.n, plain.interval(), 2)


def test_a_mark_that_was_left_empty_is_no_mark(cal: sc.Calibration) -> None:
    spots = pd.Series(["a", None, None])
    assert sc.slurry_ph(cal, [84.3, 85.1, 90.0], spots=spots).n == 3
    assert sc.slurry_ph(cal, [84.3, 85.1], spots=pd.Series([1, None], dtype="Int64")).n == 2


def test_repeated_indications_of_one_slurry(cal: sc.Calibration) -> None:
    plain = cal.ph([84.3, 84.5], 21.0)
    for many in (np.array([84.3, 84.5]), column([84.3, 84.5])):
        assert (cal.ph(many, 21.0).n, cal.ph(many, 21.0).s) == (plain.n, plain.s)


def test_points_as_rows_of_an_array() -> None:
    rows = np.array([[4.01, 178.2, 22.0], [7.00, 1.8, 22.0]])
    assert sc.calibrate(rows).slope.n == sc.calibrate([("4.01", 178.2, 22.0), ("7.00", 1.8, 22.0)]).slope.n


@pytest.mark.parametrize("kind", [np.array, column, list])
def test_one_value_for_each_of_many(kind: Callable[[list[Any]], Any]) -> None:
    """Array out, in the order of what went in; the same digits as one at a time."""
    found = sc.buffer_ph("7.00", kind([20.0, 25.0]))
    assert isinstance(found, np.ndarray)
    assert found.tolist() == [sc.buffer_ph("7.00", 20.0), sc.buffer_ph("7.00", 25.0)]
    at_25 = sc.ec25(kind([1147.0, 1278.0]), kind([15.0, 20.0]))
    assert at_25.tolist() == [sc.ec25(1147.0, 15.0), sc.ec25(1278.0, 20.0)]
    assert sc.ec25(kind([1147.0, 1278.0]), "15 C").tolist() == [sc.ec25(1147.0, 15.0), sc.ec25(1278.0, 15.0)]
    assert sc.spots(kind([0.10, 0.20]), 0.10).tolist() == [7, 18]
    with pytest.raises(sc.Refusal, match="2 and 3 values do not go together"):
        sc.ec25(kind([1147.0, 1278.0]), kind([15.0, 20.0, 21.0]))


def test_uncertain_readings_stay_uncertain_one_by_one() -> None:
    readings = [ufloat(900, 9), ufloat(910, 9)]
    found = sc.ec25(readings, 21.0)
    assert [one.s for one in found] == [sc.ec25(one, 21.0).s for one in readings]


@pytest.mark.parametrize(
    "dates",
    [
        np.array(DAYS, dtype="datetime64[D]"),
        np.array(DAYS, dtype="datetime64[ns]"),
        pd.to_datetime(column(DAYS)),
        pd.DatetimeIndex(DAYS),
        column(DAYS),
    ],
    ids=["D", "ns", "Series", "index", "texts"],
)
def test_days_of_an_array(dates: Any) -> None:
    ph = [5.8, 5.7, 5.6]
    plain = sc.trend(DAYS, ph, [DAYS[1]], today="2024-06-01")
    many = sc.trend(dates, column(ph), dates[1:2], today=np.datetime64("2024-06-01"))
    assert (many.days, many.text, many.steps[0].done) == (plain.days, plain.text, plain.steps[0].done)
    assert many.level(np.datetime64("2024-05-11")).n == plain.level("2024-05-11").n
    assert sc.steady(dates, np.array(ph))[-1].text == sc.steady(DAYS, ph)[-1].text
    pairs = [(99.0, 2.0), (98.0, 3.0), (97.0, 3.0)]
    assert sc.electrode_life(dates, np.array(pairs)).text == sc.electrode_life(DAYS, pairs).text


@pytest.mark.parametrize("day", [np.datetime64("2024-05-04"), pd.Timestamp("2024-05-04 09:30"), "2024-05-04"])
def test_days_of_what_is_due(day: Any) -> None:
    plain = date(2024, 5, 4)
    said, told = (
        sc.due(
            [sc.InUse("atlas", one, last={"charcoal": one}, stages=(one,))],
            one,
            bottles=[sc.OpenBottle("acid", opened=one)],
            probes=pd.Series([sc.ProbeInUse("stick", one)]),
        )
        for one in (day, plain)
    )
    assert said == told
    assert len(told.items) == 5


def test_the_day_on_which_the_record_is_asked(tmp_path: Path) -> None:
    book, on = sc.Logbook(tmp_path / "bench.sqlite"), date(2024, 5, 10)
    book.run(Path(__file__).parents[2] / "examples" / "reading-room.toml")
    for said in ("2024-05-10", np.datetime64("2024-05-10"), pd.Timestamp(on)):
        assert repr(book.due(on=said)) == repr(book.due(on=on))
        assert repr(book.trend("atlas", on=said)) == repr(book.trend("atlas", on=on))
    with pytest.raises(sc.Refusal, match="`May` is no date"):
        book.due(on="May")


def test_pairs_conductivities_points_and_doses() -> None:
    probe, slurry = [5.9, 6.1], [5.41, 5.7]
    assert sc.compare(column(probe), np.array(slurry)).offset.n == sc.compare(probe, slurry).offset.n
    plain = sc.salts([("0.88 mS/cm", 21.0), ("0.93 mS/cm", 22.0)])
    for many in (column([880.0, 930.0]), np.array([880.0, 930.0])):
        assert sc.salts(many, temperature=column([21.0, 22.0])).ec.n == pytest.approx(plain.ec.n)
        with pytest.raises(sc.Refusal, match="1 temperatures and 2 readings"):
            sc.salts(many, temperature=[21.0])
    assert sc.cell_factor(column([1300.0, 1302.0]), 20.0).factor.n == pytest.approx(
        sc.cell_factor([1300.0, 1302.0], 20.0).factor.n
    )
    doses, ph = [0.0, 10.0, 20.0], [5.1, 5.27, 5.43]
    assert sc.trial(column(doses), column(ph), 5.4).text == sc.trial(doses, ph, 5.4).text


@pytest.mark.parametrize(
    ("call", "says"),
    [
        (lambda cal: sc.slurry_ph(cal, column([84.3, np.nan])), "`nan` is not finite"),
        (lambda cal: sc.slurry_ph(cal, pd.Series([84, None], dtype="Int64")), "`<NA>` is not a potential"),
        (lambda cal: sc.slurry_ph(cal, [84.3, 85.1], column([21.0, np.nan])), "`nan` is not finite"),
        (lambda cal: sc.slurry_ph(cal, pd.DataFrame({"mV": [84.3]})), "no list of readings"),
        (lambda cal: sc.slurry_ph(cal, [84.3, 85.1], spots="ab"), "`ab` marks no list"),
        (lambda cal: sc.slurry_ph(cal, [84.3], spots=column(["a", "b"])), "spots of 2 jars, and 1 were read"),
        (lambda cal: sc.buffer_ph("7.00", np.array([20.0, np.nan])), "`nan` is not finite"),
        (lambda cal: sc.ec25(column([900.0, np.nan]), 20.0), "`nan` is not finite"),
        (lambda cal: sc.trend(DAYS, column([5.8, 5.7, np.nan])), "`nan` is not finite"),
        (lambda cal: sc.trend(pd.to_datetime(column([DAYS[0], None])), [5.8, 5.7]), "`NaT` is no date"),
        (lambda cal: sc.trend(np.array([DAYS[0], "NaT"], "datetime64[D]"), [5.8, 5.7]), "is no date"),
        (lambda cal: sc.trend(np.datetime64(DAYS[0]), [5.8]), "`2024-01-02` is one day"),
        (lambda cal: sc.trend(DAYS, [5.8, 5.7, 5.6], DAYS[1]), "`2024-03-01` is no list of days"),
        (lambda cal: sc.compare(column([5.9, np.nan]), [5.4, 5.7]), "`nan` is not finite"),
    ],
)
def test_what_is_missing_or_no_list_is_refused(cal: sc.Calibration, call: Any, says: str) -> None:
    with pytest.raises(sc.Refusal, match=says):
        call(cal)


@pytest.mark.slow
def test_no_library_of_tables_is_imported() -> None:
    code = "import slurrycalc as sc, sys; sc.buffer_ph('7.00', [20, 25]); print('pandas' in sys.modules)"
    ran = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert ran.stdout.strip() == "False"
