"""The steady jar on the wired path: a bench that shifts is said on every result of that day."""

from __future__ import annotations

import json
import random

import pytest
from jsonschema import Draft202012Validator

NEAR = (0.00, 0.02, -0.01, 0.01, -0.02, 0.00)
MONTHS = tuple(f"2024-0{month}-06" for month in range(1, 8))
DESK = ("--meter", "desk")
CASES = {"window": 5.8, "stairs": 5.9, "atlas": 5.7}
JAR = 6.40


@pytest.fixture
def result(run):
    """Run a line that must do well, and give its JSON object, held to its schema."""

    def once(*words: str):
        ran = run(*words, "--json")
        assert (ran.status, ran.err) == (0, "")
        whole = json.loads(ran.out)
        Draft202012Validator(json.loads(run(words[0], "--schema").out)).validate(whole)
        return whole

    return once


@pytest.fixture
def room(run):
    """Three cases and a steady jar."""
    for name in CASES:
        assert run("enclosure", name, "--new").status == 0
    assert run("enclosure", "jar", "--steady", "yes").status == 0


def sheet(day: str, shift: float, draw: random.Random, names=("jar", *CASES)) -> str:
    """Write a bench day of two jars an enclosure; after its buffers, the meter shifts."""
    levels = {"jar": JAR, **CASES}
    lines = [f"date = {day}", "[meter]", 'name = "desk"', 'shows = "pH"']
    for label, shows in (("7.00", 7.04), ("4.01", 4.06)):
        lines += ["[[point]]", f'buffer = "{label}"', f"shows = {shows}", "temperature = 21.0"]
    lines += [line for name in names for line in ("[[enclosure]]", f'name = "{name}"')]
    for letter, name in zip("JABC", names, strict=False):
        for n in (1, 2):
            shows = round(levels[name] + shift + draw.gauss(0.0, 0.03), 2)
            lines += ["[[jar]]", f'label = "{letter}{n}"', f'enclosure = "{name}"', f"shows = {shows}"]
    return "\n".join(lines)


@pytest.fixture
def bench(result, tmp_path):
    """Compute a worksheet of a day."""
    draw = random.Random(20240601)

    def once(day: str, shift: float = 0.0, **more):
        file = tmp_path / f"{day}.toml"
        file.write_text(sheet(day, shift, draw, **more), encoding="utf-8")
        return result("run", str(file))

    return once


def kinds(remarks) -> set[str]:
    return {remark["kind"] for remark in remarks if remark["kind"].startswith("steady-jar")}


def test_a_meter_that_shifts_by_0_3_is_said_on_every_result_of_that_day_and_not_before(room, bench, run):
    days = [bench(day) for day in MONTHS[:-1]]
    shifted = bench(MONTHS[-1], 0.30)
    for whole in days:
        assert whole["result"]["day"]["steady"][0]["said"]["state"] in ("first", "steady")
        assert not kinds(whole["warnings"])
    day = shifted["result"]["day"]
    assert day["steady"][0]["said"]["state"] == "alarm"
    assert day["steady"][0]["said"]["difference"]["value"] == pytest.approx(0.30, abs=0.08)
    assert [one["name"] for one in day["steady"]] == ["jar"]
    assert {one["name"] for one in day["enclosures"]} == set(CASES)
    assert all(kinds(one["remarks"]) == {"steady-jar-alarm"} for one in day["enclosures"])
    assert kinds(shifted["warnings"]) == {"steady-jar-alarm"}
    alone = run()
    assert alone.out.count("bench first") == 3
    assert f"{MONTHS[-1]}: The steady jar reads +0." in alone.out
    assert "jar" not in [line.split()[0] for line in alone.out.splitlines()[1:6] if line.split()]


def test_the_jar_is_told_before_the_cases_and_held_against_no_range(room, bench, run, tmp_path):
    bench(MONTHS[0])
    page = run("run", str(tmp_path / f"{MONTHS[0]}.toml"), "--try")
    assert page.status == 2  # its jars are on record already
    second = tmp_path / "second.toml"
    second.write_text(sheet(MONTHS[1], 0.0, random.Random(3)), encoding="utf-8")
    out = run("run", str(second), "--try", "--why").out
    cases = min(out.index(f"{case}, jars") for case in CASES)
    of_jar = out[out.index("jar, the steady jar, jars J1 and J2") : cases]
    assert "held against no range and no floor" in of_jar
    assert "Inside your range" not in of_jar
    assert "Do: nothing now. Slurry it again on the next bench day." in of_jar


def test_a_day_of_the_jar_alone_stands(room, bench):
    day = bench(MONTHS[0], names=("jar",))["result"]["day"]
    assert day["enclosures"] == []
    assert day["steady"][0]["said"]["state"] == "first"


