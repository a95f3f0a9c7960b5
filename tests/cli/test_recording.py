"""Steps that are recorded, through the real program: what is shown now is what the record gives later."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from datetime import date
from pathlib import Path

import pytest
from jsonschema import Draft202012Validator

from slurrycalc.data.shipped import shipped
from slurrycalc.day.months.probed import known_of
from slurrycalc.deciding.days import DAYS_PER_MONTH
from slurrycalc.logbook.past import expectation, jars, pairs
from slurrycalc.logbook.recall import Recall
from slurrycalc.logbook.store import open_logbook
from slurrycalc.measuring.electrode import Meter, calibrate
from slurrycalc.measuring.probe import response, update
from slurrycalc.measuring.slurry import slurry_ph
from slurrycalc.metrology.uncertain import Inputs
from tests.reading import flat

EXAMPLE = shipped("examples", "reading-room.toml").read_text(encoding="utf-8")
POINTS = ("7.00=7.04@21C", "4.01=4.06@21C")
BUFFERS = tuple(word for point in POINTS for word in ("--buffer", point))
DESK = ("--meter", "desk")
ATLAS = ("--enclosure", "atlas")


@pytest.fixture
def result(run):
    """Run a line that must do well, and give the result of its JSON object, held to its schema."""

    def once(*words: str):
        ran = run(*words, "--json")
        assert (ran.status, ran.err) == (0, "")
        whole = json.loads(ran.out)
        Draft202012Validator(json.loads(run(words[0], "--schema").out)).validate(whole)
        found = flat(whole["result"]) if words[0] == "read" else whole["result"]
        return found | {"warnings": whole["warnings"]}

    return once


@pytest.fixture
def room(run, logbook):
    """A record that has the desk's meter, calibrated on three days, and the three cases."""
    for name in ("window", "stairs", "atlas"):
        assert run("enclosure", name, "--new").status == 0
    for n, day in enumerate(("2024-02-03", "2024-03-02", "2024-04-06")):
        new = ("--new",) if n == 0 else ()
        assert run("calibrate", *POINTS, *DESK, "--on", day, *new).status == 0
    return logbook


@pytest.fixture
def here(tmp_path, monkeypatch):
    """An own folder with the worksheet in it."""
    (tmp_path / "day.toml").write_text(EXAMPLE, encoding="utf-8")
    monkeypatch.chdir(tmp_path)
    return tmp_path


def recalled(path: Path, name: str | None = None):
    """Give the record's readings by errors that no command has used: as another process would."""
    with open_logbook(path, writes=False) as book:
        recall = Recall(book, Inputs())
        thing = None if name is None else recall.things.find("enclosure", name)
        found = recall.readings(thing)
        return jars(found)


def last(out: str) -> str:
    return out.rstrip("\n").splitlines()[-1].strip()


def test_a_reading_shown_is_a_reading_recalled(result, room):
    shown = result("read", "5.97@21C", "6.05@21C", *DESK, *ATLAS, "--on", "2024-04-06")
    kept = recalled(room)
    assert [one["value"] for one in shown["slurry"]["jars"]] == pytest.approx(
        [jar.ph.n for jar in kept], rel=1e-12
    )
    assert [one["standard_uncertainty"] for one in shown["slurry"]["jars"]] == pytest.approx(
        [jar.ph.s for jar in kept], rel=1e-9
    )
    # Together, too: what the two share, they share in the record.
    again = slurry_ph(None, [jar.ph for jar in kept])
    assert shown["slurry"]["ph"]["standard_uncertainty"] == pytest.approx(again.ph.s, rel=1e-4)
    assert shown["saved"]["values"] == ["7.1", "7.2"]


