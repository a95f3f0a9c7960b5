"""Check bottles among the jars: one that disagrees puts jars in doubt, one that agrees clears them."""

from __future__ import annotations

import json
from itertools import takewhile

import pytest
from hypothesis import given
from hypothesis import strategies as st

from slurrycalc.day.bench.bench_day import bench_day
from slurrycalc.day.bench.places import RowPlaces
from slurrycalc.day.bench.table import read_jars
from slurrycalc.day.bench.worksheet import Day, MeterEntry, PointEntry
from slurrycalc.day.record.nameless import nameless
from slurrycalc.metrology.uncertain import Inputs

BUFFERS = ("--buffer", "7.00=7.04@21C", "--buffer", "4.01=4.06@21C")
POINTS = (("7.00", 7.04), ("4.01", 4.06))
AGREES, OFF = "7.00,7.05", "7.00,7.25"
HEAD = "jar,enclosure,buffer,reading,temperature"


def table(*rows: str) -> str:
    """Write rows: `A` is a jar of enclosure A, `7.00,7.05` a check bottle."""
    lines = [f",,{row.replace(',', ',', 1)},21" if "," in row else f"{row}1,{row},,6.0,21" for row in rows]
    return "\n".join([HEAD, *lines]) + "\n"


def sheet(*rows: str) -> str:
    """Write the same rows as a worksheet."""
    lines = ["[meter]", 'shows = "pH"', "[thermometer]", "tolerance = 1"]
    for label, shows in POINTS:
        lines += ["[[point]]", f'buffer = "{label}"', f"shows = {shows}", "temperature = 21"]
    for name in dict.fromkeys(row for row in rows if "," not in row):
        lines += ["[[enclosure]]", f'name = "{name}"']
    for row in rows:
        label, comma, shows = row.partition(",")
        named = [f'buffer = "{label}"'] if comma else [f'label = "{row}1"', f'enclosure = "{row}"']
        lines += ["[[jar]]", *named, f"shows = {shows if comma else 6.0}", "temperature = 21"]
    return "\n".join(lines) + "\n"


def doubted_by_hand(rows: list[str]) -> set[str]:
    """Go from each jar to the next check, or back to the last one that followed a jar."""
    found = set()
    for i, row in enumerate(rows):
        if "," in row:
            continue
        first = next((j for j, one in enumerate(rows) if "," not in one), 0)
        after = [one for one in rows[i:] if "," in one]
        before = [one for one in rows[first:i] if "," in one]
        decides = after[:1] or before[-1:]
        if decides == [OFF]:
            found.add(row)
    return found


@st.composite
def days(draw: st.DrawFn) -> list[str]:
    kinds = draw(st.lists(st.sampled_from(["jar", "jar", AGREES, OFF]), min_size=1, max_size=9))
    names = iter("ABCDEFGHIJ")
    return [next(names) if kind == "jar" else kind for kind in [*kinds, "jar"]]


@given(days())
def test_a_jar_stands_or_falls_with_the_next_check_after_it_or_else_the_last_before_it(
    rows: list[str],
) -> None:
    read = read_jars(table(*rows).encode())
    declared = Day(
        meter=MeterEntry(shows="pH"),
        points=tuple(PointEntry(buffer=label, shows=shows, temperature=21.0) for label, shows in POINTS),
        jars=read.jars,
    )
    places = RowPlaces("day.csv", rows=read.rows, buffers=("7.00", "4.01"))
    day = bench_day(declared, places, keeper=nameless("run", inputs=Inputs()), holds_back=())
    doubted = {one.name for one in day.enclosures if one.judgement.doubts}
    assert doubted == doubted_by_hand(rows)
    named = {label for check in day.checks if not check.check.agrees for label in check.jars}
    assert named == {f"{name}1" for name in doubted}
    before_any_jar = len(list(takewhile(lambda row: "," in row, rows)))
    assert len(day.checks) == sum("," in row for row in rows) - before_any_jar


ROWS = ("A", "B", AGREES, "C", "D", OFF, "E", "10.01,10.06")


@pytest.fixture(params=["table", "worksheet"])
def words(request, tmp_path):
    """The same day, by either road."""
    if request.param == "table":
        path = tmp_path / "day.csv"
        path.write_text(table(*ROWS), encoding="utf-8")
        return ("run", str(path), *BUFFERS)
    path = tmp_path / "day.toml"
    path.write_text(sheet(*ROWS), encoding="utf-8")
    return ("run", str(path), "--try")


def test_the_doubted_jars_are_named_in_verdict_and_warnings_and_fail_strict(run, words) -> None:
    whole = json.loads(run(*words, "--json").out)
    day = whole["result"]["day"]
    doubted = {one["name"] for one in day["enclosures"] if one["judgement"]["doubts"]}
    assert doubted == {"C", "D"}
    (said,) = (one["text"] for one in whole["warnings"] if one["kind"] == "check-disagrees")
    assert said.endswith("In doubt: jars C1, D1.")
    assert "+0.21 pH from before" in said
    assert [one["jars"] for one in day["checks"]] == [["A1", "B1"], ["C1", "D1"], ["E1"]]
    assert [one["check"]["agrees"] for one in day["checks"]] == [True, False, True]
    for one in day["enclosures"]:
        if one["name"] in doubted:
            assert one["judgement"]["doubts"][0]["text"].startswith(f"Jar {one['name']}1 was read before")
    ran = run(*words, "--strict")
    assert ran.status == 1
    assert "In doubt: jars C1, D1." in " ".join(ran.out.split())
    ran = run(*words, "--why")
    page = " ".join(ran.out.split())
    assert "In doubt: jars C1, D1." in page
    assert "It clears jars A1, B1." in page
    assert page.count("In doubt, until the meter is seen to.") == 3  # the day, and each of two cases


