"""What is struck out or entered anew: nothing goes, and what rested on it follows."""

from __future__ import annotations

import datetime

import pytest

from slurrycalc.logbook.history import HistoryEntry, history
from slurrycalc.logbook.mend import fix, undo
from slurrycalc.logbook.past import pairs
from slurrycalc.logbook.recall import Recall
from slurrycalc.logbook.record import record
from slurrycalc.logbook.refs import Id, When
from slurrycalc.logbook.step import Step
from slurrycalc.logbook.store import Store
from slurrycalc.metrology.remark import Refusal
from slurrycalc.metrology.uncertain import Inputs
from tests.logbook.room import EAST, MAY, at, calibrate, furnish, read

LATER = MAY + datetime.timedelta(days=2)


def shows(book: Store) -> list[float]:
    return [row.shows for row in Recall(book, Inputs()).readings().rows]


def count(book: Store) -> int:
    return int(book.rows("SELECT (SELECT count(*) FROM reading) + (SELECT count(*) FROM point)")[0][0])


def entry(book: Store, number: int) -> HistoryEntry:
    (found,) = history(Recall(book, Inputs()), entries=[number])
    return found


def test_the_last_step_is_struck_out_and_stays_readable(book: Store) -> None:
    kit = furnish(book)
    _, calibration = calibrate(book, kit, at(0))
    read(book, kit, at(0), calibration, kit.window, (5.14,))
    saved = read(book, kit, at(0), calibration, kit.atlas)
    before = count(book)
    undone = undo(book, LATER, why="jars mixed up")
    assert undone.struck == (saved.id,)
    assert undone.fell == ()
    assert shows(book) == [5.14]
    assert count(book) == before
    found = entry(book, saved.id.entry)
    assert found.struck is not None
    assert (found.struck.by, found.struck.why) == (undone.saved.id, "jars mixed up")
    assert [item.shows for item in found.items] == [(5.97,), (6.02,)]
    # Once more takes the step before it, not the striking out.
    assert undo(book, LATER).struck == (Id(saved.id.entry - 1),)
    assert shows(book) == []


def test_striking_out_a_striking_out_brings_it_back(book: Store) -> None:
    kit = furnish(book)
    _, calibration = calibrate(book, kit, at(0))
    read(book, kit, at(0), calibration, kit.atlas)
    for _ in range(3):
        undone = undo(book, LATER, "2")
        assert shows(book) == []
        back = undo(book, LATER, str(undone.saved.id))
        assert Id(2) in back.came_back
        assert shows(book) == [5.97, 6.02]


def test_what_rests_on_a_voided_calibration_is_voided_with_it_and_listed(book: Store) -> None:
    kit = furnish(book)
    saved, calibration = calibrate(book, kit, at(0))
    _, other = calibrate(book, kit, at(0, 14))
    under = read(book, kit, at(0), calibration, kit.atlas, (5.97, 6.02), (6.6,))
    read(book, kit, at(0, 15), other, kit.window, (5.14,))
    closing = Step("calibrate", When(at(0, 16)))
    closing.point(calibration, kit.neutral, 7.06, 21.0, role="close")
    closed = record(book, closing, at(0, 16))
    undone = undo(book, LATER, str(saved.id))
    readings = [Id(under.id.entry, 1), Id(under.id.entry, 3)]
    assert undone.fell == (*readings, Id(closed.id.entry, 1))
    assert shows(book) == [5.14]
    struck = {item.id: item.struck for item in entry(book, under.id.entry).items}
    assert all(struck[one] is not None for one in readings)
    # The probe's indication was true all the same; it only has no pair any more.
    assert struck[Id(under.id.entry, 2)] is None
    assert pairs(Recall(book, Inputs()), Recall(book).things.by_uid[kit.stick]) == ()


def test_nothing_can_be_recorded_on_what_was_struck_out(book: Store) -> None:
    kit = furnish(book)
    saved, calibration = calibrate(book, kit, at(0))
    undo(book, LATER, str(saved.id))
    with pytest.raises(Refusal, match="calibration of entry 2 was struck out"):
        read(book, kit, at(0), calibration, kit.atlas)
    assert count(book) == 2


def test_a_whole_day_is_taken_back_and_no_other(book: Store) -> None:
    kit = furnish(book)
    for day in (0, 1):
        _, calibration = calibrate(book, kit, at(day))
        read(book, kit, at(day), calibration, kit.atlas, (5.9 + day / 10,))
    undone = undo(book, LATER, day=at(1).date(), why="wrong bottle")
    assert undone.struck == (Id(4), Id(5))
    assert shows(book) == [5.9]
    assert Recall(book).things.seek("enclosure", "atlas") is not None
    with pytest.raises(Refusal, match="nothing stands in this logbook that was done on 2024-05-05"):
        undo(book, LATER, day=at(1).date())


