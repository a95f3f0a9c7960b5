"""A declared day comes to what its steps come to one by one, in any order, with nothing lost."""

from __future__ import annotations

import random
from dataclasses import replace as dataclass_replace

import pytest
from msgspec.structs import replace

from slurrycalc.data.shipped import shipped
from slurrycalc.day.bench.bench_day import bench_day
from slurrycalc.day.bench.places import RowPlaces
from slurrycalc.day.bench.result import DayResult
from slurrycalc.day.bench.standing import JudgedBy
from slurrycalc.day.bench.table import read_jars
from slurrycalc.day.bench.worksheet import (
    BottleEntry,
    Day,
    EnclosureEntry,
    JarEntry,
    MeterEntry,
    PointEntry,
    ProbeEntry,
    ThermometerEntry,
    read_worksheet,
)
from slurrycalc.day.record.nameless import nameless
from slurrycalc.deciding.judgement import judge
from slurrycalc.measuring.electrode import Meter, calibrate
from slurrycalc.measuring.electrode.buffers import Bottle
from slurrycalc.measuring.probe import compare, response, update, without_record
from slurrycalc.measuring.slurry import slurry_ph
from slurrycalc.metrology.coverage import half_width, interval
from slurrycalc.metrology.remark import Refusal
from slurrycalc.metrology.scatter import Scatter
from slurrycalc.metrology.uncertain import Inputs

EXAMPLE, PLACES = read_worksheet(shipped("examples", "reading-room.toml").read_bytes(), "reading-room.toml")
FORTY = shipped("examples", "forty-jars.csv").read_bytes()


def changed(**parts: object) -> Day:
    return replace(EXAMPLE, **parts)


BUFFERS = Day(
    meter=MeterEntry(shows="pH"),
    points=(
        PointEntry(buffer="7.00", shows=7.04, temperature=21.0),
        PointEntry(buffer="4.01", shows=4.06, temperature=21.0),
    ),
)


def bench_table(text: bytes, name: str, declared: Day = BUFFERS) -> DayResult:
    table = read_jars(text, name)
    places = RowPlaces(name, rows=table.rows, buffers=("7.00", "4.01"))
    day = replace(declared, jars=table.jars)
    return bench_day(day, places, keeper=nameless("run"), holds_back=table.held_back)


def figures(day: DayResult) -> dict[str, tuple[float, float, float, float]]:
    return {
        one.name: (
            one.slurry.ph.n,
            one.slurry.ph.s,
            one.judgement.in_range.probability,
            one.judgement.above_floor.probability,
        )
        for one in day.enclosures
    }


def test_the_day_is_the_same_as_its_steps_one_by_one() -> None:
    inputs = Inputs()
    neutral, acid = Bottle("7.00", "neutral 2"), Bottle("4.01", "acid 2")
    meter = Meter("pH", name="desk")
    cal = calibrate([(neutral, 7.04, 21.0), (acid, 4.06, 21.0)], meter, thermometer=1.0, inputs=inputs)
    cal = cal.close(neutral, 7.05, 21.5)
    window = slurry_ph(cal, [(5.14, 21.0), (5.19, 21.0)])
    standing = judge(window, (5.4, 6.5), 5.0)

    worst = bench_day(EXAMPLE, PLACES, inputs=Inputs()).enclosures[0]
    assert worst.name == "window"
    assert worst.slurry.ph.n == pytest.approx(window.ph.n, abs=1e-12)
    assert worst.slurry.ph.s == pytest.approx(window.ph.s, rel=1e-9)
    assert worst.slurry.interval() == pytest.approx(window.interval(), abs=1e-9)
    assert worst.judgement.in_range.probability == pytest.approx(standing.in_range.probability, abs=1e-9)
    assert worst.judgement.sentences == standing.sentences


def test_the_probe_is_held_against_its_own_jars() -> None:
    day = bench_day(EXAMPLE, PLACES)
    assert day.probe is not None
    pairs = [(jar.probe, jar.ph) for jar in day.jars]
    again = compare([probe for probe, _ in pairs], [ph for _, ph in pairs])
    assert day.probe.comparison.offset.n == pytest.approx(again.offset.n, abs=1e-12)
    assert day.probe.next is not None
    assert day.probe.next.indication == 6.0
    by_hand = update(without_record(), response([probe for probe, _ in pairs], [ph for _, ph in pairs]), 6.0)
    assert day.probe.next.ph.n == pytest.approx(by_hand.ph.n, abs=1e-12)
    assert day.probe.next.interval() == pytest.approx(by_hand.interval(), abs=1e-9)
    assert (day.probe.name, day.probe.jars) == ("stick", ("A1", "A2", "B1", "B2", "C1", "C2"))