def test_both_roads_come_to_the_same(run, tmp_path) -> None:
    found = []
    for name, text, words in (("a.csv", table(*ROWS), BUFFERS), ("a.toml", sheet(*ROWS), ("--try",))):
        (tmp_path / name).write_text(text, encoding="utf-8")
        day = json.loads(run("run", str(tmp_path / name), *words, "--json").out)["result"]["day"]
        found.append((day["checks"], [(one["name"], one["judgement"]) for one in day["enclosures"]]))
    assert found[0] == found[1]


def test_where_every_check_agrees_nothing_is_in_doubt(run, tmp_path) -> None:
    path = tmp_path / "day.csv"
    path.write_text(table("A", AGREES, "B", AGREES), encoding="utf-8")
    ran = run("run", str(path), *BUFFERS, "--strict", "--json")
    assert "check-disagrees" not in {one["kind"] for one in json.loads(ran.out)["warnings"]}
    assert "meter-in-doubt" not in ran.out


def test_the_record_keeps_the_doubt_until_the_check_is_struck_out(run, tmp_path) -> None:
    path = tmp_path / "day.csv"
    path.write_text(table("A", AGREES, "B", OFF), encoding="utf-8")
    run("enclosure", "A")
    run("enclosure", "B")
    on = ("--on", "2024-05-04")
    ran = run("run", str(path), *BUFFERS, "--meter", "lab", "--new", *on, "--json")
    saved = json.loads(ran.out)["result"]["saved"]
    assert "meter first" in run().out
    # Buffers come first, then jar, check, jar, check: the last value is the check that disagrees.
    assert run("undo", saved["values"][-1]).status == 0
    assert "meter first" not in run().out


def test_read_again_after_the_meter_was_seen_to_the_jar_counts_alone(run, tmp_path) -> None:
    path = tmp_path / "day.csv"
    path.write_text(table("A", OFF), encoding="utf-8")
    run("enclosure", "A")
    on = ("--on", "2024-05-04")
    run("run", str(path), *BUFFERS, "--meter", "lab", "--new", *on)
    again = json.loads(
        run("read", "6.0@21C", *BUFFERS, "--meter", "lab", "--enclosure", "A", *on, "--json").out
    )
    assert "left-out" in {one["kind"] for one in again["warnings"]}
    assert "meter-in-doubt" not in {one["kind"] for one in again["warnings"]}


@pytest.mark.parametrize(
    ("row", "says"),
    [
        ("X1,A,7.00,7.05,21", "row 3: buffer `7.00` and enclosure `A` stand on one jar"),
        (",,7.00,,21", "The check bottle `7.00` has no reading and is left out."),
        (",,7.31,7.05,21", "row 3: "),
        (",,7.00,17.05,21", "row 3: "),
    ],
)
def test_a_check_that_cannot_stand_is_named(run, tmp_path, row, says) -> None:
    path = tmp_path / "day.csv"
    path.write_text(table("A") + row + "\n", encoding="utf-8")
    ran = run("run", str(path), *BUFFERS)
    assert ran.status == 0
    assert says in " ".join(ran.out.split())


def test_in_a_worksheet_it_is_refused_with_its_line(run, tmp_path) -> None:
    path = tmp_path / "day.toml"
    path.write_text(
        sheet("A", AGREES).replace(
            'buffer = "7.00"\nshows = 7.05', 'buffer = "7.00"\nenclosure = "A"\nshows = 7.05'
        )
    )
    ran = run("run", str(path), "--try")
    assert ran.status == 2
    assert "jar 2: buffer `7.00` and enclosure `A` stand on one jar" in ran.err
    path.write_text(sheet("A").replace('label = "A1"\n', ""))
    assert 'jar 1: `label` is missing; write label = "A1".' in run("run", str(path), "--try").err


@pytest.mark.parametrize(
    ("bottle", "says"),
    [
        ("6.86,6.92", "6.86, read among the jars, checks these two buffers, and agrees."),
        ("6.86,7.12", "6.86, read among the jars, checks these two buffers, and disagrees."),
        (AGREES, "7.00, read again among the jars, checks the meter;"),
    ],
)
def test_two_buffers_with_a_check_among_the_jars_are_not_called_unchecked(
    run, tmp_path, bottle, says
) -> None:
    day = tmp_path / "day.csv"
    day.write_text(table("A", "B", bottle, "C"), encoding="utf-8")
    shown = " ".join(run("run", str(day), *BUFFERS, "--why").out.split())
    assert says in shown
    assert "othing checks" not in shown
    (tmp_path / "day.toml").write_text(sheet("A", "B", bottle, "C"), encoding="utf-8")
    assert says in " ".join(run("run", str(tmp_path / "day.toml"), "--try", "--why").out.split())
    day.write_text(table("A", "B", "C"), encoding="utf-8")
    assert "Nothing checks these two buffers" in run("run", str(day), *BUFFERS, "--why").out
