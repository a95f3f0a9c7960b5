"""A meter's electrode through the calibrations on record, through the real program."""

from __future__ import annotations

import json
from datetime import UTC, date, datetime, timedelta

import pytest
from jsonschema import Draft202012Validator

from slurrycalc.day.months.ageing import meter_life
from slurrycalc.deciding.electrode_life import electrode_life
from slurrycalc.logbook.recall import Recall
from slurrycalc.logbook.record import record
from slurrycalc.logbook.refs import When
from slurrycalc.logbook.step import Step
from slurrycalc.logbook.store import open_logbook
from slurrycalc.metrology.uncertain import Inputs

AT_22 = 58.5640
NOW = datetime(2026, 11, 1, tzinfo=UTC)
LAB = ("--meter", "lab")


def monthly(n: int) -> list[date]:
    return [date(2023, 1, 10) + timedelta(days=30 * i) for i in range(n)]


def shown(efficiency: float) -> str:
    return f"4.01={2.0 + efficiency / 100 * AT_22 * 3.0:.1f}mV@22C"


@pytest.fixture
def calibrated(run):
    """Calibrate the meter on a day at an efficiency, in the same two bottles."""

    def once(day: date, efficiency: float, *more: str):
        points = ("7.00=2.0mV@22C", shown(efficiency))
        ran = run("calibrate", *points, *LAB, "--on", day.isoformat(), "--new", *more)
        assert (ran.status, ran.err) == (0, "")
        return ran.out

    return once


@pytest.fixture
def electrode(run):
    """Give what `kit meter lab` says of its electrode, held to its schema."""

    def once(*words: str):
        ran = run("kit", "meter", "lab", *words, "--json")
        assert (ran.status, ran.err) == (0, "")
        whole = json.loads(ran.out)
        Draft202012Validator(json.loads(run("kit", "--schema").out)).validate(whole)
        return whole["result"]["electrode"]

    return once


def said(out: str) -> str:
    return " ".join(out.split())


def test_a_meter_without_a_calibration_has_no_history(run, electrode):
    assert run("kit", "meter", "lab", "--shows", "mV").status == 0
    assert electrode() is None
    assert "electrode" not in run("kit", "meter", "lab").out


def test_one_calibration_says_that_it_shows_no_change(run, calibrated, electrode):
    calibrated(monthly(1)[0], 98.0)
    out = said(run("kit", "meter", "lab").out)
    assert "Its electrode, by 1 calibration" in out
    assert "One day of calibration shows no change with time" in out
    assert electrode()["life"] is None


def test_a_worn_electrode_is_dated_and_a_calibration_near_its_end_says_so(run, calibrated, electrode):
    days = monthly(9)
    outs = [calibrated(day, 98.5 - 0.8 * i) for i, day in enumerate(days)]
    found = electrode()
    assert found["life"]["end"]["state"] == "dated"
    reached = days[0] + timedelta(days=round(8.5 / 0.8 * 30))
    assert date.fromisoformat(found["life"]["end"]["earliest"]) <= reached
    assert date.fromisoformat(found["life"]["end"]["latest"]) >= reached
    assert found["life"]["efficiency_per_month"]["value"] == pytest.approx(-0.8 * 30.4375 / 30, abs=0.03)
    page = said(run("kit", "meter", "lab").out)
    assert "Efficiency falls by 0.8" in page
    assert "Do: have a fresh electrode ready by" in page
    assert "--electrode DATE" in page
    assert "Efficiency reaches 90 %" in said(outs[-1])
    assert "Efficiency reaches 90 %" not in said(outs[1])


def test_a_steady_electrode_cannot_be_dated_and_the_page_says_why(run, calibrated, electrode):
    for day, efficiency in zip(monthly(5), (98.0, 98.3, 97.9, 98.2, 98.0), strict=True):
        calibrated(day, efficiency)
    assert electrode()["life"]["end"]["state"] == "cannot be dated"
    page = said(run("kit", "meter", "lab").out)
    assert "cannot be dated: no drift is shown" in page
    assert "Do: nothing now." in page


