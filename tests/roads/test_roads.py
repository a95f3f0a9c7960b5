"""One bench day gives one result, whichever road it takes: the same as the frozen product gave."""

from __future__ import annotations

import os
from collections import Counter
from collections.abc import Iterator

import pytest
from hypothesis import HealthCheck, Phase, given, seed, settings

from tests.roads.days import BenchDay, Jar, drawn_days, features
from tests.roads.entering import ROADS, by_worksheet
from tests.roads.frozen import Frozen, NoHistory
from tests.roads.law import BY, EXCEPTED, LETTERS, Court, carries, point, shown
from tests.roads.plain import differences
from tests.roads.writing import room

QUICK, SLOW = 8, 12
DAYS = int(os.environ.get("ROADS_DAYS", SLOW))
"""So many drawn days in the slow test: ROADS_DAYS=2000 for all of the law."""
FEATURES, ROUNDS = 1000, 16
"""So many days are drawn in search of every feature, round by round until all were met."""
SEED = int(os.environ.get("ROADS_SEED", "0"))
"""Two runs at once draw different days by it."""


@pytest.fixture(scope="module")
def court() -> Iterator[Court]:
    try:
        frozen = Frozen()
    except NoHistory as none:
        pytest.skip(str(none))
    found = Court(frozen)
    yield found
    frozen.close()
    found.program.close()


def hold(court: Court, days: int, of: int) -> Counter[str]:
    """Draw days, enter each by every road that carries it, and see that nothing differs."""
    asked: Counter[str] = Counter()

    # Shrinking takes minutes here: the day as it was drawn says enough.
    @seed(of)
    @settings(
        max_examples=days,
        database=None,
        phases=[Phase.generate],
        suppress_health_check=list(HealthCheck),
        print_blob=False,
        report_multiple_bugs=False,
    )
    @given(drawn_days())
    def law(day: BenchDay) -> None:
        asked.update(features(day))
        found = court.hear(day)
        assert not found, f"{shown(found)}\n{day}"

    law()
    return asked


def test_a_few_drawn_days_give_the_same_by_every_road_and_when_they_are_recalled(court: Court) -> None:
    hold(court, QUICK, 9)


@pytest.mark.slow
@pytest.mark.timeout(120 + 15 * DAYS)
def test_a_drawn_day_gives_the_same_by_every_road_and_when_it_is_recalled(court: Court) -> None:
    court.entered.clear()
    asked = hold(court, DAYS, SEED)
    days = court.entered["worksheet"]
    print(f"\n{days} days; entered: {dict(court.entered)}\nasked: {dict(asked)}")
    assert days >= 0.8 * DAYS
    # No road stands by while the others are driven on.
    assert all(court.entered[road] > 0.15 * days for road in ROADS), court.entered


@pytest.mark.slow
def test_every_feature_of_a_day_is_drawn_for_every_road_that_carries_it() -> None:
    every = {(feature, LETTERS[letter]) for feature, roads in BY.items() for letter in roads.split()}
    seen: set[tuple[str, str]] = set()

    @settings(
        max_examples=FEATURES, database=None, phases=[Phase.generate], suppress_health_check=list(HealthCheck)
    )
    @given(drawn_days())
    def draw(day: BenchDay) -> None:
        roads = [road for road in LETTERS.values() if carries(road, day)]
        assert "worksheet" in roads
        seen.update((feature, road) for feature in features(day) for road in roads)

    # What is drawn depends on the modules that are loaded: how soon the rarest comes is luck.
    for number in range(ROUNDS):
        seed(number)(draw)()
        if seen == every:
            break
    assert seen == every


def test_every_feature_of_a_day_goes_by_two_roads_or_more() -> None:
    on = {letter for letter, road in LETTERS.items() if road in ROADS}
    alone = {feature: roads for feature, roads in BY.items() if len(set(roads.split()) & on) < 2}
    # What is drawn on one road alone until there is the one from Python, which takes it as well.
    assert set(alone) <= {
        "several calibrations, tried",
        "an enclosure under several calibrations, tried",
        "an enclosure under several calibrations, nameless",
        "a reading under two calibrations, tried",
        "a reading under two calibrations, nameless",
    }
    assert all(len(roads.split()) > 1 for roads in BY.values())


@pytest.mark.parametrize("excepted", EXCEPTED, ids=lambda each: each.name)
def test_an_excepted_fault_is_one_of_the_frozen_product(court: Court, excepted: object) -> None:
    day = excepted.witness
    assert excepted.when(day)
    assert differences(court.asked(day), court.expected(day))


def test_a_day_with_an_odd_jar_gives_the_same_by_every_road_and_when_it_is_recalled(court: Court) -> None:
    jars = [Jar(f"A{n}", "atlas", shows, "21") for n, shows in enumerate(("5.52", "5.55", "6.30"), 1)]
    others = [Jar(f"B{n}", "stairs", shows, "21") for n, shows in enumerate(("5.92", "5.95", "5.97"), 1)]
    points = (point("4.01", "4.06"), point("7.00", "7.04"))
    day = BenchDay("pH", points, (*jars, *others), earlier=2)
    assert all(carries(road, day) for road in ROADS)
    said = court.asked(day)
    assert "odd-jar" in said["case/atlas/remarks"]
    assert "odd-jar" not in said["case/stairs/remarks"]
    assert not court.hear(day), shown(court.hear(day))


def test_a_wrong_number_anywhere_on_a_road_is_seen(court: Court) -> None:
    """The law is not kept by saying nothing: each path of the record is one that a difference shows on."""
    day = BenchDay("mV", (point("4.01", "178.2"), point("7.00", "1.8")), (Jar("A1", "atlas", "84.3", None),))
    expected, book = court.expected(day), court.program.book(room(day))
    got = by_worksheet(day, book)
    book.gone()
    assert not differences(expected, got)
    for path, value in got.items():
        nudged = (
            value + 1e-6 if isinstance(value, float) else value + 1 if type(value) is int else "otherwise"
        )
        assert list(differences(expected, got | {path: nudged})) == [path]
    assert all(carries(road, day) for road in ROADS)