def test_enclosures_of_one_day_share_their_calibration() -> None:
    here, elsewhere = (bench_day(EXAMPLE, inputs=Inputs()).enclosures for _ in range(2))
    together = here[0].slurry.ph - here[1].slurry.ph
    apart = here[0].slurry.ph - elsewhere[1].slurry.ph
    assert together.n == pytest.approx(apart.n, abs=1e-12)
    assert half_width(together) < half_width(apart)


@pytest.mark.parametrize("seed", range(3))
def test_the_order_of_jars_enclosures_points_and_bottles_does_not_matter(seed: int) -> None:
    rng = random.Random(seed)
    parts = {
        name: tuple(rng.sample(getattr(EXAMPLE, name), len(getattr(EXAMPLE, name))))
        for name in ("jars", "enclosures", "points", "bottles")
    }
    shuffled = bench_day(changed(**parts))
    straight = bench_day(EXAMPLE)
    assert [one.name for one in shuffled.enclosures] == [one.name for one in straight.enclosures]
    for name, numbers in figures(shuffled).items():
        assert numbers == pytest.approx(figures(straight)[name], rel=1e-9)


def test_the_order_of_rows_does_not_matter() -> None:
    header, *rows = [row for row in FORTY.decode().splitlines() if "54.1" not in row]
    rows = [row.replace("A9,gallery", "B6,gallery") for row in rows]
    straight = bench_table("\n".join([header, *rows]).encode(), "a.csv")
    random.Random(5).shuffle(rows)
    shuffled = bench_table("\n".join([header, *rows]).encode(), "b.csv")
    assert [one.name for one in shuffled.enclosures] == [one.name for one in straight.enclosures]
    for name, numbers in figures(shuffled).items():
        assert numbers == pytest.approx(figures(straight)[name], rel=1e-9)


def test_forty_jars_under_one_calibration_worst_first() -> None:
    day = bench_table(FORTY, "forty-jars.csv")
    assert [(held.row, held.text.split(",")[0]) for held in day.held_back] == [
        (17, "jar A9 twice"),
        (31, "`54.1` is no pH"),
    ]
    assert (len(day.jars), len(day.enclosures)) == (38, 20)
    assert [one.name for one in day.enclosures[:3]] == ["map-chest", "window", "archive"]
    states = [(one.judgement.above_floor.state, one.judgement.in_range.state) for one in day.enclosures]
    order = {"no": 0, "not settled": 1, "yes": 2}
    assert states == sorted(states, key=lambda pair: (order[pair[0]], order[pair[1]]))
    assert {one.name: len(one.jars) for one in day.enclosures}["gallery"] == 1


def test_a_worksheet_and_a_table_of_the_same_jars_agree() -> None:
    whole = bench_day(changed(close=None), PLACES)
    rows = ["jar,enclosure,reading,temperature,probe,spot,note"]
    rows += [f'{j.label},{j.enclosure},{j.shows},{j.temperature},{j.probe},"{j.spot}",' for j in EXAMPLE.jars]
    table = bench_table("\n".join(rows).encode(), "day.csv", changed(close=None, enclosures=(), probe=None))
    for name, numbers in figures(table).items():
        assert numbers == pytest.approx(figures(whole)[name], rel=1e-9)
    assert table.probe is not None
    assert whole.probe is not None
    assert table.probe.comparison.offset.n == pytest.approx(whole.probe.comparison.offset.n)


def test_a_semicolon_table_with_decimal_commas_gives_the_same_numbers() -> None:
    text = b"jar,enclosure,reading,temperature\nA1,x,5.41,21.5\nA2,x,5.43,21.5\n"
    plain = bench_table(text, "a.csv")
    text = b"\xef\xbb\xbfjar;enclosure;reading;temperature\r\nA1;x;5,41;21,5\r\nA2;x;5,43;70,7 F\r\n"
    comma = bench_table(text, "b.csv")
    assert [jar.ph.n for jar in comma.jars] == pytest.approx([jar.ph.n for jar in plain.jars], abs=1e-12)
    assert comma.jars[1].temperature == pytest.approx(21.5)


