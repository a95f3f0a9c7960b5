"""Striking out and entering anew, through the real program; the history shows all of it."""

from __future__ import annotations

import json

import pytest
from jsonschema import Draft202012Validator

from slurrycalc.data.shipped import shipped

POINTS = ("7.00=7.04@21C", "4.01=4.06@21C")
READ = ("read", "5.97@21C", "6.02@21C", "--meter", "desk", "--enclosure", "atlas", "--on", "2024-04-06")


@pytest.fixture
def result(run):
    """Run a line that must do well, and give the result of its JSON object, held to its schema."""

    def once(*words: str):
        ran = run(*words, "--json")
        assert (ran.status, ran.err) == (0, "")
        whole = json.loads(ran.out)
        Draft202012Validator(json.loads(run(words[0], "--schema").out)).validate(whole)
        return whole["result"]

    return once


@pytest.fixture
def day(run):
    """One case (1), a calibration (2), a reading under it (3), a probe in between (4)."""
    lines = (
        ("enclosure", "atlas", "--new"),
        ("calibrate", *POINTS, "--meter", "desk", "--on", "2024-04-06", "--new"),
        READ,
        ("probe", "6.5", "--probe", "stick", "--enclosure", "atlas", "--on", "2024-04-06", "--new"),
    )
    for line in lines:
        assert run(*line).status == 0


def told(result, *words: str) -> dict[str, dict]:
    entries = result("history", *words, "--all")["entries"]
    items = {item["id"]: item for entry in entries for item in entry["items"] if item["id"]}
    return {entry["id"]: entry for entry in entries} | {
        id_: item for id_, item in items.items() if "." in id_
    }


def test_undo_takes_the_last_step_back_and_undo_of_that_brings_it_back(result, day):
    undone = result("undo", "--because", "wrong probe")
    assert [one["id"] for one in undone["undone"]["struck"]] == ["4"]
    assert told(result)["4"]["struck"] == "struck out by 5: wrong probe"
    back = result("undo", "5")
    assert [one["id"] for one in back["undone"]["came_back"]] == ["4"]
    assert told(result)["4"]["struck"] is None


def test_what_rested_on_a_calibration_falls_with_it_and_is_listed(run, result, day):
    undone = result("undo", "2")["undone"]
    assert [one["id"] for one in undone["fell"]] == ["3.1", "3.2"]
    assert "atlas shows 5.97 pH" in undone["fell"][0]["text"]
    assert told(result)["3.1"]["struck"] == "struck out by 5"
    # Nothing of atlas stands now, and the meter came with what was struck out.
    assert "Not read yet: atlas" in run().out
    assert "no meter `desk`" in run(*READ).err


def test_one_value_is_taken_back_alone(run, result, day):
    result("undo", "3.2", "--because", "read too early")
    entries = told(result)
    assert (entries["3.1"]["struck"], entries["3.2"]["struck"]) == (None, "struck out by 5: read too early")
    out = run("history", "atlas").out
    assert "struck out by 5: read too early" in out