@pytest.mark.parametrize("close", [(), ("--close", "7.00=7.06@21.5C")])
def test_calibrating_and_reading_in_one_go_is_recalled_too(result, logbook, close):
    words = ("read", "84.3mV@21C", "85.1mV@21C", "--buffer", "4.01=178.2mV@22C", "--buffer", "7.00=1.8mV@22C")
    close = tuple(word.replace("7.06", "1.1mV") for word in close)
    shown = result(*words, *close, *ATLAS, "--new")
    assert shown["name"] == "atlas"
    for one, jar in zip(shown["slurry"]["jars"], recalled(logbook, "atlas"), strict=True):
        assert (one["value"], one["standard_uncertainty"]) == pytest.approx((jar.ph.n, jar.ph.s), rel=1e-9)


def test_a_worksheet_is_recalled_as_it_was_shown(result, here, logbook):
    shown = result("run", "day.toml")
    kept = {jar.label: jar.ph for jar in recalled(logbook)}
    assert len(kept) == 6
    for one in shown["day"]["jars"]:
        ph = kept[one["label"]]
        assert (one["ph"]["value"], one["ph"]["standard_uncertainty"]) == pytest.approx(
            (ph.n, ph.s), rel=1e-9
        )
    assert {setting["text"].partition(":")[0] for setting in shown["warnings"]} >= {"New on record"}


def test_earlier_days_narrow_the_interval_as_the_record_says(result, room):
    readings = [("5.97", "6.02"), ("5.99", "6.03"), ("5.98", "6.00")]
    days = ("2024-02-03", "2024-03-02", "2024-04-06")
    for (one, other), day in zip(readings, days, strict=True):
        result("read", f"{one}@21C", f"{other}@21C", *DESK, *ATLAS, "--on", day)
    result("calibrate", *POINTS, *DESK, "--on", "2024-05-04")
    words = ("read", "5.96@21C", "6.01@21C", *DESK, *ATLAS, "--on", "2024-05-04", "--try")
    shown, alone = result(*words), result(*words[:3], *BUFFERS)
    half = [
        (one["slurry"]["ph"]["interval"][1] - one["slurry"]["ph"]["interval"][0]) / 2
        for one in (shown, alone)
    ]
    assert half[0] < 0.7 * half[1]
    assert shown["shares"]["own_days"] == 3
    with open_logbook(room, writes=False) as book:
        recall = Recall(book, Inputs())
        import datetime

        day = datetime.date(2024, 5, 4)
        known = expectation(recall, recall.things.find("enclosure", "atlas"), day)
    assert known.own is not None
    assert known.own.dof == 3
    cal = calibrate([("7.00", 7.04, 21.0), ("4.01", 4.06, 21.0)], Meter("pH"))
    by_hand = slurry_ph(cal, [5.96, 6.01], temperature=21.0, expected=known.scatter)
    assert shown["slurry"]["ph"]["interval"] == pytest.approx(list(by_hand.interval(0.95)), abs=2e-4)
    parts = [shown["shares"][one]["value"] for one in ("today", "own_past", "others")]
    assert sum(parts) == pytest.approx(1.0)
    assert parts[0] == pytest.approx(1 / (1 + known.scatter.dof))
    assert parts[1] == pytest.approx(3 / (1 + known.scatter.dof))


def test_other_enclosures_count_a_little_and_the_page_says_how_much(run, room):
    run("read", "5.58@21C", "5.66@21C", *DESK, "--enclosure", "stairs", "--on", "2024-03-02")
    ran = run("read", "5.97@21C", "6.02@21C", *DESK, *ATLAS, "--on", "2024-04-06", "--why", width=200)
    assert "other enclosures (1 day) and what is usual 75 %" in ran.out
    assert "today's slurries count 25 %" in ran.out


