"""Exchange, upkeep and trial by command: from numbers, from the record, and what is put on record."""

from __future__ import annotations

import datetime
import json
import math
import re
from pathlib import Path

import icalendar
import pytest
from jsonschema import Draft202012Validator

import slurrycalc as sc
from slurrycalc.day.months.changing import BedGiven, bed_ph, gather
from slurrycalc.day.months.series import series_of
from slurrycalc.day.record.keeper import Keeper
from slurrycalc.logbook.recall import Recall
from slurrycalc.logbook.refs import When
from slurrycalc.logbook.step import Step
from slurrycalc.logbook.store import open_logbook
from slurrycalc.metrology.uncertain import Inputs

FIRST = datetime.date(2024, 1, 2)
NOW = datetime.datetime(2026, 6, 1, 12, tzinfo=datetime.UTC)
ON = "2024-06-10"
FRESH = datetime.date(2024, 5, 31)
BY_NUMBERS = ("exchange", "--now", "5.1+-0.1", "--fresh", "6.6+-0.1", "--want", "5.9")
SIZED = (*BY_NUMBERS, "--size", "60x45 cm", "--bed-depth", "10 cm", "--start", "2024-06-01")
UPKEEP = ("upkeep", "--drift", "-0.08+-0.02", "--fresh", "6.6+-0.1", "--floor", "5.4")
SALTS = ("--salt-rise", "60 uS/cm", "--fresh-salts", "0.4 mS/cm", "--salt-limit", "1.25 mS/cm")
JARS = ("0%=5.10", "10%=5.27", "20%=5.43", "30%=5.52", "40%=5.66")
MIXES = ("0%=5.10", "25%=5.52", "50%=5.95", "75%=6.30", "100%=6.60")


def bench_day(path: Path, day: datetime.date, jars: dict[str, tuple[float, ...]]) -> None:
    """Calibrate the same meter in the same two bottles, and read slurries."""
    with open_logbook(path) as book:
        keeper = Keeper(book, Step("run", When.on(day, datetime.UTC)), now=NOW, new=True, inputs=Inputs())
        step, meter = keeper.step, keeper.thing("meter", "desk", fresh={"shows": "pH"})
        under = step.calibration("pH", meter=meter.uid)
        for name, label, shows in (("acid 2", "4.01", 4.03), ("neutral 2", "7.00", 7.02)):
            step.point(under, keeper.thing("bottle", name, fresh={"label": label}).uid, shows, 21.0)
        for name, readings in jars.items():
            for shows in readings:
                step.reading(step.slurry(keeper.thing("enclosure", name).uid), under, shows, 21.0)
        keeper.record(book)


@pytest.fixture
def room(run, logbook, begin):
    """Six months of a drifting case and one read once, with a tub of fresh mix."""

    def typed():
        for i in range(6):
            day = FIRST + datetime.timedelta(days=30 * i)
            jars = {"atlas": (5.72 - 0.08 * i, 5.66 - 0.08 * i)}
            if i == 5:
                jars |= {"window": (5.3, 5.36), "leaf mix": (6.6, 6.7)}
            bench_day(logbook, day, jars)
        run("enclosure", "leaf mix", "--fresh", "yes")
        run("enclosure", "atlas", "--size", "60x45 cm", "--bed-depth", "10 cm", "--target", "5.4:6.4")

    return begin(typed)


def result(run, *words):
    ran = run(*words, "--json")
    assert ran.status == 0, ran.err
    return json.loads(ran.out)["result"]


def entries(run) -> int:
    return len(result(run, "history", "--all")["entries"])


