"""`salts`: from the line, on record as raw indications, asked of the record, and what is refused."""

from __future__ import annotations

import json
import os
import re
from datetime import date

import pytest

from slurrycalc.day.bench.guided.journal import Journal
from slurrycalc.deciding.bands import banding, dilution
from slurrycalc.logbook.store import open_logbook
from slurrycalc.measuring.salts import cell_factor, salts
from tests.cli.terminals import Terminal

JARS = ("0.85mS/cm@21C", "0.93mS/cm@21C")
WATER = ("--blank", "6uS/cm@21C")
STANDARD = ("--standard", "1413uS/cm=1398uS/cm@23C")
ATLAS, DIP = ("--enclosure", "atlas"), ("--meter", "dip")


@pytest.fixture
def room(run, logbook):
    """A record with a case, a tub of fresh mix, and nothing read yet."""
    assert run("enclosure", "atlas", "--new").status == 0
    assert run("enclosure", "leaf mix", "--fresh", "yes").status == 0
    return logbook


def ec(ran):
    assert ran.status == 0, ran.err
    return json.loads(ran.out)["result"]["found"]["salts"]["ec"]


def test_the_line_gives_what_python_gives(run):
    cell = cell_factor(1398.0, 23.0, 1413.0)
    mine = salts([(850.0, 21.0), (930.0, 21.0)], cell, blank=(6.0, 21.0))
    said = json.loads(run("salts", *JARS, *WATER, *STANDARD, "--json").out)["result"]["found"]
    assert said["salts"]["ec"]["value"] == pytest.approx(mine.ec.n, rel=1e-12)
    assert said["salts"]["ec"]["interval"] == pytest.approx(list(mine.interval()), rel=1e-9)
    assert said["standing"]["band"] == banding(mine).band
    assert said["enclosure"] is said["on"] is said["per_month"] is None


@pytest.mark.parametrize("typed", ["850uS/cm@21C", "850 µS/cm@21C", "850μS/cm@21C", "0.85dS/m@69.8F"])
def test_every_unit_that_meters_show_means_the_same(run, typed):
    assert ec(run("salts", typed, "--json"))["value"] == pytest.approx(
        ec(run("salts", "0.85mS/cm@21C", "--json"))["value"], rel=1e-9
    )


def test_the_number_comes_first_then_what_to_do_then_its_meaning(run):
    for width in (40, 80):
        out = run("salts", *JARS, *WATER, "--why", width=width).out
        parts = ("Salts at 25 degC 0.96", "Do: ", "is normal", "Rests on", "Label each cup")
        places = [out.index(part) for part in parts]
        assert places == sorted(places)
        assert max(map(len, out.splitlines())) <= width
    assert "from memory" in out


def test_a_meter_that_compensates_needs_no_temperature(run):
    shown = ec(run("salts", "0.95mS/cm", "--compensates", "yes", "--json"))["value"]
    assert shown == pytest.approx(950.0)
    other = ec(run("salts", "0.95mS/cm@12C", "--compensates", "yes", "--json"))["value"]
    assert other == pytest.approx(950.0)


def test_what_to_exchange_is_what_python_says_and_has_its_cautions(run):
    line = ("salts", "1.9mS/cm@21C", "2.1mS/cm@21C", "--to", "normal", "--fresh", "0.4mS/cm")
    said = json.loads(run(*line, "--json").out)["result"]["found"]["dilution"]
    plan = dilution(salts([(1900.0, 21.0), (2100.0, 21.0)]), "0.4 mS/cm", "normal")
    assert said["assured_fraction"]["value"] == pytest.approx(plan.assured_fraction, rel=1e-6)
    out = run(*line).out
    assert out.index("Do: exchange in") < out.index("Take the animals out first")
    assert out.count("licensed") == 1


