"""The commands on right input: the same as the Python calls, and the words that a keeper needs."""

from __future__ import annotations

import json

import pytest

import slurrycalc as sc
from tests.reading import flat

A, B = "4.01=178.2mV@22C", "7.00=1.8mV@22C"
BUFFERS = ("--buffer", A, "--buffer", B)


def result(run, *words):
    ran = run(*words, "--json")
    assert ran.status == 0, ran.err
    found = json.loads(ran.out)["result"]
    return flat(found) if words[0] == "read" else found


def test_read_is_the_python_calls_of_the_same_names(run):
    got = result(run, "read", "84.3mV@21C", "85.1mV@21C", *BUFFERS)
    cal = sc.calibrate([("4.01", 178.2, 22.0), ("7.00", 1.8, 22.0)], meter=sc.Meter("mV"))
    slurry = sc.slurry_ph(cal, [84.3, 85.1], temperature=21.0)
    ends = slurry.interval(0.95)
    assert got["slurry"]["ph"]["value"] == pytest.approx(slurry.ph.n, abs=1e-12)
    assert got["slurry"]["ph"]["interval"] == pytest.approx([ends.low, ends.high], abs=1e-9)
    assert got["slurry"]["ph"]["dof"] == pytest.approx(sc.budget(slurry.ph).dof)
    standing = sc.judge(slurry)
    assert got["judgement"]["in_range"]["probability"]["value"] == pytest.approx(
        standing.in_range.probability, abs=1e-9
    )
    assert got["calibration"]["efficiency"]["value"] == pytest.approx(cal.efficiency.n)


def test_the_page_and_the_object_say_the_same_number(run):
    words = ("read", "84.3mV@21C", "85.1mV@21C", *BUFFERS)
    ph = result(run, *words)["slurry"]["ph"]
    first = run(*words).out.splitlines()[0].split()
    assert first[:2] == ["pH", f"{ph['value']:.2f}"]
    assert first[2:] == ["({:.2f}".format(ph["interval"][0]), "to", "{:.2f})".format(ph["interval"][1])]


def test_what_comes_first_is_the_number_then_what_to_do_then_the_meaning(run):
    out = run("read", "84.3mV@21C", "85.1mV@21C", *BUFFERS, "--why").out
    places = [out.index(part) for part in ("pH 5.59", "Do:", "inside your range", "Rests on", "Hands")]
    assert places == sorted(places)


def test_a_negative_reading_is_a_reading(run):
    got = result(run, "read", "-84.3mV@21C", "--buffer", B, "--buffer", "10.01=-174.0mV@22C")
    assert 8.3 < got["slurry"]["ph"]["value"] < 8.6
    minus = result(run, "read", "−84.3mV@21C", "--buffer", B, "--buffer", "10.01=−174.0mV@22C")
    assert minus == got


def test_after_two_dashes_everything_is_a_reading(run):
    got = result(run, "read", *BUFFERS, "84.3mV@21C")
    assert flat(json.loads(run("read", *BUFFERS, "--json", "--", "84.3mV@21C").out)["result"]) == got


def test_a_meter_that_shows_ph_needs_no_temperature(run):
    got = result(run, "read", "5.58", "5.66", "--buffer", "4.01=4.06", "--buffer", "7.00=7.04")
    assert got["calibration"]["slope"] is None
    assert got["calibration"]["offset_ph"]["unit"] == "pH"
    assert 5.5 < got["slurry"]["ph"]["value"] < 5.7


def test_readings_without_a_unit_are_mv_when_that_is_said(run):
    plain = ("read", "84.3@21C", "--buffer", "4.01=178.2@22C", "--buffer", "7.00=1.8@22C", "--shows", "mV")
    said = ("read", "84.3mV@21C", *BUFFERS)
    assert result(run, *plain) == result(run, *said)


def test_a_named_bottle_brings_its_tolerance(run):
    tight = result(run, "calibrate", "blue=178.2mV@22C", B, "--bottle", "blue=4.01+-0.002")
    loose = result(run, "calibrate", A, B)
    names = [point["buffer"] for point in tight["calibration"]["points"]]
    assert names == ["4.01 (blue)", "7.00"]
    wide, narrow = (got["calibration"]["efficiency"]["standard_uncertainty"] for got in (loose, tight))
    assert narrow < wide


def test_check_and_closing_readings_are_judged(run):
    got = result(run, "calibrate", A, B, "--check", "9.18=-127.5mV@22C", "--close", "7.00=-1.2mV@22C")
    assert got["check"]["agrees"] is True
    assert got["calibration"]["drift"]["change"]["value"] == pytest.approx(0.05, abs=0.01)
    out = run("calibrate", A, B, "--check", "9.18=-127.5mV@22C", "--close", "7.00=-1.2mV@22C").out
    assert "9.18" in out
    assert "drift" in out


def test_slurries_of_the_same_spots_count_as_one(run):
    got = result(run, "read", "84.3mV@21C", "85.1mV@21C", "80mV@21C", *BUFFERS, "--spots", "A,A,B")
    assert got["slurry"]["n"] == 2
    assert len(got["slurry"]["jars"]) == 3


def test_scatter_own_stated_and_expected_differ_as_they_should(run):
    words = ("read", "84.3mV@21C", "85.1mV@21C", "83mV@21C", *BUFFERS)

    def width(*more):
        low, high = result(run, *words, *more)["slurry"]["ph"]["interval"]
        return high - low

    assert width("--scatter", "0.01") < width("--scatter", "own") < width() < width("--scatter", "0.5")