def test_a_third_slurry_of_the_day_joins_the_first_two(result, run, room):
    first = result("read", "5.97@21C", "6.02@21C", *DESK, *ATLAS, "--on", "2024-04-06")
    third = result("read", "5.99@21C", *DESK, *ATLAS, "--on", "2024-04-06")
    assert (first["earlier"], third["earlier"]) == (0, 2)
    assert third["slurry"]["n"] == 3
    # A day's own slurries are never counted a second time as its past.
    assert third["shares"]["own_days"] == 0
    widths = [
        one["slurry"]["ph"]["interval"][1] - one["slurry"]["ph"]["interval"][0] for one in (first, third)
    ]
    assert widths[1] < widths[0]
    assert (
        "on record for that day already"
        in run("read", "5.98@21C", *DESK, *ATLAS, "--on", "2024-04-06", "--try").out
    )


def test_slurries_of_the_same_spots_count_as_one_on_the_next_line_too(result, room):
    result("read", "5.97@21C", *DESK, *ATLAS, "--on", "2024-04-06", "--spots", "fern")
    again = result(
        "read", "6.02@21C", "5.90@21C", *DESK, *ATLAS, "--on", "2024-04-06", "--spots", "fern,door"
    )
    assert len(again["slurry"]["jars"]) == 3
    assert again["slurry"]["n"] == 2


def test_a_meter_is_found_by_its_last_calibration_of_that_day(result, run, room):
    run("calibrate", "7.00=7.10@21C", "4.01=4.16@21C", *DESK, "--on", "2024-04-06", "--at", "15:00")
    early = result("read", "5.97@21C", *DESK, "--on", "2024-04-06", "--at", "14:00", "--try")
    late = result("read", "5.97@21C", *DESK, "--on", "2024-04-06", "--at", "16:00", "--try")
    assert early["slurry"]["ph"]["value"] == pytest.approx(late["slurry"]["ph"]["value"] + 0.08, abs=0.03)
    refused = run("read", "5.97@21C", *DESK, "--on", "2024-04-07")
    assert refused.status == 2
    assert "meter `desk` has no calibration of 2024-04-07" in refused.err


def test_a_closing_reading_comes_later_and_reaches_what_was_read_before(result, run, room):
    run("read", "5.97@21C", *DESK, *ATLAS, "--on", "2024-04-06")
    (before,) = recalled(room)
    closed = result("calibrate", *DESK, "--close", "7.00=7.20@21C", "--on", "2024-04-06")
    assert closed["calibration"]["drift"]["flagged"]
    (after,) = recalled(room)
    assert after.ph.n == before.ph.n
    assert after.ph.s > 2 * before.ph.s


def test_an_enclosures_own_limits_count_unless_others_are_asked_for(result, run, room):
    run("enclosure", "atlas", "--target", "6.2:7", "--floor", "6.1")
    words = ("read", "5.97@21C", "6.02@21C", *DESK, *ATLAS, "--on", "2024-04-06", "--try")
    assert result(*words)["judgement"]["in_range"]["state"] == "no"
    asked = result(*words, "--target", "5.4:6.5", "--floor", "5")
    assert asked["judgement"]["in_range"]["state"] == "yes"
    assert [one["value"] for one in result(*words)["judgement"]["target"]] == [6.2, 7.0]


def test_recorded_pairs_give_the_probe_of_the_fourth_week_its_meaning(result, run, here, logbook):
    run("run", "day.toml")
    shown = result("probe", "5.9", "--probe", "stick", *ATLAS, "--on", "2024-05-31", "--by", "Kim")
    with open_logbook(logbook, writes=False) as book:
        recall = Recall(book, Inputs())
        known = pairs(recall, recall.things.find("probe", "stick"))
        before, _ = known_of(recall, recall.things.find("enclosure", "atlas"), date(2024, 5, 31))
        seen = response([pair.shows for pair in known], [pair.slurry for pair in known])
        by_hand = update(before, seen, 5.9, 27 / DAYS_PER_MONTH)
    assert shown["update"]["ph"]["value"] == pytest.approx(by_hand.ph.n, abs=1e-9)
    assert shown["update"]["ph"]["interval"] == pytest.approx(list(by_hand.interval()), abs=1e-6)
    assert shown["comparison"]["n"] == 6
    assert (shown["probe"], shown["enclosure"], shown["on"]) == ("stick", "atlas", "2024-05-31")
    assert shown["saved"]["values"] == ["2"]


