"""`trend` on the line: from numbers, from the record, and by one road as by the other."""

from __future__ import annotations

import json
import re
from datetime import date, timedelta
from math import log
from pathlib import Path

import numpy as np
import pytest

import slurrycalc as sc
from slurrycalc.day.months.series import all_series, drift_of
from slurrycalc.deciding.bed import DayMean, bed, level, limit_dates, rate, read_by
from slurrycalc.logbook.recall import Recall
from slurrycalc.logbook.store import open_logbook
from slurrycalc.measuring.electrode.buffers import Bottle, buffer_ph
from slurrycalc.metrology.uncertain import Inputs, covariance
from tests import example_record as example

DAYS = ("2024-01-02", "2024-02-01", "2024-03-03", "2024-04-02", "2024-05-04", "2024-06-01")
PH = (5.82, 5.71, 5.69, 5.58, 5.54, 5.44)
LINE = tuple(f"{day}={ph}" for day, ph in zip(DAYS, PH, strict=True))
ON = ("--on", "2024-06-10")


def result(run, *words):
    ran = run(*words, "--json")
    assert ran.status == 0, ran.err
    return json.loads(ran.out)["result"]


def plain(text):
    return " ".join(text.split())


def one(run, *words):
    (drift,) = result(run, *words)["drifts"]
    return drift