class TestFromNumbers:
    def test_exchange_is_the_python_call_of_the_same_name(self, run):
        got = result(run, *SIZED)["exchange"]
        plan = sc.exchange("5.1+-0.1", "6.6+-0.1", "5.9", "60x45 cm", depth="10 cm", start="2024-06-01")
        assert got["assured_fraction"]["value"] == pytest.approx(plan.assured_fraction, abs=1e-9)
        assert got["predicted"]["value"] == pytest.approx(plan.predicted.n)
        assert [stage["on"] for stage in got["stages"]] == ["2024-06-01", "2024-06-29", "2024-07-27"]
        assert got["amounts"]["bed"] == {"value": 27000.0, "unit": "mL"}

    def test_the_number_comes_first_and_the_cautions_before_the_steps(self, run):
        out = run(*SIZED).out
        order = ("Then pH", "Do: exchange in", "in 95 cases", "Mind", "How\n", "How much", "Stages")
        places = [out.index(part) for part in order]
        assert places == sorted(places)
        assert out.index("Take the animals out first") < out.index("1. Take the animals out")
        assert out.count("Mind") == 1
        assert "Keep what comes out" in out[out.index("How\n") :]

    @pytest.mark.parametrize("width", [40, 80])
    @pytest.mark.parametrize(
        "words", [SIZED, (*UPKEEP, "--volume", "27 L", *SALTS), ("trial", *MIXES, "--target", "5.9")]
    )
    def test_every_line_fits(self, run, words, width):
        lines = run(*words, width=width).out.splitlines()
        assert max(map(len, lines)) <= width

    def test_amounts_are_said_in_litres_quarts_and_cups_of_the_keeper(self, run):
        assert "8.7 L    9 1/4 qt    37 cups" in run(*SIZED).out
        assert "35 cups" in run(*SIZED, "--cup", "metric").out
        run("kit", "cup", "300", "mL")
        assert "29 cups" in run(*SIZED).out

    def test_a_known_buffering_and_a_larger_part_at_once_change_the_plan(self, run):
        plain = result(run, *BY_NUMBERS)["exchange"]
        known = result(run, *BY_NUMBERS, "--buffering", "1.4", "--at-once", "1/2")["exchange"]
        assert known["assured_fraction"]["value"] < plain["assured_fraction"]["value"]
        assert len(known["stages"]) == 1

    def test_p_asks_for_more(self, run):
        low, high = (
            result(run, *BY_NUMBERS, "--p", p)["exchange"]["assured_fraction"]["value"]
            for p in ("0.9", "0.99")
        )
        assert low < high

    def test_none_can_says_why_and_plans_nothing(self, run):
        ran = run("exchange", "--now", "5.1", "--fresh", "5.8", "--want", "5.9")
        assert ran.out.startswith("  Do: mix a fresh one")
        assert "  No exchange brings the bed to 5.9 or higher: the fresh mix itself reads" in ran.out
        assert "Stages" not in ran.out
        assert "Mind" not in ran.out

    def test_upkeep_is_the_python_call_of_the_same_name(self, run):
        got = result(run, *UPKEEP, "--now", "5.7+-0.1", "--every", "2")["upkeep"]
        plan = sc.upkeep("-0.08+-0.02", "6.6+-0.1", "5.4", every=2, now="5.7+-0.1")
        assert got["assured"]["fraction"]["value"] == pytest.approx(plan.assured_fraction, abs=1e-9)
        assert [row["every"]["value"] for row in got["table"]] == [1.0, 2.0, 3.0, 4.0, 6.0, 12.0]
        assert len(got["assured"]["cycles"]) == 6

    def test_upkeep_takes_its_interval_in_months_or_with_a_unit(self, run):
        months, days = (result(run, *UPKEEP, "--every", text)["upkeep"] for text in ("1.5", "45.65625 d"))
        assert months["assured"]["fraction"] == pytest.approx(days["assured"]["fraction"])

    def test_salts_and_ph_together_say_which_asks_for_more(self, run):
        out = run(*UPKEEP, *SALTS, "--why").out
        assert "(the floor asks for the most)" in " ".join(out.split())
        assert "mS/cm before the next" in out
        more = ("--salt-rise", "200 uS/cm", *SALTS[2:])
        assert "(the limit of salts asks for the most)" in " ".join(run(*UPKEEP, *more).out.split())

    def test_salts_alone_need_no_fresh_ph(self, run):
        assert result(run, "upkeep", *SALTS)["upkeep"]["assured"]["decided_by"] == "salts"

    def test_a_rising_bed_is_held_under_a_ceiling(self, run):
        words = ("--drift", "0.08+-0.02", "--fresh", "5.6+-0.1", "--ceiling", "6.5", "--every", "1")
        out = run("upkeep", *words).out
        assert "If never read again, at its highest pH" in out
        assert "keeps pH at 6.5 or below" in " ".join(out.split())

    def test_an_interval_too_short_for_a_bed_is_no_advice(self, run):
        out = " ".join(run("upkeep", "--drift", "-0.3+-0.1", "--fresh", "6.0", "--floor", "5.8").out.split())
        assert "No part of the bed, exchanged every 3 months, keeps pH at 5.8 or above" in out
        assert "Do: exchange more often" not in out
        assert "want 28 days between two exchanges" in out

    def test_trial_is_the_python_call_of_the_same_name(self, run):
        got = result(run, "trial", *JARS, "--target", "5.4")["trial"]
        jars = sc.trial([0, 10, 20, 30, 40], [5.10, 5.27, 5.43, 5.52, 5.66], 5.4, unit="%")
        assert got["dose"] == pytest.approx(jars.dose)
        assert (got["low"], got["high"]) == pytest.approx((jars.low, jars.high))
        assert got["unit"] == "%"

    def test_a_trial_in_other_doses_takes_its_unit(self, run):
        words = ("trial", "0=5.10", "1=5.60", "2=6.05", "4=6.60", "--unit", "g/L", "--target", "5.9")
        assert result(run, *words)["trial"]["unit"] == "g/L"
        assert result(run, *words)["trial"]["buffering"] is None
        assert "never use quicklime" in run(*words).out

    @pytest.mark.parametrize("words", [SIZED, (*UPKEEP, *SALTS), ("trial", *MIXES, "--target", "5.9")])
    def test_strict_fails_what_asks_for_hands_only(self, run, words):
        expected = 0 if words[0] == "trial" else 1
        assert run(*words, "--strict").status == expected

    @pytest.mark.parametrize(
        "words",
        [
            SIZED,
            ("exchange", "--now", "5.1", "--fresh", "5.8", "--want", "5.9"),
            (*UPKEEP, *SALTS, "--volume", "27 L"),
            ("upkeep", *SALTS),
            ("trial", *MIXES, "--target", "5.9"),
        ],
    )
    def test_the_object_keeps_to_its_schema(self, run, words):
        schema = json.loads(run(words[0], "--schema").out)
        Draft202012Validator(schema).validate(json.loads(run(*words, "--json").out))