def test_salts_that_are_low_enough_need_no_exchange_and_are_recorded_all_the_same(run, room):
    ran = run("salts", "0.2mS/cm@21C", "0.2mS/cm@21C", *ATLAS, "--to", "normal", "--fresh", "0.1mS/cm")
    assert ran.status == 0, ran.err
    assert "it needs no dilution" in " ".join(ran.out.split())
    assert "Saved as" in ran.out


def test_what_was_recorded_is_recalled_as_it_was_shown(run, room):
    shown = run("salts", *JARS, *WATER, *STANDARD, *ATLAS, *DIP, "--new", "--on", "2024-05-04", "--json")
    recalled = run("salts", *ATLAS, "--json")
    for name in ("value", "interval", "dof"):
        assert ec(recalled)[name] == pytest.approx(ec(shown)[name])
    result = json.loads(shown.out)["result"]
    assert result["saved"]["values"] == ["3.1", "3.2", "3.3", "3.4"]
    assert json.loads(recalled.out)["result"]["saved"] is None
    told = run("history", "atlas").out
    assert "slurry of atlas conducts 850 uS/cm at 21 degC" in told
    assert "standard 1413 uS/cm for atlas conducts 1398 uS/cm at 23 degC" in told
    assert "slurry of atlas" in run("history", "dip").out


def test_a_value_entered_anew_and_one_struck_out_change_what_is_recalled(run, room):
    run("salts", *JARS, *WATER, *ATLAS, "--on", "2024-05-04")
    assert run("fix", "3.2", "0.95mS/cm@22C").status == 0
    line = ("salts", "0.85mS/cm@21C", "0.95mS/cm@22C", *WATER, "--json")
    assert ec(run("salts", *ATLAS, "--json"))["value"] == pytest.approx(ec(run(*line))["value"])
    assert run("undo", "3.3").status == 0
    said = json.loads(run("salts", *ATLAS, "--json").out)
    assert "no-blank" in [warning["kind"] for warning in said["warnings"]]


def test_slurries_of_one_day_count_together_whichever_line_they_came_by(run, room):
    run("salts", JARS[0], *WATER, *ATLAS, *DIP, "--new", "--on", "2024-05-04")
    second = run("salts", JARS[1], *ATLAS, *DIP, "--on", "2024-05-04")
    assert "1 slurry was on record for that day already" in " ".join(second.out.split())
    both = ec(run("salts", *JARS, *WATER, "--json"))
    again = ec(run("salts", *ATLAS, "--json"))
    assert again["value"] == pytest.approx(both["value"])
    assert again["interval"] == pytest.approx(both["interval"])


def test_the_change_with_time_is_told_up_to_the_day_on_which_it_is_asked(run, room):
    for day, jars in (
        ("2024-03-02", ("0.50mS/cm@21C", "0.52mS/cm@21C")),
        ("2024-06-01", ("0.80mS/cm@21C", "0.82mS/cm@21C")),
        ("2024-09-07", ("1.10mS/cm@21C", "1.14mS/cm@21C")),
    ):
        assert run("salts", *jars, *WATER, *ATLAS, *DIP, "--new", "--on", day).status == 0
    found = json.loads(run("salts", *ATLAS, "--json").out)["result"]["found"]
    assert [day["on"] for day in found["days"]] == ["2024-03-02", "2024-06-01", "2024-09-07"]
    assert found["per_month"]["unit"] == "uS/cm/month"
    assert 90.0 < found["per_month"]["value"] < 115.0
    assert re.search(r"he conductivity (rises|changes) by", " ".join(run("salts", *ATLAS).out.split()))
    then = json.loads(run("salts", *ATLAS, "--on", "2024-04-01", "--json").out)["result"]["found"]
    assert (then["on"], then["per_month"], len(then["days"])) == ("2024-03-02", None, 1)
    before = run("salts", *ATLAS, "--on", "2024-01-01")
    assert before.status == 2
    assert "no salts of `atlas` are on record up to 2024-01-01" in before.err


