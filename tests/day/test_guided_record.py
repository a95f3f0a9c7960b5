"""A guided day in the record: each answer at once, and at the end the same rows as a worksheet's."""

from __future__ import annotations

import datetime

import pytest

from slurrycalc.day.bench.bench_day import bench_day
from slurrycalc.day.bench.guided import Ask, End, Finish, Save, Typed, guided
from slurrycalc.day.bench.guided.journal import Finished, Journal
from slurrycalc.day.record import Keeper
from slurrycalc.logbook.history import history
from slurrycalc.logbook.mend import undo
from slurrycalc.logbook.recall import Recall
from slurrycalc.logbook.refs import When
from slurrycalc.logbook.sessions import open_session
from slurrycalc.logbook.step import Step
from slurrycalc.logbook.store import Store, in_memory
from slurrycalc.logbook.things import things_of
from slurrycalc.metrology.remark import Refusal
from slurrycalc.metrology.uncertain import Inputs
from tests.day.test_guided import BEGUN, RIGHT, SETUP

ALL = SETUP | RIGHT


class Sitting:
    """A person at a table whose record is a logbook."""

    def __init__(self, book: Store, now: datetime.datetime = BEGUN) -> None:
        self.book = book
        self.now = now
        self.journal = Journal(book, "desk team")
        self.finished: Finished | None = None
        self.refused: Refusal | None = None
        self.end: End | None = None
        begun = self.journal.begun or now
        self.guide = guided(
            self.journal.room(begun.date()), self.journal.answers(), now=now, begun=begun, by="desk team"
        )
        self._go(None)

    def type(self, line: str) -> Ask:
        self.now += datetime.timedelta(seconds=30)
        self._go(Typed(line, self.now))
        return self.ask

    def through(self, right: dict[str, str], until: str | None = None) -> Sitting:
        while self.end is None and self.ask.key != until:
            self.type("y" if self.ask.key == "sure" else right[self.ask.key])
        return self

    def _go(self, heard: Typed | Refusal | None) -> None:
        try:
            event = self.guide.send(heard)
            while not isinstance(event, Ask):
                heard = None
                if isinstance(event, Save):
                    self.same = self.journal.save(event.answer)
                else:
                    heard = self._finish(event)
                event = self.guide.send(heard)
            self.ask = event
        except StopIteration as stop:
            self.end = stop.value

    def _finish(self, event: Finish) -> Refusal | None:
        try:
            self.finished = self.journal.finish(event)
        except Refusal as refusal:
            self.refused = refusal
            return refusal
        return None


@pytest.fixture
def book() -> Store:
    return in_memory()


COLUMNS = {
    "calibration": "shows, fit, thermometer, resolution, repeatability, junction, compensates",
    "point": "role, shows, again, temperature",
    "slurry": "label, spot, ratio, basis, solution, note",
    "reading": "shows, again, temperature, u, note",
    "probing": "shows, spot, note",
    "event": "kind, amount, unit, note",
    "shown": "result, method",
}


def rows_of(book: Store, entry: int) -> dict[str, list[tuple[object, ...]]]:
    return {
        table: book.rows(f"SELECT n, {columns} FROM {table} WHERE entry = ? ORDER BY n", (entry,))
        for table, columns in COLUMNS.items()
    }


def names(book: Store) -> set[tuple[str, str]]:
    return {(thing.kind, thing.name) for thing in things_of(book).every}


def test_a_guided_day_leaves_the_rows_that_its_worksheet_would_leave(book: Store) -> None:
    sat = Sitting(book).through(ALL)
    assert sat.finished is not None
    assert sat.end is not None
    other = in_memory()
    table = Sitting(in_memory())
    finish: list[Finish] = []
    table._finish = finish.append  # type: ignore[method-assign]
    table.through(ALL)
    done = finish[0]
    keeper = Keeper(
        other, Step("run", When(done.when), keeper="desk team"), now=done.at, new=True, inputs=Inputs()
    )
    result = bench_day(done.day, keeper=keeper)
    saved = keeper.record(other)
    assert rows_of(book, sat.finished.saved.id.entry) == rows_of(other, saved.id.entry)
    assert names(book) == names(other) | {("cup", "cup")}
    assert [one.slurry.ph.n for one in sat.finished.day.enclosures] == [
        one.slurry.ph.n for one in result.enclosures
    ]


def test_what_was_shown_comes_back_from_the_record(book: Store) -> None:
    sat = Sitting(book).through(ALL)
    assert sat.finished is not None
    recalled = Recall(book, Inputs()).readings()
    assert [row.label for row in recalled.rows] == [jar.label for jar in sat.finished.day.jars]
    for i, jar in enumerate(sat.finished.day.jars):
        assert recalled.number(i).n == pytest.approx(jar.ph.n, abs=1e-9)
        assert recalled.number(i).s == pytest.approx(jar.ph.s, rel=1e-9)


def test_a_day_goes_on_in_another_process_and_ends_the_same(book: Store) -> None:
    whole = Sitting(in_memory()).through(ALL)
    now = BEGUN
    for stop in (*list(RIGHT)[1:-1:4], None):
        sat = Sitting(book, now)
        sat.through(ALL, until=stop)
        now = sat.now
    assert sat.finished is not None
    assert whole.finished is not None
    assert rows_of(book, sat.finished.saved.id.entry) == rows_of(
        whole.book, whole.finished.saved.id.entry
    )