def test_the_day_of_a_step_is_the_local_one(book: Store) -> None:
    kit = furnish(book)
    calibrate(book, kit, MAY.replace(hour=1))
    assert undo(book, LATER, day=datetime.date(2024, 5, 4)).struck == (Id(2),)


def test_a_reading_entered_anew_keeps_its_jar_its_day_and_its_calibration(book: Store) -> None:
    kit = furnish(book)
    _, calibration = calibrate(book, kit, at(0))
    saved = read(book, kit, at(0), calibration, kit.atlas, (5.97, 6.02), (6.6, 6.5))
    fixed = fix(book, LATER, f"{saved.id}.3", "5,82", why="misread")
    assert (fixed.old, fixed.was, fixed.now) == (Id(saved.id.entry, 3), (6.02,), (5.82,))
    recall = Recall(book, Inputs())
    new = recall.readings().rows[-1]
    assert (new.shows, new.label, new.temperature, new.day) == (5.82, "C2", 21.5, "2024-05-04")
    assert shows(book) == [5.97, 5.82]
    old = next(item for item in entry(book, saved.id.entry).items if item.id == fixed.old)
    assert old.struck is not None
    assert (old.struck.by, old.struck.why) == (fixed.saved.id, "misread")
    # The probe's pair goes with the jar, and so with its new reading.
    (_, pair) = pairs(recall, recall.things.by_uid[kit.stick])
    assert pair.slurry.n == pytest.approx(recall.readings().number(1).n)


def test_a_point_entered_anew_moves_everything_under_its_calibration(book: Store) -> None:
    kit = furnish(book)
    saved, calibration = calibrate(book, kit, at(0), (7.40, 4.06))
    read(book, kit, at(0), calibration, kit.atlas)
    before = Recall(book, Inputs()).readings().batch.values.copy()
    fixed = fix(book, LATER, f"{saved.id}.1", 7.04)
    assert fixed.affected == (Id(3, 1), Id(3, 2))
    after = Recall(book, Inputs()).readings().batch.values
    assert (after - before > 0.1).all()
    # And back again.
    undo(book, LATER, str(fixed.saved.id))
    assert Recall(book, Inputs()).readings().batch.values == pytest.approx(before, abs=1e-12)


def test_a_fix_falls_with_the_entry_that_it_mends(book: Store) -> None:
    kit = furnish(book)
    _, calibration = calibrate(book, kit, at(0))
    saved = read(book, kit, at(0), calibration, kit.atlas)
    fix(book, LATER, f"{saved.id}.1", 5.9)
    fix(book, LATER, "4", 5.8)
    undo(book, LATER, str(saved.id))
    assert shows(book) == []
    assert undo(book, LATER, "6").came_back == (Id(3), Id(4), Id(5))
    assert shows(book) == [6.02, 5.8]


def test_undoing_a_fix_brings_the_old_value_back(book: Store) -> None:
    kit = furnish(book)
    _, calibration = calibrate(book, kit, at(0))
    read(book, kit, at(0), calibration, kit.atlas, (5.97,))
    fix(book, LATER, "3", 5.9)
    assert shows(book) == [5.9]
    assert undo(book, LATER).came_back == (Id(3, 1),)
    assert shows(book) == [5.97]


def test_a_probe_indication_and_an_amount_can_be_entered_anew(book: Store) -> None:
    kit = furnish(book)
    step = Step("probe", When(at(0)))
    step.probing(64.0 / 10, probe=kit.stick, enclosure=kit.atlas)
    record(book, step, at(0))
    step = Step("event", When(at(0)))
    done = step.event(kit.atlas, "exchange", amount=1000.0, unit="mL")
    step.mix(done, None, 6.6, 0.2)
    record(book, step, at(0))
    assert fix(book, LATER, "2", "6.1").now == (6.1,)
    assert fix(book, LATER, "3", "2 L").now == (2.0,)
    # What went in goes with the exchange.
    assert book.rows("SELECT event_entry, event_n, ph, half_width FROM mix WHERE entry = 5") == [
        (5, 1, 6.6, 0.2)
    ]
    assert book.rows("SELECT shows FROM probing WHERE entry = 4") == [(6.1,)]
    assert book.rows("SELECT amount, unit, kind FROM event WHERE entry = 5") == [(2.0, "L", "exchange")]