def test_pairs_typed_by_hand_join_those_on_record(result, run, here):
    run("run", "day.toml")
    typed = result("compare", "6.4=5.90", "6.3=5.75+-0.1", "--probe", "stick", *ATLAS)
    assert (typed["comparison"]["n"], typed["earlier"]) == (8, 6)
    again = result("compare", "--probe", "stick")
    assert (again["comparison"]["n"], again["earlier"], again["saved"]) == (8, 8, None)
    for key in ("offset", "scatter_sd"):
        assert again["comparison"][key]["value"] == pytest.approx(typed["comparison"][key]["value"], rel=1e-9)
    assert again["comparison"]["offset"]["standard_uncertainty"] == pytest.approx(
        typed["comparison"]["offset"]["standard_uncertainty"], rel=1e-9
    )
    # The next worksheet's probe takes them along as well.
    Path("more.toml").write_text(EXAMPLE.replace("2024-05-04", "2024-06-01"), encoding="utf-8")
    more = result("run", "more.toml", "--try")
    assert (more["day"]["probe"]["comparison"]["n"], more["day"]["probe"]["earlier"]) == (14, 8)


def test_a_pair_takes_its_slurry_from_the_record(run, result, room):
    run("kit", "probe", "stick")
    read = result("read", "5.97@21C", "6.02@21C", *DESK, *ATLAS, "--on", "2024-04-06")
    words = ("compare", "6.5=#8.1", "6.6=#8.2", "--probe", "stick", "--on", "2024-04-06")
    paired = result(*words)["comparison"]
    assert [one["value"] for one in paired["slurry"]] == [one["value"] for one in read["slurry"]["jars"]]
    again = result("compare", "--probe", "stick")["comparison"]
    assert again["offset"]["value"] == pytest.approx(paired["offset"]["value"], rel=1e-12)
    assert again["offset"]["standard_uncertainty"] == pytest.approx(
        paired["offset"]["standard_uncertainty"], rel=1e-9
    )
    # The enclosure has no slurry more by that, and typed ones belong to the probe alone.
    result("compare", "6.5=5.95", "--probe", "stick", *ATLAS, "--on", "2024-04-06")
    assert len(recalled(room, "atlas")) == 2
    for slurry, holds in (
        ("#8", "#8.1, #8.2"),
        ("#8.3", "no reading"),
        ("#99", "no reading"),
        ("#4.1", "no reading"),
    ):
        assert holds in run("compare", f"6.5={slurry}", "--probe", "stick").err
    assert (
        "a slurry of atlas, not of window"
        in run("compare", "6.5=#8.1", "--probe", "stick", "--enclosure", "window").err
    )
    assert "name the probe" in run("compare", "6.5=#8.1").err


def test_a_probe_without_pairs_is_recorded_and_means_nothing_yet(result, run, room):
    run("kit", "probe", "stick")
    shown = result("probe", "5.9", "--probe", "stick", *ATLAS)
    assert shown["update"] is None
    assert shown["saved"] is not None
    assert "slurrycalc compare 5.9=5.41 --probe stick" in run(
        "probe", "5.9", "--probe", "stick", "--try"
    ).out.replace("\n      ", " ")