def test_amounts_with_units_give_the_same_day() -> None:
    numbers = Day(
        meter=MeterEntry(shows="mV", resolution=0.1),
        points=(
            PointEntry(buffer=7.0, shows=1.8, temperature=22.0),
            PointEntry(buffer="4.01", shows=178.2, temperature=22.0),
        ),
        enclosures=(EnclosureEntry(name="x"),),
        jars=(JarEntry(label="A1", enclosure="x", shows=84.3, temperature=21.0),),
    )
    words = Day(
        meter=MeterEntry(shows="mV", resolution="0.1 mV"),
        points=(
            PointEntry(buffer="7.00", shows="1.8 mV", temperature="71.6 F"),
            PointEntry(buffer="4,01", shows="0.1782 V", temperature="22 C"),
        ),
        enclosures=(EnclosureEntry(name="x"),),
        jars=(JarEntry(label="A1", enclosure="x", shows="84,3mV", temperature="69.8F"),),
    )
    for name, expected in figures(bench_day(numbers)).items():
        assert figures(bench_day(words))[name] == pytest.approx(expected, rel=1e-9)


def test_repeated_indications_in_a_buffer_speak_for_themselves() -> None:
    points = (replace(EXAMPLE.points[0], shows=[7.03, 7.04, 7.05]), EXAMPLE.points[1])
    day = bench_day(changed(points=points))
    assert [point.n for point in day.calibration.points] == [1, 3]


def test_jars_of_the_same_spot_count_as_one() -> None:
    jars = tuple(replace(jar, spot=" Left ") for jar in EXAMPLE.jars)
    day = bench_day(changed(jars=jars))
    assert {one.slurry.n for one in day.enclosures} == {1}
    assert all("same-spots" in {remark.kind for remark in one.remarks} for one in day.enclosures)


def test_an_enclosures_own_limits_are_the_ones_it_is_held_to() -> None:
    enclosures = tuple(
        replace(one, target=(4.0, "5,3"), floor=3.5) if one.name == "window" else one
        for one in EXAMPLE.enclosures
    )
    day = bench_day(changed(enclosures=enclosures))
    window = next(one for one in day.enclosures if one.name == "window")
    assert (window.judgement.target, window.judgement.floor) == ((4.0, 5.3), 3.5)
    assert window.judgement.above_floor.state == "yes"


def test_a_day_without_limits_takes_common_practice() -> None:
    day = bench_day(changed(enclosures=tuple(EnclosureEntry(name=one.name) for one in EXAMPLE.enclosures)))
    assert {(one.judgement.target, one.judgement.floor) for one in day.enclosures} == {((5.4, 6.5), 5.0)}


def test_a_jar_without_reading_and_an_enclosure_without_jar_are_said() -> None:
    jars = (*EXAMPLE.jars[:-1], replace(EXAMPLE.jars[-1], shows=None))
    enclosures = (*EXAMPLE.enclosures, EnclosureEntry(name="globe"))
    day = bench_day(changed(jars=jars, enclosures=enclosures))
    assert [remark.kind for remark in day.remarks] == ["jar-not-read", "enclosure-not-read"]
    assert "C2" in day.remarks[0].text
    assert "globe" in day.remarks[1].text
    assert day.probe is not None
    assert day.probe.comparison.n == 5


def test_a_jar_without_temperature_says_what_was_taken() -> None:
    meter = MeterEntry(shows="pH", compensates=False)
    jars = (replace(EXAMPLE.jars[0], temperature=None), *EXAMPLE.jars[1:])
    day = bench_day(changed(meter=meter, jars=jars))
    window = next(one for one in day.enclosures if one.name == "window")
    assert "temperature-not-read" in {remark.kind for remark in window.remarks}


def test_without_probe_there_is_no_comparison_and_without_next_nothing_is_said_of_it() -> None:
    bare = tuple(replace(jar, probe=None) for jar in EXAMPLE.jars)
    assert bench_day(changed(jars=bare)).probe is None
    undeclared = bench_day(changed(probe=ProbeEntry(name="stick"))).probe
    assert undeclared is not None
    assert (undeclared.next, undeclared.judgement, undeclared.do) == (None, None, None)


