"""A guided day with a calibration in doubt: what was read under it is asked for again after a good one."""

from __future__ import annotations

from slurrycalc.day.bench.bench_day import bench_day
from slurrycalc.metrology.uncertain import Inputs
from tests.day.test_guided import RIGHT, SETUP, Table

TIRED = SETUP | RIGHT | {"point 1 0": "6.60", "point 1 1": "4.06 22C"}
"""A display that gives 85 % for each unit of pH."""
AGAIN = {"point 2 0": "7.04", "point 2 1": "4.06 22C"}
LABELS = ["A1", "A2", "B1", "B2", "C1", "C2"]


def doubted(until: str = "read B1") -> Table:
    """Read jars under a calibration in doubt, and calibrate again."""
    table = Table()
    table.through(TIRED, until)
    table.type("c")
    return table


def test_jars_read_under_it_are_asked_for_again() -> None:
    table = doubted()
    table.type(AGAIN["point 2 0"])
    table.type(AGAIN["point 2 1"])
    assert "Read once more under it: A1, A2." in table.says()
    asked = []
    while table.ask.key.startswith("read "):
        asked.append((table.ask.key, table.ask.text.endswith("shows now?"), table.ask.default))
        table.type(RIGHT[table.ask.key])
    assert sorted(asked) == [(f"read {label}", label in ("A1", "A2"), "") for label in LABELS]
    table.through(TIRED)
    assert {jar.calibration for jar in table.day.jars} == {1}
    assert [point.shows for point in table.day.points] == [7.04, 4.06]
    result = bench_day(table.day, inputs=Inputs())
    assert not any(one.judgement.doubts for one in result.enclosures)


def test_an_empty_line_does_not_take_the_old_reading() -> None:
    table = doubted()
    table.through(TIRED | AGAIN, "read A1")
    table.type("")
    assert table.ask.key == "read A1"
    assert "Nothing was typed." in table.says()


def test_stopped_and_gone_on_it_still_asks() -> None:
    table = doubted()
    table.through(TIRED | AGAIN, "read A1")
    table.type("q")
    table.sit_down()
    assert table.ask.key == "read A1"


def test_what_is_skipped_stands_with_its_doubt() -> None:
    table = doubted()
    table.through(TIRED | AGAIN, "read A1")
    for label in ("A1", "A2"):
        assert table.ask.key == f"read {label}"
        table.type("s")
    table.through(TIRED)
    jars = {jar.label: (jar.shows, jar.calibration) for jar in table.day.jars}
    assert (jars["A1"], jars["A2"], jars["B1"]) == ((5.14, 1), (5.19, 1), (5.58, 2))
    result = {one.name: one for one in bench_day(table.day, inputs=Inputs()).enclosures}
    assert [doubt.kind for doubt in result["window"].judgement.doubts] == ["meter-in-doubt"]
    assert not result["window"].judgement.ready
    assert not result["stairs"].judgement.doubts


def test_a_second_calibration_in_doubt_asks_for_nothing() -> None:
    table = doubted()
    table.type("6.60")
    table.type("4.06 22C")
    assert table.ask.key == "read B1"


def test_a_good_calibration_that_is_made_again_asks_for_nothing() -> None:
    table = Table()
    table.through(SETUP | RIGHT, "read B1")
    table.type("c")
    table.through(SETUP | RIGHT | AGAIN, "read B1")
    assert table.ask.key == "read B1"


def test_a_bottle_that_is_put_right_takes_the_doubt_away() -> None:
    table = Table()
    table.through(TIRED, "read A1")
    table.type("b")
    table.type("b")
    assert table.ask.key == "point 1 0"
    table.type("7.04")
    table.through(SETUP | RIGHT, "read B1")
    table.type("c")
    table.through(SETUP | RIGHT | AGAIN, "read B1")
    assert table.ask.key == "read B1"