def test_the_next_day_knows_the_room(book: Store) -> None:
    Sitting(book).through(ALL)
    later = Sitting(book, BEGUN + datetime.timedelta(days=30))
    assert later.type("").key == "each"
    assert later.type("").key == "probe A1"
    later.through(RIGHT)
    assert later.finished is not None
    kinds = sorted(thing.kind for thing in things_of(book).every)
    assert kinds == ["bottle", "bottle", "cup", *["enclosure"] * 3, "meter", "probe"]
    # Its own past counts from the second day on.
    assert all(one.shares and one.shares.own_days == 1 for one in later.finished.day.enclosures)


def test_a_second_round_on_one_day_counts_the_cups_on(book: Store) -> None:
    Sitting(book).through(ALL)
    again = Sitting(book, BEGUN + datetime.timedelta(hours=2))
    again.type("atlas")
    again.type("1")
    assert again.ask.text.startswith("C3 atlas")
    again.through({"probe C3": "6.5", "stirred C3": "40 min ago", "read C3": "6.0", **ALL})
    assert again.finished is not None
    (atlas,) = again.finished.day.enclosures
    assert (atlas.slurry.n, atlas.earlier) == (3, 2)


def test_an_answer_given_anew_strikes_out_the_old_one_which_stays_visible(book: Store) -> None:
    sat = Sitting(book)
    sat.through(ALL, until="probe A2")
    sat.type("b")
    sat.type("b")
    sat.type("5.6")
    marks = book.rows(
        "SELECT m.value, v.reason FROM mark m LEFT JOIN void v ON v.target_entry = m.entry WHERE key = ?",
        ("probe A1",),
    )
    assert marks == [("5.7", "answered anew"), ("5.6", None)]


def test_undo_from_elsewhere_lets_the_answer_be_asked_again(book: Store) -> None:
    sat = Sitting(book)
    sat.through(ALL, until="probe B2")
    undo(book, sat.now)
    assert Sitting(book, sat.now).ask.key == "probe B1"


def test_undoing_the_result_opens_the_day_again_for_mending(book: Store) -> None:
    sat = Sitting(book).through(ALL)
    undo(book, sat.now)
    assert len(Recall(book, Inputs()).readings()) == 0
    again = Sitting(book, sat.now)
    assert again.ask.key == "done"
    again.type("C2")
    again.type("6.07")
    again.type("")
    assert again.finished is not None
    assert {row.label: row.shows for row in Recall(book, Inputs()).readings().rows}["C2"] == 6.07
    assert open_session(book) is None


def test_a_dropped_day_is_struck_out_and_still_there(book: Store) -> None:
    sat = Sitting(book)
    sat.through(ALL, until="read A1")
    count = book.rows("SELECT count(*) FROM mark")
    Journal(book).drop(sat.now)
    assert Journal(book).answers() == ()
    assert book.rows("SELECT count(*) FROM mark") == count
    assert any(entry.struck for entry in history(Recall(book, Inputs())))


def test_an_answer_to_a_day_that_was_struck_out_meanwhile_is_refused_and_leaves_nothing(
    book: Store,
) -> None:
    sat = Sitting(book)
    sat.through(ALL, until="read A1")
    undo(book, sat.now, "1")
    count = book.rows("SELECT count(*) FROM entry")
    with pytest.raises(Refusal, match="struck out"):
        sat.type("5.14")
    assert book.rows("SELECT count(*) FROM entry") == count


def test_two_at_one_day_lose_none_of_their_answers(book: Store) -> None:
    one = Sitting(book)
    one.through(ALL, until="probe A1")
    other = Sitting(book, one.now)
    one.type("5.7")
    one.type("stick")
    assert one.same
    other.type("n from the other end of the table")
    assert not other.same
    values = {answer.key: answer.value for answer in Journal(book).answers()}
    assert values["probe A1"] == 5.7
    assert values["note 1"]["text"] == "from the other end of the table"


def test_a_day_without_a_reading_cannot_end_and_stays_open(book: Store) -> None:
    sat = Sitting(book)
    sat.through(ALL, until="read A1")
    sat.type("s all")
    assert sat.ask.key == "done"
    sat.type("")
    assert sat.refused is not None
    assert "no jar has a reading" in str(sat.refused)
    assert open_session(book) is not None


def test_a_probe_without_its_slurry_is_on_record_and_makes_no_pair(book: Store) -> None:
    sat = Sitting(book)
    sat.through(ALL, until="read C2")
    sat.type("s")
    sat.through(ALL)
    lone = book.rows("SELECT shows FROM probing WHERE slurry_entry IS NULL")
    assert lone == [(6.5,)]
    assert sat.finished is not None
    assert sat.finished.day.probe is not None
    assert sat.finished.day.probe.comparison.n == 5


def test_nothing_is_on_record_before_the_first_answer(book: Store) -> None:
    Sitting(book)
    assert book.rows("SELECT count(*) FROM entry") == [(0,)]


def test_the_readings_stand_at_the_time_of_the_calibration(book: Store) -> None:
    sat = Sitting(book).through(ALL)
    assert sat.finished is not None
    recall = Recall(book, Inputs())
    desk = recall.things.find("meter", "desk")
    # So a jar that is read later on that day finds its calibration.
    found = recall.last_calibration(desk, When(sat.now))
    assert found.place[0] == sat.finished.saved.id.entry
    assert found.when.at < sat.now

