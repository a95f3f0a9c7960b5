"""A jar that lies by itself is said first, on every road, and teaches no later day until it is seen to."""

from __future__ import annotations

import json
import re

import pytest

from tests.reading import flat

POINTS = ("4.01=4.01@21C", "7.00=7.00@21C")
MONTHS = ("2024-01-06", "2024-02-03", "2024-03-02", "2024-04-06")
DAY = "2024-05-04"
ODD = ("5.62@21C", "5.66@21C", "6.24@21C")
FIRST = "One jar lies by itself: in doubt, until that jar is seen to."
DO = "Do: read the jar that lies by itself again, and mix another, before you act on this;"


def plain(text: str) -> str:
    return " ".join(text.split())


def kinds(remarks) -> list[str]:
    return [remark["kind"] for remark in remarks]


@pytest.fixture
def atlas(run, begin):
    """Put four quiet months of atlas on record, three jars a day."""

    def made() -> None:
        assert run("enclosure", "atlas", "--new").status == 0
        for i, day in enumerate(MONTHS):
            assert run("calibrate", "--meter", "desk", *POINTS, "--new", "--on", day).status == 0
            jars = [f"{5.62 + 0.01 * i + apart:.2f}@21C" for apart in (0.0, 0.04, 0.09)]
            assert run("read", *jars, "--meter", "desk", "--enclosure", "atlas", "--on", day).status == 0
        assert run("calibrate", "--meter", "desk", *POINTS, "--on", DAY).status == 0

    begin(made)
    return ("--meter", "desk", "--enclosure", "atlas", "--on", DAY)


def sheet(jars=ODD) -> str:
    lines = [f"date = {DAY}", "[meter]", 'name = "desk"', 'shows = "pH"']
    for point in POINTS:
        label, shows = point.removesuffix("@21C").split("=")
        lines += ["[[point]]", f'buffer = "{label}"', f"shows = {shows}", "temperature = 21.0"]
    lines += ["[[enclosure]]", 'name = "atlas"']
    for n, shows in enumerate(jars, 1):
        lines += ["[[jar]]", f'label = "C{n}"', 'enclosure = "atlas"']
        lines += [f"shows = {shows.removesuffix('@21C')}", "temperature = 21.0"]
    return "\n".join(lines)


def test_read_says_it_first_with_what_to_do(run, atlas) -> None:
    ran = run("read", *ODD, *atlas, "--strict")
    assert ran.status == 1
    assert FIRST in plain(ran.out)
    assert DO in plain(ran.out)
    assert "nothing now" not in ran.out
    assert "act; it is sure" not in ran.out
    assert "One jar, pH 6.25, lies by itself, 0.60 above the other two" in plain(ran.out)


def test_the_object_says_it_in_warnings_and_nothing_is_settled(run, atlas) -> None:
    whole = json.loads(run("read", *ODD, *atlas, "--json").out)
    one = flat(whole["result"])
    assert kinds(whole["warnings"])[0] == "odd-jar"
    assert one["slurry"]["odd"] == 2
    assert one["judgement"]["sentences"][0] == FIRST
    assert kinds(one["judgement"]["doubts"]) == ["odd-jar"]
    assert (one["judgement"]["ready"], one["judgement"]["advice"]) == (False, [])
    low, high = one["slurry"]["ph"]["interval"]
    # The true pH may be that of the two, or the mean of all three.
    assert low < 5.60
    assert high > 5.90


