"""What months say of a bed, where it was read last under a calibration in doubt: read it again first."""

from __future__ import annotations

import json

import pytest

from tests.reading import flat

GOOD, TIRED = ("4.01=178.2mV@22C", "7.00=1.8mV@22C"), ("4.01=140mV@22C", "7.00=1.8mV@22C")
"""The second has an efficiency of 78 %."""
DAYS = ("2024-01-06", "2024-02-06", "2024-03-06", "2024-04-06")
DOUBTED, LATER = "2024-05-06", ("--on", "2024-05-08")


def said(ran) -> str:
    return " ".join(ran.out.split())


@pytest.fixture
def months(run, begin):
    """Four bench days under good calibrations, the fifth under one in doubt, and a tub of fresh mix."""

    def typed():
        assert run("enclosure", "atlas", "--new").status == 0
        assert run("enclosure", "mix", "--fresh", "yes", "--new").status == 0
        for n, day in enumerate((*DAYS, DOUBTED)):
            on = ("--on", day)
            points = TIRED if day == DOUBTED else GOOD
            assert run("calibrate", "--meter", "lab", *points, "--new", *on).status == 0
            shows = [f"{66 + 3 * n + jar}mV@21C" for jar in (0, 2)]
            assert run("read", *shows, "--meter", "lab", "--enclosure", "atlas", *on).status == 0
            if day == DAYS[-1]:
                mix = ("--meter", "lab", "--enclosure", "mix", *on)
                assert run("read", "20mV@21C", "22mV@21C", *mix).status == 0

    begin(typed)


def test_trend_exchange_and_upkeep_have_it_read_first(run, months) -> None:
    for words in (("trend",), ("exchange",), ("upkeep", "--every", "3 months")):
        ran = run(*words, "--enclosure", "atlas", *LATER)
        assert ran.status == 0, ran.err
        assert "it was read last on 6 May 2024, under a calibration in doubt" in said(ran)
        assert "Do: read it again first" in said(ran)
        assert run(*words, "--enclosure", "atlas", *LATER, "--strict").status == 1
    assert "Do: see to the meter, then read atlas again" in said(run("trend", *LATER))


def test_due_asks_for_it_at_once_and_says_why(run, months) -> None:
    items = json.loads(run("due", *LATER, "--json").out)["result"]["duties"]
    every = [item["due"] for item in items]
    (atlas,) = [one for one in every if one["subject"] == "atlas" and one["rank"] < 7]
    assert (atlas["task"], atlas["rank"], atlas["days"]) == ("meter", 0, 0)
    assert "the meter puts its last reading in doubt" in atlas["why"]


def test_read_itself_says_when(run, months) -> None:
    words = ("read", "80mV@21C", "--meter", "lab", "--enclosure", "atlas", "--on", DOUBTED, "--try", "--json")
    again = flat(json.loads(run(*words).out)["result"])["again"]
    assert (again["by"], again["reason"]) == (DOUBTED, "in doubt")


def test_read_again_under_a_good_calibration_the_months_are_as_before(run, months) -> None:
    on = ("--on", DOUBTED)
    assert run("calibrate", "--meter", "lab", *GOOD, *on).status == 0
    assert run("read", "78mV@21C", "80mV@21C", "--meter", "lab", "--enclosure", "atlas", *on).status == 0
    found = json.loads(run("trend", "--enclosure", "atlas", *LATER, "--json").out)["result"]["drifts"][0]
    assert found["first"] is None
    # The two jars in doubt are no part of that day.
    assert found["slurries"] == [2] * 5
    assert found["retest"]["reason"] != "in doubt"


def test_a_fresh_mix_that_was_read_in_doubt_is_said(run, months) -> None:
    on = ("--on", DOUBTED)
    assert run("read", "23mV@21C", "24mV@21C", "--meter", "lab", "--enclosure", "mix", *on).status == 0
    ran = run("exchange", "--now", "5.1+-0.1", "--fresh", "mix", "--want", "5.8", *LATER, "--json")
    kinds = {warning["kind"] for warning in json.loads(ran.out)["warnings"]}
    assert "fresh-mix-in-doubt" in kinds


def test_a_day_in_doubt_in_the_middle_is_no_part_of_the_line_and_is_named(run, months) -> None:
    def asked(*words: str):
        return json.loads(run(*words, "--enclosure", "atlas", "--on", "2024-06-08", "--json").out)

    on = ("--on", "2024-06-06")
    assert run("calibrate", "--meter", "lab", *GOOD, *on).status == 0
    words = ("read", "78mV@21C", "80mV@21C", "--meter", "lab", "--enclosure", "atlas", *on)
    # What `read` says of the next reading is what the record says afterwards.
    said_then = flat(json.loads(run(*words, "--try", "--json").out)["result"])["again"]
    assert run(*words).status == 0
    found = asked("trend")["result"]["drifts"][0]
    assert found["trend"]["days"] == [*DAYS, "2024-06-06"]
    assert found["slurries"] == [2] * 5
    assert found["first"] is None
    assert said_then["by"] == found["retest"]["by"]
    ran = run("trend", "--enclosure", "atlas", "--on", "2024-06-08")
    assert "Left out, since the calibration was in doubt: 6 May 2024." in said(ran)
    # Struck out, the day leaves the same line.
    line = found["trend"]["per_month"]
    entries = json.loads(run("history", "--json").out)["result"]["entries"]
    (struck,) = [e["id"] for e in entries if e["at"].startswith(DOUBTED) and e["kind"] == "read"]
    assert run("undo", str(struck)).status == 0
    assert asked("trend")["result"]["drifts"][0]["trend"]["per_month"] == line


def test_a_day_in_doubt_withdraws_no_stage_and_a_good_one_does(run, months) -> None:
    def withdrawn(on: str) -> bool:
        return "Withdrawn of the exchange of atlas" in said(run("due", "--on", on))

    def read(day: str, points) -> None:
        assert run("calibrate", "--meter", "lab", *points, "--on", day).status == 0
        # Far above what is wanted: pH 8 or so.
        shows = ("-60mV@21C", "-62mV@21C", "-61mV@21C")
        assert run("read", *shows, "--meter", "lab", "--enclosure", "atlas", "--on", day).status == 0

    on = ("--enclosure", "atlas", "--on", DAYS[-1])
    planned = run("exchange", *on, "--fresh", "mix", "--want", "6.3", "--plan")
    assert planned.status == 0, planned.err
    assert "exchange the next part of atlas" in said(run("due", "--on", DAYS[-1]))
    read("2024-04-10", TIRED)
    assert not withdrawn("2024-04-11")
    read("2024-04-12", GOOD)
    assert withdrawn("2024-04-13")


def test_a_pair_of_a_calibration_in_doubt_says_nothing_of_a_probe(run, months) -> None:
    entries = json.loads(run("history", "atlas", "--json").out)["result"]["entries"]
    read = {
        entry["at"][:10]: item["id"]
        for entry in entries
        for item in entry["items"]
        if item["what"] == "reading"
    }

    def means() -> dict:
        asked = ("probe", "5.8", "--probe", "stick", "--on", "2024-05-09", "--try", "--json")
        return json.loads(run(*asked).out)["result"]["update"]

    def pair(day: str) -> None:
        paired = ("compare", f"5.9=#{read[day]}", "--probe", "stick", "--new", "--on", "2024-05-08")
        ran = run(*paired)
        assert ran.status == 0, ran.err

    for day in DAYS:
        pair(day)
    before = means()
    pair(DOUBTED)
    assert means() == before