class TestFromTheRecord:
    def test_exchange_takes_the_trends_level_the_size_the_range_and_the_tub(self, run, room):
        got = result(run, "exchange", "--enclosure", "atlas", "--on", ON)
        with open_logbook(room, writes=False) as book:
            recall = Recall(book, Inputs())
            series = series_of(recall, recall.things.find("enclosure", "atlas"))
            level = series.taught.level(datetime.date.fromisoformat(ON))
        plan = got["exchange"]
        assert plan["now"]["value"] == pytest.approx(level.n, abs=1e-9)
        assert plan["now"]["standard_uncertainty"] == pytest.approx(level.s, rel=1e-6)
        assert plan["wanted"]["value"] == pytest.approx(5.9)
        assert plan["amounts"]["bed"]["value"] == pytest.approx(27000.0)
        assert plan["fresh"]["value"] == pytest.approx(6.64, abs=0.02)
        assert plan["stages"][0]["on"] == ON
        assert {line.partition(":")[0] for line in got["basis"]} == {"Bed", "Fresh mix", "Wanted", "Now"}

    def test_bed_and_mix_share_the_errors_of_their_bottles(self, run, room):
        """A bottle that reads too high lifts both, so their difference is surer than two strangers'."""
        with open_logbook(room, writes=False) as book:
            recall, on = Recall(book, Inputs()), datetime.date.fromisoformat(ON)
            found = gather(BedGiven(), recall, "atlas", on)
            bed_ph(found, recall, on)
        apart = math.hypot(found.now.s, found.fresh.s)
        assert 0.5 * apart < (found.fresh - found.now).s < 0.99 * apart

    def test_what_the_line_says_wins(self, run, room):
        words = ("exchange", "--enclosure", "atlas", "--on", ON, "--now", "5.1+-0.1", "--fresh", "6.6+-0.1")
        got = result(run, *words, "--want", "5.9", "--volume", "10 L")["exchange"]
        plain = result(run, *BY_NUMBERS)["exchange"]
        assert got["assured_fraction"] == plain["assured_fraction"]
        assert got["amounts"]["bed"]["value"] == 10_000.0

    def test_one_bench_day_is_taken_as_it_was_read(self, run, room):
        ran = run("exchange", "--enclosure", "window", "--on", ON, "--why")
        text = " ".join(ran.out.split())
        assert "by its one bench day, on 10 June 2024" in text
        assert "For amounts say how large the bed is" in text
        assert "5.4, the lower end of the usual range, 5.4 to 6.5, common practice" in text
        assert "To the middle of its range, 5.95, it takes" in text

    def test_a_bed_inside_its_range_is_told_that_it_needs_none(self, run, room):
        bench_day(room, FRESH, {"stairs": (5.8, 5.82)})
        inside = "Enough: the bed lies at "
        assert inside in " ".join(run("exchange", "--enclosure", "stairs", "--on", ON).out.split())
        assert inside not in " ".join(run("exchange", "--enclosure", "atlas", "--on", ON).out.split())
        assert inside not in run("exchange", "--enclosure", "stairs", "--on", ON, "--want", "6.2").out

    def test_a_bed_not_read_since_its_exchange_is_read_first_unless_its_ph_is_given(self, run, room):
        run("event", "atlas", "exchange", "--on", "2024-06-05")
        for command in ("trend", "exchange", "upkeep"):
            ran = run(command, "--enclosure", "atlas", "--on", ON)
            assert ran.status == 0
            text = " ".join(ran.out.split())
            assert "is not known: it was not read since the exchange of 5 June 2024." in text
            assert "Do: read it again first, by 12 June 2024. Nothing can be promised before." in text
            assert "Exchange" not in text
        for command in ("exchange", "upkeep"):
            given = result(run, command, "--enclosure", "atlas", "--on", ON, "--now", "5.4+-0.2")
            assert given["first"] is None
            assert given[command]["text"]
            # The day before, nobody knew of it.
            assert result(run, command, "--enclosure", "atlas", "--on", "2024-06-04")["first"] is None

    def test_a_question_records_nothing(self, run, room):
        before = entries(run)
        out = run("exchange", "--enclosure", "atlas", "--on", ON).out
        assert out.endswith("Not saved; add --plan to have slurrycalc due ask for each stage\n")
        assert run("upkeep", "--enclosure", "atlas", "--on", ON).status == 0
        assert run("exchange", "--enclosure", "atlas", "--on", ON, "--plan", "--try").out.endswith(
            "Tried only; nothing is saved.\n"
        )
        assert entries(run) == before

    def test_upkeep_takes_drift_floor_and_level_from_the_record(self, run, room):
        run("enclosure", "atlas", "--floor", "5.1")
        got = result(run, "upkeep", "--enclosure", "atlas", "--on", ON)
        assert got["upkeep"]["assured"]["decided_by"] == "floor"
        assert any(line.startswith("Drift: pH -0.08") and "6 bench days" in line for line in got["basis"])
        assert "Limit: pH 5.1, its floor." in got["basis"]
        assert got["upkeep"]["assured"]["amount"] is not None
        first = got["upkeep"]["assured"]["cycles"][0]
        assert first["after"]["value"] > 5.3

    def test_upkeep_of_a_rising_bed_takes_the_upper_end_of_its_range(self, run, room):
        for i in range(6):
            bench_day(room, FIRST + datetime.timedelta(days=30 * i), {"stairs": (6.0 + 0.1 * i,)})
        got = result(run, "upkeep", "--enclosure", "stairs", "--fresh", "5.8+-0.1", "--on", ON)
        assert got["upkeep"]["assured"] is None or got["upkeep"]["assured"]["decided_by"] == "ceiling"
        assert "Limit: pH 6.5, the upper end of its range, common practice, since it rises." in got["basis"]

    def test_upkeep_of_a_bed_that_may_rise_or_fall_holds_its_floor(self, run, room):
        """A line that rises by chance must not hold a steady bed under a ceiling."""
        for i in range(6):
            bench_day(room, FIRST + datetime.timedelta(days=30 * i), {"stairs": (5.6 + 0.05 * (i % 2),)})
        ran = run("upkeep", "--enclosure", "stairs", "--fresh", "6.6+-0.1", "--on", ON, "--why")
        text = " ".join(ran.out.split())
        assert ran.status == 0
        assert "Limit: pH 5.0, its floor" in text
        assert "stairs shows no drift" in text

    def test_trend_exchange_and_upkeep_have_one_horizon_and_one_answer_beyond_it(self, run, room):
        said = []
        for command in ("trend", "exchange", "upkeep"):
            words = (command, "--enclosure", "atlas", "--on")
            near, far = (result(run, *words, day) for day in ("2025-05-31", "2025-06-01"))
            near, far = (got["drifts"][0] if command == "trend" else got for got in (near, far))
            assert near["first"] is None
            said.append(far["first"])
            ran = run(*words, "2025-06-01", "--strict")
            assert ran.status == 1
            assert f"Do: {far['first']['text'][1]}" in " ".join(ran.out.split())
            assert "slurrycalc bench" in ran.out
            assert "slurrycalc exchange" not in ran.out
            schema = json.loads(run(command, "--schema").out)
            whole = json.loads(run(*words, "2025-06-01", "--json").out)
            Draft202012Validator(schema).validate(whole)
        assert said[0] == said[1] == said[2]
        assert said[0]["text"][0] == (
            "Where atlas stands on 1 June 2025 is not known: it was read last on 31 May 2024, more than 12 "
            "months back."
        )

    def test_what_is_given_of_a_bed_that_was_long_not_read_counts(self, run, room):
        late = ("--enclosure", "atlas", "--on", "2025-06-10", "--now", "5.6+-0.2")
        assert result(run, "exchange", *late)["exchange"]["stages"]
        # The level is given, and the drift would still be that of an old record.
        assert result(run, "upkeep", *late)["upkeep"] is None
        assert result(run, "upkeep", *late, "--drift", "-0.05+-0.02")["upkeep"] is not None

    def test_where_its_level_is_unknown_no_stages_are_planned_and_earlier_ones_stay(self, run, room):
        run("exchange", "--enclosure", "atlas", "--on", ON, "--plan")
        before = entries(run)
        ran = run("exchange", "--enclosure", "atlas", "--on", "2025-06-10", "--plan")
        assert ran.out.endswith("Not saved: there are no stages to plan.\n")
        assert entries(run) == before

    def test_upkeep_of_a_bed_past_its_floor_leads_to_an_exchange_first(self, run, room):
        run("enclosure", "atlas", "--floor", "5.4")
        ran = run("upkeep", "--enclosure", "atlas", "--on", ON)
        assert ran.status == 0
        text = " ".join(ran.out.split())
        assert "The bed lies below the floor, 5.4, now" in text
        assert "Do: exchange a part of atlas, today: it is almost surely below its floor" in text
        assert "Exchange first, in stages" in text
        assert "slurrycalc exchange atlas" in text
        for promise in ("keeps pH", "cases of 100", "How often and how much", "The first cycles"):
            assert promise not in text
        got = result(run, "upkeep", "--enclosure", "atlas", "--on", ON)["upkeep"]
        assert (got["even"], got["assured"], got["table"], got["longest"]) == (None, None, [], None)
        assert got["passed"][0]["which"] == "floor"
        assert run("upkeep", "--enclosure", "atlas", "--on", ON, "--strict").status == 1

    def test_upkeep_of_a_bed_that_reads_alike_every_day_is_an_answer(self, run, logbook):
        for i in range(3):
            bench_day(logbook, FIRST + datetime.timedelta(days=31 * i), {"atlas": (5.3, 5.3)})
        got = result(run, "upkeep", "--enclosure", "atlas", "--fresh", "6.9+-0.1", "--on", "2024-03-10")
        assert got["upkeep"]["even"]["fraction"]["value"] == 0.0

    def test_a_refusal_quotes_what_was_read_to_a_hundredth(self, run, room):
        ran = run("exchange", "--enclosure", "atlas", "--on", ON, "--want", "5.0")
        assert ran.status == 2
        assert re.search(r"a fresh mix of `6\.\d\d?` is more alkaline than the bed, 5\.\d\d?,", ran.err)

    def test_the_buffering_of_another_mix_is_not_taken(self, run, room):
        run("trial", *MIXES, "--enclosure", "atlas", "--of", "pine bark", "--on", "2024-06-08")
        ran = run("exchange", "--enclosure", "atlas", "--on", ON)
        assert "made with pine bark and not with leaf mix" in " ".join(ran.out.split())
        own = result(run, "exchange", "--enclosure", "atlas", "--on", ON)
        assert own["exchange"]["buffering_known"] == "memory"
        # Of a mix whose pH is typed nothing is known that speaks against it.
        typed = result(run, "exchange", "--enclosure", "atlas", "--on", ON, "--fresh", "6.6+-0.1")
        assert typed["exchange"]["buffering_known"] == "measured"

    def test_an_upkeep_is_planned_asked_for_by_turns_done_and_ended(self, run, logbook):
        for i in range(6):
            shows = (6.05 - 0.05 * i, 6.0 - 0.05 * i)
            bench_day(logbook, FIRST + datetime.timedelta(days=30 * i), {"hall": shows})
        last = FIRST + datetime.timedelta(days=150)
        asks = ("upkeep", "hall", "--fresh", "6.6+-0.1", "--floor", "5.6", "--every", "2", "--on")
        before = entries(run)
        seen = run(*asks, f"{last}").out
        assert "add --plan to have slurrycalc due ask for each turn" in " ".join(seen.split())
        assert entries(run) == before
        # It begins at once, the bed having been read for it.
        assert run(*asks, f"{last}", "--plan").status == 0
        assert "upkeep interval" in run("show", "hall", "--on", f"{last}").out
        due = result(run, "due", "hall", "--on", f"{last}")["duties"]
        (turn,) = (item for item in due if item["due"]["task"] == "upkeep")
        assert turn["command"] == "slurrycalc upkeep hall"
        done = " ".join(run(*asks, f"{last}").out.split())
        part = re.search(r"slurrycalc event hall exchange --amount (\d+%) --fresh MIX", done)
        assert part is not None, done
        event = ("event", "hall", "exchange", "--amount", part[1], "--fresh", "6.6+-0.1", "--on", f"{last}")
        assert run(*event).status == 0
        # What nothing foresees is read in a week; then its next turn is read for.
        week = last + datetime.timedelta(days=7)
        bench_day(logbook, week, {"hall": (5.95, 5.9)})
        due = result(run, "due", "hall", "--on", f"{week}")["duties"]
        reading = next(item for item in due if item["due"]["task"] == "retest")
        assert reading["due"]["on"] == f"{last + datetime.timedelta(days=61)}"
        assert "its upkeep" in reading["due"]["why"]
        assert run("enclosure", "hall", "--upkeep-every", "never").status == 0
        ended = result(run, "due", "hall", "--on", f"{last + datetime.timedelta(days=61)}")["duties"]
        assert "upkeep" not in {item["due"]["task"] for item in ended}

    def test_an_upkeep_that_exchanges_nothing_is_not_planned(self, run, logbook):
        for i in range(6):
            bench_day(logbook, FIRST + datetime.timedelta(days=30 * i), {"hall": (6.05, 6.0)})
        ran = run("upkeep", "hall", "--fresh", "6.6+-0.1", "--floor", "4.5", "--on", ON, "--plan")
        assert "Not saved" in ran.out, ran.err
        ran = run(*UPKEEP, "--plan")
        assert ran.status == 2
        assert "upkeep NAME --plan" in ran.err

    def test_upkeep_needs_two_bench_days(self, run, room):
        ran = run("upkeep", "--enclosure", "window", "--on", ON)
        assert ran.status == 2
        assert "`window` was read on one day only" in ran.err

    def test_a_trial_is_recorded_and_feeds_its_buffering_to_exchange_and_upkeep(self, run, room):
        words = ("trial", *MIXES, "--enclosure", "atlas", "--of", "leaf mix", "--on", "2024-06-08")
        told = result(run, *words)
        assert len(told["saved"]["values"]) == 5
        anew = result(run, "trial", "--enclosure", "atlas")
        assert anew["trial"] == told["trial"]
        assert (anew["on"], anew["amendment"], anew["saved"]) == ("2024-06-08", "leaf mix", None)
        for command, key in (("exchange", "exchange"), ("upkeep", "upkeep")):
            got = result(run, command, "--enclosure", "atlas", "--on", ON)
            assert got[key]["buffering_known"] == "measured"
            assert got[key]["buffering"]["value"] == pytest.approx(told["trial"]["buffering"]["value"])
            assert any("by its trial of 8 June 2024 with leaf mix" in line for line in got["basis"])
        run("undo", told["saved"]["id"])
        assert run("trial", "--enclosure", "atlas").status == 2

    def test_a_trial_that_stood_short_or_tells_no_buffering_says_so(self, run, room):
        words = ("trial", *JARS, "--enclosure", "atlas", "--weeks", "1", "--on", "2024-06-08")
        assert "moist for 1 weeks only" in " ".join(run(*words).out.split())
        got = run("exchange", "--enclosure", "atlas", "--on", ON)
        assert "do not show how well the fresh mix holds its pH" in " ".join(got.out.split())

    def test_with_two_tubs_one_must_be_named(self, run, room):
        run("enclosure", "bark mix", "--fresh", "yes")
        ran = run("exchange", "--enclosure", "atlas", "--on", ON)
        assert ran.status == 2
        assert "add --fresh 'leaf mix'" in ran.err
        assert run("exchange", "--enclosure", "atlas", "--on", ON, "--fresh", "Leaf mix").status == 0
        assert "was not read yet" in run("exchange", "--enclosure", "atlas", "--fresh", "bark mix").err

    def test_without_a_tub_the_way_to_one_is_said(self, run, room):
        run("enclosure", "leaf mix", "--fresh", "no")
        err = run("exchange", "--enclosure", "atlas", "--on", ON).err
        assert "measured and not assumed" in err
        assert "slurrycalc enclosure 'leaf mix' --fresh yes" in err

    def test_a_mix_made_anew_must_be_read_anew_and_an_old_reading_is_doubted(self, run, room):
        late = " ".join(run("exchange", "--enclosure", "atlas", "--on", "2024-09-01").out.split())
        assert "leaf mix was read 93 days ago" in late
        run("event", "leaf mix", "new-mix", "--on", "2024-06-03")
        ran = run("exchange", "--enclosure", "atlas", "--on", ON)
        assert ran.status == 2
        assert "was not read since its new-mix of 3 June 2024" in ran.err

    def test_a_bed_is_read_before_it_is_exchanged_on_a_day_and_a_tub_after_it_was_filled(self, run, room):
        run("event", "leaf mix", "new-mix", "--on", "2024-05-31")
        assert run("exchange", "--enclosure", "atlas", "--on", ON).status == 0
        run("event", "atlas", "exchange", "--on", "2024-05-31")
        ran = run("exchange", "--enclosure", "atlas", "--on", ON)
        assert "it was not read since the exchange of 31 May 2024" in " ".join(ran.out.split())

    def test_the_first_stage_waits_for_its_time_after_the_last_exchange_and_no_longer(self, run, room):
        run("event", "atlas", "exchange", "--on", "2024-02-10")
        run("event", "atlas", "exchange", "--on", "2024-05-20")
        waits = "The first stage waits until 17 June 2024, since the last exchange was on 20 May 2024"
        assert waits in " ".join(run("exchange", "--enclosure", "atlas", "--on", "2024-06-16").out.split())
        assert "waits until" not in run("exchange", "--enclosure", "atlas", "--on", "2024-06-17").out
        soon = ("exchange", "--enclosure", "atlas", "--on", ON, "--start", "2024-06-12")
        assert "its turn would be 17 June 2024" in " ".join(run(*soon).out.split())

    def test_the_bed_drifts_on_between_the_stages(self, run, room):
        asked = ("exchange", "--enclosure", "atlas", "--on", ON, "--want", "6.1")
        near = result(run, *asked)["exchange"]["stages"]
        far = result(run, *asked, "--every", "90 d")["exchange"]["stages"]
        assert len(near) == len(far) > 1
        assert far[-1]["ph"]["value"] < near[-1]["ph"]["value"] - 0.05

    def test_a_trial_looks_for_the_middle_of_the_range_unless_told(self, run, room):
        words = ("trial", *MIXES, "--enclosure", "atlas", "--on", "2024-06-08")
        assert result(run, *words)["trial"]["target"]["value"] == pytest.approx(5.9)

    @pytest.mark.parametrize("command", ["exchange", "upkeep"])
    def test_the_record_keeps_to_the_schema(self, run, room, command):
        schema = json.loads(run(command, "--schema").out)
        whole = json.loads(run(command, "--enclosure", "atlas", "--on", ON, "--json").out)
        Draft202012Validator(schema).validate(whole)