def test_pairs_at_one_ph_show_nothing_of_a_probe_and_say_so(result, run, room):
    run("kit", "probe", "stick")
    one_ph = ("5.8=5.40", "5.9=5.40", "5.8=5.40", "6.0=5.40")
    shown = result("compare", *one_ph, "--probe", "stick")
    assert shown["response"]["state"] == "not shown yet"
    assert [one["kind"] for one in shown["response"]["remarks"]] == ["pairs-at-one-ph"]
    assert shown["worth"]["state"] == "not shown"
    page = " ".join(run("compare", "stick").out.split())
    assert "Do: take six to ten pairs, half of them in fresh mix." in page
    assert "Not yet shown to follow: it may warn, not reassure." in page
    assert "All pairs lie at one pH, where a probe that always shows the same would agree as well." in page
    high = result("probe", "6.9", "--probe", "stick", *ATLAS, "--try")
    assert high["update"]["ph"]["value"] == high["update"]["before"]["value"]
    assert high["judgement"]["above_floor"]["state"] == "not settled"


def test_several_indications_are_read_about_a_named_bed(result, run, here):
    run("run", "day.toml")
    shown = result("probe", "6.5", "6.6", "6.4", "--probe", "stick", *ATLAS, "--on", "2024-05-31")
    assert shown["update"]["measurand"] == "bed"
    assert shown["update"]["n"] == 3
    assert len(shown["saved"]["values"]) == 3
    refused = run("probe", "6.5", "6.6", "--probe", "stick")
    assert refused.status == 2
    assert "`6.6` is no pair" in refused.err


def test_days_typed_in_later_lie_where_they_belong(run, result, room):
    run("read", "5.97@21C", *DESK, *ATLAS, "--on", "2024-04-06")
    run("read", "5.80@21C", *DESK, *ATLAS, "--on", "2024-02-03", "--at", "14:30", "--by", "desk team")
    told = result("history", "atlas")["entries"]
    readings = [entry for entry in told if entry["kind"] == "read"]
    assert [entry["at"][:10] for entry in readings] == ["2024-02-03", "2024-04-06"]
    assert readings[0]["at"][11:16] == "14:30"
    assert readings[0]["keeper"] == "desk team"
    assert len(readings[1]["at"]) == 10


def test_trying_names_without_recording(run, room):
    before = room.read_bytes()
    ran = run("read", "5.97@21C", *DESK, *ATLAS, "--on", "2024-04-06", "--try")
    assert (ran.status, last(ran.out)) == (0, "Tried only; nothing is saved.")
    assert run("compare", "5.9=5.41", "--probe", "twig", "--new", "--try").status == 0
    assert room.read_bytes() == before


@pytest.mark.parametrize(
    ("words", "add"),
    [
        (("read", "5.58", "5.66", *BUFFERS), "--enclosure NAME"),
        (("calibrate", *POINTS), "--meter NAME"),
        (("compare", "5.9=5.41"), "--probe NAME"),
        (("probe", "5.9", "5.9=5.41"), "--probe NAME"),
        (("probe", "5.9"), "--probe NAME"),
    ],
)
def test_a_nameless_step_only_computes_and_never_looks_at_the_logbook(run, logbook, words, add):
    logbook.mkdir()
    ran = run(*words)
    assert (ran.status, ran.err) == (0, "")
    assert last(ran.out) == f"Not saved; add {add}"
    assert list(logbook.iterdir()) == []


@pytest.mark.slow
def test_a_nameless_step_leaves_no_logbook_and_looks_at_none(run, logbook):
    assert run("read", "5.58", "5.66", *BUFFERS).status == 0
    assert not logbook.exists()
    # What lies there could be no logbook, and nobody would see.
    logbook.write_bytes(b"no logbook at all")
    assert run("read", "5.58", "5.66", *BUFFERS).status == 0
    assert logbook.read_bytes() == b"no logbook at all"


def test_the_last_line_says_what_it_is_called_and_how_to_take_it_back(run, room):
    ran = run("read", "5.97@21C", "6.02@21C", "6@21C", *DESK, *ATLAS, "--on", "2024-04-06")
    assert last(ran.out) == "Saved as 7 (7.1 to 7.3). Wrong? slurrycalc undo, or slurrycalc fix 7.1 VALUE"
    ran = run("event", "atlas", "leaf-litter", "--amount", "1 L")
    assert last(ran.out) == "Saved as 8. Wrong? slurrycalc undo, or slurrycalc fix 8 VALUE"