def test_check_and_close_are_handed_on() -> None:
    check = PointEntry(buffer="9.18", shows=9.21, temperature=21.0)
    day = bench_day(changed(check=check))
    assert day.check is not None
    assert day.check.buffer.startswith("9.18")
    assert day.calibration.drift is not None


def test_a_stated_scatter_and_the_days_own_are_taken() -> None:
    stated = bench_day(EXAMPLE, asked=JudgedBy(expected=Scatter(0.05, float("inf")))).enclosures[0].slurry
    own = bench_day(EXAMPLE, asked=JudgedBy(expected=None)).enclosures[0].slurry
    assert stated.own_share == 0.0
    assert own.own_share == 1.0


def test_the_same_bottle_on_two_days_is_the_same_error_and_the_same_jar_label_is_not() -> None:
    inputs = Inputs()
    first = bench_day(EXAMPLE, inputs=inputs).jars[0].ph
    second = bench_day(EXAMPLE, inputs=inputs).jars[0].ph
    apart = bench_day(EXAMPLE, inputs=Inputs()).jars[0].ph
    assert 0.0 < (first - second).s < (first - apart).s
    width = interval(first - second).half_width
    assert width > 0.02


def test_every_interval_holds_its_value_and_every_probability_is_one() -> None:
    for one in bench_day(EXAMPLE).enclosures:
        low, high = one.slurry.interval()
        assert low < one.slurry.ph.n < high
        assert 0.0 <= one.judgement.in_range.probability <= 1.0
        assert 0.0 <= one.judgement.above_floor.probability <= 1.0