class TestThePlan:
    PLAN = ("exchange", "--enclosure", "atlas", "--on", ON, "--plan")

    def stages(self, run) -> str | None:
        thing = result(run, "enclosure", "atlas")["things"][0]
        return next((one["text"] for one in thing["settings"] if one["key"] == "stages"), None)

    def due(self, run) -> list[str]:
        items = [duty["due"] for duty in result(run, "due")["duties"]]
        return [item["on"] for item in items if item["task"] == "exchange-stage"]

    def test_its_stages_go_on_record_and_due_asks_for_them(self, run, room):
        ran = run(*self.PLAN)
        assert "Saved as" in ran.out
        assert self.stages(run) == "32 % on 2024-06-10, 32 % on 2024-07-08, 32 % on 2024-08-05"
        assert self.due(run) == ["2024-06-10", "2024-07-08", "2024-08-05"]
        run("event", "atlas", "exchange", "--on", "2024-06-12", "--amount", "8 L")
        assert self.due(run) == ["2024-07-10", "2024-08-07"]

    def test_a_later_plan_replaces_it_and_begins_when_its_turn_comes(self, run, room):
        run(*self.PLAN)
        run("event", "atlas", "exchange", "--on", "2024-06-12")
        bench_day(room, datetime.date(2024, 6, 19), {"atlas": (5.6, 5.66)})
        ran = run(*self.PLAN[:4], "2024-06-20", "--plan")
        text = " ".join(ran.out.split())
        assert "The first stage waits until 10 July 2024" in text
        assert "What --plan saves replaces it" in text
        assert "on 2024-07-10" in self.stages(run)

    def test_a_plan_without_stages_takes_the_former_back_or_records_nothing(self, run, room):
        none = (*self.PLAN, "--want", "6.9")
        before = entries(run)
        assert run(*none).out.endswith("Not saved: there are no stages to plan.\n")
        assert entries(run) == before
        run(*self.PLAN)
        assert "those that were planned are taken back" in " ".join(run(*none).out.split())
        assert self.stages(run) is None

    def read_after_a_stage(self, run, room, *readings: float, day: int = 19) -> None:
        """Exchange the first part two days late, and read the bed a week later."""
        run("event", "atlas", "exchange", "--on", "2024-06-12", "--amount", "8 L")
        bench_day(room, datetime.date(2024, 6, day), {"atlas": readings})

    def test_an_exchange_that_is_enough_is_an_answer_and_due_asks_for_no_further_stage(self, run, room):
        run(*self.PLAN)
        self.read_after_a_stage(run, room, 6.18, 6.22)
        asked = ("exchange", "--enclosure", "atlas", "--on", "2024-06-20")
        ran = run(*asked, "--strict")
        assert (ran.status, ran.err) == (0, "")
        text = " ".join(ran.out.split())
        assert "Enough: the bed lies at 5.9 or higher already (" in text
        assert "Do: nothing now. Next, on " in text
        left = "32 % on 10 July 2024, 32 % on 7 August 2024"
        assert f"Withdrawn of the exchange of atlas: {left}, since on 19 June 2024 it stood at 6." in text
        assert "Stages" not in text
        got = result(run, *asked)["exchange"]
        assert (got["enough"], got["fraction"]["value"], got["stages"]) == (True, 0.0, [])
        assert got["chance"]["value"] > 0.8
        assert self.due(run) == []
        (withdrawn,) = result(run, "due")["withdrawn"]
        assert (withdrawn["enclosure"], withdrawn["on"]) == ("atlas", ["2024-07-10", "2024-08-07"])
        assert re.fullmatch(
            r"on 19 June 2024 it stood at 6\.1\d ± 0\.\d\d, which is 5\.9 or higher \(.*\)", withdrawn["why"]
        )
        assert withdrawn["text"] in text
        for page in (run("due").out, run().out):
            assert withdrawn["text"] in " ".join(page.split())
            assert "exchange the next part" not in page

    def test_a_withdrawn_stage_is_computed_and_nothing_of_it_recorded(self, run, room):
        run(*self.PLAN)
        self.read_after_a_stage(run, room, 6.18, 6.22)
        before = room.read_bytes()
        for words in (("due",), (), ("exchange", "--enclosure", "atlas", "--on", "2024-06-20")):
            assert run(*words).status == 0
        assert room.read_bytes() == before
        # As on the day before it was read, the plan stands; so it does once the reading is struck out.
        old = result(run, "due", "--on", "2024-06-18")
        assert [one["due"]["on"] for one in old["duties"] if one["due"]["task"] == "exchange-stage"] == [
            "2024-07-10",
            "2024-08-07",
        ]
        assert old["withdrawn"] == []
        run("undo", "--day", "2024-06-19")
        assert self.due(run) == ["2024-07-10", "2024-08-07"]

    def test_a_bed_that_is_not_there_yet_keeps_its_stages(self, run, room):
        run(*self.PLAN)
        self.read_after_a_stage(run, room, 5.62, 5.66)
        assert self.due(run) == ["2024-07-10", "2024-08-07"]
        assert result(run, "due")["withdrawn"] == []
        got = result(run, "exchange", "--enclosure", "atlas", "--on", "2024-06-20")["exchange"]
        assert not got["enough"]
        assert got["stages"]

    def test_a_plan_is_held_against_what_it_was_made_for(self, run, room):
        run(*self.PLAN, "--want", "5.5")
        self.read_after_a_stage(run, room, 5.72, 5.76)
        assert self.due(run) == []
        ran = run("exchange", "--enclosure", "atlas", "--on", "2024-06-20", "--want", "5.5")
        assert "Enough: the bed lies at 5.5 or higher already" in " ".join(ran.out.split())

    def test_a_plan_for_more_than_the_middle_of_the_range_goes_on_beyond_it(self, run, room):
        run(*self.PLAN, "--want", "6.2")
        self.read_after_a_stage(run, room, 6.02, 6.04)
        assert len(self.due(run)) > 1
        again = result(run, "exchange", "--enclosure", "atlas", "--on", "2024-06-20")
        assert "Wanted: pH 6.2, as planned." in again["basis"]

    def test_the_newest_reading_counts_until_the_plan_is_over(self, run, room):
        run(*self.PLAN)
        self.read_after_a_stage(run, room, 6.18, 6.22)
        assert self.due(run) == []
        bench_day(room, datetime.date(2024, 6, 27), {"atlas": (5.5, 5.54)})
        assert self.due(run) == ["2024-07-10", "2024-08-07"]
        bench_day(room, datetime.date(2024, 7, 5), {"atlas": (6.3, 6.34)})
        bench_day(room, datetime.date(2024, 7, 8), {"atlas": (6.3, 6.34)})
        assert self.due(run) == []
        # Months later the bed has drifted: that is for a new exchange, and no stage is a year late.
        for month in (10, 11, 12):
            bench_day(room, datetime.date(2024, month, 5), {"atlas": (5.5, 5.54)})
        assert self.due(run) == []

    def test_a_bed_taken_beyond_its_range_is_told_so_and_not_to_go_on(self, run, room):
        run(*self.PLAN)
        self.read_after_a_stage(run, room, 6.52, 6.56)
        text = " ".join(run("exchange", "--enclosure", "atlas", "--on", "2024-06-20").out.split())
        assert "Enough: the bed lies at 5.9 or higher already" in text
        assert "It lies above its range, 5.4 to 6.4: what brings it back is a mix that lies below" in text
        assert self.due(run) == []

    def test_a_bed_outside_its_range_is_not_called_enough_for_a_mix_that_takes_it_away(self, run, room):
        for fresh, want in (("4.6", "5.9"), ("6.6", "5.0")):
            ran = run("exchange", "--enclosure", "atlas", "--on", ON, "--fresh", fresh, "--want", want)
            assert (ran.status, ran.out) == (2, "")
            assert "takes it away" in ran.err

    def test_a_plan_taken_back_takes_what_it_was_made_for_with_it(self, run, room):
        def wanted() -> bool:
            keys = {one["key"] for one in result(run, "enclosure", "atlas")["things"][0]["settings"]}
            return "wanted" in keys

        run(*self.PLAN)
        assert wanted()
        run("enclosure", "atlas", "--stages", "none")
        assert not wanted()
        run(*self.PLAN)
        self.read_after_a_stage(run, room, 6.18, 6.22)
        ran = run(*self.PLAN[:4], "2024-06-20", "--plan")
        assert "those that were planned are taken back" in " ".join(ran.out.split())
        assert (self.stages(run), wanted()) == (None, False)

    def test_a_calendar_strikes_what_is_withdrawn(self, run, room, tmp_path):
        run(*self.PLAN)
        path = tmp_path / "due.ics"

        def events() -> dict[str, object]:
            run("due", "--ics", str(path))
            found = icalendar.Calendar.from_ical(path.read_bytes()).walk("VEVENT")
            return {str(one["uid"]): one.get("status") for one in found if "exchange-stage" in one["uid"]}

        before = events()
        assert list(before.values()) == [None, None, None]
        self.read_after_a_stage(run, room, 6.18, 6.22)
        assert events() == dict.fromkeys(list(before)[1:], "CANCELLED")

    def test_stages_are_taken_back_by_hand_but_not_typed(self, run, room):
        run(*self.PLAN)
        assert "slurrycalc exchange NAME --plan" in run("enclosure", "atlas", "--stages", "3").err
        assert run("enclosure", "atlas", "--stages", "none").status == 0
        assert self.stages(run) is None