def test_what_was_shown_is_kept_with_the_method(run, room):
    from slurrycalc.data.method import METHOD

    run("read", "5.97@21C", "6.02@21C", *DESK, *ATLAS, "--on", "2024-04-06")
    with open_logbook(room, writes=False) as book:
        rows = book.rows("SELECT command, result, method FROM shown WHERE command = 'read'")
    ((command, kept, method),) = rows
    said = json.loads(kept)
    assert (command, method) == ("read", METHOD)
    assert (said["enclosure"], said["slurries"], said["in_range"][0]) == ("atlas", 2, "yes")
    assert said["interval"][0] < said["ph"] < said["interval"][1]


def test_a_bottle_used_on_two_days_is_one_error(run, room):
    run("read", "5.97@21C", *DESK, *ATLAS, "--on", "2024-03-02")
    run("read", "5.97@21C", *DESK, *ATLAS, "--on", "2024-04-06")
    one, other = (jar.ph for jar in recalled(room, "atlas"))
    # Bottles, junction and thermometer cancel in a difference; only what each day read anew is left.
    assert (one - other).s < 0.75 * (one.s**2 + other.s**2) ** 0.5


def test_a_buffer_is_the_one_live_bottle_of_its_label(run, room):
    words = ("calibrate", *POINTS, *DESK, "--on", "2024-04-06")
    run("kit", "bottle", "acid 2", "--label", "4.01")
    # The first bottle had no name but its label, which is a name too.
    assert "acid 2 bears that label too" in run(*words, "--try", width=200).out
    run("kit", "bottle", "4.01", "--retired", "2024-04-01")
    ran = run(*words, "--why")
    assert "4.01 (acid 2)" in ran.out
    assert "New on record" not in ran.out
    run("kit", "bottle", "acid 3", "--label", "4.01")
    refused = run(*words)
    assert refused.status == 2
    assert "`4.01` is the label of several bottles; name one of them: acid 2, acid 3" in refused.err


def test_a_label_whose_bottle_is_used_up_means_a_new_bottle(run, room):
    run("kit", "bottle", "4.01", "--retired", "2024-04-01")
    ran = run("calibrate", *POINTS, *DESK, "--on", "2024-04-06")
    assert "New on record: bottle 4.01 no. 2." in ran.out


def test_a_bottle_past_its_day_is_said(run, room):
    run("kit", "bottle", "4.01", "--expires", "2024-03-31")
    page = run("calibrate", *POINTS, *DESK, "--on", "2024-04-06").out
    assert "Bottle 4.01 expired on 2024-03-31" in " ".join(page.split())
    assert "expired" not in run("calibrate", *POINTS, *DESK, "--on", "2024-03-02").out


def test_a_meter_on_record_says_what_it_shows(result, run, logbook):
    run("kit", "meter", "lab", "--shows", "mV", "--resolution", "1mV")
    shown = result("calibrate", "4.01=178@22C", "7.00=2@22C", "--meter", "lab", "--new")
    assert shown["calibration"]["meter"]["shows"] == "mV"
    assert shown["calibration"]["meter"]["resolution"] == 1.0
    again = result("read", "84", "85", "--meter", "lab", "--try")
    assert again["slurry"]["ph"]["value"] == pytest.approx(5.6, abs=0.05)


def test_a_worksheet_run_twice_is_refused_with_its_line(run, here, logbook):
    assert run("run", "day.toml").status == 0
    before = logbook.read_bytes()
    ran = run("run", "day.toml")
    assert (ran.status, ran.out) == (2, "")
    assert ran.err.startswith("day.toml, line ")
    assert "jar A1 of window is on record for 2024-05-04 already, as 1.4" in ran.err
    assert logbook.read_bytes() == before