class TestFromNumbers:
    def test_it_is_the_python_call_of_the_same_name(self, run):
        got = one(run, "trend", *LINE, *ON)
        drift = sc.trend(DAYS, PH)
        assert got["trend"]["per_month"]["value"] == pytest.approx(drift.per_month.n, rel=1e-12)
        assert got["trend"]["per_month"]["interval"] == pytest.approx(list(drift.interval()), rel=1e-9)

    def test_the_bed_is_that_of_its_own_model(self, run):
        got = one(run, "trend", *LINE, *ON)
        days = [date.fromisoformat(day) for day in DAYS]
        known = bed([DayMean(day, ph, 1, 0.0, 0.0) for day, ph in zip(days, PH, strict=True)])
        ahead = got["outlook"]
        assert got["retest"]["by"] == read_by(known, [("floor", 5.0)]).by.isoformat()
        floor, edge = ahead["met"]
        dates = limit_dates(known, ("floor", 5.0))
        assert (floor["earliest"], floor["likely"]) == (dates.earliest.isoformat(), dates.even.isoformat())
        assert edge["limit"]["value"] == 5.4
        now = level(known, date(2024, 6, 10))
        assert ahead["now"]["value"] == pytest.approx(now.value)
        half = now.interval().half_width
        assert ahead["now"]["interval"] == pytest.approx([now.value - half, now.value + half])
        assert ahead["per_month"]["value"] == pytest.approx(rate(known).value)
        assert got["levels"][-1]["value"] == pytest.approx(level(known).value)

    def test_first_the_number_then_what_to_do_then_its_meaning_then_when_then_the_days(self, run):
        ran = run("trend", *LINE, *ON, "--why")
        assert ran.status == 0
        parts = ("Drift -0.071 pH a month", "Do: read again by", "It turns acid", "Floor, 5.0", "2024-01-02")
        places = [ran.out.index(part) for part in (*parts, "Rests on 6 bench days")]
        assert places == sorted(places)

    def test_bench_days_from_a_file_are_those_on_the_line_and_both_add_up(self, run, tmp_path):
        file = tmp_path / "days.csv"
        rows = (f"{day};{ph}".replace(".", ",") for day, ph in zip(DAYS, PH, strict=True))
        file.write_text("\n".join(["date;ph", *rows]), encoding="utf-8-sig")
        assert one(run, "trend", "--days", str(file), *ON) == one(run, "trend", *LINE, *ON)
        file.write_text("date,ph\n" + "\n".join(line.replace("=", ",") for line in LINE[:4]))
        assert one(run, "trend", "--days", str(file), *LINE[4:], *ON) == one(run, "trend", *LINE, *ON)

    def test_a_stated_uncertainty_widens_the_level(self, run):
        plain = one(run, "trend", *LINE, *ON)["outlook"]["now"]["standard_uncertainty"]
        stated = one(run, "trend", *(f"{day}+-0.4" for day in LINE), *ON)["outlook"]["now"]
        assert stated["standard_uncertainty"] > plain

    def test_exchanges_and_other_steps_shift_the_level_and_may_be_left_out(self, run):
        lifted = [*LINE, "2024-07-02=6.02", "2024-08-01=5.95", "2024-09-01=5.88"]
        words = ("trend", *lifted, "--step", "New mix=2024-06-05", "--on", "2024-09-02")
        got = one(run, *words)["trend"]
        assert got["per_month"]["value"] == pytest.approx(-0.07, abs=0.01)
        assert got["steps"][0]["done"] == [{"on": "2024-06-05", "name": "new-mix"}]
        assert got["steps"][0]["size"]["value"] == pytest.approx(0.65, abs=0.03)
        assert re.search(r"2024-06-05 +new-mix\n", run(*words, "--why").out)
        assert one(run, *words)["outlook"]["level"]["value"] == pytest.approx(5.88, abs=0.05)
        without = one(run, *words, "--without", "new mix")["trend"]
        assert without["left_out"] == [{"on": "2024-06-05", "name": "new-mix"}]
        assert without["per_month"]["value"] > 0
        assert "new-mix, left out" in run(*words, "--without", "new-mix", "--why").out
        exchanged = one(run, "trend", *lifted, "--exchange", "2024-06-05", "--on", "2024-09-02")["trend"]
        assert exchanged["per_month"] == got["per_month"]

    def test_after_a_step_that_was_not_read_the_line_ends(self, run):
        ran = run("trend", *LINE, "--exchange", "2024-06-05", "--on", "2024-06-10", "--why")
        assert "exchange, not read since" in ran.out
        assert "cannot be dated: nothing was read since the exchange of 5 June 2024" in plain(ran.out)
        assert "it was not read since the exchange of 5 June 2024" in plain(ran.out)
        assert "Do: read it again first, by 12 June 2024" in ran.out
        words = ("trend", *LINE, "--exchange", "2024-06-05", "--predict", "2024-08-01", "--on", "2024-06-20")
        assert "read it once more first" in run(*words).err

    def test_a_prediction_has_the_scatter_of_a_new_bench_day(self, run):
        got = one(run, "trend", *LINE, *ON, "--predict", "2024-09-01")["outlook"]["predicted"]
        assert got["on"] == "2024-09-01"
        assert got["ph"]["standard_uncertainty"] > got["level"]["standard_uncertainty"]

    def test_every_limit_asked_for_gets_its_days(self, run):
        met = one(run, "trend", *LINE, *ON, "--limit", "5.2", "--limit", "4.8")["outlook"]["met"]
        assert [(each["what"], each["limit"]["value"]) for each in met] == [
            ("floor", 5.0), ("lower end of the range", 5.4),
            ("limit asked for", 5.2), ("limit asked for", 4.8),
        ]  # fmt: skip

    def test_a_rising_line_is_held_against_the_upper_end(self, run):
        rising = [f"{day}={ph}" for day, ph in zip(DAYS, PH[::-1], strict=True)]
        met = one(run, "trend", *rising, *ON)["outlook"]["met"]
        assert met[1]["what"] == "upper end of the range"
        assert (met[0]["likely"], met[0]["latest"]) == (None, None)
        assert "More likely than not it stays above 5.0 for 3 years." in met[0]["text"]

    def test_at_once_needs_action(self, run):
        low = [f"{day}={ph - 0.5:.2f}" for day, ph in zip(DAYS, PH, strict=True)]
        assert run("trend", *LINE, *ON, "--strict").status == 0
        ran = run("trend", *low, *ON, "--strict")
        assert ran.status == 1
        assert "Do: exchange a part of it: it is probably below its floor" in ran.out
        lower = [f"{day}={ph - 1.0:.2f}" for day, ph in zip(DAYS, PH, strict=True)]
        said = "Do: exchange a part of it: it is almost surely below its floor"
        assert said in run("trend", *lower, *ON).out
        assert run("trend", *low, *ON, "--floor", "4.0", "--strict").status == 0

    def test_a_retest_that_is_past_is_asked_for_now(self, run):
        wide = ("--target", "4.6:6.5", "--floor", "4.4")
        out = run("trend", *LINE, *wide, "--on", "2024-11-02").out
        assert re.search("Do: read it again now; that was due by [0-9]+ [A-Z][a-z]+ 2024", out)

    def test_scatter_budget_and_p(self, run):
        wide, narrow = (
            one(run, "trend", *LINE, *ON, "--scatter", scatter)["outlook"] for scatter in ("0.3", "own")
        )
        assert narrow["per_month"]["standard_uncertainty"] < wide["per_month"]["standard_uncertainty"]
        parts = result(run, "trend", *LINE, *ON, "--budget")["budget"]["rows"]
        assert sum(row["share"]["value"] for row in parts) == pytest.approx(1.0)
        assert "Budget of the straight line's drift" in run("trend", *LINE, *ON, "--budget").out
        assert "99 in 100)" in run("trend", *LINE, *ON, "--p", "0.99").out

    def test_the_newest_twelve_days_are_told_one_by_one(self, run):
        days = [date(2022, 1, 1) + timedelta(days=28 * i) for i in range(20)]
        out = run("trend", *(f"{day}=5.{60 - i:02d}" for i, day in enumerate(days)), *ON, "--why").out
        assert f"  {days[8]} " in out
        assert f"  {days[7]} " not in out
        assert "8 earlier bench days count too" in out