JAR, MIX = "steady one", "leaf mix"
BAD: list[tuple[tuple[str, ...], str]] = [
    ((*BY_NUMBERS, "--at-once", "4/3"), "4/3"),
    ((*BY_NUMBERS, "--at-once", "133 %"), "133 %"),
    ((*BY_NUMBERS, "--size", "60x45 cm", "--bed-depth", "0 cm"), "0 cm"),
    ((*BY_NUMBERS, "--size", "60x45"), "60x45"),
    ((*BY_NUMBERS, "--volume", "27 furlong"), "27 furlong"),
    ((*BY_NUMBERS, "--volume", "0 L"), "0 L"),
    ((*BY_NUMBERS, "--volume", "27 L", "--size", "60x45 cm"), "27 L"),
    ((*BY_NUMBERS, "--bed-depth", "10 cm"), "10 cm"),
    ((*BY_NUMBERS, "--every", "28"), "28"),
    ((*BY_NUMBERS, "--start", "03/04"), "03/04"),
    ((*BY_NUMBERS, "--buffering", "0"), "0"),
    ((*BY_NUMBERS, "--cup", "bucket"), "bucket"),
    ((*BY_NUMBERS, "--plan"), "exchange NAME --plan"),
    (("exchange", "--now", "5.1", "--fresh", "4.5", "--want", "5.9"), "4.5"),
    (("exchange", "--now", "5.1", "--fresh", "6.6", "--want", "5.0"), "takes it away"),
    (("exchange", "--now", "5.1", "--fresh", "peat", "--want", "5.9"), "peat"),
    (("exchange", "--now", "5.1", "--fresh", "66", "--want", "5.9"), "66"),
    (("exchange", "--now", "5.1", "--want", "5.9", "--fresh", "gone"), "gone"),
    (("exchange", "--fresh", "6.6", "--want", "5.9"), "--now"),
    (("exchange", "--now", "5.1", "--fresh", "6.6"), "--want"),
    (("exchange", "--enclosure", "nowhere"), "nowhere"),
    (("exchange", "--enclosure", JAR), "the steady jar"),
    (("exchange", "--enclosure", MIX), "tub of fresh mix"),
    (("exchange", "--enclosure", "atlas", "--fresh", "window"), "no tub of fresh mix"),
    ((*UPKEEP, "--every", "never"), "never"),
    ((*UPKEEP, "--ceiling", "5.0"), "5.4"),
    (("upkeep", "--drift", "-0.08", "--fresh", "5.2", "--floor", "5.4"), "5.2"),
    (("upkeep", "--drift", "0.08", "--fresh", "6.6", "--ceiling", "6.5"), "6.6"),
    (("upkeep", "--drift", "-3", "--fresh", "6.6", "--floor", "5.4"), "-3"),
    (("upkeep", "--drift", "-0.08", "--fresh", "6.6"), "--floor"),
    (("upkeep", "--fresh", "6.6", "--floor", "5.4"), "--drift"),
    (("upkeep", "--salt-rise", "60"), "--fresh-salts"),
    (("upkeep", "--salt-rise", "60", *SALTS[2:]), "60"),
    (("upkeep", "--enclosure", JAR), "the steady jar"),
    (("upkeep", "--enclosure", MIX), "tub of fresh mix"),
    (("trial", "0%=5.1", "20%=5.4", "10%=5.3", "--target", "5.3"), "0, 20, 10"),
    (("trial", "0%=5.1", "--target", "5.3"), "0"),
    (("trial", "0%=5.1", "10 g=5.3", "--target", "5.3"), "g"),
    (("trial", "0=5.1", "150=5.3", "--unit", "%", "--target", "5.3"), "150 %"),
    (("trial", "0%5.1", "--target", "5.3"), "0%5.1"),
    (("trial", *JARS), "--target"),
    (("trial", "--target", "5.3"), "DOSE=PH"),
    (("trial", "0%=5.1", "10%=54", "--target", "5.3"), "54"),
    (("trial", "--enclosure", "atlas"), "no trial on record"),
    (("trial", *JARS, "--enclosure", JAR), "the steady jar"),
    (("trial", *JARS, "--enclosure", MIX), "tub of fresh mix"),
    (("trial", "0=5.1", "10=5.4", "--enclosure", "atlas"), "--unit"),
    (("trial", *JARS, "--enclosure", "atlas", "--weeks", "often"), "often"),
    (("trial", *JARS, "--enclosure", "altas"), "altas"),
]