def test_p_widens_every_interval(run):
    words = ("read", "84.3mV@21C", *BUFFERS)
    (low, high), (lower, higher) = (
        result(run, *words, "--p", p)["slurry"]["ph"]["interval"] for p in ("0.95", "0.99")
    )
    assert lower < low < high < higher
    assert ", 99 in 100)" in run(*words, "--p", "0.99").out


@pytest.mark.parametrize(
    ("words", "status"),
    [
        (("read", "84.3mV@21C", "85.1mV@21C", *BUFFERS), 0),
        (("read", "110mV@21C", "111mV@21C", *BUFFERS), 1),
        (("calibrate", A, B), 0),
        (("calibrate", "4.01=140mV@22C", B), 1),
        (("probe", "6.0"), 1),
        (("compare", "5.9=5.41"), 1),
    ],
)
def test_strict_fails_what_needs_action_and_only_when_asked(run, words, status):
    assert run(*words).status == 0
    assert run(*words, "--strict").status == status
    assert run(*words, "--strict", "--json").status == status


def test_a_case_below_its_range_says_to_act(run):
    ran = run("read", "130mV@21C", "131mV@21C", "129mV@21C", *BUFFERS)
    assert "Almost surely below your range" in ran.out
    assert "Do: exchange a part of the substrate, animals out first." in ran.out
    assert "ask a licensed veterinarian" in " ".join(ran.out.split())


def test_pairs_are_echoed_so_that_a_swapped_one_is_seen(run):
    assert "probe 5.9, slurry 5.41" in run("compare", "5.9=5.41", "6.1=5.70", "--why").out
    assert "probe 5.9, slurry 5.41" in run("probe", "6.0", "5.9=5.41", "--why").out


def test_pairs_from_a_file_are_the_pairs_on_the_line(run, tmp_path):
    file = tmp_path / "pairs.csv"
    file.write_text("probe;slurry\n5,9;5,41\n6,1;5,70\n", encoding="utf-8-sig")
    line, table = (
        result(run, "compare", *words) for words in (("5.9=5.41", "6.1=5.70"), ("--pairs", str(file)))
    )
    assert line == table


def test_a_stated_slurry_carries_its_half_width(run):
    got = result(run, "compare", "5.9=5.60+-0.20")
    low, high = got["comparison"]["slurry"][0]["interval"]
    assert (high - low) / 2 == pytest.approx(0.20, abs=1e-9)


def test_an_indication_without_pairs_means_nothing_yet_and_how_to_change_that(run):
    ran = run("probe", "6.0")
    assert ran.status == 0
    assert "means nothing yet" in ran.out
    assert "slurrycalc probe 6.0 5.9=5.41" in ran.out


def test_ratio_takes_amounts_without_quotes_in_any_measure(run):
    cups = result(run, "ratio", "1/2", "cup", "1", "cup")["by_volume"]
    for words in (("½", "cup", "8", "fl", "oz"), ("118.29412mL", "236.58824mL"), ("4 fl oz", "1 cup")):
        other = result(run, "ratio", *words)["by_volume"]
        assert other["value"] == pytest.approx(cups["value"], rel=1e-6)


def test_mix_says_what_to_mind_before_the_first_step(run):
    out = run("mix", "--slurries", "2").out
    assert out.index("1/2 cup of substrate") < out.index("Mind") < out.index("  1. ")
    assert out.count("Mind") == 1


def test_cautions_of_the_step_are_in_the_object_too(run):
    assert any("Unplug" in text for text in json.loads(run("mix", "--json").out)["cautions"])


def test_buffers_at_a_temperature_in_either_scale(run):
    celsius, fahrenheit = (result(run, "buffers", *words) for words in (("25C",), ("77", "F")))
    values = [[row["ph"]["value"] for row in got["buffers"]] for got in (celsius, fahrenheit)]
    assert values[0] == pytest.approx(values[1], abs=1e-9)
    assert {row["label"]: row["ph"]["value"] for row in celsius["buffers"]}["4.01"] == 4.005


def test_spots_counts_and_explains(run):
    assert result(run, "spots", "--spread", "0.2", "--margin", "0.1")["spots"] == 18
    assert run("spots", "--spread", "0.2", "--margin", "0.1").out.startswith("18 spots\n")


def test_verify_names_a_miss_and_fails(run, monkeypatch):
    from slurrycalc.cli.commands import checking

    entries = checking.run_checks()
    wrong = [*entries]
    place = next(n for n, check in enumerate(wrong) if check.status == "pass")
    from dataclasses import replace

    wrong[place] = replace(wrong[place], status="miss", got=1.0)
    monkeypatch.setattr(checking, "run_checks", lambda **_: tuple(wrong))
    ran = run("verify")
    assert ran.status == 1
    assert ran.out.startswith("1 of ")
    assert wrong[place].id in ran.out.splitlines()[1]
    assert json.loads(run("verify", "--json").out)["result"]["missed"] == 1


def test_the_budget_adds_up_to_the_whole(run):
    got = result(run, "read", "84.3mV@21C", "85.1mV@21C", *BUFFERS, "--budget")["budget"]
    assert sum(row["share"]["value"] for row in got["rows"]) == pytest.approx(1.0)
    shares = [row["share"]["value"] for row in got["rows"]]
    assert shares == sorted(shares, reverse=True)
    assert "from memory" in run("read", "84.3mV@21C", *BUFFERS, "--budget").out