def test_an_exchange_between_two_days_is_a_step_and_no_fall(run, room):
    days = (("2024-03-02", "0.50"), ("2024-06-01", "0.80"), ("2024-09-07", "0.40"), ("2024-12-07", "0.70"))
    for day, shown in days:
        jar = f"{shown}mS/cm@21C"
        assert run("salts", jar, jar, *WATER, *ATLAS, *DIP, "--new", "--on", day).status == 0
    fall = json.loads(run("salts", *ATLAS, "--json").out)["result"]["found"]["per_month"]["value"]
    assert run("event", "atlas", "exchange", "--on", "2024-06-01").status == 0
    rise = json.loads(run("salts", *ATLAS, "--json").out)["result"]["found"]["per_month"]["value"]
    assert abs(fall) < 20.0
    assert rise == pytest.approx(109.0, abs=3.0)


def test_the_tub_of_fresh_mix_brings_its_own_salts(run, room):
    run("salts", "1.9mS/cm@21C", "2.0mS/cm@21C", *ATLAS)
    missing = run("salts", *ATLAS, "--to", "normal")
    assert missing.status == 2
    assert "`leaf mix` were not read yet" in missing.err
    run("salts", "0.4mS/cm@21C", "0.42mS/cm@21C", "--enclosure", "leaf mix")
    unnamed = run("salts", *ATLAS, "--to", "normal", "--json")
    named = run("salts", *ATLAS, "--to", "normal", "--fresh", "leaf mix", "--json")
    fresh = [json.loads(one.out)["result"]["found"]["dilution"]["fresh"]["value"] for one in (unnamed, named)]
    assert fresh[0] == fresh[1] == pytest.approx(445.0, abs=5.0)


def test_looking_and_trying_record_nothing(run, room):
    before = room.read_bytes()
    assert run("salts", *ATLAS).status == 2
    assert "nothing is saved" in run("salts", *JARS, *ATLAS, "--try").out
    assert "Not saved; add --enclosure NAME" in run("salts", *JARS).out
    assert room.read_bytes() == before


BAD = [
    (("salts",), "no reading was given"),
    (("salts", "850@21C"), "could be 850 uS/cm or 850 mS/cm, which differ a thousandfold"),
    (("salts", "0.85@21C", *ATLAS), "could be 0.85 mS/cm or 0.85 uS/cm"),
    (("salts", "0.85mS@21C"), "did you mean `0.85 mS/cm`?"),
    (("salts", "850mS/cm@21C", *ATLAS), "did you mean `850 uS/cm`?"),
    (("salts", "0.85uS/cm@21C"), "did you mean `0.85 mS/cm`?"),
    (("salts", "0.85mS/cm"), "needs its temperature"),
    (("salts", "0.85mS/cm@98C"), "98"),
    (("salts", "5.4pH@21C"), "a pH where a conductivity is wanted"),
    (("salts", "0.85mS/cm@"), "no reading with its temperature"),
    (("salts", *JARS, "--blank", "6mS/cm@21C", *ATLAS), "--blank: `6mS/cm`"),
    (("salts", *JARS, "--blank", "6@21C"), "--blank: `6`"),
    (("salts", *JARS, "--blank", "1.4mS/cm@21C", *ATLAS), "no less than the slurries"),
    (("salts", *JARS, "--standard", "1413uS/cm", *ATLAS), "--standard: `1413uS/cm`"),
    (("salts", *JARS, "--standard", "1413mS/cm=1398uS/cm@23C"), "did you mean `1413 uS/cm`?"),
    (("salts", *JARS, "--standard", "1413uS/cm=1.398uS/cm@23C"), "did you mean `1.398 mS/cm`?"),
    (("salts", *JARS, "--standard", "1413uS/cm=300uS/cm@23C", *ATLAS), "too far from the standard"),
    (("salts", *JARS, *STANDARD, "--standard", "12.88mS/cm=12.7mS/cm@23C"), "more than one bottle"),
    (("salts", *JARS, "--compensates", "maybe"), "--compensates: `maybe`"),
    (("salts", *STANDARD), "--standard goes with slurries"),
    (("salts", JARS[0], "--scatter", "own"), "--scatter: `own` cannot be seen in one slurry"),
    (("salts", *JARS, "--scatter", "80"), "--scatter: `80`"),
    (("salts", *JARS, "--to", "normal", *ATLAS), "`leaf mix` were not read yet"),
    (("salts", *JARS, "--to", "normal"), "add --fresh 0.4mS/cm"),
    (("salts", *JARS, "--to", "fine", "--fresh", "0.1mS/cm", *ATLAS), "`fine` is no band of salts"),
    (("salts", *JARS, "--to", "1.25uS/cm", "--fresh", "0.1mS/cm"), "did you mean `1.25 mS/cm`?"),
    (("salts", *JARS, "--to", "low", "--fresh", "100mS/cm"), "did you mean `100 uS/cm`?"),
    (("salts", *JARS, "--fresh", "0.1mS/cm"), "--to normal"),
    (("salts", *JARS, "--enclosure", "atals"), "did you mean `atlas`?"),
    (("salts", "--enclosure", "atals"), "did you mean `atlas`?"),
    (("salts", *JARS, *ATLAS, "--on", "2099-01-01"), "lies in the future"),
]