@pytest.fixture
def three(run, logbook, begin):
    def typed():
        bench_day(logbook, FIRST, {"atlas": (5.3, 5.4), "window": (5.6,), MIX: (6.6, 6.7), JAR: (6.0,)})
        run("enclosure", MIX, "--fresh", "yes")
        run("enclosure", JAR, "--steady", "yes")

    return begin(typed)


@pytest.mark.parametrize(("words", "quotes"), BAD, ids=[" ".join(words) for words, _ in BAD])
def test_bad_input_ends_in_one_sentence_that_quotes_it_and_records_nothing(run, three, words, quotes):
    before = three.read_bytes()
    ran = run(*words)
    assert ran.status == 2
    assert ran.out == ""
    assert ran.err.count("\n") == 1
    assert quotes in ran.err
    assert three.read_bytes() == before


def test_a_bed_without_depth_is_no_bed(run, three, logbook):
    before = logbook.read_bytes()
    ran = run("enclosure", "atlas", "--size", "60x45 cm", "--bed-depth", "0 cm")
    assert (ran.status, ran.out) == (2, "")
    assert "`0 cm` is no depth of substrate" in ran.err
    assert logbook.read_bytes() == before


def test_a_tub_of_fresh_mix_is_in_no_list_of_what_stands_or_is_due(run, three):
    assert MIX not in run().out
    assert MIX not in run("due").out
    assert "atlas" in run().out
    assert "fresh mix" in run("enclosure", MIX).out
    ran = run("enclosure", MIX, "--steady", "yes")
    assert ran.status == 2
    assert "in one" in ran.err


