"""From which exchange on the record tells what an exchange does before the bed is read."""

from __future__ import annotations

from datetime import UTC, date, timedelta

import pytest

from slurrycalc.day.months.retest import retest_of
from slurrycalc.day.months.rhythm import UPKEEP, upkeep_asked
from slurrycalc.day.months.series import Series, series_of
from slurrycalc.day.record.keeper import Keeper
from slurrycalc.deciding.trend import LevelStep
from slurrycalc.deciding.trend.crossing import Retest, retest_foreseen
from slurrycalc.logbook.recall import Recall
from slurrycalc.logbook.refs import When
from slurrycalc.logbook.step import Step
from slurrycalc.logbook.store import Store, in_memory
from tests.day.test_series import FIRST, NOW, bench_day


def record(*done: tuple[int, str], upkeep: object = None) -> Series:
    """Put readings, known exchanges, blind ones and calcium on record, each so many days after the first."""
    book = in_memory()
    for days, what in done:
        day = FIRST + timedelta(days=days)
        if what == "read":
            bench_day(book, day, {"atlas": [(5.60, None), (5.64, None)]})
        else:
            happens(book, day, what)
    if upkeep is not None:
        keeper = Keeper(book, Step("upkeep", When.on(FIRST, UTC)), now=NOW)
        keeper.step.setting(keeper.thing("enclosure", "atlas").uid, UPKEEP, upkeep)
        keeper.record(book)
    recall = Recall(book)
    found = series_of(recall, recall.things.find("enclosure", "atlas"))
    assert found is not None
    return found


def by_upkeep(every: object, *done: tuple[int, str]) -> tuple[int, str, int | None]:
    """Put them on record with an upkeep: when it is to be read again, why, and the turn it was read for."""
    series = record(*done, upkeep=every)
    retest, turn = retest_of(series), upkeep_asked(series)
    return (retest.by - FIRST).days, retest.reason, None if turn is None else (turn - FIRST).days


def happens(book: Store, day: date, what: str) -> None:
    keeper = Keeper(book, Step("event", When.on(day, UTC)), now=NOW)
    bed = keeper.thing("enclosure", "atlas").uid
    if what == "known":
        keeper.step.mix(keeper.step.event(bed, "exchange", amount=20.0, unit="%"), None, 6.6, 0.1)
    else:
        keeper.step.event(bed, "exchange" if what == "blind" else what)
    keeper.record(book)


@pytest.mark.parametrize(
    ("done", "foreseen"),
    [
        ([(0, "read"), (1, "known"), (8, "read"), (40, "known"), (47, "read"), (80, "known")], [0, 0, 1]),
        # A reading of the same day comes before the exchange, and is one of the exchange before.
        ([(0, "read"), (0, "known"), (30, "read"), (30, "known"), (60, "read"), (60, "known")], [0, 0, 1]),
        # Two stages that one reading followed teach once, and so does one exchange that two readings did.
        ([(0, "read"), (1, "known"), (29, "known"), (36, "read"), (60, "known")], [0, 0, 0]),
        ([(0, "read"), (1, "known"), (8, "read"), (40, "read"), (60, "known")], [0, 0]),
        # An exchange whose part or mix is not on record teaches nothing, and is never foreseen.
        ([(0, "read"), (1, "known"), (8, "read"), (40, "blind"), (47, "read"), (80, "known")], [0, 0, 0]),
        ([(0, "read"), (1, "known"), (8, "read"), (40, "known"), (47, "read"), (90, "blind")], [0, 0, 0]),
        ([(0, "read"), (1, "known"), (8, "read"), (40, "known"), (47, "read"), (90, "calcium")], [0, 0, 0]),
    ],
)
def test_an_exchange_is_foreseen_once_two_readings_followed_known_ones(
    done: list[tuple[int, str]], foreseen: list[int]
) -> None:
    assert [step.foreseen for step in record(*done).steps] == [bool(each) for each in foreseen]


def test_one_that_is_foreseen_is_read_when_the_bed_asks_and_one_that_is_not_a_week_later() -> None:
    taught = [(0, "read"), (1, "known"), (8, "read"), (40, "known"), (47, "read"), (80, "known")]
    late = retest_of(record(*taught)).by - FIRST
    soon = retest_of(record(*taught[:4])).by - FIRST
    assert soon.days == 47
    assert 87 < late.days <= 80 + 75
    # A step of unknown size beside it, and a reading comes first.
    assert (retest_of(record(*taught, (82, "calcium"))).by - FIRST).days == 82 + 30


def test_the_turn_of_an_upkeep_is_read_for_and_a_foreseen_exchange_waits_for_it() -> None:
    taught = [(0, "read"), (1, "known"), (8, "read"), (40, "known"), (47, "read"), (80, "known")]
    asked = (retest_of(record(*taught)).by - FIRST).days
    # The turn counts from the last exchange: no later than what the bed asks for by itself.
    assert by_upkeep(30.0, *taught) == (110, "upkeep", None)
    assert by_upkeep(91.0, *taught)[0] == asked
    # Read within the week before it, it is done on its day; read earlier, it is read again.
    assert by_upkeep(30.0, *taught, (103, "read"))[2] == 110
    assert by_upkeep(30.0, *taught, (102, "read")) == (110, "upkeep", None)
    # An exchange that is not foreseen is read a week later all the same.
    assert by_upkeep(91.0, *taught[:4])[:2] == (47, "step")
    assert by_upkeep("never", *taught) == by_upkeep(None, *taught)
    # What the bed does not ask for sooner waits for the turn, where it would be read after 75 days else.
    by_bed, done = Retest(FIRST + timedelta(days=300), "limit", ""), LevelStep(FIRST, foreseen=True)
    turn = FIRST + timedelta(days=91)
    assert [(retest_foreseen(by_bed, done, each).by - FIRST).days for each in (None, turn)] == [75, 91]