def test_a_worksheet_may_leave_out_what_is_on_record(result, run, here, logbook):
    run("run", "day.toml")
    bare = EXAMPLE.replace("2024-05-04", "2024-06-01")
    for kind in ("bottle", "enclosure"):
        while f"[[{kind}]]" in bare:
            start = bare.index(f"[[{kind}]]")
            bare = bare[:start] + bare[bare.index("\n\n", start) + 2 :]
    Path("bare.toml").write_text(bare, encoding="utf-8")
    shown = result("run", "bare.toml")
    assert {one["name"] for one in shown["day"]["enclosures"]} == {"window", "stairs", "atlas"}
    assert not [one for one in shown["warnings"] if one["kind"] == "new-on-record"]
    assert [one["shares"]["own_days"] for one in shown["day"]["enclosures"]] == [1, 1, 1]


def test_what_a_worksheet_says_anew_is_on_record_and_the_old_stays(result, run, here):
    run("run", "day.toml")
    text = EXAMPLE.replace("2024-05-04", "2024-06-01").replace("floor = 5.0", "floor = 4.8", 1)
    Path("more.toml").write_text(text, encoding="utf-8")
    ran = run("run", "more.toml")
    assert "window: floor is from now on 4.8; it was 5." in ran.out
    (thing,) = result("enclosure", "window")["things"]
    floor = next(one for one in thing["settings"] if one["key"] == "floor")
    assert (floor["numbers"], floor["before"]) == ([4.8], ["pH 5"])


def test_a_table_holds_back_enclosures_that_are_not_on_record(result, run, here, room):
    rows = "A1,window,5.14,21,5.7,\nA2,window,5.19,21,,\nB1,stairz,5.58,21,,\n"
    rows += "C1,atlas,54.1,21,,\nC2,hall,6,21,,\n"
    Path("day.csv").write_text(f"jar,enclosure,reading,temperature,probe,note\n{rows}", encoding="utf-8")
    words = ("run", "day.csv", *DESK, "--on", "2024-04-06")
    shown = result(*words)
    held = {one["row"]: one["text"] for one in shown["day"]["held_back"]}
    assert set(held) == {4, 5, 6}
    assert "no enclosure `stairz`; did you mean `stairs`?" in held[4]
    assert "no enclosure `hall`; add it with" in held[6]
    assert len(shown["saved"]["values"]) == 3
    assert [jar.label for jar in recalled(room)] == ["A1", "A2"]
    # Once more: what is there already is held back, so nothing is left to record.
    refused = run(*words)
    assert refused.status == 2
    assert "jar A1 of window is on record for 2024-04-06 already" in refused.err
    more = result(*words, "--new")
    assert [one["name"] for one in more["day"]["enclosures"]] == ["stairz", "hall"]


def test_a_tables_probe_is_the_one_that_was_named(result, run, here, room):
    run("kit", "probe", "stick")
    text = "jar,enclosure,reading,temperature,probe\nA1,window,5.14,21,5.7\nB1,stairs,5.58,21,6.1\n"
    Path("day.csv").write_text(text, encoding="utf-8")
    result("run", "day.csv", *DESK, "--probe", "stick", "--on", "2024-04-06")
    assert result("compare", "--probe", "stick")["comparison"]["n"] == 2


def test_the_keepers_own_cup_is_remembered(result, run, logbook):
    usual = result("mix")["ways"][0]
    run("kit", "cup", "240", "mL")
    own = result("mix")
    assert own["warnings"][-1] == {"kind": "own-cup", "text": "By your own cup on record, 240 mL."}
    assert own["ways"][0] != usual or own["ways"][0]["water"] == usual["water"]
    metric = run("kit", "cup", "metric")
    assert "250 mL" in metric.out
    assert "your own cup" in run("ratio", "1/2", "cup", "1", "cup").out
    assert "your own cup" not in run("ratio", "1/2", "cup", "1", "cup", "--cup", "us").out