READ_MIX = ("--meter", "desk", "--buffer", "acid 2=4.03", "--buffer", "neutral 2=7.02", "--enclosure", MIX)


def test_a_tub_of_fresh_mix_is_read_and_held_against_nothing(run, three):
    ran = run("read", "6.63", "6.70", *READ_MIX)
    assert "held against no range" in ran.out
    assert "Inside your range" not in ran.out
    assert "Saved as" in ran.out
    got = result(run, "read", "6.64", "6.71", *READ_MIX, "--try")
    assert got["enclosure"] is None
    assert run("read", "6.64", *READ_MIX, "--strict", "--try").status == 0
    refused = run("read", "6.58", *READ_MIX, "--target", "5:6")
    assert refused.status == 2
    assert "leave --target and --floor out" in refused.err


def test_a_bench_day_tells_its_tubs_apart_from_its_beds(run, three, tmp_path):
    file = tmp_path / "day.csv"
    file.write_text(f"jar,enclosure,reading\nA1,{MIX},6.60\nA2,{MIX},6.64\nB1,atlas,5.3\n")
    words = ("run", str(file), "--meter", "desk", *READ_MIX[2:6])
    got = result(run, *words, "--try", "--budget")
    assert [one["name"] for one in got["day"]["enclosures"]] == ["atlas"]
    assert [(tub["name"], tub["jars"]) for tub in got["day"]["fresh"]] == [(MIX, ["A1", "A2"])]
    assert {one["name"] for one in got["budgets"]} == {"atlas", MIX}
    out = run(*words, "--why").out
    assert out.index("atlas, jar B1") < out.index(f"{MIX}, fresh mix, jars A1 and A2")
    assert f"{MIX} read on" in run("exchange", "--enclosure", "atlas", "--why").out.replace("\n    ", " ")