def test_a_whole_day_is_taken_back(run, result, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    (tmp_path / "day.toml").write_bytes(shipped("examples", "reading-room.toml").read_bytes())
    for _ in range(2):
        assert run("run", "day.toml").status == 0
        undone = result("undo", "--day", "2024-05-04", "--because", "meter was off")["undone"]
        assert len(undone["struck"]) == 1
    assert (
        "nothing stands in this logbook that was done on 2024-05-04" in run("undo", "--day", "2024-05-04").err
    )


def test_fix_enters_a_value_anew_and_the_old_stays_visible(run, result, day):
    fixed = result("fix", "3.1", "5.79@22C", "--because", "misread", "--by", "Kim")
    assert fixed["fixed"]["old"]["id"] == "3.1"
    assert "shows 5.79 pH at 22 degC" in fixed["fixed"]["new"]["text"]
    entries = told(result)
    assert entries["3.1"]["struck"] == "struck out by 5: misread"
    assert entries["5"]["part_of"] == "3"
    assert entries["5"]["keeper"] == "Kim"
    shown = result(*READ[:1], "6@21C", *READ[3:], "--try")
    assert [round(one["value"], 2) for one in shown["enclosure"]["slurry"]["jars"]] == [5.98, 5.75, 5.96]


def test_a_fixed_point_changes_what_was_read_under_it(result, day):
    before = told(result)["3.1"]["ph"]["value"]
    fixed = result("fix", "2.1", "7.14")["fixed"]
    assert [one["id"] for one in fixed["affected"]] == ["3.1", "3.2"]
    assert told(result)["3.1"]["ph"]["value"] < before - 0.02


def test_fix_takes_an_amount_of_an_event(result, day):
    result("event", "atlas", "exchange", "--amount", "1 L")
    fixed = result("fix", "5", "2", "L")["fixed"]
    assert fixed["new"]["text"].endswith("2 L")
    fixed = result("fix", "6", "1 1/2", "gal")["fixed"]
    assert fixed["new"]["text"].endswith("1 1/2 gal")
    assert fixed["old"]["text"].endswith("2 L")


def test_the_page_strikes_through_and_says_it_in_words(run, day):
    run("undo", "3", "--because", "jars mixed up")
    out = run("history").out
    assert "struck out by 5: jars mixed up" in out
    ran = run("undo", "2")
    assert "Struck out" in ran.out
    assert ran.out.rstrip().splitlines()[-1].strip() == "Saved as 6. Wrong? slurrycalc undo 6 brings it back"


def test_a_terminal_shows_the_line_through_it():
    from slurrycalc.report.page import Say
    from slurrycalc.report.terminal import draw

    assert "\x1b[9m" in draw([Say("5.1  atlas", struck=True)], 60, "utf-8", bold=True)


def test_history_of_one_thing_one_entry_and_the_newest(result, run, day):
    assert set(told(result, "stick")) == {"4", "4.1"}
    assert set(told(result, "desk")) >= {"2", "2.1", "2.2"}
    assert [entry["id"] for entry in result("history", "3")["entries"]] == ["3"]
    short = result("history", "--last", "1")
    assert (len(short["entries"]), short["earlier"]) == (1, 3)
    assert "3 earlier: slurrycalc history --all" in run("history", "--last", "1").out


def test_history_of_nothing_is_no_fault(run, logbook):
    ran = run("history")
    assert (ran.status, ran.out.strip()) == (0, "Nothing is on record yet")
    assert not logbook.exists()


def test_events_are_noted_with_their_amounts(run, result, day):
    noted = result("event", "atlas", "Leaf litter", "--amount", "1 L", "--note", "oak", "--on", "2024-04-07")
    assert (noted["event"]["kind"], noted["event"]["amount"], noted["event"]["unit"]) == (
        "leaf-litter",
        1.0,
        "L",
    )
    assert noted["on"] == "2024-04-07"
    assert "atlas: leaf-litter, 1 L (oak)" in run("history", "atlas").out


def test_what_was_struck_out_is_told_with_the_names_that_it_had(run, result, day):
    assert run("undo", "4").status == 0
    assert run("undo", "1").status == 0
    everything = told(result)
    assert everything["4.1"]["text"] == "probe stick in atlas shows 6.5 pH"
    assert everything["4.1"]["struck"] is not None
    assert "without a name" not in run("history", "--all").out


def test_an_undo_given_twice_strikes_the_step_before_and_says_so_and_brings_nothing_back(run, result, day):
    first = result("undo")["undone"]
    assert (first["struck"][0]["id"], first["after"]) == ("4", None)
    again = run("undo")
    assert again.status == 0
    said = " ".join(again.out.split())
    assert "5, the last entry, is an undo already, so this is the step before it" in said
    assert "slurrycalc undo 5 brings back what that one struck out" in said
    there = told(result)
    assert there["4"]["struck"] == "struck out by 5"
    assert there["3"]["struck"] == "struck out by 6"
    # Only by its own number is an undo undone, and that line given twice is refused.
    assert [one["id"] for one in result("undo", "5")["undone"]["came_back"]] == ["4"]
    twice = run("undo", "5")
    assert twice.status == 2
    assert "`5` was struck out already, by 7" in twice.err
    assert told(result)["4"]["struck"] is None


def test_what_is_there_to_copy_goes_to_the_logbook_that_the_line_named(run, tmp_path, logbook):
    """It named none, and an undo copied from the screen took back the last step of another record."""
    other = str(tmp_path / "guest book.sqlite")
    here = f"--logbook '{other}'"
    buffers = [word for point in POINTS for word in ("--buffer", point)]
    on_record = ("--enclosure", "atlas", "--new", "--logbook", other)
    read = run("read", "5.60", "5.68", *buffers, *on_record, width=400)
    assert f"Wrong? slurrycalc undo {here}, or slurrycalc fix 1.1 VALUE {here}" in read.out
    fixed = run("fix", "1.1", "5.66", f"--logbook={other}", width=400)
    assert f"slurrycalc undo 2 {here} brings the old value back" in fixed.out
    assert f"slurrycalc undo 3 {here} brings it back" in run("undo", "2", "--logbook", other, width=400).out
    due = run("due", "--ahead", "400d", "--logbook", other, width=400)
    # What there is to mind is the same in any record.
    lines = [line for line in due.out.splitlines() if "All to mind" not in line]
    copied = [line for line in lines if "slurrycalc " in line]
    assert copied
    assert all(line.endswith(here) for line in copied)
    assert not logbook.exists()