@pytest.mark.parametrize(
    ("what", "value", "says"),
    [
        ("9", 5.4, "there is no entry `9`; the last is 3"),
        ("3", 5.4, "holds several values; name one of them: 3.1, 3.2"),
        ("3.7", 5.4, "entry 3 has no value `3.7`"),
        ("1", 5.4, "holds no value that could be entered anew"),
        ("3.1", "403", "did you mean `4.03`"),
        ("3.1", "84.3mV", "mV"),
        ("2.1", 3.9, "with 3.9 in place of 2.1 the calibration of entry 2 could not stand"),
        ("x", 5.4, "`x` is no number of an entry"),
        ("0", 5.4, "`0` is no number of an entry"),
    ],
)
def test_a_fix_that_cannot_stand_leaves_nothing(
    book: Store, what: str, value: float | str, says: str
) -> None:
    kit = furnish(book)
    _, calibration = calibrate(book, kit, at(0))
    read(book, kit, at(0), calibration, kit.atlas)
    with pytest.raises(Refusal) as refused:
        fix(book, LATER, what, value)
    assert says in str(refused.value)
    assert book.rows("SELECT max(id) FROM entry") == [(3,)]
    assert shows(book) == [5.97, 6.02]


@pytest.mark.parametrize(
    ("what", "says"),
    [
        ("4", "there is no entry `4`; the last is 3"),
        ("2.1", "without 2.1 the calibration of entry 2 could not stand"),
        ("3.9", "entry 3 has no value `3.9`"),
    ],
)
def test_an_undo_that_cannot_stand_leaves_nothing(book: Store, what: str, says: str) -> None:
    kit = furnish(book)
    _, calibration = calibrate(book, kit, at(0))
    read(book, kit, at(0), calibration, kit.atlas)
    with pytest.raises(Refusal) as refused:
        undo(book, LATER, what)
    assert says in str(refused.value)
    assert shows(book) == [5.97, 6.02]


def test_what_was_struck_out_cannot_be_struck_out_again(book: Store) -> None:
    kit = furnish(book)
    _, calibration = calibrate(book, kit, at(0))
    read(book, kit, at(0), calibration, kit.atlas, (5.97,))
    undo(book, LATER, "3")
    with pytest.raises(Refusal, match="`3` was struck out already, by 4; `slurrycalc undo 4` brings it back"):
        undo(book, LATER, "3")
    with pytest.raises(Refusal, match="was struck out already"):
        fix(book, LATER, "3", 5.9)


def test_parts_fall_with_the_bench_day_that_they_belong_to(book: Store) -> None:
    kit = furnish(book)
    session = Step("bench", When(at(0)))
    session.mark("cases", ["atlas"])
    bench = record(book, session, at(0))
    step = Step("calibrate", When(at(0)), part_of=session.uid)
    calibration = step.calibration("pH", meter=kit.desk)
    step.point(calibration, kit.neutral, 7.04, 21.0)
    step.point(calibration, kit.acid, 4.06, 21.0)
    record(book, step, at(0))
    step = Step("read", When(at(0)), part_of=session.uid)
    step.reading(step.slurry(kit.atlas, label="A1"), calibration, 5.9, 21.0)
    record(book, step, at(0))
    assert shows(book) == [5.9]
    undo(book, LATER, str(bench.id))
    assert shows(book) == []
    late = Step("read", When(at(0)), part_of=session.uid)
    late.mark("jar", "A2")
    with pytest.raises(Refusal, match="entry 2 was struck out, so nothing can be added to it"):
        record(book, late, at(0))


def test_history_of_an_enclosure_tells_all_that_concerns_it_and_nothing_else(book: Store) -> None:
    kit = furnish(book)
    _, calibration = calibrate(book, kit, at(0))
    mine = read(book, kit, at(0), calibration, kit.atlas, (5.97,), (6.6,))
    read(book, kit, at(0), calibration, kit.window, (5.14,), (5.7,))
    step = Step("event", When.on(at(1).date(), EAST), keeper="desk team")
    step.event(kit.atlas, "leaf-litter", note="oak [2 hands]")
    happened = record(book, step, at(1))
    undone = undo(book, LATER, str(mine.id))
    recall = Recall(book, Inputs())
    found = history(recall, recall.things.by_uid[kit.atlas])
    assert [one.id for one in found] == [Id(1), mine.id, happened.id, undone.saved.id]
    assert {item.of for one in found for item in one.items} <= {"atlas", None}
    assert [(item.what, item.label, item.note) for item in found[2].items] == [
        ("event", "leaf-litter", "oak [2 hands]")
    ]
    assert found[2].when.day_only
    assert found[3].items[0].label == str(mine.id)
    everything = history(recall)
    assert len(everything) == 6
    reading = next(item for one in everything for item in one.items if item.shows == (5.14,))
    assert reading.ph == pytest.approx(recall.readings().batch.values[0])