A, B = LINE[0], LINE[1]
BAD = {
    "one bench day": ((A,), "one bench day shows no change with time"),
    "out of order": ((B, A), "`2024-01-02` stands after `2024-02-01`"),
    "twice on a day": ((A, A), "`2024-01-02` stands twice"),
    "in the future": ((A, "2031-02-01=5.5"), "`2031-02-01` lies in the future"),
    "later than asked": ((A, B, "--on", "2024-01-10"), "`2024-02-01` lies in the future"),
    "no date": ((A, "03/04=5.5"), "`03/04` could be"),
    "on no calendar": ((A, "2024-02-30=5.5"), "`2024-02-30` is on no calendar"),
    "a day without its year": ((A, "4 May=5.5"), "`4 May` should have its year first"),
    "no ph": ((A, "2024-02-01=57"), "`57`"),
    "not a number": ((A, "2024-02-01=sour"), "`sour`"),
    "half a pair": ((A, "2024-02-01="), "`2024-02-01=` is no bench day with its pH"),
    "two signs": ((A, "2024-02-01=5=6"), "`2024-02-01=5=6`"),
    "an exchange before the first": (
        (A, B, LINE[2], "--exchange", "2023-12-01"), "the exchange of `2023-12-01` lies before the first"
    ),
    "an exchange in the future": ((A, B, "--exchange", "2031-01-01"), "--exchange: `2031-01-01` lies in"),
    "too few for the step": ((A, B, "--exchange", "2024-01-10"), "or leave the exchange out"),
    "too few for the steps": (
        (A, B, LINE[2], "--exchange", "2024-01-10", "--step", "calcium=2024-02-10"),
        "something was done between any two of the 3 bench days (exchange and calcium)",
    ),
    "a step without a date": ((A, B, "--step", "calcium"), "--step: `calcium` is no step"),
    "a step that is not there": ((A, B, "--without", "lime"), "`lime` is no step that could be left out"),
    "a scatter that two cannot show": ((A, B, "--scatter", "own"), "degrees of freedom"),
    "a limit that is none": ((A, B, "--limit", "54"), "--limit: `54`"),
    "a day before the record": ((A, B, "--predict", "2023-01-01"), "`2023-01-01` lies before the last"),
    "a day too far": ((A, B, "--predict", "2044-01-01"), "`2044-01-01` lies more than 10 years"),
    "a floor above the range": ((A, B, "--floor", "6.0"), "a floor of `6` lies above"),
    "since": ((A, B, "--since", "2024-01-01"), "--since: `2024-01-01` asks the record"),
    "numbers and a name": ((A, B, "--enclosure", "atlas"), "two questions"),
    "a step for the record": (("--enclosure", "x", "--exchange", "2024-01-01"), "goes on record as an event"),
    "no record": ((), "no bench day is on record"),
    "no such enclosure": (("--enclosure", "atlas"), "no enclosure `atlas`"),
    "no such file": (("--days", "no-days.csv"), "`no-days.csv` is not there"),
}  # fmt: skip


@pytest.mark.parametrize("case", BAD)
def test_what_cannot_stand_is_one_sentence_and_leaves_nothing(run, logbook: Path, case: str) -> None:
    words, said = BAD[case]
    ran = run("trend", *words)
    assert ran.status == 2
    assert ran.out == ""
    assert said in ran.err
    assert ran.err.count("\n") == 1
    assert ran.err.rstrip(".\n").count(". ") == 0
    assert not logbook.exists()