@pytest.mark.parametrize(("words", "says"), BAD, ids=[" ".join(words) for words, _ in BAD])
def test_what_cannot_be_meant_gets_one_sentence_and_nothing_is_recorded(run, room, words, says):
    before = room.read_bytes()
    ran = run(*words)
    assert ran.status == 2
    assert ran.out == ""
    assert says in " ".join(ran.err.split())
    assert room.read_bytes() == before


def test_a_meter_of_salts_is_not_asked_for_a_ph(run, room):
    run("salts", *JARS, *ATLAS, *DIP, "--new")
    run("calibrate", "7.00=7.04@21C", "4.01=4.06@21C", "--meter", "zeta", "--new")
    with open_logbook(room) as book:
        assert [meter.name for meter in Journal(book, None).room(date(2024, 5, 4)).meters] == ["zeta"]
    # The same housing may show both.
    run("salts", *JARS, *ATLAS, "--meter", "zeta")
    with open_logbook(room) as book:
        assert [meter.name for meter in Journal(book, None).room(date(2024, 5, 4)).meters] == ["zeta"]


@pytest.mark.slow
@pytest.mark.parametrize(
    ("typed", "question", "answer", "status", "says"),
    [
        ("850mS/cm", "is more than a slurry conducts: did you mean `850 uS/cm`?", "y\n", 0, "0.92 mS/cm"),
        ("850mS/cm", "is more than a slurry conducts: did you mean `850 uS/cm`?", "n\n", 2, "did you mean"),
        ("0.85", "which differ a thousandfold: did you mean `0.85 mS/cm`?", "y\n", 0, "0.92 mS/cm"),
        ("850", "which differ a thousandfold: did you mean `850 uS/cm`?", "\n", 0, "0.92 mS/cm"),
        ("850", "which differ a thousandfold: did you mean `850 uS/cm`?", "\x03", 130, "nothing was kept"),
        ("850", "which differ a thousandfold: did you mean `850 uS/cm`?", "\x04", 130, "nothing was kept"),
    ],
)
def test_where_somebody_can_answer_a_unit_off_by_a_thousand_is_asked_about(
    typed, question, answer, status, says, room
):
    before = room.read_bytes()
    pytest.importorskip("pty", reason="needs a pseudo-terminal")
    terminal = Terminal(("salts", f"{typed}@21C", *ATLAS), {**os.environ, "COLUMNS": "80"})
    terminal.until(r"\[Y/n\]")
    assert question in " ".join(terminal.screen.split())
    terminal.type(answer)
    assert terminal.end() == status
    assert says in terminal.screen
    assert (room.read_bytes() == before) is (status != 0)