def test_worksheet_table_and_recalled_day_say_it_as_read_does(run, atlas, tmp_path) -> None:
    file, table = tmp_path / "day.toml", tmp_path / "day.csv"
    file.write_text(sheet(), encoding="utf-8")
    rows = [f"C{n},atlas,{shows.removesuffix('@21C')},21" for n, shows in enumerate(ODD, 1)]
    table.write_text("\n".join(["jar,enclosure,reading,temperature", *rows]), encoding="utf-8")
    buffers = [word for point in POINTS for word in ("--buffer", point)]
    for words in (
        ("run", str(file), "--try"),
        ("run", str(table), "--meter", "desk", *buffers, "--on", DAY, "--try"),
    ):
        tried = run(*words, "--strict")
        assert (tried.status, FIRST in plain(tried.out), DO in plain(tried.out)) == (1, True, True), tried
        assert "Jar C3, pH 6.25, lies by itself" in plain(tried.out)
        assert "if it was a slip, leave it out" in plain(tried.out)
    ran = run("run", str(file), "--strict")
    assert (ran.status, FIRST in plain(ran.out)) == (1, True)
    recalled = run("show", "atlas")
    assert FIRST in plain(recalled.out)
    assert "Jar C3, pH 6.25, lies by itself" in plain(recalled.out)
    assert f"{DAY}: Jar C3, pH 6.25, lies by itself" in plain(run().out)


def test_the_months_ask_for_another_jar_first(run, atlas) -> None:
    run("read", *ODD, *atlas)
    why = "one jar of its last reading lies by itself."
    for words, when in ((("trend", "atlas", "--on", DAY), ""), (("due", "--on", DAY), ", today")):
        asked = f"Do: mix another jar of atlas and read it{when}: {why}"
        assert asked in plain(run(*words).out), words
    out = plain(run("trend", "atlas", "--on", DAY).out)
    assert "One jar of 4 May 2024 lies by itself, and is left out here." in out
    level = json.loads(run("trend", "atlas", "--on", DAY, "--json").out)["result"]["drifts"][0]["outlook"]
    assert 5.55 < level["level"]["value"] < 5.75


def test_the_command_that_it_names_strikes_it_out(run, atlas) -> None:
    out = plain(run("read", *ODD, *atlas).out)
    (said,) = re.findall(r"strike it out: slurrycalc (undo \d+\.\d+)", out)
    assert run(*said.split()).status == 0
    now = plain(run("show", "atlas").out)
    assert "lies by itself" not in now
    assert "pH 5.64 (5.5" in now


def test_a_jar_that_agrees_with_it_confirms_it(run, atlas) -> None:
    run("read", *ODD, *atlas)
    more = json.loads(run("read", "6.15@21C", *atlas, "--json").out)
    one = flat(more["result"])
    assert one["slurry"]["odd"] is None
    assert "odd-jar" not in kinds(more["warnings"])
    assert one["slurry"]["n"] == 4


def test_a_jar_that_agrees_with_the_others_leaves_it_odd(run, atlas) -> None:
    run("read", *ODD, *atlas)
    more = flat(json.loads(run("read", "5.60@21C", *atlas, "--json").out)["result"])
    assert (more["slurry"]["odd"], more["slurry"]["n"]) == (2, 4)


def half_width_in_june(run, jars) -> float:
    """Give the half-width of a later day of three jars."""
    on = ("--on", "2024-06-01")
    assert run("calibrate", "--meter", "desk", *POINTS, *on).status == 0
    read = run("read", *jars, "--meter", "desk", "--enclosure", "atlas", *on, "--json")
    low, high = flat(json.loads(read.out)["result"])["slurry"]["ph"]["interval"]
    return (high - low) / 2


@pytest.mark.parametrize("seen_to", ["left standing", "struck out", "confirmed"])
def test_later_days_are_as_narrow_as_without_it_until_it_is_confirmed(run, atlas, logbook, seen_to) -> None:
    june = ("5.70@21C", "5.74@21C", "5.79@21C")
    before = logbook.read_bytes()
    run("read", *ODD[:2], *atlas)
    without = half_width_in_june(run, june)
    logbook.write_bytes(before)
    out = plain(run("read", *ODD, *atlas).out)
    if seen_to == "struck out":
        run(*re.findall(r"slurrycalc (undo \d+\.\d+)", out)[0].split())
    if seen_to == "confirmed":
        run("read", "6.15@21C", *atlas)
    found = half_width_in_june(run, june)
    if seen_to == "confirmed":
        assert found > 1.5 * without
    else:
        assert found == pytest.approx(without, rel=1e-3)