def test_a_row_of_a_file_that_cannot_stand_is_named(run, tmp_path):
    file = tmp_path / "days.csv"
    file.write_text("date,ph\n2024-01-02,5.8\n2031-01-02,5.8\n")
    refused = run("trend", "--days", str(file)).err
    assert refused.startswith("days.csv, row 3: `2031-01-02` lies in the future")
    file.write_text("date,ph\n2024-01-02,5.8\n2024-02-02,\n")
    assert run("trend", "--days", str(file)).err.startswith("days.csv, row 3: a bench day has both")


@pytest.fixture
def room(logbook: Path) -> Path:
    """Make the example of eighteen months this test's record."""
    with open_logbook(logbook) as book:
        example.build(book)
    return logbook


ASKED = ("--on", "2025-11-01")


class TestFromTheRecord:
    def test_one_enclosure_is_the_trend_of_its_bench_days(self, run, room):
        got = one(run, "trend", "--enclosure", "atlas", *ASKED)
        with open_logbook(room, writes=False) as book:
            recall = Recall(book, Inputs())
            series = all_series(recall)[recall.things.find("enclosure", "atlas").id]
            drift = drift_of(series)
        assert got["enclosure"] == "atlas"
        assert got["slurries"] == [2] * 20
        assert got["trend"]["per_month"]["value"] == pytest.approx(drift.per_month.n, rel=1e-12)
        assert got["trend"]["now"]["standard_uncertainty"] == pytest.approx(drift.now.s, rel=1e-9)
        assert got["trend"]["shown"]

    def test_all_of_them_those_that_fall_fastest_first(self, run, room):
        drifts = result(run, "trend", *ASKED)["drifts"]
        assert [each["enclosure"] for each in drifts] == ["atlas", "window", "stairs"]
        alone = one(run, "trend", "--enclosure", "window", *ASKED)
        assert drifts[1]["trend"]["per_month"] == alone["trend"]["per_month"]
        assert drifts[1]["retest"] == alone["retest"]
        out = run("trend", *ASKED).out
        assert out.index("atlas") < out.index("window") < out.index("stairs")
        for name in ("shelf jar", "leaf mix"):
            assert name not in out
        assert "slurrycalc trend atlas" in out

    def test_it_only_looks(self, run, room):
        before = room.read_bytes()
        for words in ((), ("--enclosure", "atlas")):
            assert run("trend", *words, *ASKED).status == 0
        assert room.read_bytes() == before

    def test_one_bench_day_shows_no_drift_and_says_when_to_read_again(self, run, room):
        ran = run("trend", "--enclosure", "atlas", "--on", "2024-05-20")
        assert ran.status == 0
        open_question = "too close to tell (5 in 10 that it falls): between 0.20 pH a month down"
        assert open_question in plain(ran.out)
        assert "Do: read again by 3 June 2024" in ran.out
        got = one(run, "trend", "--enclosure", "atlas", "--on", "2024-05-20")
        assert (got["trend"], got["retest"]["reason"]) == (None, "first reading")

    def test_more_steps_than_bench_days_can_tell_is_no_dead_end(self, run, room):
        words = ("trend", "--enclosure", "window", "--on", "2024-06-05")
        got = one(run, *words)
        assert "cannot tell a drift from what the exchange of 2024-05-11 did" in got["why"]
        assert got["retest"]["reason"] == "limit"
        every = {each["enclosure"]: each for each in result(run, "trend", "--on", "2024-06-05")["drifts"]}
        assert (every["window"]["trend"], every["window"]["why"]) == (None, got["why"])
        assert every["window"]["outlook"]["per_month"] == got["outlook"]["per_month"]
        assert one(run, *words, "--without", "exchange")["trend"] is not None

    def test_what_was_recorded_later_than_asked_does_not_count(self, run, room):
        got = one(run, "trend", "--enclosure", "window", "--on", "2024-12-20")
        assert got["last"] == "2024-12-14"
        assert [step["done"][0]["on"] for step in got["trend"]["steps"]] == ["2024-05-11", "2024-06-08"]

    def test_since_takes_only_newer_days(self, run, room):
        got = one(run, "trend", "--enclosure", "window", "--since", "2025-04-20", *ASKED)
        assert got["trend"]["days"][0] == "2025-05-03"
        assert got["trend"]["steps"] == []
        assert got["earlier"] == 13
        out = run("trend", "--enclosure", "window", "--since", "2025-04-20", *ASKED, "--why").out
        assert "13 older bench days are left aside" in plain(out)
        assert run("trend", "--enclosure", "window", "--since", "2026-01-01").status == 2

    def test_charcoal_and_a_new_mix_are_steps(self, run, room):
        got = one(run, "trend", "--enclosure", "stairs", *ASKED)["trend"]["steps"]
        assert [step["done"][0]["name"] for step in got] == ["charcoal"]
        assert run("event", "stairs", "new mix", "--on", "2025-10-20").status == 0
        ran = run("trend", "--enclosure", "stairs", *ASKED, "--why")
        assert "new-mix, not read since" in ran.out
        assert "Do: read it again first, by 19 November 2025" in ran.out
        without = one(run, "trend", "--enclosure", "stairs", *ASKED, "--without", "new-mix")
        assert without["trend"]["unread"] == []

    def test_an_enclosure_that_was_never_read_is_named(self, run, room):
        assert run("enclosure", "annex", "--new").status == 0
        assert "Not read yet: annex." in run("trend").out
        refused = run("trend", "--enclosure", "annex")
        assert refused.status == 2
        assert "no 1:2 slurry of `annex` was read" in refused.err

    def test_its_own_limits_count_unless_others_are_asked_for(self, run, room):
        assert run("enclosure", "atlas", "--floor", "5.2").status == 0
        own = one(run, "trend", "--enclosure", "atlas", *ASKED)["outlook"]["met"][0]
        asked = one(run, "trend", "--enclosure", "atlas", "--floor", "5.1", *ASKED)
        assert own["limit"]["value"] == 5.2
        assert asked["outlook"]["met"][0]["limit"]["value"] == 5.1

    @pytest.mark.parametrize("width", [40, 80, 200])
    def test_it_fits_any_page(self, run, room, width):
        for words in ((), ("--enclosure", "window")):
            out = run("trend", *words, *ASKED, width=width).out
            assert max(map(len, out.splitlines())) <= width
            assert "falls" in out or "turns acid" in out