def test_what_was_struck_out_does_not_count(run, calibrated, electrode):
    for day, efficiency in zip(monthly(4), (98.0, 97.5, 60.0, 97.0), strict=True):
        calibrated(day, efficiency)
    assert electrode()["calibrations"] == 4
    assert run("undo", "3").status == 0
    found = electrode()
    assert found["calibrations"] == 3
    assert [one["id"] for one in found["newest"]] == ["1", "2", "4"]


def test_a_new_electrode_begins_anew(run, calibrated, electrode):
    days = monthly(6)
    for day, efficiency in zip(days, (95.0, 94.0, 93.0, 99.0, 98.9, 99.1), strict=True):
        calibrated(day, efficiency)
    assert electrode()["calibrations"] == 6
    ran = run("kit", "meter", "lab", "--electrode", days[3].isoformat())
    assert "since 10 April 2023, when it was put in" in said(ran.out)
    assert "Saved as" in ran.out
    found = electrode()
    assert (found["calibrations"], found["since"]) == (3, days[3].isoformat())
    assert electrode("--electrode", "none")["calibrations"] == 6


def filled(path, days: list[date]) -> None:
    """Put calibrations on record, all of them in the same two bottles."""
    with open_logbook(path) as book:
        kit = Step("kit", When.on(days[0], UTC))
        lab, grey = kit.thing("meter", "lab"), kit.thing("bottle", "grey", {"label": "7.00"})
        blue = kit.thing("bottle", "blue", {"label": "4.01"})
        record(book, kit, NOW)
        for i, day in enumerate(days):
            step = Step("calibrate", When.on(day, UTC))
            calibration = step.calibration("mV", meter=lab)
            step.point(calibration, grey, 2.0, 22.0)
            step.point(calibration, blue, 174.5 + 0.3 * (i % 3), 22.0)
            record(book, step, NOW)


def test_the_table_is_short_and_the_line_rests_on_the_newest_thirty_six(run, electrode, logbook):
    filled(logbook, monthly(40))
    found = electrode()
    assert (found["calibrations"], found["earlier"], len(found["newest"])) == (36, 4, 12)
    assert len(found["life"]["days"]) == 36
    page = said(run("kit", "meter", "lab", "--why").out)
    assert "These are the newest 12; the line rests on 24 more." in page
    assert "The line rests on the newest 36 calibrations; 4 older ones do not count." in page


def test_bottles_that_calibrations_share_are_one_error_that_no_slope_takes_on(electrode, logbook):
    filled(logbook, monthly(10))
    with open_logbook(logbook, writes=False) as book:
        recall = Recall(book, Inputs())
        ages = meter_life(recall, recall.things.find("meter", "lab"))
    assert ages is not None
    assert ages.life is not None
    alone = electrode_life(
        ages.life.days, [(efficiency, 2.0) for efficiency in ages.life.efficiency], "mV"
    )
    # what the bottles may be off by is in each efficiency, and in none of the change
    assert ages.newest[0].efficiency.s > 0.3
    assert ages.life.efficiency_per_month.s < 1.2 * alone.efficiency_per_month.s
    assert ages.life.efficiency_now.s > 1.5 * alone.efficiency_now.s


def test_calibrations_with_another_display_are_left_out_and_told(run, calibrated, electrode):
    days = monthly(3)
    calibrated(days[0], 98.0)
    assert run("kit", "meter", "lab", "--shows", "pH").status == 0
    for day in days[1:]:
        points = ("7.00=7.02@22C", "4.01=4.04@22C")
        assert run("calibrate", *points, *LAB, "--shows", "pH", "--on", day.isoformat()).status == 0
    found = electrode()
    assert found["calibrations"] == 2
    assert {one["unit"] for one in found["newest"]} == {"pH"}
    page = said(run("kit", "meter", "lab").out)
    assert "Calibrations in another unit than pH do not count: 1 of them." in page
    assert "Display's slope on" in page


@pytest.mark.parametrize("electrode_day", ["2031-01-01", "soon"])
def test_a_day_that_cannot_be_is_refused(run, calibrated, electrode_day):
    calibrated(monthly(1)[0], 98.0)
    ran = run("kit", "meter", "lab", "--electrode", electrode_day)
    assert ran.status == 2
    assert "--electrode" in ran.err


def test_only_a_meter_has_an_electrode(run):
    ran = run("kit", "probe", "stick", "--electrode", "2024-03-01")
    assert ran.status == 2
    assert "--electrode is not said of a probe" in ran.err