JAR = EXAMPLE.jars[0]
POINT = EXAMPLE.points[0]
ACID = BottleEntry(name="x", label="4.01")
WINDOW = EXAMPLE.enclosures[0]
BAD = [
    # What is declared, the place that is named, what the sentence holds.
    (changed(jars=(replace(JAR, shows="5.4x"),)), "jar 1, shows", "5.4x"),
    (changed(jars=(replace(JAR, shows=float("nan")),)), "jar 1, shows", "nan"),
    (changed(jars=(replace(JAR, shows=float("inf")),)), "jar 1, shows", "inf"),
    (changed(jars=(replace(JAR, shows=-5.41),)), "jar 1, shows", "5.41"),
    (changed(jars=(replace(JAR, shows=541),)), "jar 1, shows", "`541` is no pH"),
    (changed(jars=(replace(JAR, shows=10**400),)), "jar 1, shows", "`1000"),
    (changed(jars=(replace(JAR, shows="84.3 mV"),)), "jar 1, shows", "84.3 mV"),
    (changed(jars=(replace(JAR, temperature=210),)), "jar 1, temperature", "210"),
    (changed(jars=(replace(JAR, temperature=70),)), "jar 1, temperature", "F"),
    (changed(jars=(replace(JAR, temperature="warm"),)), "jar 1, temperature", "warm"),
    (changed(jars=(replace(JAR, probe="wet"),)), "jar 1, probe", "wet"),
    (changed(jars=(replace(JAR, probe=59),)), "jar 1, probe", "5.9"),
    (changed(jars=(replace(JAR, enclosure="windw"),)), "jar 1, enclosure", "did you mean window?"),
    (changed(jars=(replace(JAR, enclosure="<b>"),)), "jar 1, enclosure", "`<b>`"),
    (changed(jars=(replace(JAR, enclosure="-rf"),)), "jar 1, enclosure", "a dash"),
    (changed(jars=(replace(JAR, label="-A1"),)), "jar 1, label", "a dash"),
    (changed(jars=(replace(JAR, label=""),)), "jar 1, label", "is empty"),
    (changed(jars=(replace(JAR, label="A\x1b[2J"),)), "jar 1, label", "cannot be printed"),
    (changed(jars=(replace(JAR, label="A\u202e1"),)), "jar 1, label", "cannot be printed"),
    (changed(jars=(replace(JAR, label="A" * 61),)), "jar 1, label", "61 characters"),
    (changed(jars=(replace(JAR, note="x" * 501),)), "jar 1, note", "501 characters"),
    (changed(jars=(JAR, replace(JAR, label="a1 "))), "jar 2, label", "twice"),
    (changed(jars=(replace(JAR, shows=None),)), "reading-room.toml", "no jar has a reading"),
    (changed(jars=()), "reading-room.toml", "no jar has a reading"),
    (changed(points=(POINT,)), "point", "one"),
    (changed(points=(POINT, POINT)), "point", "7.00"),
    (changed(points=()), "point", "this day takes one that was made before"),
    (changed(points=(POINT, replace(POINT, buffer="6.86", shows=6.9))), "point", "1 pH"),
    (
        changed(points=(replace(POINT, shows=4.06), replace(EXAMPLE.points[1], shows=7.04))),
        "point",
        "swapped",
    ),
    (changed(points=(POINT, replace(POINT, buffer="5.00"))), "point 2, buffer", "`5.00`"),
    (changed(points=(POINT, replace(POINT, buffer="acid 3"))), "point 2, buffer", "did you mean acid 2?"),
    (changed(points=(POINT, replace(POINT, shows="178.2 mV"))), "point 2, shows", "178.2 mV"),
    (changed(points=(POINT, replace(POINT, shows=[]))), "point 2, shows", "no indication"),
    (changed(points=(POINT, replace(POINT, temperature=55))), "point 2, temperature", "55"),
    (changed(meter=MeterEntry(shows="pX")), "meter, shows", "`pX`"),
    (changed(meter=MeterEntry(shows="pH", resolution=3)), "meter", "3"),
    (changed(meter=MeterEntry(shows="pH", resolution="fine")), "meter, resolution", "fine"),
    (changed(meter=MeterEntry(shows="pH", name="a\nb")), "meter, name", "cannot be printed"),
    (changed(meter=MeterEntry(shows="mV")), "point", "mV"),
    (changed(thermometer=ThermometerEntry(tolerance="poor")), "thermometer, tolerance", "poor"),
    (changed(bottles=(replace(ACID, label="5.00"),)), "bottle 1", "`5.00`"),
    (changed(bottles=(ACID, replace(ACID, name="X"))), "bottle 2, name", "twice"),
    (changed(bottles=(replace(ACID, measured=7.0),)), "bottle 1", "`7`"),
    (
        changed(
            bottles=(BottleEntry(name="x", label="7.00"), BottleEntry(name="y", label=7.0)),
            points=(replace(POINT, buffer="7.00"), EXAMPLE.points[1]),
        ),
        "point 1, buffer",
        "x, y",
    ),
    (changed(check=POINT), "check", "rests on it"),
    (changed(close=PointEntry(buffer="9.18", shows=9.2)), "close", "was not read before"),
    (changed(enclosures=(*EXAMPLE.enclosures, WINDOW)), "enclosure 4, name", "twice"),
    (changed(enclosures=()), "jar 1, enclosure", "declare it"),
    (changed(enclosures=(replace(WINDOW, target=(6.5, 5.4)),), jars=(JAR,)), "enclosure 1", "6.5"),
    (changed(enclosures=(replace(WINDOW, floor=5.9),), jars=(JAR,)), "enclosure 1", "5.9"),
    (changed(enclosures=(replace(WINDOW, floor="low"),), jars=(JAR,)), "enclosure 1, floor", "low"),
    (changed(probe=ProbeEntry(name="-x")), "probe, name", "a dash"),
    (changed(probe=ProbeEntry(next=60)), "probe, next", "6.0"),
    (changed(note="x" * 600), "note", "600 characters"),
]


@pytest.mark.parametrize(
    ("day", "place", "holds"), BAD, ids=[f"{n}: {case[1]}" for n, case in enumerate(BAD)]
)
def test_what_cannot_stand_stops_the_day_at_its_place(day: Day, place: str, holds: str) -> None:
    with pytest.raises(Refusal) as caught:
        bench_day(day, dataclass_replace(PLACES, lines={}))
    said = str(caught.value)
    assert said.startswith("reading-room.toml")
    assert place in said
    assert holds in said
    assert said.isprintable()
    assert len(said) < 400


def test_names_with_brackets_tags_and_quotes_are_only_names() -> None:
    name = "map [bold] <b>\"'"
    jars = tuple(replace(jar, enclosure=name) for jar in EXAMPLE.jars)
    day = bench_day(changed(jars=jars, enclosures=(EnclosureEntry(name=name),)))
    assert day.enclosures[0].name == name


def test_a_table_of_which_nothing_stands_says_why() -> None:
    with pytest.raises(Refusal, match=r"day.csv: no jar has a reading that stands \(row 2: `x` "):
        bench_table(b"jar,reading\nA1,x\n", "day.csv")
