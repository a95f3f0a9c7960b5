"""The keeper's own kit: what stands in where a line leaves it out, and is said."""

from __future__ import annotations

import json

import pytest

POINTS = ("4.01=4.06@21C", "7.00=7.04@21C")


@pytest.fixture
def own(run):
    """A record with two meters and two probes, one of each the keeper's own."""
    run("kit", "meter", "lab", "--shows", "pH")
    run("kit", "meter", "desk", "--shows", "pH", "--mine", "yes", "--reader", "Kim")
    run("kit", "probe", "stick", "--mine", "yes")
    run("kit", "probe", "wand")
    run("kit", "cup", "240 mL")
    run("enclosure", "atlas", "--new")
    return run


def told(ran):
    assert ran.status == 0, ran.err
    return json.loads(ran.out)


def taken(ran):
    return [one["text"] for one in told(ran)["warnings"] if one["kind"] == "from-your-kit"]


def test_own_meter_probe_and_reader_stand_in_and_the_answer_says_so(own) -> None:
    assert taken(own("calibrate", *POINTS, "--json")) == ["Taken from your kit: read by Kim, meter desk."]
    read = own("read", "atlas", "5.58@21C", "5.66@21C", "--json")
    assert taken(read) == ["Taken from your kit: read by Kim, meter desk."]
    assert told(read)["result"]["meter"] == "desk"
    probed = own("probe", "6.0", "--enclosure", "atlas", "--json")
    assert taken(probed) == ["Taken from your kit: read by Kim, probe stick."]
    assert told(probed)["result"]["probe"] == "stick"
    page = own("event", "atlas", "water")
    assert "Taken from your kit: read by Kim." in page.out
    history = own("history", "--json")
    assert told(history)["result"]["entries"][-1]["keeper"] == "Kim"
    assert "By your own cup on record, 240 mL." in own("mix").out


def test_what_a_line_gives_wins_over_the_kit_and_nothing_is_said(own) -> None:
    line = ("calibrate", "lab", *POINTS, "--by", "Lee", "--json")
    assert taken(own(*line)) == []
    read = own("read", "atlas", "5.58", "--meter", "lab", "--by", "Lee", "--json")
    assert taken(read) == []
    assert told(read)["result"]["meter"] == "lab"
    assert told(own("history", "--json"))["result"]["entries"][-1]["keeper"] == "Lee"
    assert taken(own("probe", "wand", "6.0", "--by", "Lee", "--json")) == []
    assert "own cup" not in own("mix", "--cup", "us").out


def test_the_only_meter_of_the_day_is_meant_where_ones_own_was_not_calibrated(own) -> None:
    own("calibrate", "lab", *POINTS)
    read = own("read", "atlas", "5.58", "--json")
    assert told(read)["result"]["meter"] == "lab"
    assert taken(read) == ["Taken from your kit: read by Kim."]
    own("calibrate", *POINTS)
    assert told(own("read", "atlas", "5.66", "--json"))["result"]["meter"] == "desk"


def test_another_display_than_that_of_ones_own_meter_is_computed_only(own) -> None:
    ran = own("calibrate", "4.01=178.2mV@22C", "7.00=1.8mV@22C")
    assert "Not saved" in ran.out
    assert "from your kit" not in ran.out


def mine(own):
    things = told(own("kit", "meter", "--json"))["result"]["things"]
    return [one["name"] for one in things if any(said["key"] == "mine" for said in one["settings"])]


def test_there_is_one_own_meter_and_undo_gives_the_former_one_back(own) -> None:
    assert mine(own) == ["desk"]
    assert "desk is no longer your own meter." in own("kit", "meter", "lab", "--mine", "yes").out
    assert mine(own) == ["lab"]
    assert taken(own("calibrate", *POINTS, "--json", "--try")) == [
        "Taken from your kit: read by Kim, meter lab."
    ]
    assert own("undo").status == 0
    assert mine(own) == ["desk"]
    own("kit", "meter", "desk", "--mine", "no")
    assert "Not saved" in own("calibrate", *POINTS).out


def test_mending_is_by_the_reader_too(own) -> None:
    own("event", "atlas", "water", "--by", "Lee")
    undone = own("undo")
    assert "Taken from your kit: read by Kim." in undone.out
    assert told(own("history", "--json"))["result"]["entries"][-1]["keeper"] == "Kim"


def test_without_such_a_kit_nothing_is_taken_and_nothing_changes(run) -> None:
    run("kit", "meter", "desk", "--shows", "pH")
    run("enclosure", "atlas", "--new")
    ran = run("calibrate", *POINTS)
    assert "Not saved" in ran.out
    assert taken(run("event", "atlas", "water", "--json")) == []
    assert told(run("history", "--json"))["result"]["entries"][-1]["keeper"] is None


def test_a_damaged_logbook_holds_up_no_line_that_names_nothing(run, tmp_path) -> None:
    broken = tmp_path / "broken.sqlite"
    broken.write_bytes(b"no logbook at all" * 100)
    ran = run("calibrate", *POINTS, "--logbook", str(broken))
    assert ran.status == 0
    assert "Not saved" in ran.out