def test_a_recipe_needs_no_logbook_that_can_be_read(run, logbook):
    logbook.write_bytes(b"not a logbook at all" * 20)
    ran = run("mix")
    assert (ran.status, ran.err) == (0, "")
    assert "The US cup counts" in ran.out


def result_of(ran):
    return json.loads(ran.out)["result"]


def test_alone_it_says_where_the_enclosures_stand_and_what_each_needs_most_first(run, here, logbook):
    run("run", "day.toml")
    run("enclosure", "hall", "--new")
    ran = run()
    assert (ran.status, ran.err) == (0, "")
    assert ran.out.startswith("3 of your 3 enclosures need you\n")
    assert ran.out.index("stairs") < ran.out.index("Not read yet: hall")
    first = result_of(run("due", "--json"))["duties"][0]["due"]
    assert f"Do: {first['what']}, " in ran.out
    assert "5.12 ± " in ran.out
    assert "Last bench day: 4 May 2024" in ran.out
    # It was read long ago, so that it is read before anything is exchanged.
    assert "exchange a part" not in ran.out
    run("event", "window", "exchange", "--amount", "3 L")
    assert "it was not read since something was done" in " ".join(run("due").out.split())
    for width in (40, 80):
        assert max(map(len, run(width=width).out.splitlines())) <= width or width == 40
    run("undo", "1")
    assert "Not read yet" in run().out


def test_alone_it_says_the_numbers_that_the_steps_said(run, result, here, logbook):
    shown = result("run", "day.toml")
    line = next(line for line in run().out.splitlines() if "   window   " in line)
    low, high = shown["day"]["enclosures"][0]["slurry"]["ph"]["interval"]
    assert float(line.split("±")[1].split()[0]) == pytest.approx((high - low) / 2, abs=0.006)


@pytest.mark.parametrize("bad", [b"", b"x" * 300, b"SQLite format 3\0" + b"\0" * 200])
def test_alone_a_bad_logbook_stops_nothing(run, logbook, bad):
    logbook.write_bytes(bad)
    ran = run()
    assert (ran.status, ran.err) == (0, "")
    assert "slurrycalc demo" in ran.out
    assert "Where your enclosures stand cannot be said" in ran.out
    assert logbook.read_bytes() == bad


def test_an_empty_record_shows_the_ways_in(run, logbook):
    run("kit", "probe", "stick")
    assert "slurrycalc demo" in run().out


def test_the_python_road_is_the_commands_road(result, run, room):
    """The day floor gives a Python session what the command line has."""
    shown = result("read", "5.58", "5.66", "--buffer", "4.01=4.06", "--buffer", "7.00=7.04")
    cal = calibrate([("4.01", 4.06), ("7.00", 7.04)], Meter("pH"))
    read = slurry_ph(cal, ["5.58", "5.66"])
    assert shown["enclosure"]["slurry"]["ph"]["interval"] == pytest.approx(list(read.interval()), abs=1e-9)


@pytest.mark.slow
def test_the_tab_key_names_what_is_on_record(run, room):
    def completed(words: str) -> set[str]:
        asked = {
            "_SLURRYCALC_COMPLETE": "complete_bash",
            "COMP_WORDS": words,
            "COMP_CWORD": str(len(words.split())),
        }
        code = "import sys; from slurrycalc.cli import main; sys.argv[0] = 'slurrycalc'; sys.exit(main([]))"
        ran = subprocess.run(
            [sys.executable, "-c", code],
            capture_output=True,
            text=True,
            env={**os.environ, **asked},
            check=False,
        )
        assert ran.stderr == ""
        return set(ran.stdout.split())

    assert completed("slurrycalc read 5.6 --enclosure ") == {"window", "stairs", "atlas"}
    assert completed("slurrycalc calibrate --meter ") == {"desk"}
    room.write_bytes(b"nothing")
    assert completed("slurrycalc read 5.6 --enclosure ") == set()