@pytest.fixture
def steady_months(room, run):
    """Six months on which the jar was read, one reading at a time, and the meter calibrated for a seventh."""
    for n, day in enumerate(MONTHS[:-1]):
        points = ("7.00=7.04@21C", "4.01=4.06@21C")
        assert run("calibrate", *points, *DESK, "--on", day, *(("--new",) if n == 0 else ())).status == 0
        shows = f"{JAR + NEAR[n]:.2f}"
        assert run("read", shows, shows, *DESK, "--enclosure", "jar", "--on", day).status == 0
    assert run("calibrate", "7.00=7.04@21C", "4.01=4.06@21C", *DESK, "--on", MONTHS[-1]).status == 0


def of_day(*words: str) -> tuple[str, ...]:
    return ("read", *words, *DESK, "--on", MONTHS[-1], "--enclosure")


def test_what_is_read_after_the_jar_says_so_and_what_was_read_before_is_named(steady_months, result, run):
    before = result(*of_day("5.8", "5.9"), "window")
    jar = result(*of_day("6.70", "6.72"), "jar")
    after = result(*of_day("5.8", "5.9"), "stairs")
    assert not kinds(before["warnings"])
    assert jar["result"]["enclosure"] is None
    assert jar["result"]["steady"]["said"]["state"] == "alarm"
    named = [one["text"] for one in jar["warnings"] if one["kind"] == "read-before-the-alarm"]
    assert named == ["Read earlier that day, and in doubt as well: window."]
    assert kinds(after["warnings"]) == {"steady-jar-alarm"}
    page = run(*of_day("5.8", "5.9"), "atlas", "--strict")
    assert page.status == 1
    assert "Do: see to the bench before you act on this" in page.out
    assert run().out.count("bench first") == 3


def test_a_watch_is_said_and_puts_nothing_in_doubt(steady_months, result, run):
    jar = result(*of_day("6.56", "6.57"), "jar")
    assert jar["result"]["steady"]["said"]["state"] == "watch"
    case = result(*of_day("5.8", "5.9"), "window")
    assert kinds(case["warnings"]) == {"steady-jar-watch"}
    assert "bench first" not in run().out
    assert f"{MONTHS[-1]}: The steady jar reads" in run().out


def test_a_day_is_judged_by_what_was_known_until_then_whatever_came_later(steady_months, result, run):
    result(*of_day("6.70", "6.72"), "jar")
    sixth = ("read", "5.8", *DESK, "--on", MONTHS[-2], "--enclosure", "window")
    assert not kinds(result(*sixth)["warnings"])


def test_read_again_under_fresh_buffers_the_jar_can_be_seen_to_agree(steady_months, result, run):
    result(*of_day("6.70", "6.72"), "jar")
    result(*of_day("5.8", "5.9"), "window")
    fresh = ("7.00=7.34@21C", "4.01=4.36@21C")
    assert run("calibrate", *fresh, *DESK, "--on", MONTHS[-1]).status == 0
    again = result(*of_day("6.70", "6.71"), "jar")
    assert again["result"]["steady"]["said"]["state"] == "steady"
    assert "under-another-calibration" in {one["kind"] for one in again["warnings"]}
    # the first calibration of that day is struck out, and with it the doubt
    entries = json.loads(run("history", "desk", "--json").out)["result"]["entries"]
    that_day = [one for one in entries if one["at"].startswith(MONTHS[-1])]
    assert run("undo", next(one["id"] for one in that_day if one["kind"] == "calibrate")).status == 0
    assert not kinds(result(*of_day("6.1", "6.2"), "window")["warnings"])
    assert "bench first" not in run().out


def test_a_jar_filled_anew_begins_anew(steady_months, result, run):
    assert run("event", "jar", "new-mix", "--on", MONTHS[-2]).status == 0
    jar = result(*of_day("7.10", "7.12"), "jar")
    assert jar["result"]["steady"]["said"]["state"] == "first"
    assert not kinds(jar["warnings"])


def test_a_steady_jar_is_refused_a_range(steady_months, run):
    ran = run(*of_day("6.4"), "jar", "--target", "5:6")
    assert ran.status == 2
    assert "is the steady jar" in ran.err
    assert "leave --target and --floor out" in ran.err


def test_a_record_of_the_jar_alone_says_how_the_bench_is(steady_months, result, run):
    result(*of_day("6.41", "6.39"), "jar")
    out = " ".join(run().out.split())
    assert f"jar, {MONTHS[-1]}: The steady jar reads" in out
    assert "the bench is steady" in out
