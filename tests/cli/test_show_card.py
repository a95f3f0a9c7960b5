"""The card of one thing: it looks, adds nothing, and says what the other commands say."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

EXAMPLE = Path(__file__).parents[2] / "examples" / "eighteen-months"
ON = ("--on", "2025-10-20")


@pytest.fixture
def months(run, logbook):
    """Eighteen invented months on record."""
    assert run("import", str(EXAMPLE)).status == 0
    return logbook


def card(run, *words):
    (one,) = json.loads(run("show", *words, "--json").out)["result"]["cards"]
    return one


def test_it_adds_nothing(run, months):
    before = months.read_bytes()
    for name in ("atlas", "desk", "stick", "leaf mix", "acid 2"):
        run("show", name)
    assert months.read_bytes() == before


def test_an_enclosure_stands_where_its_last_day_put_it(run, months):
    (stood,) = card(run, "atlas", *ON)["standing"]["enclosures"]
    assert (stood["name"], stood["day"]) == ("atlas", "2025-10-18")
    page = run("show", "atlas", *ON).out
    assert page.startswith("atlas, read on 18 October 2025\n\n  pH 5.36 ")
    assert page.index("Due, on") < page.index("49  18 October 2025, run") < page.index("Enclosure atlas")


def test_what_is_due_of_it_is_what_due_says(run, months):
    due = json.loads(run("due", "atlas", *ON, "--json").out)["result"]["duties"]
    assert due
    assert card(run, "atlas", *ON)["due"] == due


def test_what_was_done_later_than_the_day_asked_is_not_told(run, months):
    told = card(run, "atlas", "--on", "2024-06-30")["entries"]
    assert told
    assert max(entry["at"] for entry in told) < "2024-07"


def test_the_settings_are_those_of_its_own_command(run, months):
    (thing,) = json.loads(run("enclosure", "atlas", "--json").out)["result"]["things"]
    assert card(run, "atlas")["thing"] == thing


def test_a_meters_card_has_its_electrode(run, months):
    assert card(run, "desk")["electrode"]["calibrations"] > 2
    assert "Its electrode, by" in run("show", "desk").out


def test_of_two_things_with_one_name_both_are_shown(run):
    assert run("enclosure", "stick", "--new").status == 0
    assert run("kit", "probe", "stick").status == 0
    cards = json.loads(run("show", "STICK", "--json").out)["result"]["cards"]
    assert [one["thing"]["kind"] for one in cards] == ["enclosure", "probe"]
    out = run("show", "stick").out
    assert "Enclosure stick" in out
    assert "Probe stick" in out


@pytest.mark.parametrize(
    ("name", "says"),
    [
        ("atlsa", "did you mean `atlas`?"),
        ("dseks", "slurrycalc enclosure and slurrycalc kit list what there is."),
        ("", "nothing on record is called ``"),
    ],
)
def test_a_name_that_is_not_on_record_is_refused_and_only_a_near_one_suggested(run, months, name, says):
    ran = run("show", name)
    assert (ran.status, ran.out) == (2, "")
    assert says in ran.err


def test_a_former_name_leads_to_the_new_one(run):
    assert run("enclosure", "atlas", "--new").status == 0
    assert run("enclosure", "atlas", "--rename", "annex").status == 0
    assert "it is called `annex` now" in run("show", "atlas").err


def test_what_is_late_ends_strict_with_1(run, months):
    assert run("show", "atlas", "--on", "2026-10-20", "--strict").status == 1
    assert run("show", "desk", "--strict").status == 0


def test_what_was_done_comes_before_what_is_set_and_only_what_is_not_set_is_taken(run, months):
    told = run("show", "window", "--on", "2025-11-01").out
    assert told.index("18 October 2025, run") < told.index("Enclosure window")
    taken = " ".join(told[told.index("Common practice, unless you set it:") :].split())
    assert "you read it again after 1 month" in taken
    assert "your range is" not in taken
    assert "your floor is" not in taken
    assert "┆ exchange" in told