NERNST = log(10.0) * 8.314462618 * 295.15 / 96485.33212 * 1000.0


def test_bench_days_recorded_one_by_one_give_the_trend_of_their_readings_and_what_beds_share(run, logbook):
    # Each day an electrode of its own slope and offset is calibrated in the same two bottles, as in the
    # simulation of coverage, and one slurry of each bed is read: by the commands that a keeper types.
    rng = np.random.default_rng(20241125)
    days = [date(2024, 1, 9) + timedelta(days=30 * i) for i in range(5)]
    truth = {"atlas": 5.9 - 0.05 * np.arange(5), "stairs": 6.2 - 0.04 * np.arange(5)}
    assert run("kit", "meter", "bench", "--shows", "mV").status == 0
    for name, label in (("blue", "4.01"), ("grey", "7.00")):
        words = ("kit", "bottle", name, "--label", label, "--tolerance", "0.02", "--new")
        assert run(*words).status == 0
    for name in truth:
        assert run("enclosure", name, "--new").status == 0
    inputs, numbers = Inputs(), {name: [] for name in truth}
    bottles = Bottle("4.01", "blue", 0.02), Bottle("7.00", "grey", 0.02)
    meter = sc.Meter("mV", name="bench")
    offs = rng.uniform(-0.02, 0.02, 2)
    for i, day in enumerate(days):
        e_7, slope = rng.normal(0.0, 8.0), NERNST * rng.normal(0.985, 0.01)

        def shows(ph, e_7=e_7, slope=slope):
            return round(float(e_7 - slope * (ph - 7.0) + rng.normal(0.0, 0.3)), 1)

        points = [
            (bottle, shows(buffer_ph(bottle.label, 22.0) + off), 22.0)
            for bottle, off in zip(bottles, offs, strict=True)
        ]
        typed = [f"{bottle.name}={mv}mV@22C" for bottle, mv, _ in points]
        assert run("calibrate", *typed, "--meter", "bench", "--on", str(day)).status == 0
        calibration = sc.calibrate(points, meter, inputs=inputs)
        for name, ph in truth.items():
            mv = shows(ph[i] + rng.normal(0.0, 0.1))
            ran = run("read", f"{mv}mV@22C", "--meter", "bench", "--enclosure", name, "--on", str(day))
            assert ran.status == 0, ran.err
            numbers[name].append(calibration.ph(mv, 22.0))
    with open_logbook(logbook, writes=False) as book:
        recall = Recall(book, Inputs())
        series = all_series(recall)
        recorded = {name: drift_of(series[recall.things.find("enclosure", name).id]) for name in truth}
    direct = {name: sc.trend(days, numbers[name]) for name in truth}
    for name in truth:
        for what in ("per_month", "now"):
            ours, theirs = (getattr(lines[name], what) for lines in (recorded, direct))
            assert ours.n == pytest.approx(theirs.n, abs=1e-9)
            assert ours.s == pytest.approx(theirs.s, abs=1e-9)
        assert tuple(recorded[name].interval()) == pytest.approx(tuple(direct[name].interval()), abs=1e-9)
        got = one(run, "trend", "--enclosure", name, "--on", str(days[-1]))["trend"]["per_month"]
        assert got["interval"] == pytest.approx(list(direct[name].interval()), abs=1e-9)
    # What the bottles are off moves both lines together.
    for what in ("per_month", "now"):
        by_record, by_hand = (
            covariance(getattr(lines["atlas"], what), getattr(lines["stairs"], what))
            for lines in (recorded, direct)
        )
        assert by_record == pytest.approx(by_hand, rel=1e-9)
        assert by_hand > 0.0


