"""What months say of a bed, where it was read last under a calibration in doubt: read it again first."""

from __future__ import annotations

import json

import pytest

GOOD, TIRED = ("4.01=178.2mV@22C", "7.00=1.8mV@22C"), ("4.01=140mV@22C", "7.00=1.8mV@22C")
"""The second has an efficiency of 78 %."""
DAYS = ("2024-01-06", "2024-02-06", "2024-03-06", "2024-04-06")
DOUBTED, LATER = "2024-05-06", ("--on", "2024-05-08")


def said(ran) -> str:
    return " ".join(ran.out.split())


@pytest.fixture
def months(run):
    """Four bench days under good calibrations, the fifth under one in doubt, and a tub of fresh mix."""
    assert run("enclosure", "atlas").status == 0
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


def test_trend_exchange_and_upkeep_have_it_read_first(run, months) -> None:
    for words in (("trend",), ("exchange",), ("upkeep", "--every", "3 months")):
        ran = run(*words, "--enclosure", "atlas", *LATER)
        assert ran.status == 0, ran.err
        assert "it was read last on 6 May 2024, under a calibration in doubt" in said(ran)
        assert "Do: read it again first" in said(ran)
        assert run(*words, "--enclosure", "atlas", *LATER, "--strict").status == 1
    assert "Do: read atlas again now" in said(run("trend", *LATER))


def test_due_asks_for_it_at_once_and_says_why(run, months) -> None:
    items = json.loads(run("due", *LATER, "--json").out)["result"]["duties"]
    every = [item["due"] for item in items]
    (atlas,) = [one for one in every if one["subject"] == "atlas" and one["task"] == "retest"]
    assert (atlas["on"], atlas["days"]) == (DOUBTED, -2)
    assert "its last reading is in doubt, see to the meter first" in atlas["why"]


def test_read_itself_says_when(run, months) -> None:
    words = ("read", "80mV@21C", "--meter", "lab", "--enclosure", "atlas", "--on", DOUBTED, "--try", "--json")
    again = json.loads(run(*words).out)["result"]["again"]
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