def test_a_line_that_has_left_the_range_leads_to_an_exchange(run):
    low = ["2024-01-02=5.62", "2024-02-01=5.50", "2024-03-03=5.41", "2024-04-02=5.33", "2024-05-04=5.20"]
    assert "Do: exchange a part of it: it may be below its floor" in plain(run("trend", *low, *ON).out)
    inside = [day.replace("=5.", "=6.") for day in low]
    assert "exchange a part" not in plain(run("trend", *inside, *ON).out)
    high = run("trend", *inside, "--target", "5.0:6.0", *ON).out
    assert "exchange a part of it: it is probably above its range" in plain(high)


def test_a_line_a_little_likelier_outside_the_range_than_inside_leads_to_an_exchange_too(run):
    flat = [f"{day}={ph}" for day, ph in zip(DAYS, (5.36, 5.44, 5.36, 5.40, 5.44, 5.34), strict=True)]
    near = plain(run("trend", *flat, *ON, "--target", "5.4:6.5").out)
    assert "exchange a part of it: it may be below its range" in near
    assert "exchange a part" not in plain(run("trend", *flat, *ON, "--target", "5.3:6.5").out)


def test_a_rise_that_is_not_shown_asks_for_no_early_reading(run):
    near = [f"{day}={ph}" for day, ph in zip(DAYS, (6.35, 6.40, 6.33, 6.41, 6.36, 6.40), strict=True)]
    retest = one(run, "trend", *near, *ON)["retest"]
    assert (retest["by"], retest["reason"]) == ("2024-10-01", "longest")


def test_once_something_was_done_after_the_last_bench_day_where_the_line_stands_is_not_known(run):
    before = one(run, "trend", *LINE, "--exchange", "2024-06-01", "--on", "2024-06-01")
    assert before["outlook"]["now"] is None
    for day in ("2024-06-10", "2024-06-11"):
        found = one(run, "trend", *LINE, "--exchange", "2024-06-10", "--on", day)
        assert found["outlook"]["now"] is None
        assert found["first"]["by"] == "2024-06-17"
    assert one(run, "trend", *LINE, *ON)["first"] is None


def test_more_than_a_year_after_the_last_bench_day_it_is_to_be_read_first(run):
    assert one(run, "trend", *LINE, "--on", "2025-06-01")["outlook"]["now"] is not None
    found = one(run, "trend", *LINE, "--on", "2025-06-02")
    assert found["outlook"]["now"] is None
    assert found["outlook"]["to_do"] == found["first"]["text"][1]
    out = plain(run("trend", *LINE, "--on", "2025-06-02").out)
    assert "Where it stands on 2 June 2025 is not known: it was read last on 1 June 2024, more than 12" in out
    assert "Do: read it again first; that was due by 4 August 2024. Nothing can be promised" in out
    assert "Change a part of the substrate" not in out
    assert run("trend", *LINE, "--on", "2025-06-02", "--strict").status == 1
